package model_test

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

func TestTheAirIsMovedToTheWatersHeightAndWeighed(t *testing.T) {
	unknown := stationAt("AAAA", 0, 0)
	unknown.ElevationM = model.Maybe[model.Metres]{}
	for _, c := range []struct {
		name     string
		stations []model.Station
		airC     []model.Celsius // of each station
		want     float64
	}{
		{"100 m above at 6.5 K/km", []model.Station{stationAt("AAAA", 10, 100)}, []model.Celsius{4}, 4.65},
		{"100 m below", []model.Station{stationAt("AAAA", 10, -100)}, []model.Celsius{4}, 3.35},
		{"of unknown height: as it is", []model.Station{unknown}, []model.Celsius{4}, 4},
		// Weights 1 and 1/e: (6 + 3/e)/(1 + 1/e).
		{"one here and one 30 km off", []model.Station{stationAt("AAAA", 0, 0), stationAt("BBBB", 30, 0)}, []model.Celsius{6, 3}, (6 + 3*math.Exp(-1)) / (1 + math.Exp(-1))},
		// Weights 1 and 1/e; the second is 150 m up, so it reads 0.975 K too cold.
		{"one here and one 150 m up", []model.Station{stationAt("AAAA", 0, 0), stationAt("BBBB", 0, 150)}, []model.Celsius{6, 3}, (6 + 3.975*math.Exp(-1)) / (1 + math.Exp(-1))},
	} {
		t.Run(c.name, func(t *testing.T) {
			var reports []model.Observation
			for i, s := range c.stations {
				reports = append(reports, reportAt(s.ID, "12:00", airC(c.airC[i]), dewC(c.airC[i]-2)))
			}
			h := hourAt(sources(c.stations, reports...), "12:00")
			if !h.AirC.Known || math.Abs(h.AirC.Value-c.want) > 1e-6 {
				t.Errorf("air %+v, want %.6f C", h.AirC, c.want)
			}
			// The dew point is moved alike, so that the spread stays.
			if !h.DewC.Known || math.Abs(h.DewC.Value-(c.want-2)) > 1e-6 {
				t.Errorf("dew point %+v, want %.6f C", h.DewC, c.want-2)
			}
			if h.AirC.From.Station != "AAAA" {
				t.Errorf("named after %s, want the best station", h.AirC.From.Station)
			}
		})
	}
}

func TestWhichReportCountsForAnHour(t *testing.T) {
	for _, c := range []struct {
		name    string
		reports []model.Observation
		want    float64 // NaN for missing
		kind    model.Kind
		at      string // of the report named
	}{
		{"on the hour", []model.Observation{reportAt("AAAA", "12:00", airC(5))}, 5, model.Observed, "12:00"},
		{"half an hour before", []model.Observation{reportAt("AAAA", "11:30", airC(5))}, 5, model.Observed, "11:30"},
		{"half an hour after", []model.Observation{reportAt("AAAA", "12:30", airC(5))}, 5, model.Observed, "12:30"},
		{"31 minutes before", []model.Observation{reportAt("AAAA", "11:29", airC(5))}, math.NaN(), model.Missing, ""},
		{"31 minutes after", []model.Observation{reportAt("AAAA", "12:31", airC(5))}, math.NaN(), model.Missing, ""},
		{"the nearer of two", []model.Observation{reportAt("AAAA", "11:50", airC(5)), reportAt("AAAA", "12:05", airC(7))}, 7, model.Observed, "12:05"},
		{"the earlier of two as near", []model.Observation{reportAt("AAAA", "11:50", airC(5)), reportAt("AAAA", "12:10", airC(7))}, 5, model.Observed, "11:50"},
		{"the nearest that has the value", []model.Observation{reportAt("AAAA", "11:35", airC(5)), reportAt("AAAA", "11:55", windMps(2))}, 5, model.Observed, "11:35"},
		{"a line between neighbours three hours apart", []model.Observation{reportAt("AAAA", "11:00", airC(3)), reportAt("AAAA", "14:00", airC(6))}, 4, model.Interpolated, "11:00"},
		{"no line over more than three hours", []model.Observation{reportAt("AAAA", "10:59", airC(3)), reportAt("AAAA", "14:00", airC(6))}, math.NaN(), model.Missing, ""},
		{"no line past the last report", []model.Observation{reportAt("AAAA", "10:00", airC(3)), reportAt("AAAA", "11:00", airC(6))}, math.NaN(), model.Missing, ""},
		{"a report without the value in between does not break the line", []model.Observation{reportAt("AAAA", "11:00", airC(3)), reportAt("AAAA", "12:00", windMps(1)), reportAt("AAAA", "13:00", airC(5))}, 4, model.Interpolated, "11:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := hourAt(sources([]model.Station{stationAt("AAAA", 20, 0)}, c.reports...), "12:00").AirC
			if r.Known == math.IsNaN(c.want) || r.Known && math.Abs(r.Value-c.want) > 1e-9 || r.From.Kind != c.kind {
				t.Fatalf("got %+v, want %v, %s", r, c.want, c.kind)
			}
			if c.at != "" && !r.From.At.Value.Equal(clock(c.at)) {
				t.Errorf("said to be from %v, want %s", r.From.At.Value, c.at)
			}
		})
	}
}

