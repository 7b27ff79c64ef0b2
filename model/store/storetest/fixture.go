package storetest

import (
	"encoding/json"
	"fmt"
	"time"

	"osier/model"
)

var (
	noon = time.Date(2026, 2, 6, 12, 0, 0, 0, time.UTC)
	// summerTime is an offset a record may be written with.
	summerTime = time.FixedZone("", 3600)
)

// water is an invented water with everything set that may be.
func water(id string) model.Water {
	return model.Water{
		ID: id, Name: "Reedmere", LatDeg: 52.5, LonDeg: -0.75, ElevationM: 60, MeanDepthM: 2,
		AreaHa: model.Known(3.5), ShelterFactor: model.Known(0.6), Bank: "grass", Zone: "Europe/London",
		Groups: []model.Group{model.Bream, model.Carp}, FeedLimitDryG: model.Known[model.Grams](2000), Colour: "tinged",
		Pegs:    []model.Peg{{Number: "4", FacingDeg: model.Known[model.Degrees](0)}, {Number: "5"}},
		AddedAt: noon,
	}
}

func kit(angler string) model.Kit {
	return model.Kit{
		Angler: angler, Feeders: []model.OwnFeeder{{Type: "cage", CapacityMl: 38, WeightG: 30}},
		TenFillsG: model.Known[model.Grams](300), TenFillsMl: model.Known[model.Millilitres](38),
	}
}

func report(id string, at time.Time) model.Report {
	return model.Report{ID: id, Water: "reedmere", Kind: model.SawIce, At: at, Note: "cat ice in the margins"}
}

func station(id string, latDeg, lonDeg float64) model.Station {
	return model.Station{ID: id, Source: "feed", Name: id + " field", LatDeg: latDeg, LonDeg: lonDeg, ElevationM: model.Known[model.Metres](70)}
}

// observation is a report with every value known, zeroes among them.
func observation(at time.Time) model.Observation {
	return model.Observation{
		Station: "AAAA", Source: "feed", At: at,
		AirC: model.Known[model.Celsius](0), DewC: model.Known[model.Celsius](-1.5),
		WindMps: model.Known[model.MetresPerSecond](0), WindFromDeg: model.Known[model.Degrees](360), GustMps: model.Known[model.MetresPerSecond](7.7166),
		QNHHPa: model.Known[model.Hectopascals](1012), SeaLevelHPa: model.Known[model.Hectopascals](1012.4), StationHPa: model.Known[model.Hectopascals](1004.1),
		Rain: model.Known(model.Rain{Mm: 0.2, OverH: 1}), CloudOktas: model.Known(0), Thunder: model.ThunderNone,
		WholeHPa: true, LowTrust: true, Raw: "AAAA first text",
	}
}

func forecast(issued, fetched time.Time) model.Forecast {
	return model.Forecast{
		Source: "grid", LatDeg: 52.5, LonDeg: -0.75, IssuedAt: issued, FetchedAt: fetched, ConfirmedAt: fetched,
		Hours: []model.ForecastHour{{At: issued.Add(time.Hour), StepH: 1, AirC: model.Known[model.Celsius](4.5), Thunder: model.Known(false)}},
	}
}

// session is a summary of day i, written with an offset.
func session(i int) model.Session {
	start := noon.AddDate(0, 0, i).In(summerTime)
	s := model.Session{
		Water: "reedmere", Angler: "VP", Group: model.Bream, Style: model.Summary,
		Start: start, End: start.Add(4 * time.Hour), Rods: 1, Bites: model.Known(i),
		Fish: map[model.Group]int{model.Bream: i}, EnteredAt: noon,
	}
	s.ID = fmt.Sprintf("s-%02d", i)
	return s
}

func joinedOf(s model.Session) model.JoinedSession {
	return model.JoinedSession{
		Session: s.ID, Water: s.Water, Angler: s.Angler, Group: s.Group, Start: s.Start, End: s.End,
		Bites: s.Bites, RodHours: 4, Use: true, Weather: "w-1", InputsDigest: "d-1", JoinedAt: noon,
	}
}

func fit(id string) model.FitRecord {
	return model.FitRecord{ID: id, MadeAt: noon, Sessions: 3, Converged: true, Body: json.RawMessage(`{"bream":1}`)}
}

func plan(id string) model.Plan {
	return model.Plan{ID: id, Water: "reedmere", Group: model.Bream, Start: noon, IssuedAt: noon, Hours: 4, Fit: "fit-0"}
}

func run(id, job string, started time.Time, ended bool, fault string) model.JobRun {
	r := model.JobRun{ID: id, Job: job, StartedAt: started, Counts: map[string]int{"requests": 1}, Error: fault}
	if ended {
		r.EndedAt = model.Known(started.Add(time.Minute))
	}
	return r
}
