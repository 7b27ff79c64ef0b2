package api_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"osier/model"
)

func TestAChoiceIsMadeOfThePlansThatWouldBeIssued(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("PUT", "/v1/waters/alder-mere", with(pit, "Quillmarsh Pit", "Alder Mere")), 201)
	before := h.revision()
	first := h.wants(h.send("POST", "/v1/choices", choice), 200)
	if second := h.wants(h.send("POST", "/v1/choices", choice), 200); !bytes.Equal(first.Body.Bytes(), second.Body.Bytes()) {
		t.Errorf("the choices differ:\n%s\n%s", first.Body, second.Body)
	}
	c := read[model.Choice](t, first)
	if len(c.Options) != 4 || len(c.Refused) != 0 || len(c.Comparisons) != 3 || c.Summary == "" || c.Deferral != model.Deferral || c.Demo {
		t.Fatalf("the choice is thin: %s", first.Body)
	}
	for i, want := range []string{"quillmarsh-pit", "alder-mere", "quillmarsh-pit", "alder-mere"} {
		if o := c.Options[i]; o.Water != want || i > 0 && o.Start.Before(c.Options[i-1].Start) {
			t.Errorf("option %d is %s at %v, want %s and the order of time", i, o.Water, o.Start, want)
		}
	}
	if h.revision() != before {
		t.Error("a choice changed the store")
	}
	asked, err := json.Marshal(c.Options[1].Plan)
	must(t, err)
	p := read[model.Plan](t, h.wants(h.send("POST", "/v1/plans", string(asked)), 200))
	if o := c.Options[1]; p.Water != o.Water || !p.Start.Equal(o.Start) || p.Feed.RateGH != o.Feed.RateGH || *p.Activity != *o.Activity {
		t.Errorf("the plan feeds %v g/h and expects %+v, the option %v and %+v", p.Feed.RateGH, p.Activity, o.Feed.RateGH, o.Activity)
	}
}

func TestAChoiceInTheDemoSaysThatItIsInvented(t *testing.T) {
	h := newHouse(t, asDemo)
	for _, id := range []string{"quillmarsh-pit", "alder-mere"} {
		w := model.Water{
			ID: id, Name: "Invented", LatDeg: 51.5, LonDeg: -0.12, MeanDepthM: 2, Bank: "grass", Colour: "tinged",
			Zone: "Europe/London", Groups: []model.Group{model.Bream}, Demo: true,
		}
		must(t, h.db.PutWater(t.Context(), w))
	}
	if c := read[model.Choice](t, h.wants(h.send("POST", "/v1/choices", choice), 200)); !c.Demo || len(c.Options) != 4 {
		t.Errorf("demo %v, %d options", c.Demo, len(c.Options))
	}
}
