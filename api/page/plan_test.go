package page_test

import (
	"strings"
	"testing"
	"time"

	"osier/api/page"
	"osier/model"
)

func plan() model.Plan {
	p := full[model.Plan](1)
	caution := func(level model.CautionLevel, text string) model.Caution {
		return model.Caution{Level: level, Text: text}
	}
	p.SinceIssued = []model.Caution{caution(model.Stop, "The club closed it since.")}
	p.Cautions = []model.Caution{caution(model.Care, "Cold water."), caution(model.NotChecked, "Waves not checked.")}
	p.WaterName, p.Group, p.Start = "The Pit", model.Silver, time.Date(2026, 7, 4, 5, 0, 0, 0, time.UTC)
	p.Question.Start, p.Question.Hours, p.Question.Angler, p.Question.Peg = p.Start, 5, "RJ", "7"
	p.Feed.Level, p.Feed.RateGH = "Even", 183.4
	p.Activity.Sentence, p.HoursText = "as likely over as under 2.5 bites an hour", "no hour stands out"
	p.Reasons[0].Text, p.Evidence.Text, p.WouldChange = "Appetite", "Few records", []string{"A thermometer"}
	p.HoursCompared = []model.HourRate{
		{At: p.Start, BitesPerH: &model.RateRange{Median: 2.5, Low90: 0.4, High90: 11.2}},
		{At: p.Start.Add(time.Hour), Struck: true, BitesPerH: &model.RateRange{Median: 9}},
	}
	return p
}

// Cautions come before all else, what was decided since before them, and times
// are by the clock at the water.
func TestAPlanIsReadCautionsFirst(t *testing.T) {
	body, err := page.Plan(plan(), london(t), "")
	all := sound(t, body, err)
	holds(
		t, all, "Plan for silver fish at The Pit", "Decided since this plan was issued", "stop: The club closed it since.", "Cautions", "care: Cold water.",
		"Saturday 4 July 2026, 06:00 to 11:00", "peg 7", "for RJ", "What to do", "Feed: Even, 183 g/h damp.", "What to expect", "As likely over as under 2.5 bites an hour.",
		"No hour stands out.", "06:002.50.4 to 11", "07:00\u2013struck out by a caution", "Why, and how sure", "Appetite.", "Few records.", "A thermometer.", "Waves not checked.", model.Deferral,
	)
	if strings.Contains(says(all), "9.0") {
		t.Error("a struck hour shows what to expect")
	}
}

func TestAPlanWithoutActivityShowsNone(t *testing.T) {
	p := plan()
	p.Activity, p.SinceIssued = nil, nil
	body, err := page.Plan(p, london(t), "")
	all := sound(t, body, err)
	holds(t, all, "Nothing is shown: every hour is struck out by a caution.")
	lacks(t, all, "Decided since")
	if n := len(named(all, "svg")); n != 0 {
		t.Errorf("%d pictures", n)
	}
}

func TestAnOldAnswerSaysSoFirst(t *testing.T) {
	body, err := page.Plan(plan(), london(t), "This page is old.")
	holds(t, sound(t, body, err), "Plan for silver fish at The Pit", "This page is old.", "Decided since")
}