func TestWindDirectionAndGustComeFromOneReport(t *testing.T) {
	best, other := stationAt("AAAA", 5, 0), stationAt("BBBB", 20, 0)
	windy := reportAt("BBBB", "12:00", windMps(9), fromDeg(270), gustMps(15))
	missing := func(r model.Reading) bool { return !r.Known && r.From.Kind == model.Missing }
	for _, c := range []struct {
		name       string
		reports    []model.Observation
		wind       float64
		from, gust model.Maybe[float64]
		station    string
		kind       model.Kind
	}{
		{"all of it", []model.Observation{reportAt("AAAA", "12:00", windMps(3), fromDeg(90), gustMps(6)), windy}, 3, model.Known(90.0), model.Known(6.0), "AAAA", model.Observed},
		{"calm: no direction, no gust", []model.Observation{reportAt("AAAA", "12:00", windMps(0)), windy}, 0, model.Maybe[float64]{}, model.Maybe[float64]{}, "AAAA", model.Observed},
		{"variable: no direction of the half hour before", []model.Observation{reportAt("AAAA", "11:35", windMps(4), fromDeg(200), gustMps(9)), reportAt("AAAA", "11:55", windMps(2)), windy}, 2, model.Maybe[float64]{}, model.Maybe[float64]{}, "AAAA", model.Observed},
		{"direction without speed counts for nothing", []model.Observation{reportAt("AAAA", "12:00", fromDeg(90)), windy}, 9, model.Known(270.0), model.Known(15.0), "BBBB", model.Observed},
		{"drawn between reports: speed alone", []model.Observation{reportAt("AAAA", "11:00", windMps(2), fromDeg(90), gustMps(8)), reportAt("AAAA", "13:00", windMps(4), fromDeg(100), gustMps(8))}, 3, model.Maybe[float64]{}, model.Maybe[float64]{}, "AAAA", model.Interpolated},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := hourAt(sources([]model.Station{other, best}, c.reports...), "12:00")
			if h.WindMps.Value != c.wind || h.WindMps.From.Station != c.station || h.WindMps.From.Kind != c.kind {
				t.Errorf("wind %+v, want %v m/s of %s, %s", h.WindMps, c.wind, c.station, c.kind)
			}
			for name, pair := range map[string]struct {
				got  model.Reading
				want model.Maybe[float64]
			}{"direction": {h.WindFromDeg, c.from}, "gust": {h.GustMps, c.gust}} {
				switch {
				case !pair.want.Known && !missing(pair.got):
					t.Errorf("%s %+v, want it missing", name, pair.got)
				case pair.want.Known && (pair.got.Value != pair.want.Value || pair.got.From != h.WindMps.From):
					t.Errorf("%s %+v, want %v from the report of the wind", name, pair.got, pair.want.Value)
				}
			}
		})
	}
}

