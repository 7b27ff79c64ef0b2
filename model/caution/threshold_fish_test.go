package caution_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/caution"
)

// upTo sets the upper end of the water's interval.
func upTo(c float64) func(*model.ConditionHour) {
	return func(h *model.ConditionHour) {
		h.WaterC = model.WaterEstimate{Value: c - 1, Low: c - 2, High: c, Kind: model.Modelled}
	}
}

func keepnet(in caution.Input) caution.Input {
	in.Keepnet = true
	return in
}

// night sets the wind of the dark hours into the day of the outing, and days
// before it.
func night(daysBefore int, mps float64, in caution.Input) caution.Input {
	return each(in, -14-24*daysBefore, 1-24*daysBefore, windAndGust(mps, mps+1))
}

// spell is five days of that weather before midsummer's outing.
func spell(month time.Month, day int, c, mps float64) caution.Input {
	in := onDay(month, day)
	in = each(in, -195, 4, airC(c))
	return each(in, -195, 4, windAndGust(mps, mps+1))
}

func dry(in caution.Input) caution.Input { return each(in, -195, 9, rain(0)) }

// Figures are those of the cautions pack, section 3, tested on the upper end of
// the water's interval; cold air on the air itself.
func TestThresholdsForFish(t *testing.T) {
	fresh := func() caution.Input { return each(onDay(7, 9), -195, 9, upTo(19)) }
	invasive := quiet()
	invasive.LastElsewhere, invasive.LastElsewhereWater = model.Known(from.Add(-5*24*time.Hour)), "drovelow-mere"
	elsewhere := func(ago time.Duration) caution.Input {
		in := quiet()
		in.LastElsewhere, in.LastElsewhereWater = model.Known(from.Add(-ago)), "drovelow-mere"
		return in
	}
	alert := func(water string) caution.Input {
		in := elsewhere(48 * time.Hour)
		in.Reports = []model.Report{{Kind: model.SawInvasive, Water: water, At: now.Add(-time.Hour)}}
		return in
	}
	checkThresholds(t, []thresholdCase{
		{"up to 20.9", "fish_heat", each(quiet(), 0, 4, upTo(20.9)), nil},
		{"up to 21", "fish_heat", each(quiet(), 0, 4, upTo(21)), []string{"note " + allMorning}},
		{"up to 23.9", "fish_heat", each(quiet(), 0, 4, upTo(23.9)), []string{"note " + allMorning}},
		{"up to 24", "fish_heat", each(quiet(), 0, 4, upTo(24)), []string{"care " + allMorning}},

		{"air 2.1", "fish_cold", each(quiet(), 0, 4, airC(2.1)), nil},
		{"air 2", "fish_cold", each(quiet(), 0, 4, airC(2)), []string{"note " + allMorning}},
		{"air 0.1", "fish_cold", each(quiet(), 0, 4, airC(0.1)), []string{"note " + allMorning}},
		{"air 0", "fish_cold", each(quiet(), 0, 4, airC(0)), []string{"care " + allMorning}},

		{"none meant", "keepnet", each(quiet(), 0, 4, upTo(22)), nil},
		{"rule", "keepnet", keepnet(each(quiet(), 0, 4, upTo(19.9))), []string{"note " + allMorning}},
		{"up to 21.9", "keepnet", keepnet(night(0, 3, each(quiet(), 0, 4, upTo(21.9)))), []string{"note " + allMorning}},
		{"up to 22", "keepnet", keepnet(each(quiet(), 0, 4, upTo(22))), []string{"care " + allMorning}},

		{"air 18.1, wind 2.9", "algae", spell(6, 9, 18.1, 2.9), []string{"note " + allMorning}},
		{"air 18", "algae", spell(6, 9, 18, 2.9), nil},
		{"wind 3", "algae", spell(6, 9, 18.1, 3), nil},
		{"November", "algae", spell(11, 1, 18.1, 2.9), []string{"note 06:00-10:00"}},
		{"May", "algae", spell(5, 31, 18.1, 2.9), nil},
		{"December", "algae", spell(12, 1, 18.1, 2.9), nil},

		{"20 C, two calm nights", "low_oxygen", night(1, 1.9, night(0, 1.9, each(fresh(), 0, 4, upTo(20)))), []string{"note " + allMorning}},
		{"19.9 C, two calm nights", "low_oxygen", night(1, 1.9, night(0, 1.9, each(fresh(), 0, 4, upTo(19.9)))), nil},
		{"20 C, one calm night", "low_oxygen", night(1, 2, night(0, 1.9, each(fresh(), 0, 4, upTo(20)))), nil},
		{"22 C, a calm night", "low_oxygen", night(1, 2, night(0, 1.9, each(fresh(), 0, 4, upTo(22)))), []string{"care " + allMorning}},
		{"21.9 C, a calm night", "low_oxygen", night(1, 2, night(0, 1.9, each(fresh(), 0, 4, upTo(21.9)))), nil},
		{"22 C, wind 2", "low_oxygen", night(1, 2, night(0, 2, each(fresh(), 0, 4, upTo(22)))), nil},
		{"thunder after a dry spell", "low_oxygen", each(dry(quiet()), -10, -9, symbol), []string{"care " + allMorning}},
		{"thunder a day and more ago", "low_oxygen", each(dry(quiet()), -24, -23, symbol), nil},
		{"thunder, 1.9 mm in the week", "low_oxygen", each(each(dry(quiet()), -10, -9, symbol), -60, -59, rain(1.9)), []string{"care " + allMorning}},
		{"thunder, 2 mm in the week", "low_oxygen", each(each(dry(quiet()), -10, -9, symbol), -60, -59, rain(2)), nil},

		{"14 days ago", "biosecurity", elsewhere(14 * 24 * time.Hour), nil},
		{"just under 14 days ago", "biosecurity", elsewhere(14*24*time.Hour - time.Minute), []string{"note " + allMorning}},
		{"alert there", "biosecurity", alert("drovelow-mere"), []string{"care " + allMorning}},
		{"alert here", "biosecurity", alert("quillmarsh-pit"), []string{"care " + allMorning}},
		{"alert at a third water", "biosecurity", alert("third"), []string{"note " + allMorning}},
	})
}

