package page

import (
	_ "embed"
	"fmt"
	"strings"
	"time"

	"osier/model"
)

//go:embed water/water.html
var waterHTML string

var waterPart = part("water", waterHTML)

// WaterPath is where the page of a water is.
func WaterPath(id string) string { return "/waters/" + id }

// conditionsEvery is one row of the coming hours in so many; our choice, for a
// phone.
const conditionsEvery = 3

// Water is the page of one water: what is asked of those who fish it, what the
// weather means there now and in the hours to come, and where to go on: also to
// the clubs that look after it.
func Water(w model.Water, c model.Conditions, clubs []model.Club, notice string) ([]byte, error) {
	zone, err := w.Location()
	if err != nil {
		return nil, err
	}
	view := struct {
		Water    model.Water
		Cautions []model.Caution // that ask for something
		Notes    []model.Caution
		At       time.Time
		Now      []named
		Hours    []clockRow
		About    []named
		Weather  string
		Source   []string
		Clubs    []way
	}{Water: w, At: c.AskedAt.In(zone), About: aboutWater(w), Hours: clockRows(c.Hours, zone, conditionsEvery), Weather: c.Source + ageWords(c.AgeMin), Source: c.Notes}
	view.Cautions, view.Notes = splitCautions(c.Cautions)
	if len(c.Hours) > 0 {
		view.Now = conditionsNow(c.Hours[0], c.Sun, zone)
	}
	for _, club := range clubs {
		view.Clubs = append(view.Clubs, way{Title: club.Name, Path: ClubPath(club.ID)})
	}
	if c.Stale {
		view.Source = append([]string{"This weather is stale: none newer came in."}, view.Source...)
	}
	return Frame{Title: w.Name, Path: WaterPath(w.ID), Demo: w.Demo || c.Demo, Notice: notice, Credits: c.Credits}.Page(waterPart, view)
}

// named is a figure with its name.
type named struct{ Name, Text string }

// splitCautions parts what asks for something from what is worth knowing or was
// not checked.
func splitCautions(all []model.Caution) (asking, rest []model.Caution) {
	for _, c := range all {
		if c.Level == model.Stop || c.Level == model.Care {
			asking = append(asking, c)
		} else {
			rest = append(rest, c)
		}
	}
	return asking, rest
}

func conditionsNow(h model.ConditionHour, sun model.Sun, zone *time.Location) []named {
	air := "not known"
	if h.AirC.Known {
		air = tenths(h.AirC) + " C"
		if h.FeelsLikeC.Known {
			air += ", feels like " + tenths(h.FeelsLikeC) + " C"
		}
		air += "; " + string(h.Weather)
	}
	rain := "not known"
	if h.RainMm.Known {
		rain = tenths(h.RainMm) + " mm in the hour before"
	}
	now := []named{
		{"Water", waterWords(h.WaterC)},
		{"Air", air},
		{"Wind", windWords(h)},
		{"Pressure", pressureWords(h)},
		{"Rain", rain},
	}
	if sun.Rise.Known && sun.Set.Known {
		now = append(now, named{"Sun", fmt.Sprintf("%s to %s", sun.Rise.Value.In(zone).Format("15:04"), sun.Set.Value.In(zone).Format("15:04"))})
	}
	return now
}

func aboutWater(w model.Water) []named {
	about := []named{
		{"Fish", strings.Split(aboutLine(w), ";")[0]},
		{"Depth", fmt.Sprintf("%.1f m on the mean", float64(w.MeanDepthM))},
	}
	if w.AreaHa.Known {
		about = append(about, named{"Area", fmt.Sprintf("%.1f ha", w.AreaHa.Value)})
	}
	about = append(about, named{"Water", "usually " + string(w.Colour)}, named{"Bank", string(w.Bank)})
	if n := len(w.Pegs); n > 0 {
		about = append(about, named{"Pegs", fmt.Sprint(n)})
	}
	if w.FeedLimitDryG.Known {
		about = append(about, named{"Feed limit", whole(w.FeedLimitDryG) + " g dry a day"})
	}
	if w.KeepnetRule != "" {
		about = append(about, named{"Keepnets", w.KeepnetRule})
	}
	return about
}
