package jobs

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/air"
	"osier/model/feeder"
	"osier/model/plan"
)

// FindingStore is what the findings are made from.
type FindingStore interface {
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
}

// Finder tells what the records can say and what they cannot.
type Finder struct {
	Store FindingStore
	Now   func() time.Time
	// Planted is what the demo's records were made from, and nothing elsewhere.
	Planted *model.PlantedTruth
}

// What the findings say of themselves.
const (
	recordsAlone = "What is said of weather and water is what the records say by themselves, with 90 % intervals: of ten drivers without any effect one would stand out by luck alone."
	curvesUntold = "The time of year and the hour of day are in the model as curves of several terms; none of those says anything by itself, so they are not listed."
	checksInKind = "A query asks whoever wrote the record; it changes nothing in it. Counts are of records entered before this month began, in bands, and only where enough anglers stand behind them that none can be told."
)

// Findings puts the public fit and the checks on records into plain figures.
func (f *Finder) Findings(ctx context.Context) (model.Findings, error) {
	now := f.Now().UTC()
	month := time.Date(now.Year(), now.Month(), 1, 0, 0, 0, 0, time.UTC)
	out := model.Findings{
		AsOf: now, Fit: FitZero, Sessions: model.CountBand(0), Anglers: model.CountBand(0), Groups: []model.GroupFindings{},
		CheckedBefore: month, Checks: []model.RecordCheck{}, Notes: []string{recordsAlone, curvesUntold, checksInKind}, Planted: f.Planted,
	}
	record, err := f.Store.LatestFit(ctx, "", now)
	if err != nil && model.CodeOf(err) != model.NotFound {
		return out, err
	}
	if fits, readable := readFits(record); err == nil && readable && record.Sessions > 0 {
		out.Fit, out.MadeAt = record.ID, record.MadeAt
		out.Sessions, out.Anglers = model.CountBand(record.Sessions), model.CountBand(record.Anglers)
		for _, g := range model.Groups() {
			if fits[g].Sessions == 0 {
				continue
			}
			found, err := groupFindings(g, fits[g])
			if err != nil {
				return out, fmt.Errorf("say what the fit found for %s: %w", g, err)
			}
			out.Groups = append(out.Groups, found)
		}
	}
	sessions, err := f.Store.Sessions(ctx, "", "", time.Unix(0, 0), now)
	if err != nil {
		return out, err
	}
	sessions = slices.DeleteFunc(sessions, func(s model.Session) bool { return !s.EnteredAt.Before(month) })
	out.Checked, out.Checks = model.CountBand(len(sessions)), recordChecks(sessions)
	return out, nil
}

func groupFindings(g model.Group, fit activity.Fit) (model.GroupFindings, error) {
	out := model.GroupFindings{Group: g, Sessions: model.CountBand(fit.Sessions), Drivers: []model.Finding{}, Notes: []string{}}
	effects, err := fit.Effects()
	if err != nil {
		return out, err
	}
	columns, err := activity.Columns(string(g))
	if err != nil {
		return out, err
	}
	for _, e := range effects {
		about := columns[slices.IndexFunc(columns, func(c activity.Column) bool { return c.Name == e.Column })]
		if isCurve(e.Column) || strings.HasPrefix(e.Column, "feed_") {
			continue
		}
		out.Drivers = append(out.Drivers, model.Finding{
			Driver: about.Meaning, Unit: about.ScaledUnit, Learnt: e.Learnt, Found: e.Found,
			Change: air.Round(e.Change, 4), Low90: air.Round(e.Low90, 4), High90: air.Round(e.High90, 4),
		})
	}
	if fit.CarryOver.Both {
		out.Notes = append(out.Notes, "Spells that last drive plans of feed and bites alike here: what is said of feed is not to be trusted far.")
	}
	out.Feed, err = feedFindings(g, fit)
	return out, err
}

// isCurve says whether a column is one wave of a curve.
func isCurve(column string) bool {
	return strings.HasPrefix(column, "season_") || strings.HasPrefix(column, "hour_")
}

// What the feed is looked at for: cold and warm water, less feed and more than
// the trade's own rate. Our choice.
var (
	feedWaterC = []float64{5, 18}
	feedTimes  = []float64{0.5, 2}
)

