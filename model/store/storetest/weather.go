package storetest

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"osier/model"
)

func stations(t *testing.T, s Store) {
	ctx := t.Context()
	inside, edge, outside := station("AAAA", 52.5, -0.5), station("BBBB", 52, -1), station("CCCC", 51.9, -0.5)
	unknown := station("DDDD", 52.6, -0.6)
	unknown.ElevationM = model.Maybe[model.Metres]{}
	done(t, s.PutStations(ctx, []model.Station{outside, unknown, inside, edge}))
	list, err := s.StationsWithin(ctx, 52, 53, -1, 0)
	wantSame(t, "the box, its edges included", []model.Station{inside, edge, unknown}, got(t, list, err))

	moved := inside
	moved.LatDeg, moved.ElevationM = 50, model.Known[model.Metres](0)
	done(t, s.PutStations(ctx, []model.Station{moved}))
	list, err = s.StationsWithin(ctx, 49, 51, -1, 0)
	wantSame(t, "the station that moved, at sea level", []model.Station{moved}, got(t, list, err))
}

func observationRoundTrip(t *testing.T, s Store) {
	ctx := t.Context()
	full := observation(noon)
	empty := model.Observation{Station: "AAAA", Source: "feed", At: noon.Add(time.Hour), Raw: "AAAA NIL"}
	local := observation(noon.Add(2*time.Hour + 900*time.Millisecond).In(summerTime))
	elsewhere, otherFeed := observation(noon), observation(noon)
	elsewhere.Station, otherFeed.Source = "BBBB", "archive"
	n, err := s.PutObservations(ctx, []model.Observation{local, full, empty, elsewhere, otherFeed})
	if got(t, n, err) != 5 {
		t.Errorf("%d reports counted as new, want 5", n)
	}
	local.At = noon.Add(2 * time.Hour) // whole seconds, in UTC
	list, err := s.Observations(ctx, "feed", "AAAA", noon, noon.Add(2*time.Hour))
	wantSame(t, "the station's reports, both ends included", []model.Observation{full, empty, local}, got(t, list, err))
	for _, o := range list {
		if o.At.Location() != time.UTC || o.At.Nanosecond() != 0 {
			t.Errorf("time %v, want UTC and whole seconds", o.At)
		}
	}
	list, err = s.Observations(ctx, "feed", "AAAA", noon.Add(time.Second), noon.Add(2*time.Hour-time.Second))
	wantSame(t, "between", []model.Observation{empty}, got(t, list, err))
}

func observationUpserts(t *testing.T, s Store) {
	ctx := t.Context()
	first := observation(noon)
	amended, corrected, again := first, first, first
	amended.Raw, amended.AirC = "AAAA amended", model.Known[model.Celsius](1)
	corrected.Raw, corrected.AirC, corrected.Corrected = "AAAA COR", model.Maybe[model.Celsius]{}, true
	again.Raw, again.AirC, again.Corrected = "AAAA COR 2", model.Known[model.Celsius](3), true
	confirmed := again
	revalued, withdrawn, rained, requalified := first, first, first, amended
	revalued.WindMps = model.Known[model.MetresPerSecond](0.5)
	withdrawn.WindMps, withdrawn.CloudOktas = model.Maybe[model.MetresPerSecond]{}, model.Maybe[int]{}
	rained.Rain.Value.OverH = 6
	requalified.LowTrust = false
	for _, step := range []struct {
		name    string
		send    model.Observation
		changed int
		stored  model.Observation
	}{
		{"new", first, 1, first},
		{"the same again", first, 0, first},
		{"the same text with another value", revalued, 1, revalued},
		{"the same text with a value taken back", withdrawn, 1, withdrawn},
		{"the same text with its rain over another time", rained, 1, rained},
		{"that again", rained, 0, rained},
		{"another text", amended, 1, amended},
		{"another value under that text", requalified, 1, requalified},
		{"a correction, which takes a value back", corrected, 1, corrected},
		{"the correction again", corrected, 0, corrected},
		{"other values in a late copy of the first text", revalued, 0, corrected},
		{"a late copy of the first text", first, 0, corrected},
		{"a correction of the correction", again, 1, again},
		{"that again", confirmed, 0, again},
	} {
		n, err := s.PutObservations(ctx, []model.Observation{step.send})
		if got(t, n, err) != step.changed {
			t.Errorf("%s: %d changed, want %d", step.name, n, step.changed)
		}
		list, err := s.Observations(ctx, "feed", "AAAA", noon, noon)
		wantSame(t, step.name, []model.Observation{step.stored}, got(t, list, err))
	}
	t.Run("a first text that turns out to be the correction is kept against late copies", func(t *testing.T) {
		at := noon.Add(time.Hour)
		plain, marked, late := observation(at), observation(at), observation(at)
		marked.Corrected, late.Raw = true, "AAAA before"
		for _, o := range []model.Observation{plain, marked, late} {
			_, err := s.PutObservations(ctx, []model.Observation{o})
			done(t, err)
		}
		list, err := s.Observations(ctx, "feed", "AAAA", at, at)
		wantSame(t, "stored", []model.Observation{marked}, got(t, list, err))
	})
}