// The estimate falls through 6 and 4 mg/L as the evening before grows warmer.
func TestDawnEstimate(t *testing.T) {
	at := func(duskC float64) []model.Caution {
		in := each(onDay(10, 9), -195, 9, upTo(19)) // a night long enough for both
		return of(caution.Check(each(in, -14, -12, upTo(duskC))), "low_oxygen")
	}
	below := map[float64]int{}
	for _, c := range []float64{6, 4} {
		for duskC := 20.0; duskC <= 40; duskC += 0.05 {
			got := at(duskC)
			if len(got) > 0 && got[0].Inputs["dawn_oxygen_mg_l"] < c {
				if got[0].Level != model.Care {
					t.Fatalf("%v C: %+v", duskC, got)
				}
				if asks := strings.Contains(got[0].Text, "Ask an officer to take a reading."); asks != (c == 4) {
					t.Errorf("%.2f C, %.2f mg/L: %s", duskC, got[0].Inputs["dawn_oxygen_mg_l"], got[0].Text)
				}
				below[c]++
				break
			}
			if c == 4 && len(got) > 0 && strings.Contains(got[0].Text, "Ask an officer") {
				t.Errorf("%.2f C asks at %v mg/L", duskC, got[0].Inputs)
			}
		}
	}
	if below[6] != 1 || below[4] != 1 {
		t.Errorf("evenings warm enough for under 6 and under 4 mg/L: %v", below)
	}
	if got := at(20); len(got) != 0 {
		t.Errorf("20 C: %+v", got)
	}
}

func TestOnlyOfficersAreAdvisedToClose(t *testing.T) {
	meter := func(pct float64, ago time.Duration) caution.Input {
		in := quiet()
		in.Meter = []model.MeterReading{{Water: in.Water.ID, At: from.Add(-ago), OxygenPct: model.Known(pct), Instrument: true}}
		return in
	}
	inMgL := meter(50, 3*time.Hour)
	inMgL.Meter[0].OxygenPct = model.Maybe[float64]{}
	inMgL.Meter[0].OxygenMgL, inMgL.Meter[0].WaterC = model.Known(3.6), model.Known[model.Celsius](20) // 9.1 is all it holds
	enoughMgL := inMgL
	enoughMgL.Meter = []model.MeterReading{inMgL.Meter[0]}
	enoughMgL.Meter[0].OxygenMgL = model.Known(3.7)
	gasping := quiet()
	gasping.Reports = []model.Report{report(model.SawDistress, now.Add(-time.Hour))}
	for _, c := range []struct {
		name    string
		id      string
		in      caution.Input
		level   model.CautionLevel
		advised bool
	}{
		{"27 C for two days", "fish_heat", each(quiet(), -48, 4, upTo(27)), model.Care, true},
		{"26.9 C in one of the hours", "fish_heat", each(each(quiet(), -48, 4, upTo(27)), -20, -19, upTo(26.9)), model.Care, false},
		{"27 C for a day", "fish_heat", each(quiet(), -24, 4, upTo(27)), model.Care, false},
		{"a meter at 39.9 %", "low_oxygen", meter(39.9, 3*time.Hour), model.Care, true},
		{"a meter at 40 %", "low_oxygen", meter(40, 3*time.Hour), "", false},
		{"a meter at 39.9 % a day ago", "low_oxygen", meter(39.9, 24*time.Hour), "", false},
		{"3.6 mg/L at 20 C", "low_oxygen", inMgL, model.Care, true},
		{"3.7 mg/L at 20 C", "low_oxygen", enoughMgL, "", false},
		{"fish in distress", "low_oxygen", gasping, model.Care, true},
	} {
		for _, officer := range []bool{false, true} {
			c.in.Officer = officer
			var level model.CautionLevel
			advised := false
			for _, got := range of(caution.Check(c.in), c.id) {
				level, advised = got.Level, got.AdviseClosure
				break
			}
			if level != c.level || advised != (c.advised && officer) {
				t.Errorf("%s, officer %v: %q, advised %v", c.name, officer, level, advised)
			}
		}
	}
}

