package jobs_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"osier/model"
)

const (
	isdList    = "www.ncei.noaa.gov/pub/data/noaa/isd-history.csv"
	isdYear    = "www.ncei.noaa.gov/pub/data/noaa/2"
	ghcnhList  = "www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/doc/"
	ghcnhYear  = "www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/access/"
	ghcnhNamed = ghcnhYear + "by-year/2026/psv/GHCNh_XXM00010001_2026.psv"
)

// isdStations lists one station near the water until the archive's end.
var isdStations = reply{200, "text/csv", `"USAF","WBAN","STATION NAME","CTRY","STATE","ICAO","LAT","LON","ELEV(M)","BEGIN","END"
"010010","99999","REED FIELD","XX","","","+52.300","-000.900","+0080.0","19310101","20250824"
`}

// ghcnhStations lists stations near the water and far from it.
var ghcnhStations = reply{200, "text/csv", `GHCN_ID,LATITUDE,LONGITUDE,ELEVATION,STATE,NAME,GSN,(US)HCN_(US)CRN,WMO_ID,ICAO,ISO_CODE
XXM00010001,52.30,-0.90,80.0,,REED FIELD,,,10001,,XX
XXM00010002,12.30,-0.90,80.0,,FAR OFF,,,10002,,XX
`}

// ghcnhTable is the year of the near station: 6 C in every hour of January up to
// a day.
func ghcnhTable(untilDay int, airC string) reply {
	elements := []string{
		"temperature", "dew_point_temperature", "station_level_pressure", "sea_level_pressure",
		"wind_direction", "wind_speed", "wind_gust", "precipitation", "altimeter", "remarks",
	}
	var b strings.Builder
	b.WriteString("STATION|Station_name|DATE|LATITUDE|LONGITUDE|ELEVATION")
	for _, e := range elements {
		b.WriteString("|" + e)
		for _, code := range []string{"Measurement_Code", "Quality_Code", "Report_Type", "Source_Code", "Source_Station_ID"} {
			b.WriteString("|" + e + "_" + code)
		}
	}
	for at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC); at.Day() < untilDay; at = at.Add(time.Hour) {
		fmt.Fprintf(&b, "\nXXM00010001|REED FIELD|%s|52.3000|-0.9000|80.0", at.Format("2006-01-02T15:04:05"))
		for _, e := range elements {
			value := map[string]string{"temperature": airC, "wind_speed": "3.0"}[e]
			b.WriteString("|" + value + "||1|FM15|343|")
		}
	}
	return reply{200, "text/plain", b.String() + "\n"}
}

// january is what the reanalysis says of a month: 9 C and 5 m/s in each hour.
func january() reply {
	var times, airs, winds []string
	for at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC); at.Month() == time.January; at = at.Add(time.Hour) {
		times, airs, winds = append(times, fmt.Sprint(at.Unix())), append(airs, "9"), append(winds, "5")
	}
	return json200(fmt.Sprintf(`{"latitude":52.21,"longitude":-0.89,"utc_offset_seconds":0,"hourly_units":{"time":"unixtime","temperature_2m":"°C","wind_speed_10m":"m/s"},
		"hourly":{"time":[%s],"temperature_2m":[%s],"wind_speed_10m":[%s]}}`, strings.Join(times, ","), strings.Join(airs, ","), strings.Join(winds, ",")))
}

func day(text string) time.Time {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return t
}

func TestABackfillGoesFromArchiveToArchive(t *testing.T) {
	threeHours := time.Date(2026, 1, 3, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name    string
		table   reply
		asked   map[string]int
		air     float64
		kind    model.Kind
		source  string
		warning bool
	}{
		{
			"after the old archive's end, the new one serves", ghcnhTable(31, "6.0"),
			map[string]int{isdList: 1, isdYear: 0, ghcnhList: 1, ghcnhYear: 1, archiveHost: 0},
			6, model.Observed, "ghcnh", false,
		},
		{
			"where the new one has no such year, the reanalysis",
			reply{404, "text/plain", "no"},
			map[string]int{isdList: 1, isdYear: 0, ghcnhList: 1, ghcnhYear: 1, archiveHost: 1},
			9, model.Modelled, "openmeteo-archive", false,
		},
		{
			"where the new one has half of it, the reanalysis fills the rest only", ghcnhTable(4, "6.0"),
			map[string]int{ghcnhYear: 1, archiveHost: 1},
			6, model.Observed, "ghcnh", false,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			answers := map[string]reply{isdList: isdStations, ghcnhList: ghcnhStations, ghcnhNamed: c.table, archiveHost: january()}
			p, h, _ := askHosts(t, b, answers)
			counts, err := p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-01-09"))
			done(t, err)
			for begin, want := range c.asked {
				if h.count(begin) != want {
					t.Errorf("%s was asked %d times, want %d", begin, h.count(begin), want)
				}
			}
			got := hourFrom(t, b, reedmere, threeHours)
			// The station stands 20 m above the water: 0.13 C at 6.5 C a km.
			want := c.air
			if c.source == "ghcnh" {
				want += 0.13
			}
			if got.Value < want-0.06 || got.Value > want+0.06 || got.From.Kind != c.kind || got.From.Source != c.source {
				t.Errorf("got %v C from %+v, want %v, %s of %s", got.Value, got.From, want, c.kind, c.source)
			}
			if c.asked[archiveHost] == 1 {
				rest := hourFrom(t, b, reedmere, time.Date(2026, 1, 7, 9, 0, 0, 0, time.UTC))
				if rest.From.Kind != model.Modelled || rest.Value != 9 || rest.From.Station != "" {
					t.Errorf("an hour that no station has: %+v, want it modelled", rest)
				}
			}
			if counts["requests"] != len(h.asked) {
				t.Errorf("%d requests counted, %d made", counts["requests"], len(h.asked))
			}
			// Again: only the lists of stations are read anew.
			before, revision := len(h.asked), b.revision(t)
			b.now = b.now.Add(time.Hour)
			counts, err = p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-01-09"))
			done(t, err)
			for _, a := range h.asked[before:] {
				if !strings.HasPrefix(a, isdList) && !strings.HasPrefix(a, ghcnhList) {
					t.Errorf("%s was fetched twice", a)
				}
			}
			if counts["observations"] != 0 || b.revision(t) != revision {
				t.Errorf("counts %v the second time, want nothing changed", counts)
			}
		})
	}
}

