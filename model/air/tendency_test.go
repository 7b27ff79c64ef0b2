package air_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model/air"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var day = time.Date(2024, 1, 10, 0, 0, 0, 0, time.UTC)

// at is a reading at hh:mm of the day.
func at(clock string, hPa float64) air.Reading {
	t, err := time.Parse("15:04", clock)
	if err != nil {
		panic(err)
	}
	return air.Reading{At: day.Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute), HPa: hPa}
}

// The words are those of the UK Met Office's glossary, the codes those of
// WMO-No. 306 12.2.3.5.3, the base rule is our own.
func TestThreeHourTrend(t *testing.T) {
	for _, c := range []struct {
		name     string
		readings []air.Reading
		change   float64
		word     string
		code     int
		base     string
	}{
		{"hourly", []air.Reading{at("10:50", 1012), at("11:50", 1011.1), at("12:50", 1010), at("13:50", 1008.4)}, -3.6, "falling quickly", 7, "10:50"},
		{"no change", []air.Reading{at("06:00", 1015.2), at("07:00", 1015.4), at("09:00", 1015.2)}, 0, "steady", 4, "06:00"},
		{"under a tenth", []air.Reading{at("06:00", 1015.21), at("09:00", 1015.25)}, 0, "steady", 4, "06:00"},
		{"a tenth", []air.Reading{at("06:00", 1015.2), at("09:00", 1015.3)}, 0.1, "rising slowly", 2, "06:00"},
		{"1.5", []air.Reading{at("06:00", 1015), at("09:00", 1013.5)}, -1.5, "falling slowly", 7, "06:00"},
		{"1.6", []air.Reading{at("06:00", 1015), at("09:00", 1013.4)}, -1.6, "falling", 7, "06:00"},
		{"3.5", []air.Reading{at("06:00", 1010), at("09:00", 1013.5)}, 3.5, "rising", 2, "06:00"},
		{"3.6", []air.Reading{at("06:00", 1010), at("09:00", 1013.6)}, 3.6, "rising quickly", 2, "06:00"},
		{"6.0", []air.Reading{at("06:00", 1010), at("09:00", 1004)}, -6, "falling quickly", 7, "06:00"},
		{"6.1", []air.Reading{at("06:00", 1010), at("09:00", 1003.9)}, -6.1, "falling very rapidly", 7, "06:00"},
		{"interpolated", []air.Reading{at("05:20", 1008), at("06:40", 1008.8), at("09:00", 1010.6)}, 2.2, "rising", 2, "06:00"},
		{"neighbours two hours apart", []air.Reading{at("05:00", 1010), at("07:00", 1008), at("09:00", 1007)}, -2, "falling", 7, "06:00"},
		{"only a late base", []air.Reading{at("06:20", 1008), at("07:20", 1007), at("09:00", 1005)}, -3.4, "falling", 7, "06:20"},
		{"only an early base", []air.Reading{at("05:40", 1008), at("09:00", 1005)}, -2.7, "falling", 7, "05:40"},
		{"the nearer of two too far apart to join", []air.Reading{at("05:35", 1008), at("07:40", 1000), at("09:00", 1005)}, -2.6, "falling", 7, "05:35"},
		{"in any order", []air.Reading{at("09:00", 1013.5), at("06:00", 1015), at("07:30", 1014)}, -1.5, "falling slowly", 7, "06:00"},
	} {
		got := air.ThreeHourTrend(c.readings, false)
		got.Note = ""
		want := air.Trend{Known: true, ChangeHPa: c.change, Word: c.word, Code: c.code, Newest: newest(c.readings), Base: at(c.base, 0).At}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

func TestThreeHourTrendIsUnknownWithoutABase(t *testing.T) {
	for _, c := range []struct {
		name     string
		readings []air.Reading
	}{
		{"nothing", nil},
		{"one reading", []air.Reading{at("09:00", 1000)}},
		{"one hour only", []air.Reading{at("08:00", 1002), at("08:30", 1001), at("09:00", 1000)}},
		{"a gap of five hours", []air.Reading{at("04:00", 1008), at("09:00", 1003)}},
		{"base 31 min late", []air.Reading{at("06:31", 1008), at("09:00", 1003)}},
		{"neighbours 121 min apart, both 31 min or more away", []air.Reading{at("05:29", 1008), at("07:30", 1006), at("09:00", 1003)}},
		{"the only base is impossible", []air.Reading{at("06:00", 101.3), at("09:00", 1003)}},
	} {
		got := air.ThreeHourTrend(c.readings, false)
		if got.Known || got.Word != "unknown" || got.Code != -1 || got.ChangeHPa != 0 || !got.Base.IsZero() || got.Note == "" {
			t.Errorf("%s: got %+v; want unknown with a reason", c.name, got)
		}
		if want := newest(c.readings); !got.Newest.Equal(want) {
			t.Errorf("%s: newest %v, want %v", c.name, got.Newest, want)
		}
	}
}

func TestWholeHectopascalsMakeSteadyMeanUnderOne(t *testing.T) {
	for _, c := range []struct {
		name     string
		readings []air.Reading
		change   float64
		word     string
		code     int
	}{
		{"half a hectopascal by interpolation", []air.Reading{at("05:50", 1001), at("06:10", 1000), at("09:00", 1000)}, -0.5, "steady", 4},
		{"one", []air.Reading{at("06:00", 1001), at("09:00", 1000)}, -1, "falling slowly", 7},
		{"two", []air.Reading{at("06:50", 1001), at("09:20", 999), at("09:50", 999)}, -2, "falling", 7},
	} {
		got := air.ThreeHourTrend(c.readings, true)
		if got.ChangeHPa != c.change || got.Word != c.word || got.Code != c.code || !got.WholeHPa {
			t.Errorf("%s: got %+v; want %v, %s, %d", c.name, got, c.change, c.word, c.code)
		}
		if !strings.Contains(got.Note, "under 1 hPa") {
			t.Errorf("%s: note %q does not say what steady means", c.name, got.Note)
		}
	}
}

func TestNoteSaysHowTheBaseWasFound(t *testing.T) {
	for _, c := range []struct {
		readings []air.Reading
		want     string
	}{
		{[]air.Reading{at("06:00", 1008), at("09:00", 1005)}, ""},
		{[]air.Reading{at("05:20", 1008), at("06:40", 1008.8), at("09:00", 1010.6)}, "base interpolated between readings 80 min apart"},
		{[]air.Reading{at("06:20", 1008), at("09:00", 1005)}, "measured over 160 min and scaled to 180"},
	} {
		if got := air.ThreeHourTrend(c.readings, false).Note; got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestTrendGoesStaleAfterNinetyMinutes(t *testing.T) {
	trend := air.ThreeHourTrend([]air.Reading{at("06:00", 1015), at("09:00", 1013.5)}, false)
	for _, c := range []struct {
		now  string
		want bool
	}{{"09:10", false}, {"10:30", false}, {"10:31", true}, {"20:00", true}} {
		if got := trend.Stale(at(c.now, 0).At); got != c.want {
			t.Errorf("at %s: got %v, want %v", c.now, got, c.want)
		}
	}
	if !(air.Trend{}).Stale(day) {
		t.Error("a trend without readings is not stale; want it stale")
	}
}

func TestChangeOver(t *testing.T) {
	readings := []air.Reading{at("00:00", 1020), at("06:00", 1015), at("09:00", 1013.5), {At: day.Add(24 * time.Hour), HPa: 1002.3}}
	for _, c := range []struct {
		name string
		span time.Duration
		want float64
		ok   bool
	}{
		{"a day", 24 * time.Hour, -17.7, true},
		{"eighteen hours", 18 * time.Hour, -12.7, true},
		{"no base", 10 * time.Hour, 0, false},
		{"too short", 30 * time.Minute, 0, false},
		{"backwards", -3 * time.Hour, 0, false},
	} {
		if got, ok := air.ChangeOver(readings, c.span); got != c.want || ok != c.ok {
			t.Errorf("%s: got %v, %v; want %v, %v", c.name, got, ok, c.want, c.ok)
		}
	}
	if got, ok := air.ChangeOver(nil, 24*time.Hour); ok || got != 0 {
		t.Errorf("no readings: got %v, %v", got, ok)
	}
}

func TestScreenReadings(t *testing.T) {
	for _, c := range []struct {
		name                string
		readings            []air.Reading
		wantDropped, remain []air.Reading
	}{
		{
			"nothing wrong",
			[]air.Reading{at("08:00", 1000), at("07:00", 1001)},
			nil,
			[]air.Reading{at("07:00", 1001), at("08:00", 1000)},
		},
		{
			"impossible values",
			[]air.Reading{at("06:00", 869.9), at("07:00", 870), at("08:00", 1085.1), at("09:00", math.Inf(1))},
			[]air.Reading{at("06:00", 869.9), at("08:00", 1085.1), at("09:00", math.Inf(1))},
			[]air.Reading{at("07:00", 870)},
		},
		{
			"a jump that jumps back",
			[]air.Reading{at("06:00", 1000), at("07:00", 1008), at("08:00", 1000.5)},
			[]air.Reading{at("07:00", 1008)},
			[]air.Reading{at("06:00", 1000), at("08:00", 1000.5)},
		},
		{
			"two spikes in turn do not take the good reading between",
			[]air.Reading{at("06:00", 1000), at("07:00", 1010), at("08:00", 1000), at("09:00", 1010), at("10:00", 1000)},
			[]air.Reading{at("07:00", 1010), at("09:00", 1010)},
			[]air.Reading{at("06:00", 1000), at("08:00", 1000), at("10:00", 1000)},
		},
		{
			"a jump that stays",
			[]air.Reading{at("06:00", 1000), at("07:00", 1008), at("08:00", 1008)},
			nil,
			[]air.Reading{at("06:00", 1000), at("07:00", 1008), at("08:00", 1008)},
		},
		{
			"just five hectopascals",
			[]air.Reading{at("06:00", 1000), at("07:00", 1005), at("08:00", 1000)},
			nil,
			[]air.Reading{at("06:00", 1000), at("07:00", 1005), at("08:00", 1000)},
		},
		{
			"a deep low seen every three hours",
			[]air.Reading{at("03:00", 990), at("06:00", 980), at("09:00", 990)},
			nil,
			[]air.Reading{at("03:00", 990), at("06:00", 980), at("09:00", 990)},
		},
		{
			"a correction replaces what it corrects",
			[]air.Reading{at("06:00", 1000), at("06:00", 1001)},
			[]air.Reading{at("06:00", 1000)},
			[]air.Reading{at("06:00", 1001)},
		},
	} {
		given := slices.Clone(c.readings)
		kept, dropped := air.ScreenReadings(c.readings)
		if diff := cmp.Diff(c.remain, kept); diff != "" {
			t.Errorf("%s, kept (-want +got):\n%s", c.name, diff)
		}
		if diff := cmp.Diff(c.wantDropped, dropped); diff != "" {
			t.Errorf("%s, dropped (-want +got):\n%s", c.name, diff)
		}
		if diff := cmp.Diff(given, c.readings); diff != "" {
			t.Errorf("%s: the input was changed:\n%s", c.name, diff)
		}
	}
}

func TestSeaLevelPressureFitsQNH(t *testing.T) {
	for _, c := range []struct {
		slpHPa, qnhHPa, heightM float64
		want                    bool
	}{
		{1013, 1003, 100, true},
		{1013, 1002.9, 100, false},
		{1000, 1020, 799, false},
		{1000, 1020, 800, true},
		{1000, 1020.1, 2000, false},
		{math.NaN(), 1000, 100, false},
		{1000, math.NaN(), 100, false},
		{1000, 1000, math.NaN(), false},
	} {
		if got := air.SeaLevelPressureFitsQNH(c.slpHPa, c.qnhHPa, c.heightM); got != c.want {
			t.Errorf("SLP %v, QNH %v at %v m: got %v, want %v", c.slpHPa, c.qnhHPa, c.heightM, got, c.want)
		}
	}
}

func TestTrendDoesNotDependOnOrderLevelOrDirection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings := rapid.SliceOfNDistinct(rapid.Custom(func(t *rapid.T) air.Reading {
			return air.Reading{
				At:  day.Add(time.Duration(rapid.IntRange(0, 360).Draw(t, "minute")) * time.Minute),
				HPa: float64(rapid.IntRange(960_0, 1030_0).Draw(t, "tenths")) / 10,
			}
		}), 1, 12, func(r air.Reading) time.Time { return r.At }).Draw(t, "readings")
		trend := air.ThreeHourTrend(readings, false)

		if shuffled := air.ThreeHourTrend(rapid.Permutation(readings).Draw(t, "shuffled"), false); shuffled != trend {
			t.Fatalf("order matters: %+v, then %+v", trend, shuffled)
		}
		mirrored := slices.Clone(readings)
		for i := range mirrored {
			mirrored[i].HPa = 1990 - mirrored[i].HPa
		}
		if down := air.ThreeHourTrend(mirrored, false); down.ChangeHPa != -trend.ChangeHPa || down.Known != trend.Known {
			t.Fatalf("upside down: %+v, then %+v", trend, down)
		}
		if trend.Known && (math.IsNaN(trend.ChangeHPa) || math.Abs(trend.ChangeHPa) > 70*180.0/150+0.05) {
			t.Fatalf("a change larger than the readings allow: %+v", trend)
		}
		if (trend.Word == "steady") != (trend.Known && trend.ChangeHPa == 0) {
			t.Fatalf("steady without being level: %+v", trend)
		}
	})
}

func newest(readings []air.Reading) time.Time {
	var t time.Time
	for _, r := range readings {
		if r.At.After(t) {
			t = r.At
		}
	}
	return t
}
