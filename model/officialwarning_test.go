package model_test

import (
	"testing"
	"time"

	"osier/model"
)

func TestHazardOfAnEvent(t *testing.T) {
	for _, c := range []struct {
		event string
		want  model.Hazard
	}{
		{"Severe Thunderstorm Warning", model.HazardThunder},
		{"SCHWERES GEWITTER", model.HazardThunder},
		{"Amtliche WARNUNG vor HITZE", model.HazardHeat},
		{"STARKE WÄRMEBELASTUNG", model.HazardHeat},
		{"thunderstorms with gale-force gusts", model.HazardThunder},
		{"Excessive Heat Warning", model.HazardHeat},
		{"extreme heat", model.HazardHeat},
		{"Ice Storm Warning", model.HazardIce},
		{"Freezing Rain Advisory", model.HazardIce},
		{"black ice", model.HazardIce},
		{"Freeze Warning", model.HazardCold},
		{"severe frost", model.HazardCold},
		{"Wind Chill Advisory", model.HazardCold},
		{"Extreme Cold Warning", model.HazardCold},
		{"Flash Flood Watch", model.HazardFlood},
		{"Storm Surge Warning", model.HazardFlood},
		{"FLOODING", model.HazardFlood},
		{"High Wind Warning", model.HazardWind},
		{"wind gusts", model.HazardWind},
		{"Gale Watch", model.HazardWind},
		{"Tropical Storm Warning", model.HazardWind},
		{"storm-force gusts", model.HazardWind},
		{"Tornado Warning", model.HazardWind},
		{"Winter Storm Warning", model.HazardOther},
		{"snowfall", model.HazardOther},
		{"Dense Fog Advisory", model.HazardOther},
		{"Special Notice of the Service", model.HazardOther}, // no ice in it
		{"", model.HazardOther},
	} {
		if got := model.HazardOf(c.event); got != c.want {
			t.Errorf("%q is %s, want %s", c.event, got, c.want)
		}
	}
}

func TestSeverityInTheWordsOfTheProtocol(t *testing.T) {
	for word, want := range map[string]model.Severity{
		"Extreme": model.Extreme, "severe": model.Severe, "MODERATE": model.Moderate, " Minor ": model.Minor,
		"Unknown": model.UnknownSeverity, "": model.UnknownSeverity, "red": model.UnknownSeverity,
	} {
		if got := model.SeverityOf(word); got != want {
			t.Errorf("%q is %s, want %s", word, got, want)
		}
	}
}

func TestHowLongAnAnswerAboutWarningsStands(t *testing.T) {
	noon := time.Date(2026, 2, 6, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name  string
		asked time.Time
		want  bool
	}{
		{"now", noon, true},
		{"two hours ago", noon.Add(-2 * time.Hour), true},
		{"a second more", noon.Add(-2*time.Hour - time.Second), false},
		{"while our clock ran ahead", noon.Add(10 * time.Minute), true},
		{"while our clock was wrong", noon.Add(24 * time.Hour), false},
		{"never", time.Time{}, false},
	} {
		if got := (model.WarningsAnswer{AskedAt: c.asked}).Stands(noon); got != c.want {
			t.Errorf("asked %s: stands %v, want %v", c.name, got, c.want)
		}
	}
}
