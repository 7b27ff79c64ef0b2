package jobs_test

import (
	"testing"
	"time"

	"osier/model"
)

// Where the angler fished last is read from their own sessions; of somebody
// else's nothing is said, and with no angler named it is not checked.
func TestAnotherWaterFishedLatelyIsCautionedAbout(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	other, err := b.db.Water(t.Context(), "reedmere")
	done(t, err)
	other.ID, other.Name = "drovelow-mere", "Drovelow Mere"
	done(t, b.db.PutWater(t.Context(), other))
	level := func(q model.Question) model.CautionLevel {
		t.Helper()
		for _, c := range b.plan(t, q).Cautions {
			if c.ID == "biosecurity" {
				return c.Level
			}
		}
		return ""
	}
	unnamed, named, stranger := tomorrow(), tomorrow(), tomorrow()
	unnamed.Angler, stranger.Angler = "", "XX"
	if got := level(unnamed); got != model.NotChecked {
		t.Errorf("no angler named: %q", got)
	}
	if got := level(named); got != "" {
		t.Errorf("nowhere else fished: %q", got)
	}
	fished := noon.Add(-3 * 24 * time.Hour)
	done(t, b.db.AddSession(t.Context(), model.Session{ID: "s-other", Water: other.ID, Angler: "VP", Group: model.Bream, Style: model.Summary, Start: fished, End: fished.Add(4 * time.Hour), Rods: 1, EnteredAt: fished.Add(5 * time.Hour)}))
	if got := level(named); got != model.Note {
		t.Errorf("another water three days ago: %q", got)
	}
	if got := level(stranger); got != "" {
		t.Errorf("somebody else fished there: %q", got)
	}
	done(t, b.db.PutReport(t.Context(), model.Report{ID: "r-alert", Water: other.ID, Kind: model.SawInvasive, At: fished}))
	if got := level(named); got != model.Care {
		t.Errorf("an invasive species there: %q", got)
	}
}
