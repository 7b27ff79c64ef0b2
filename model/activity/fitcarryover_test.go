package activity_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"osier/model/activity"
)

// Spells that last (0.8 from session to session) raise the bites; where they
// drive the plans too, the fit must say so, and where plans are made by lot it
// must not.
func TestAFitTellsWhereSpellsDrivePlansAndBitesAlike(t *testing.T) {
	for _, c := range []struct {
		name   string
		follow float64 // of the plan upon the spell
		want   bool
	}{{"plans that follow", 0.6, true}, {"plans by lot", 0, false}} {
		random := rand.New(rand.NewPCG(17, 3))
		spell := map[string]float64{}
		records := anySessions(71, 400)
		for i := range records {
			r := &records[i]
			interval := &r.Intervals[0]
			s := 0.8*spell[r.Water] + 0.6*0.7*random.NormFloat64()
			interval.Covariates.Known.Feed = true
			interval.Covariates.PlannedRateGH = interval.Covariates.StartingRateGH * math.Exp(c.follow*spell[r.Water]+0.2*random.NormFloat64())
			interval.Bites = poisson(random, interval.RodHours*3*math.Exp(s))
			interval.FishKnown = false
			spell[r.Water], r.StartH = s, float64(10*i)
		}
		fit := mustFit(t, records)
		if !fit.CarryOver.Known || fit.CarryOver.Pairs < 300 || fit.CarryOver.Both != c.want {
			t.Errorf("%s: %+v, want both slopes clear of 0: %v", c.name, fit.CarryOver, c.want)
		}
	}
	if few := mustFit(t, anySessions(72, 12)).CarryOver; few.Known || few.Both {
		t.Errorf("twelve sessions tell of spells: %+v", few)
	}
	if prior, _ := activity.PriorFit("bream"); prior.CarryOver != (activity.FeedCarryOver{}) {
		t.Errorf("the prior tells of spells: %+v", prior.CarryOver)
	}
}
