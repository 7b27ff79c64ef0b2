package api_test

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"osier/model"
)

func TestAReadingIsKeptOnceAndCorrectsTheWater(t *testing.T) {
	h := newPit(t)
	const sent = `{"water_temp_c":9.5,"depth_m":0.3,"at":"2026-11-25T06:00:00Z","by":"rush"}`
	first := read[model.MeterReading](t, h.wants(h.send("POST", "/v1/waters/quillmarsh-pit/readings", sent), 201))
	again := read[model.MeterReading](t, h.wants(h.send("POST", "/v1/waters/quillmarsh-pit/readings", sent), 200))
	if first.ID == "" || first.ID != again.ID || !first.Instrument || first.Water != "quillmarsh-pit" || !first.EnteredAt.Equal(now) {
		t.Errorf("stored %+v, then %+v", first, again)
	}
}

// An air temperature written as that of the water is kept, queried, and
// corrects nothing (trade pack 6.2).
func TestAReadingNoWaterHadIsQueried(t *testing.T) {
	h := newPit(t)
	m := read[model.MeterReading](t, h.wants(h.send("POST", "/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":31}`), 201))
	if len(m.Queries) != 1 || m.Calibrates() {
		t.Errorf("stored %+v", m)
	}
}

func TestReadingsAreRefusedInWords(t *testing.T) {
	h := newPit(t)
	for _, c := range []struct{ body, field string }{
		{`{}`, "water_temp_c"},
		{`{"water_temp_c":60}`, "water_temp_c"},
		{`{"oxygen_mg_l":-1}`, "oxygen_mg_l"},
		{`{"oxygen_saturation_pct":400}`, "oxygen_saturation_pct"},
		{`{"water_temp_c":9,"depth_m":90}`, "depth_m"},
		{`{"water_temp_c":9,"at":"2030-01-01T00:00:00Z"}`, "at"},
	} {
		if p := h.problem(h.send("POST", "/v1/waters/quillmarsh-pit/readings", c.body), 422); p.Field != c.field {
			t.Errorf("%s: refused for %q, want %q", c.body, p.Field, c.field)
		}
	}
	h.problem(h.send("POST", "/v1/waters/nowhere/readings", `{"water_temp_c":9}`), 404)
	h.problem(h.send("GET", "/v1/waters/nowhere/readings", ""), 404)
	h.problem(h.send("GET", "/v1/waters/quillmarsh-pit/readings?after=here", ""), 422)
}

// Pages follow each other, the newest first, and none is lost or doubled where
// readings share an instant.
func TestReadingsComeInPages(t *testing.T) {
	h := newPit(t)
	for i := range 7 {
		at := now.Add(-time.Duration(i/2) * time.Hour).Format(time.RFC3339)
		h.wants(h.send("POST", "/v1/waters/quillmarsh-pit/readings", fmt.Sprintf(`{"oxygen_mg_l":%d,"at":%q}`, 5+i, at)), 201)
	}
	type page struct {
		Readings []model.MeterReading `json:"readings"`
		Next     *string              `json:"next"`
	}
	seen, last, after := map[string]bool{}, now, ""
	for range 4 {
		var p page
		body := h.wants(h.send("GET", "/v1/waters/quillmarsh-pit/readings?limit=3"+after, ""), 200).Body.Bytes()
		if err := json.Unmarshal(body, &p); err != nil {
			t.Fatal(err)
		}
		for _, m := range p.Readings {
			if seen[m.ID] || m.At.After(last) {
				t.Errorf("reading %s of %s comes again or out of order", m.ID, m.At)
			}
			seen[m.ID], last = true, m.At
		}
		if p.Next == nil {
			break
		}
		after = "&after=" + *p.Next
	}
	if len(seen) != 7 {
		t.Errorf("%d readings were listed, want 7", len(seen))
	}
}