func TestAValueThatAnArchiveChangesIsTaken(t *testing.T) {
	b := newBench(t)
	answers := map[string]reply{isdList: isdStations, ghcnhList: ghcnhStations, ghcnhNamed: ghcnhTable(31, "6.0"), archiveHost: january()}
	p, _, _ := askHosts(t, b, answers)
	_, err := p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-01-09"))
	done(t, err)
	// The span is whole now, so that only a question reaching further asks again.
	answers[ghcnhNamed] = ghcnhTable(31, "7.5")
	b.now = b.now.Add(25 * time.Hour)
	counts, err := p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-02-05"))
	done(t, err)
	if counts["observations"] < 24*29 {
		t.Errorf("counts %v, want every report of the month changed", counts)
	}
	if got := hourFrom(t, b, reedmere, time.Date(2026, 1, 3, 9, 0, 0, 0, time.UTC)); got.Value < 7.5 || got.Value > 7.8 {
		t.Errorf("got %+v, want the value as it was changed", got)
	}
}

func TestOneArchiveDownDoesNotStopTheOthers(t *testing.T) {
	b := newBench(t)
	p, h, _ := askHosts(t, b, map[string]reply{isdList: {503, "text/plain", "later"}, ghcnhList: {200, "text/html", webPage}, archiveHost: january()})
	_, err := p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-01-09"))
	if err == nil || !strings.Contains(err.Error(), "pull isd: ") || !strings.Contains(err.Error(), "pull ghcnh: ") || h.count(archiveHost) != 1 {
		t.Errorf("error %v, asked %q; want both named, and the reanalysis asked", err, h.asked)
	}
	if got := hourFrom(t, b, reedmere, time.Date(2026, 1, 3, 9, 0, 0, 0, time.UTC)); got.From.Kind != model.Modelled {
		t.Errorf("got %+v, want the reanalysis", got)
	}
}

func TestATimeOlderThanAnySource(t *testing.T) {
	b := newBench(t)
	p, h, _ := askHosts(t, b, map[string]reply{isdList: isdStations, ghcnhList: {200, "text/csv", "XXM00010002,12.30,-0.90,80.0,,FAR OFF\n"}})
	_, err := p.Backfill(t.Context(), []model.Water{reedmere}, day("1900-06-01"), day("1900-07-20"))
	wantCode(t, err, model.NotFound)
	if !strings.Contains(err.Error(), "marked 'no weather'") || h.count(archiveHost) != 0 {
		t.Errorf("error %v, asked %q; want it to say what becomes of the records", err, h.asked)
	}
}

func TestABackfillKeepsToItsBudget(t *testing.T) {
	b := newBench(t)
	done(t, b.db.PutFeedState(t.Context(), "budget:ghcnh", b.now, []byte(`{"day":"2026-02-06","asked":499}`)))
	done(t, b.db.PutFeedState(t.Context(), "budget:openmeteo-archive", b.now, []byte(`{"day":"2026-02-06","asked":300}`)))
	p, h, _ := askHosts(t, b, map[string]reply{isdList: isdStations, ghcnhList: ghcnhStations, ghcnhNamed: ghcnhTable(31, "6.0"), archiveHost: january()})
	progress := [][2]int{}
	p.Progress = func(done, all int) { progress = append(progress, [2]int{done, all}) }
	counts, err := p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-01-09"))
	done(t, err)
	// The list of stations takes the last request of the day.
	if h.count(ghcnhYear) != 0 || h.count(archiveHost) != 0 || counts["over budget"] != 2 {
		t.Errorf("asked %q, counts %v; want two questions held back", h.asked, counts)
	}
	b.now = noon.Add(12 * time.Hour)
	_, err = p.Backfill(t.Context(), []model.Water{reedmere}, day("2026-01-02"), day("2026-01-09"))
	done(t, err)
	if h.count(ghcnhYear) != 1 {
		t.Errorf("asked %q the next day, want what was held back", h.asked)
	}
	if last := progress[len(progress)-1]; last[0] != last[1] {
		t.Errorf("progress %v ends before it is done", progress)
	}
}