func notFinite(t *testing.T, s Store) {
	ctx := t.Context()
	before := revision(t, s)
	nan := math.NaN()
	for name, spoil := range map[string]func(*model.Observation){
		"air":  func(o *model.Observation) { o.AirC = model.Known(model.Celsius(nan)) },
		"wind": func(o *model.Observation) { o.WindMps = model.Known(model.MetresPerSecond(math.Inf(1))) },
		"QNH":  func(o *model.Observation) { o.QNHHPa = model.Known(model.Hectopascals(math.Inf(-1))) },
		"rain": func(o *model.Observation) { o.Rain = model.Known(model.Rain{Mm: model.Millimetres(nan), OverH: 1}) },
	} {
		good, bad := observation(noon), observation(noon.Add(time.Hour))
		spoil(&bad)
		n, err := s.PutObservations(ctx, []model.Observation{good, bad})
		wantError(t, err, model.Invalid, "AAAA", "2026-02-06T13:00:00Z", "not a finite number")
		if n != 0 {
			t.Errorf("%s: %d counted as changed, want none", name, n)
		}
	}
	w, k, f := water("carr"), kit("VP"), forecast(noon, noon)
	w.LatDeg = nan
	k.RodMaxG = model.Known(model.Grams(nan))
	f.Hours[0].CloudFraction = model.Known(math.Inf(1))
	p := plan("p-1")
	p.Hours = nan
	sess := session(1)
	sess.BreaksMin = nan
	j := joinedOf(session(2))
	j.RodHours = math.Inf(1)
	high := station("AAAA", 52, 0)
	high.ElevationM = model.Known(model.Metres(math.Inf(1)))
	for name, err := range map[string]error{
		"water": s.PutWater(ctx, w), "kit": s.PutKit(ctx, k), "forecast": s.PutForecast(ctx, f), "plan": s.AddPlan(ctx, p),
		"session": s.AddSession(ctx, sess), "joined": s.PutJoined(ctx, []model.JoinedSession{j}),
		"station": s.PutStations(ctx, []model.Station{station("BBBB", 52, 0), high}),
		"import":  s.AddImport(ctx, []model.Session{session(3), sess}, model.Import{ID: "i-1", At: noon}),
	} {
		if err == nil {
			t.Errorf("%s with a number that is none was kept", name)
		}
	}
	list, err := s.Observations(ctx, "feed", "AAAA", noon, noon.Add(time.Hour))
	if len(got(t, list, err)) != 0 {
		t.Errorf("reports %v, want none", list)
	}
	places, err := s.StationsWithin(ctx, -90, 90, -180, 180)
	if len(got(t, places, err)) != 0 {
		t.Errorf("stations %v, want none", places)
	}
	all, err := s.Sessions(ctx, "", "", noon, noon.AddDate(1, 0, 0))
	if len(got(t, all, err)) != 0 {
		t.Errorf("sessions %v, want none", all)
	}
	if after := revision(t, s); after != before {
		t.Errorf("revision %d, want %d as before", after, before)
	}
}

func feedStates(t *testing.T, s Store) {
	ctx := t.Context()
	done(t, s.PutFeedState(ctx, "https://feed.example/a", noon, json.RawMessage(`{"etag":"1"}`)))
	done(t, s.PutFeedState(ctx, "https://feed.example/b", noon, json.RawMessage(`{"etag":"b"}`)))
	done(t, s.PutFeedState(ctx, "https://feed.example/a", noon.Add(time.Hour), json.RawMessage(`{"etag":"2"}`)))
	for url, want := range map[string]string{"https://feed.example/a": `{"etag":"2"}`, "https://feed.example/b": `{"etag":"b"}`} {
		state, err := s.FeedState(ctx, url)
		wantSame(t, url, want, string(got(t, state, err)))
	}
}
