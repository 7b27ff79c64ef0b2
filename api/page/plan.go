package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"strings"
	"time"

	"osier/model"
)

//go:embed plan/plan.html
var planHTML string

var planPart = part("plan", planHTML)

// PlanPath is where an issued plan is.
func PlanPath(id string) string { return "/plans/" + id }

// planHour is one hour compared, in clock order.
type planHour struct{ Clock, Median, Range string }

// Plan is the page of a whole plan: what was decided since it was issued, then
// cautions, then what to do, what to expect, why and how sure. Times are by the
// zone, the water's.
func Plan(p model.Plan, zone *time.Location, notice string) ([]byte, error) {
	start := p.Start.In(zone)
	view := struct {
		model.Plan
		From, Until, Issued time.Time
		Asking, Rest        []model.Caution
		Do                  []named
		Bar                 template.HTML
		Compared            []planHour
		Hours               []clockRow
		Age                 string
		FromWhere           []named
	}{
		Plan: p, From: start, Until: p.Question.End().In(zone), Issued: p.IssuedAt.In(zone), Do: whatToDo(p), Compared: hoursCompared(p, zone),
		Hours: clockRows(p.Conditions, zone, 1), Age: ageWords(p.Weather.AgeMin), FromWhere: provenanceWords(p.Weather.Provenance),
	}
	view.Asking, view.Rest = splitCautions(p.Cautions)
	if p.Activity != nil {
		view.Bar = rateBar(p.Activity.BitesPerH)
	}
	title := fmt.Sprintf("Plan for %s at %s", groupWords(p.Group), p.WaterName)
	return Frame{Title: title, Path: PlanPath(p.ID), Demo: p.Demo, Notice: notice, Credits: p.Weather.Credits}.Page(planPart, view)
}

// whatToDo is the plan's feed, feeder, rhythm and tackle, in the order in which
// they are wanted.
func whatToDo(p model.Plan) []named {
	f, r, t := p.Feed, p.Rhythm, p.Tackle
	do := []named{
		{"Opening", openingWords(f)},
		{"Feeder", feederWords(p.Feeder)},
		{"Rhythm", fmt.Sprintf("soak %.1f min (%s), a cast every %.1f min, %.1f fills an hour; %s", r.SoakMin, between(r.SoakRange.Low, r.SoakRange.High, 0), r.RecastMin, r.FillsPerH, r.Basis)},
		{"Groundbait", fmt.Sprintf("%s; %.0f g damp in all, %.0f g dry; mix at most %.0f g dry", p.Bait.Groundbait, float64(f.TotalDampG), float64(f.TotalDryG), float64(f.MixDryG))},
	}
	if len(p.Bait.HookBaits) > 0 {
		do = append(do, named{"Hook baits", strings.Join(p.Bait.HookBaits, ", ")})
	}
	return append(
		do,
		named{"Hook link", fmt.Sprintf("%s cm, %g to %g lb, hooks %s", between(p.HookLengthCm.Low, p.HookLengthCm.High, 0), t.HookLinkLb.Low, t.HookLinkLb.High, t.HookSizes)},
		named{"Rod", fmt.Sprintf("%s m, rated %s g, tip %g to %g oz", between(t.RodLengthM.Low, t.RodLengthM.High, 1), between(t.RodRatingG.Low, t.RodRatingG.High, 0), t.TipOz.Low, t.TipOz.High)},
		named{"Line", t.LineText},
		named{"Patience", fmt.Sprintf("%s min on a trusted spot before a large change", between(p.PatienceMin.Low, p.PatienceMin.High, 0))},
	)
}

func openingWords(f model.FeedPlan) string {
	if f.OpeningFills == 0 {
		return "none"
	}
	words := fmt.Sprintf("%s, %.0f g damp", count(f.OpeningFills, "fill"), float64(f.OpeningG))
	if f.OpeningRelease != "" {
		words += ", emptied at the " + f.OpeningRelease
	}
	return words
}

func feederWords(f model.FeederPlan) string {
	if f.NoSafeCast {
		words := "no safe cast at that distance with that rod"
		if f.LongestM.Known && f.LongestM.Value > 0 {
			words += "; " + whole(f.LongestM) + " m would work"
		}
		return words
	}
	words := fmt.Sprintf("%s, %s, %.0f ml filled to %.2f", strings.ReplaceAll(f.Type, "_", " "), f.Step, float64(f.CapacityMl), f.FillFactor)
	if f.WeightG.Known {
		words += fmt.Sprintf(", weight %s g, %s g loaded", whole(f.WeightG), whole(f.LoadedMassG))
	}
	return words
}

func hoursCompared(p model.Plan, zone *time.Location) []planHour {
	var rows []planHour
	for _, h := range p.HoursCompared {
		row := planHour{Clock: h.At.In(zone).Format("15:04"), Median: unknown, Range: "struck out by a caution"}
		if r := h.BitesPerH; r != nil && !h.Struck {
			row.Median, row.Range = bites(r.Median), bites(r.Low90)+" to "+bites(r.High90)
		}
		rows = append(rows, row)
	}
	return rows
}

// provenanceWords says where the first hour's figures come from, in the order of
// the conditions; each source once with what it gave.
func provenanceWords(from map[string]model.Provenance) []named {
	var out []named
	for _, v := range []struct{ variable, name string }{
		{"air_temp_c", "Air"}, {"wind_mps", "Wind"}, {"gust_mps", "Gusts"}, {"pressure_hpa", "Pressure"}, {"rain_mm", "Rain"}, {"cloud_fraction", "Cloud"}, {"water_temp_c", "Water"},
	} {
		p, known := from[v.variable]
		if !known {
			continue
		}
		words := string(p.Kind)
		if p.Source != "" {
			words += ", " + p.Source
		}
		if p.Station != "" {
			words += " " + p.Station
		}
		if p.DistanceKm.Known {
			words += fmt.Sprintf(", %.0f km away", p.DistanceKm.Value)
		}
		if p.AgeMin.Known && p.AgeMin.Value >= 0 {
			words += ageWords(p.AgeMin)
		}
		out = append(out, named{v.name, words})
	}
	return out
}
