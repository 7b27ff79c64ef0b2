package caution_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/caution"
)

func warning(hazard model.Hazard, severity model.Severity) model.OfficialWarning {
	return model.OfficialWarning{
		Sender: "The weather service", Hazard: hazard, Severity: severity, Headline: "A warning",
		From: from.Add(-time.Hour), Until: model.Known(from.Add(2 * time.Hour)),
	}
}

func TestOfficialWarningsAreNeverSoftened(t *testing.T) {
	const span = " 07:00-09:00"
	for _, c := range []struct {
		hazard   model.Hazard
		severity model.Severity
		want     string
	}{
		{model.HazardWind, model.Extreme, "stop"},
		{model.HazardWind, model.Severe, "care"},
		{model.HazardWind, model.Moderate, "care"},
		{model.HazardWind, model.Minor, "note"},
		{model.HazardOther, model.UnknownSeverity, "care"},
		{model.HazardThunder, model.Severe, "stop"},
		{model.HazardThunder, model.Moderate, "care"},
		{model.HazardHeat, model.Minor, "care"},
		{model.HazardHeat, model.Extreme, "stop"},
	} {
		in := quiet()
		in.Warnings = []model.OfficialWarning{warning(c.hazard, c.severity)}
		if diff := cmp.Diff([]string{c.want + span}, levels(of(caution.Check(in), "official_warning"))); diff != "" {
			t.Errorf("%s %s (-want +got):\n%s", c.hazard, c.severity, diff)
		}
	}
}

// Even a note of a service stands before a stop of ours, which stays.
func TestOfficialWarningsStandFirst(t *testing.T) {
	in := each(quiet(), 0, 5, windAndGust(9, 22))
	in.Warnings = []model.OfficialWarning{warning(model.HazardWind, model.Minor)}
	got := caution.Check(in)
	if len(got) < 2 || got[0].ID != "official_warning" || got[1].ID != "wind" || got[1].Level != model.Stop {
		t.Fatalf("got %+v", got)
	}
	if want := "The weather service: A warning, from 07:00 to 09:00."; got[0].Text != want {
		t.Errorf("got %s, want %s", got[0].Text, want)
	}
}

func TestAnOfficialStopStrikesItsHours(t *testing.T) {
	in := quiet()
	in.Warnings = []model.OfficialWarning{warning(model.HazardThunder, model.Severe)}
	cautions := caution.Check(in)
	if !caution.Struck(cautions, from) || caution.Struck(cautions, from.Add(2*time.Hour)) {
		t.Errorf("got %+v", cautions)
	}
}

func TestWarningsOfOtherHoursAreLeftOut(t *testing.T) {
	in := quiet()
	over, open := warning(model.HazardWind, model.Severe), warning(model.HazardWind, model.Severe)
	over.Until = model.Known(from)
	open.Until = model.Maybe[time.Time]{}
	in.Warnings = []model.OfficialWarning{over, open}
	if diff := cmp.Diff([]string{"care " + allMorning}, levels(of(caution.Check(in), "official_warning"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestWarningsThatNobodyAskedForAreNotChecked(t *testing.T) {
	in := quiet()
	in.WarningsKnown = false
	got := only(t, in, "official_warning")
	if got.Level != model.NotChecked || !strings.HasPrefix(got.Text, "Official warnings were not checked: ") {
		t.Errorf("got %+v", got)
	}
}

func TestAHeadlineIsOneReadableLine(t *testing.T) {
	in := quiet()
	w := warning(model.HazardWind, model.Severe)
	w.Headline = "Gales\n\x1b[31mtoday\t" + strings.Repeat("x", 500)
	in.Warnings = []model.OfficialWarning{w}
	got := only(t, in, "official_warning").Text
	if strings.ContainsAny(got, "\n\t\x1b") || len(got) > 300 || !strings.HasPrefix(got, "The weather service: Gales [31mtoday xxx") {
		t.Errorf("got %q", got)
	}
}
