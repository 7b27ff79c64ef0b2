package caution_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/caution"
)

// allDay is quiet, moved to another day of the year and its morning.
func onDay(month time.Month, day int) caution.Input {
	in := quiet()
	shift := time.Date(2025, month, day, 6, 0, 0, 0, time.UTC).Sub(from)
	in.From, in.Until, in.Now = in.From.Add(shift), in.Until.Add(shift), in.Now.Add(shift)
	for i := range in.Hours {
		in.Hours[i].At = in.Hours[i].At.Add(shift)
	}
	return in
}

type thresholdCase struct {
	name string
	id   string
	in   caution.Input
	want []string
}

func checkThresholds(t *testing.T, cases []thresholdCase) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.id+"/"+c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, levels(of(caution.Check(c.in), c.id))); diff != "" {
				t.Errorf("%s (-want +got):\n%s", c.id, diff)
			}
		})
	}
}

func on(bank model.Bank, in caution.Input) caution.Input {
	in.Water.Bank = bank
	return in
}

func platform(heightM float64, in caution.Input) caution.Input {
	in.Peg.PlatformHeightM = model.Known(model.Metres(heightM))
	return on("platform", in)
}

// unmeasured is a peg on grass that may or may not be a platform.
func unmeasured() caution.Input {
	in := quiet()
	in.Peg.PlatformHeightM = model.Maybe[model.Metres]{}
	return in
}

func onshore(mean, gust, fromDeg float64) func(*model.ConditionHour) {
	return func(h *model.ConditionHour) {
		windAndGust(mean, gust)(h)
		h.WindFromDeg = model.Known(model.Degrees(fromDeg))
	}
}

func cloud(share float64) func(*model.ConditionHour) {
	return func(h *model.ConditionHour) { h.CloudFraction = model.Known(share) }
}

// Figures are those of the cautions pack, section 2; the peg faces south.
func TestThresholdsForPeople(t *testing.T) {
	midday := func(month time.Month, day, hour, hours int) caution.Input {
		in := onDay(month, day)
		in.From = in.From.Add(time.Duration(hour-7) * time.Hour) // 06:00 UTC is 07:00 in London
		in.Until = in.From.Add(time.Duration(hours) * time.Hour)
		for i := range in.Hours {
			cloud(0.25)(&in.Hours[i])
		}
		return in
	}
	checkThresholds(t, []thresholdCase{
		{"down to 15", "cold_water", each(quiet(), 0, 4, water(15, 16)), nil},
		{"down to 14.9", "cold_water", each(quiet(), 0, 4, water(14.9, 16)), []string{"note " + allMorning}},
		{"down to 8", "cold_water", each(quiet(), 0, 4, water(8, 9)), []string{"note " + allMorning}},
		{"down to 7.9", "cold_water", each(quiet(), 0, 4, water(7.9, 9)), []string{"care " + allMorning}},

		{"4.9 mm", "slippery_bank", each(quiet(), -3, -2, rain(4.9)), nil},
		{"5 mm", "slippery_bank", each(quiet(), -3, -2, rain(5)), []string{"note " + allMorning}},
		{"5 mm a day and more ago", "slippery_bank", each(quiet(), -24, -23, rain(5)), nil},
		{"19.9 mm on earth", "slippery_bank", on("earth", each(quiet(), -3, -2, rain(19.9))), []string{"note " + allMorning}},
		{"20 mm on earth", "slippery_bank", on("earth", each(quiet(), -3, -2, rain(20))), []string{"care " + allMorning}},
		{"20 mm on grass", "slippery_bank", each(quiet(), -3, -2, rain(20)), []string{"note " + allMorning}},
		{"0 C overnight", "slippery_bank", each(quiet(), -4, -3, airC(0)), nil},
		{"-0.1 C overnight", "slippery_bank", each(quiet(), -4, -3, airC(-0.1)), []string{"note " + allMorning}},
		{"0 C on a platform", "slippery_bank", platform(1, each(quiet(), -4, -3, airC(0))), nil},
		{"-0.1 C on a platform", "slippery_bank", platform(1, each(quiet(), -4, -3, airC(-0.1))), []string{"care " + allMorning}},

		{"7.9 m/s onshore", "waves", each(quiet(), 0, 4, onshore(7.9, 9, 180)), nil},
		{"8 m/s onshore", "waves", each(quiet(), 0, 4, onshore(8, 9, 180)), []string{"note " + allMorning}},
		{"8 m/s, 89 degrees off", "waves", each(quiet(), 0, 4, onshore(8, 9, 269)), []string{"note " + allMorning}},
		{"8 m/s along the bank", "waves", each(quiet(), 0, 4, onshore(8, 9, 270)), nil},
		{"10.9 m/s, low platform", "waves", platform(0.3, each(quiet(), 0, 4, onshore(10.9, 12, 180))), []string{"note " + allMorning}},
		{"11 m/s, low platform", "waves", platform(0.3, each(quiet(), 0, 4, onshore(11, 12, 180))), []string{"care " + allMorning}},
		{"11 m/s, high platform", "waves", platform(0.4, each(quiet(), 0, 4, onshore(11, 12, 180))), []string{"note " + allMorning}},
		{"10.9 m/s, of no known height on grass", "waves", each(unmeasured(), 0, 4, onshore(10.9, 12, 180)), []string{"note " + allMorning}},
		{"11 m/s, of no known height on grass", "waves", each(unmeasured(), 0, 4, onshore(11, 12, 180)), []string{"not checked " + allMorning, "note " + allMorning}},
		{"gust 20.9 onshore", "waves", each(quiet(), 0, 4, onshore(8, 20.9, 180)), []string{"note " + allMorning}},
		{"gust 21 onshore", "waves", each(quiet(), 0, 4, onshore(8, 21, 180)), []string{"stop " + allMorning}},

		{"clear midday in May", "sun_glare_uv", midday(5, 1, 10, 6), []string{"note 11:00-15:00"}},
		{"clear midday in April", "sun_glare_uv", midday(4, 30, 10, 6), nil},
		{"clear midday in August", "sun_glare_uv", midday(8, 31, 10, 6), []string{"note 11:00-15:00"}},
		{"clear midday in September", "sun_glare_uv", midday(9, 1, 10, 6), nil},
		{"cloud 26 %", "sun_glare_uv", each(midday(6, 1, 10, 6), 0, 6, cloud(0.26)), nil},
	})
}

// The check values of the cautions pack above the note's step; the rest are in
// TestColdExposureKnowsKilometresFromMetres.
func TestMildWindChillRaisesNothing(t *testing.T) {
	if got := of(caution.Check(each(quiet(), 0, 5, airAndWind(5, 20/3.6))), "cold_exposure"); len(got) != 0 {
		t.Errorf("5 C in 20 km/h feels like 1.1 C, yet: %+v", got)
	}
}

func TestAloneInAFlood(t *testing.T) {
	in := quiet()
	in.Alone = true
	in.Warnings = []model.OfficialWarning{{Hazard: model.HazardFlood, Severity: model.Minor, Sender: "Agency", Headline: "High water", From: from, Until: model.Known(from.Add(time.Hour))}}
	if diff := cmp.Diff([]string{"care 07:00-08:00", "note 08:00-11:00"}, levels(of(caution.Check(in), "alone"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