func TestLowOxygenSaysThatItIsAGuess(t *testing.T) {
	in := night(0, 1, each(each(onDay(7, 9), -195, 9, upTo(19)), 0, 4, upTo(22)))
	want := "Oxygen may be low at first light: water up to 22 C and a night with hardly any wind. Avoid the dawn hours, feed little, skip the keepnet; report gasping fish. No meter reading; based on weather."
	if got := of(caution.Check(in), "low_oxygen"); len(got) != 1 || got[0].Text != want {
		t.Errorf("got %+v", got)
	}
	in.Meter = []model.MeterReading{{Water: in.Water.ID, At: in.Now, OxygenPct: model.Known(90.0), Instrument: true}}
	got := of(caution.Check(in), "low_oxygen")
	if len(got) != 1 || got[0].Level != model.Care || !strings.HasSuffix(got[0].Text, " A meter read 90 % of saturation on 9 July, 05:00; this is based on weather.") {
		t.Errorf("a good reading is told and clears nothing: %+v", got)
	}
}

func TestOverfeeding(t *testing.T) {
	w := quiet().Water
	limited := w
	limited.FeedLimitDryG = model.Known[model.Grams](800)
	low := []model.Caution{{ID: "low_oxygen", Level: model.Care}}
	noted := []model.Caution{{ID: "wind", Level: model.Note}, {ID: "low_oxygen", Level: model.Note}}
	for _, c := range []struct {
		name  string
		found []model.Caution
		w     model.Water
		dryG  float64
		want  model.CautionLevel
	}{
		{"1500 g", nil, w, 1500, ""},
		{"1500.1 g", nil, w, 1500.1, model.Note},
		{"the water's 800 g", nil, limited, 800, ""},
		{"over the water's 800 g", nil, limited, 801, model.Note},
		{"a little, oxygen low", low, w, 100, model.Care},
		{"nothing, oxygen low", low, w, 0, ""},
		{"a little, oxygen noted", noted, w, 100, ""},
	} {
		var got model.CautionLevel
		for _, x := range of(caution.Overfeeding(c.found, c.w, from, until, c.dryG), "overfeeding") {
			got = x.Level
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	got := caution.Overfeeding([]model.Caution{{ID: "low_oxygen", Level: model.Care}, {ID: "wind", Level: model.Note}}, w, from, until, 100)
	if len(got) != 3 || got[1].ID != "overfeeding" {
		t.Errorf("out of order: %+v", got)
	}
}

// A dull day after sunny ones makes low oxygen likelier: it is told where
// something else raised it, and raises nothing itself.
func TestADullDayAfterSunnyOnes(t *testing.T) {
	const told = "A dull day after sunny ones makes it likelier."
	cloud := func(share float64) func(*model.ConditionHour) {
		return func(h *model.ConditionHour) { h.CloudFraction = model.Known(share) }
	}
	sky := func(in caution.Input, sunny, dull float64) caution.Input {
		return each(each(in, -195, -31, cloud(sunny)), -31, -7, cloud(dull)) // local midnight lies 7 h before the outing
	}
	fresh := func() caution.Input { return each(onDay(7, 9), -195, 9, upTo(19)) }
	low := func() caution.Input { return night(0, 1.9, each(fresh(), 0, 4, upTo(22))) }
	for _, c := range []struct {
		name         string
		in           caution.Input
		raised, told bool
	}{
		{"dull after sun", sky(low(), 0.4, 0.75), true, true},
		{"not dull enough", sky(low(), 0.4, 0.74), true, false},
		{"not sunny before", sky(low(), 0.41, 0.75), true, false},
		{"cloud not known", sky(low(), math.NaN(), 0.75), true, false},
		{"nothing else raises it", sky(fresh(), 0.4, 0.75), false, false},
	} {
		raised, said := false, false
		for _, found := range caution.Check(c.in) {
			if found.ID == "low_oxygen" && found.Level == model.Care {
				raised, said = true, strings.Contains(found.Text, told)
			}
		}
		if raised != c.raised || said != c.told {
			t.Errorf("%s: raised %v and told %v, want %v and %v", c.name, raised, said, c.raised, c.told)
		}
	}
}