func feedFindings(g model.Group, fit activity.Fit) ([]model.FeedFinding, error) {
	out := []model.FeedFinding{}
	for _, waterC := range feedWaterC {
		starting, ok := feeder.StartingRateGH(feeder.Group(g), waterC)
		if !ok {
			continue
		}
		for _, times := range feedTimes {
			one, err := feedFinding(g, fit, waterC, starting, times*starting)
			if err != nil {
				return out, err
			}
			out = append(out, one)
		}
	}
	return out, nil
}

func feedFinding(g model.Group, fit activity.Fit, waterC, startingGH, rateGH float64) (model.FeedFinding, error) {
	out := model.FeedFinding{
		WaterC: model.Celsius(waterC), RateGH: model.GramsPerHour(air.Round(rateGH, 0)), AgainstGH: model.GramsPerHour(air.Round(startingGH, 0)),
	}
	if !triedSomewhere(fit.Tried, waterC, rateGH) {
		out.Text = activity.NotTriedOften
		return out, nil
	}
	at := func(rate float64) (activity.Covariates, error) {
		return plan.Covariates(g, model.Drivers{ // what both share falls out of the difference
			DayOfYear: 1, MidHour: 12,
			WaterC: model.Known(model.Celsius(waterC)), PlannedGH: model.Known(model.GramsPerHour(rate)), StartingGH: model.Known(model.GramsPerHour(startingGH)),
		})
	}
	there, err := at(rateGH)
	if err != nil {
		return out, err
	}
	usual, err := at(startingGH)
	if err != nil {
		return out, err
	}
	mean, sd, err := fit.Difference(there, activity.Setting{}, usual, activity.Setting{})
	if err != nil {
		return out, err
	}
	ratio := model.RatioRange{
		Mean: air.Round(math.Exp(mean), 3), Low90: air.Round(math.Exp(mean-normal90*sd), 3), High90: air.Round(math.Exp(mean+normal90*sd), 3),
	}
	out.Ratio = &ratio
	value, _ := activity.EValue(math.Exp(mean))
	bound, _ := activity.EValue(math.Min(math.Max(1, ratio.Low90), ratio.High90))
	out.EValue, out.EValueOfBound = model.Known(air.Round(value, 2)), model.Known(air.Round(bound, 2))
	out.Text = feedFindingText(ratio, value, bound)
	return out, nil
}

// triedSomewhere says whether a rate was tried often enough on one water, or on
// all of them together: the model holds what feed does to be the same on each.
func triedSomewhere(tried activity.FeedHistory, waterC, rateGH float64) bool {
	waters := map[string]bool{"": true}
	for _, s := range tried.Sessions {
		waters[s.Water] = true
	}
	for water := range waters {
		if tried.Supported(water, waterC, rateGH).OK {
			return true
		}
	}
	return false
}

// normal90 is the 95 % point of the standard normal: a 90 % interval's reach.
const normal90 = 1.6448536269514722

// feedFindingText says which rate brings more bites, if that can be told, and
// what could explain it away (statistics pack 2.2).
func feedFindingText(r model.RatioRange, value, bound float64) string {
	says := "more bites"
	switch {
	case r.Low90 <= 1 && r.High90 >= 1:
		says = "cannot be told apart"
	case r.High90 < 1:
		says = "fewer bites"
	}
	return fmt.Sprintf("%s. Something unrecorded that goes with both feed and bites could explain this away if it went with each %.1f-fold (%.1f-fold for the nearer end of the interval).", says, value, bound)
}

// recordChecks counts the records queried, by field, under the rule of
// disclosure.
func recordChecks(sessions []model.Session) []model.RecordCheck {
	queried := map[string]map[string]int{}
	for _, s := range sessions {
		fields := map[string]bool{}
		for _, q := range s.Queries {
			fields[q.Field] = true
		}
		for field := range fields {
			if queried[field] == nil {
				queried[field] = map[string]int{}
			}
			queried[field][s.Angler]++
		}
	}
	out := []model.RecordCheck{}
	for _, field := range slices.Sorted(maps.Keys(queried)) {
		byAngler := slices.Collect(maps.Values(queried[field]))
		check := model.RecordCheck{Field: field, Withheld: model.Withheld(byAngler)}
		if len(check.Withheld) == 0 {
			total := 0
			for _, n := range byAngler {
				total += n
			}
			check.Sessions = model.CountBand(total)
		}
		out = append(out, check)
	}
	return out
}