func TestPressureKindsStayApart(t *testing.T) {
	stations := []model.Station{stationAt("AAAA", 5, 0), stationAt("BBBB", 20, 0)}
	h := hourAt(sources(stations, reportAt("AAAA", "12:00", qnh(1012, true)), reportAt("BBBB", "12:00", seaLevel(1013.4), qnh(1014, false))), "12:00")
	if h.QNHHPa.Value != 1012 || h.QNHHPa.From.Station != "AAAA" || h.SeaLevelHPa.Value != 1013.4 || h.SeaLevelHPa.From.Station != "BBBB" {
		t.Errorf("QNH %+v, sea level %+v; want 1012 of AAAA and 1013.4 of BBBB, neither averaged", h.QNHHPa, h.SeaLevelHPa)
	}
	if r, kind := h.Pressure(); r.Value != 1013.4 || kind != model.SeaLevel {
		t.Errorf("pressure %v, %s; want the one reduced by real temperature", r.Value, kind)
	}
	h = hourAt(sources(stations, reportAt("AAAA", "12:00", qnh(1012, true))), "12:00")
	if r, kind := h.Pressure(); r.Value != 1012 || kind != model.QNH {
		t.Errorf("pressure %v, %s; want the altimeter setting", r.Value, kind)
	}
	if r, kind := (model.WeatherHour{}).Pressure(); r.Known || kind != "" {
		t.Errorf("pressure %+v, %q; want none", r, kind)
	}
}

func TestWholeHectopascalsAreMarked(t *testing.T) {
	for _, c := range []struct {
		name    string
		reports []model.Observation
		want    bool
	}{
		{"whole", []model.Observation{reportAt("AAAA", "12:00", qnh(1012, true))}, true},
		{"finer", []model.Observation{reportAt("AAAA", "12:00", qnh(1012.3, false))}, false},
		{"a nearer report without pressure says nothing of it", []model.Observation{reportAt("AAAA", "11:50", qnh(1012, true)), reportAt("AAAA", "12:00", airC(3))}, true},
		{"drawn between whole ones", []model.Observation{reportAt("AAAA", "11:00", qnh(1012, true)), reportAt("AAAA", "13:00", qnh(1013, true))}, true},
		{"drawn between finer ones", []model.Observation{reportAt("AAAA", "11:00", qnh(1012, false)), reportAt("AAAA", "13:00", qnh(1013, false))}, false},
		{"none", nil, false},
	} {
		if got := hourAt(sources([]model.Station{stationAt("AAAA", 5, 0)}, c.reports...), "12:00").WholeHPa; got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestCloudIsAShareOfTheSky(t *testing.T) {
	for o, want := range map[int]float64{0: 0, 3: 0.375, 8: 1, 9: 1} { // 9: the sky cannot be seen
		if got := hourAt(sources([]model.Station{stationAt("AAAA", 5, 0)}, reportAt("AAAA", "12:00", oktas(o))), "12:00").Cloud; got.Value != want || !got.Known {
			t.Errorf("%d oktas are %+v, want %v", o, got, want)
		}
	}
}

func TestHoursFollowEachOther(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     []string
	}{
		{"10:00", "12:00", []string{"10:00", "11:00", "12:00"}},
		{"10:01", "12:59", []string{"11:00", "12:00"}},
		{"10:30", "10:45", nil},
	} {
		var got []string
		for _, h := range model.WeatherAt(model.Sources{}, clock(c.from).In(time.FixedZone("", 3600)), clock(c.to), clock("12:00")) {
			got = append(got, h.At.Format("15:04"))
			if h.Kind() != model.Missing || h.At.Location() != time.UTC {
				t.Errorf("hour %v of no sources is %s, want it missing, in UTC", h.At, h.Kind())
			}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s to %s (-want +got):\n%s", c.from, c.to, diff)
		}
	}
}

func TestTheKindOfAnHourIsThatOfItsLeastCertainPart(t *testing.T) {
	reading := func(k model.Kind) model.Reading { return model.Reading{From: model.Provenance{Kind: k}} }
	for _, c := range []struct{ air, wind, want model.Kind }{
		{model.Observed, model.Observed, model.Observed},
		{model.Observed, model.Interpolated, model.Interpolated},
		{model.Forecasted, model.Interpolated, model.Forecasted},
		{model.Forecasted, model.Missing, model.Missing},
		{model.Missing, model.Observed, model.Missing},
	} {
		if got := (model.WeatherHour{AirC: reading(c.air), WindMps: reading(c.wind)}).Kind(); got != c.want {
			t.Errorf("air %s and wind %s: %s, want %s", c.air, c.wind, got, c.want)
		}
	}
}
