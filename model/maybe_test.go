package model_test

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"osier/model"
)

func TestAMissingValueIsNullAndNeverZero(t *testing.T) {
	type document struct {
		Wind model.Maybe[model.MetresPerSecond] `json:"wind_mps"`
	}
	for _, c := range []struct {
		value model.Maybe[model.MetresPerSecond]
		want  string
	}{
		{model.Maybe[model.MetresPerSecond]{}, `{"wind_mps":null}`},
		{model.Known[model.MetresPerSecond](0), `{"wind_mps":0}`},
		{model.Known[model.MetresPerSecond](2.5), `{"wind_mps":2.5}`},
		{model.Maybe[model.MetresPerSecond]{Value: 3}, `{"wind_mps":null}`}, // not known, whatever lies there
	} {
		b, err := json.Marshal(document{c.value})
		if err != nil || string(b) != c.want {
			t.Errorf("%+v is written %s (%v), want %s", c.value, b, err, c.want)
		}
		var back document
		if err := json.Unmarshal(b, &back); err != nil || back.Wind.Known != c.value.Known || c.value.Known && back.Wind != c.value {
			t.Errorf("%s is read as %+v (%v), want %+v", b, back.Wind, err, c.value)
		}
	}
}

func TestNullTakesAValueBackAndAbsenceDoesNot(t *testing.T) {
	for _, c := range []struct {
		text string
		want model.Maybe[int]
	}{
		{`{"n":null}`, model.Maybe[int]{}},
		{`{}`, model.Known(4)},
		{`{"n":5}`, model.Known(5)},
	} {
		into := struct {
			N model.Maybe[int] `json:"n"`
		}{model.Known(4)}
		if err := json.Unmarshal([]byte(c.text), &into); err != nil || into.N != c.want {
			t.Errorf("%s: %+v (%v), want %+v", c.text, into.N, err, c.want)
		}
	}
	var m model.Maybe[int]
	if err := json.Unmarshal([]byte(`"many"`), &m); err == nil || m.Known {
		t.Errorf("a word was read as the number %+v", m)
	}
}

func TestNumbersThatAreNoneNeverLeave(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if b, err := json.Marshal(model.Known(v)); err == nil {
			t.Errorf("%v was written as %s", v, b)
		}
		if b, err := json.Marshal(model.Known(model.Celsius(v))); err == nil {
			t.Errorf("%v C was written as %s", v, b)
		}
	}
}

func TestOr(t *testing.T) {
	if got := model.Known(0.0).Or(7); got != 0 {
		t.Errorf("a known zero gives %v", got)
	}
	if got := (model.Maybe[float64]{Value: 3}).Or(7); got != 7 {
		t.Errorf("what is not known gives %v, want the stand-in", got)
	}
}

func TestEveryKnownNumberComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := maybe(rapid.Float64()).Draw(t, "value")
		b, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var got model.Maybe[float64]
		if err := json.Unmarshal(b, &got); err != nil || got != want {
			t.Fatalf("%+v came back as %+v (%v)", want, got, err)
		}
	})
}
