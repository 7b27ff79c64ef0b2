package timing_test

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/timing"
)

func TestWhatACastSaysAboutWaiting(t *testing.T) {
	for _, row := range []struct {
		name   string
		cast   timing.CastRecord
		want   timing.Wait
		minute float64
	}{
		{"wound in without a bite", timing.CastRecord{SoakMin: 8}, timing.Wait{AfterMin: 8, ByMin: 8}, 8},
		{"line bites alone are no bite", timing.CastRecord{SoakMin: 8, LineBites: 5}, timing.Wait{AfterMin: 8, ByMin: 8}, 8},
		{"a bite by the clock", timing.CastRecord{SoakMin: 3.4, TrueBite: true, BiteMin: 3.4, Timing: timing.Exact}, timing.Wait{Bite: true, AfterMin: 3.4, ByMin: 3.4}, 4},
		{"minute 4 is after 3 and at 4 at latest", timing.CastRecord{SoakMin: 10, TrueBite: true, BiteMin: 4, Timing: timing.WholeMinute}, timing.Wait{Bite: true, AfterMin: 3, ByMin: 4}, 4},
		{"rounding up may pass the wind-in", timing.CastRecord{SoakMin: 3.4, TrueBite: true, BiteMin: 4, Timing: timing.WholeMinute}, timing.Wait{Bite: true, AfterMin: 3, ByMin: 4}, 4},
		{"about 5 is after 3 and at 7 at latest", timing.CastRecord{SoakMin: 10, TrueBite: true, BiteMin: 5, Timing: timing.About}, timing.Wait{Bite: true, AfterMin: 3, ByMin: 7}, 5},
		{"about 5 of a soak of 6", timing.CastRecord{SoakMin: 6, TrueBite: true, BiteMin: 5, Timing: timing.About}, timing.Wait{Bite: true, AfterMin: 3, ByMin: 6}, 5},
		{"about 1", timing.CastRecord{SoakMin: 6, TrueBite: true, BiteMin: 1, Timing: timing.About}, timing.Wait{Bite: true, AfterMin: 0, ByMin: 3}, 2},
		{"a bite that nobody timed", timing.CastRecord{SoakMin: 9, TrueBite: true, Timing: timing.NotTimed}, timing.Wait{Bite: true, AfterMin: 0, ByMin: 9}, 5},
		{"a bite on the drop is of minute 1", timing.CastRecord{TrueBite: true, OnTheDrop: true, Timing: timing.Exact}, timing.Wait{Bite: true, AfterMin: 0, ByMin: 1, OnTheDrop: true}, 1},
		{"a bite at 0 min is of minute 1", timing.CastRecord{SoakMin: 5, TrueBite: true, Timing: timing.Exact}, timing.Wait{Bite: true, AfterMin: 0, ByMin: 1}, 1},
	} {
		row.cast.Session, row.want.Session = "1", "1"
		got, err := row.cast.Wait()
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
			continue
		}
		if diff := cmp.Diff(row.want, got); diff != "" {
			t.Errorf("%s: %s", row.name, diff)
		}
		minutes, bites := timing.WholeMinutes([]timing.Wait{got})
		if minutes[0] != row.minute || bites[0] != row.want.Bite {
			t.Errorf("%s: minute %g, bite %v, want minute %g", row.name, minutes[0], bites[0], row.minute)
		}
	}
}

func TestACastOutOfRangeIsRefusedByName(t *testing.T) {
	for _, row := range []struct {
		cast timing.CastRecord
		says string
	}{
		{timing.CastRecord{SoakMin: 3}, "session"},
		{timing.CastRecord{Session: "1"}, "soak_min"},
		{timing.CastRecord{Session: "1", SoakMin: -1}, "soak_min"},
		{timing.CastRecord{Session: "1", SoakMin: math.NaN()}, "soak_min"},
		{timing.CastRecord{Session: "1", SoakMin: 1e6}, "soak_min"},
		{timing.CastRecord{Session: "1", SoakMin: 3, LineBites: -1}, "line_bites"},
		{timing.CastRecord{Session: "1", SoakMin: 3, OnTheDrop: true}, "on_the_drop"},
		{timing.CastRecord{Session: "1", SoakMin: 3, TrueBite: true, BiteMin: -1, Timing: timing.Exact}, "bite_min"},
		{timing.CastRecord{Session: "1", SoakMin: 3, TrueBite: true, BiteMin: 3.1, Timing: timing.Exact}, "bite_min"},
		{timing.CastRecord{Session: "1", SoakMin: 3, TrueBite: true, BiteMin: 5, Timing: timing.WholeMinute}, "bite_min"},
		{timing.CastRecord{Session: "1", SoakMin: 3, TrueBite: true, BiteMin: 6, Timing: timing.About}, "bite_min"},
		{timing.CastRecord{Session: "1", TrueBite: true, Timing: timing.NotTimed}, "soak_min"},
		{timing.CastRecord{Session: "1", SoakMin: 3, TrueBite: true, BiteMin: 2}, "timing"},
	} {
		if w, err := row.cast.Wait(); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%+v gave %+v, %v; want an error that names %s", row.cast, w, err, row.says)
		}
	}
}

// Whatever is taken, the fit can use.
func TestAnyCastIsRefusedOrUsable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cast := timing.CastRecord{
			Session: "1", SoakMin: rapid.OneOf(rapid.Float64Range(-1, 30), rapid.Float64Range(0, 1e-5)).Draw(t, "soak"), TrueBite: rapid.Bool().Draw(t, "true bite"),
			BiteMin: rapid.Float64Range(-1, 30).Draw(t, "bite"), OnTheDrop: rapid.Bool().Draw(t, "drop"),
			Timing: rapid.SampledFrom([]timing.Precision{timing.Exact, timing.WholeMinute, timing.About, timing.NotTimed, "guess"}).Draw(t, "timing"),
		}
		w, err := cast.Wait()
		if err != nil {
			return
		}
		if _, err := timing.FitHazard([]timing.Wait{w}, timing.UsualHazardPrior(3)); err != nil {
			t.Fatalf("%+v became %+v: %v", cast, w, err)
		}
	})
}
