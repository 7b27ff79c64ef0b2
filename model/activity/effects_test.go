package activity_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"osier/model/activity"
)

func TestContributionsAddUpToTheDifference(t *testing.T) {
	fit := mustFit(t, anySessions(41, 250))
	random := rand.New(rand.NewPCG(42, 1))
	for range 20 {
		session, typical := anyCovariates(random), anyCovariates(random)
		contributions, err := fit.Contributions(session, typical)
		if err != nil {
			t.Fatal(err)
		}
		var sum float64
		for _, c := range contributions {
			sum += c.EffectLogRate
		}
		want, _, err := fit.Difference(session, pit, typical, pit)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(sum-want) > 1e-9 {
			t.Errorf("contributions add up to %v, the log rates differ by %v", sum, want)
		}
	}
	windy := usual()
	windy.WindMps = 8
	contributions, err := fit.Contributions(windy, usual())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range contributions {
		want := 0.0
		if c.Column == "wind_mps" {
			want = fit.Count.Coefficients[column(t, "wind_mps")]
			if c.Value != 8 {
				t.Errorf("wind is shown as %v, want 8 m/s", c.Value)
			}
		}
		if math.Abs(c.EffectLogRate-want) > 1e-12 {
			t.Errorf("%s: effect %v, want %v", c.Column, c.EffectLogRate, want)
		}
	}
}

func TestEffectsSpeakOfTheRecordsOnly(t *testing.T) {
	prior, _ := activity.PriorFit("bream")
	effects, err := prior.Effects()
	if err != nil {
		t.Fatal(err)
	}
	if len(effects) != 22 {
		t.Fatalf("%d effects, want one for each of 22 columns", len(effects))
	}
	for _, e := range effects {
		if e.Learnt || e.Found || !strings.Contains(e.Text, "the prior stands") {
			t.Errorf("the prior alone claims %+v", e)
		}
	}
	effects, err = mustFit(t, anySessions(51, 800)).Effects()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range effects {
		if e.Learnt && e.Found != (e.Low90 > 0 || e.High90 < 0) {
			t.Errorf("found disagrees with the interval: %+v", e)
		}
		if e.Column == "log_appetite" && !(e.Found && strings.Contains(e.Text, "more bites")) {
			t.Errorf("a planted appetite effect of 0.8 is told as %q", e.Text)
		}
		if e.Column == "peg_effort_7d_rod_h" && !(e.Found && strings.Contains(e.Text, "fewer bites")) {
			t.Errorf("a planted effort effect of -0.3 is told as %q", e.Text)
		}
	}
}

// A prior that leans to an effect must not make one of records that show none.
func TestThePriorIsNoFinding(t *testing.T) {
	records := anySessions(52, 400)
	for i := range records {
		records[i].Intervals[0].Covariates.LogAppetite *= 0.05 // hardly varies, so nothing is told of it
	}
	effects, err := mustFit(t, records).Effects()
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range effects {
		if e.Column == "log_appetite" && e.Found {
			t.Errorf("appetite that hardly varied is told as found: %+v", e)
		}
	}
}

func TestPressureWithoutEffectIsReportedSo(t *testing.T) {
	const seeds = 20
	var none, learnt int
	for seed := range uint64(seeds) {
		effects, err := mustFit(t, anySessions(200+seed, 240)).Effects()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range effects {
			if e.Column != "pressure_change_3h_hpa" && e.Column != "pressure_change_24h_hpa" || !e.Learnt {
				continue
			}
			learnt++
			if says := strings.Contains(e.Text, "no effect found"); says == e.Found {
				t.Errorf("found is %v and the text is %q", e.Found, e.Text)
			}
			if !e.Found {
				none++
			}
		}
	}
	t.Logf("no effect of pressure found in %d of %d looks that learnt of it", none, learnt)
	if learnt < seeds || none < learnt*8/10 {
		t.Errorf("no effect of pressure was found in only %d of %d looks, want at least 80 %% of at least %d", none, learnt, seeds)
	}
}
