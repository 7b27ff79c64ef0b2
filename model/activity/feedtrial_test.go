package activity_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

func TestFeedTrialArmsAndTheirOdds(t *testing.T) {
	q := feedQuestion(tried(1, 120, "mill", 14, 2, 200, 0.4))
	q.UsualGH = 200
	q.Terms.Mean = [3]float64{0.1, -0.3, 0}
	first, err := activity.TryFeed(q)
	if err != nil {
		t.Fatal(err)
	}
	if !first.OK || len(first.Arms) != 5 || first.TemperatureBand != "12.5 to 17.5 C" {
		t.Fatalf("got %+v, want five arms at 12.5 to 17.5 C", first)
	}
	// The best arm's odds by fresh draws; t = 0.4.
	random := rand.New(rand.NewPCG(5, 5))
	want := make([]float64, 5)
	const draws = 20_000
	for range draws {
		b1, b2, b3 := 0.1+0.15*random.NormFloat64(), -0.3+0.3*random.NormFloat64(), 0.1*random.NormFloat64()
		best, top := 0, math.Inf(-1)
		for i := range want {
			z := float64(i-2) * math.Ln2 / 2
			if effect := b1*z + b2*z*z + b3*z*0.4; effect > top {
				best, top = i, effect
			}
		}
		want[best] += 1.0 / draws
	}
	taken := make([]float64, 5)
	const seeds = 3000
	for seed := range uint64(seeds) {
		q.Seed = seed
		got, err := activity.TryFeed(q)
		if err != nil {
			t.Fatal(err)
		}
		if got.Seed != seed || got.Suggested.Probability <= 0 {
			t.Fatalf("seed %d: %+v", seed, got)
		}
		if diff := cmp.Diff(first.Arms, got.Arms); diff != "" {
			t.Fatalf("the seed changed the arms:\n%s", diff)
		}
		taken[got.Suggested.HalfSteps+2]++
	}
	for i, arm := range first.Arms {
		if !feedNear(arm.RateGH, 200*math.Pow(2, float64(i-2)/2), 1e-9) || arm.HalfSteps != i-2 {
			t.Errorf("arm %d is %+v", i, arm)
		}
		if tolerance := 5 * math.Sqrt(want[i]*(1-want[i])/1000); !feedNear(arm.Probability, want[i], tolerance+1e-3) {
			t.Errorf("arm %d is best with %v, want %v", i, arm.Probability, want[i])
		}
		// The logged probability is that of being suggested, not near it.
		if p := arm.Probability; !feedNear(taken[i]/seeds, p, 4*math.Sqrt(p*(1-p)/seeds)+1e-9) {
			t.Errorf("arm %d was suggested in %v of seeds, logged as %v", i, taken[i]/seeds, p)
		}
	}
}

func TestFeedTrialRefusesInWords(t *testing.T) {
	for _, row := range []struct {
		name  string
		tried []activity.FeedTried
		cap   float64
	}{
		{"no records", nil, 0},
		{"one level only", tried(2, 40, "mill", 14, 1, 200, 0), 0},
		{"a cap under all but one", tried(2, 300, "mill", 14, 1, 200, 0.3), 105},
	} {
		q := feedQuestion(row.tried)
		q.UsualGH, q.CapGH = 200, row.cap
		got, err := activity.TryFeed(q)
		if err != nil {
			t.Fatal(err)
		}
		if got.OK || !strings.Contains(got.Why, "fewer than two") || got.Suggested.Probability != 0 {
			t.Errorf("%s: %+v, want a refusal in words", row.name, got)
		}
	}
}

func TestFeedTrialStaysSupportedAndNearTheUsual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q, sessions := anyFeedQuestion(t)
		got, err := activity.TryFeed(q)
		if err != nil {
			t.Fatal(err)
		}
		middle := q.UsualGH
		if middle == 0 {
			middle = q.StartingGH
			if q.CapGH > 0 {
				middle = min(middle, q.CapGH)
			}
		}
		var sum float64
		for _, arm := range got.Arms {
			sum += arm.Probability
			if !q.Tried.Supported(q.Water, q.WaterC, arm.RateGH).OK || q.CapGH > 0 && arm.RateGH > q.CapGH {
				t.Errorf("arm %+v is not supported or above the cap of %v", arm, q.CapGH)
			}
			if math.Abs(math.Log(arm.RateGH/middle)) > math.Ln2+1e-9 {
				t.Errorf("arm %+v is more than one step from %v", arm, middle)
			}
		}
		if got.OK != (len(got.Arms) >= 2) || got.OK && !feedNear(sum, 1, 1e-9) {
			t.Errorf("ok %v with %d arms of probability %v together", got.OK, len(got.Arms), sum)
		}
		q.Tried = activity.NewFeedHistory(rapid.Permutation(sessions).Draw(t, "order"))
		again, err := activity.TryFeed(q)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(got, again); diff != "" {
			t.Errorf("the same question in another order has another answer:\n%s", diff)
		}
	})
}

func TestFeedTrialTemperatureBands(t *testing.T) {
	for _, row := range []struct {
		waterC float64
		want   string
	}{{7.99, "under 8 C"}, {8, "8 to 12.5 C"}, {12.5, "12.5 to 17.5 C"}, {17.5, "17.5 to 22 C"}, {22, "22 C and over"}} {
		q := feedQuestion(nil)
		q.WaterC = row.waterC
		if got, err := activity.TryFeed(q); err != nil || got.TemperatureBand != row.want {
			t.Errorf("%v C is %q (%v), want %q", row.waterC, got.TemperatureBand, err, row.want)
		}
	}
}

func TestInverseProbabilityContrastByHand(t *testing.T) {
	got, err := activity.InverseProbabilityContrast([]activity.FeedTrialOutcome{
		{HalfSteps: 1, Probability: 0.5, Bites: 6, Hours: 2},
		{HalfSteps: 0, Probability: 0.25, Bites: 4, Hours: 4},
		{HalfSteps: 1, Probability: 0.2, Bites: 3, Hours: 3},
		{HalfSteps: 0, Probability: 0.5, Bites: 8, Hours: 4},
		{HalfSteps: -1, Probability: 0.1, Bites: 0, Hours: 5},
	})
	if err != nil {
		t.Fatal(err)
	}
	// Usual: (16+16)/(16+8) = 4/3; residuals 4(4-16/3) and 2(8-16/3) are -16/3
	// and 16/3, over 24 hours. Half a step up: (12+15)/(4+15) = 27/19.
	usualSE := math.Sqrt(2*2*math.Pow(16.0/3, 2)) / 24
	up := 27.0 / 19
	upSE := math.Sqrt(2*(math.Pow(2*(6-2*up), 2)+math.Pow(5*(3-3*up), 2))) / 19
	want := []activity.FeedArmMean{
		{HalfSteps: -1, Sessions: 1},
		{HalfSteps: 0, Sessions: 2, RatePerH: 4.0 / 3, SE: usualSE},
		{HalfSteps: 1, Sessions: 2, RatePerH: up, SE: upSE, Compared: true, Difference: up - 4.0/3, DifferenceSE: math.Hypot(upSE, usualSE)},
	}
	close := cmp.Comparer(func(a, b float64) bool { return feedNear(a, b, 1e-12) })
	if diff := cmp.Diff(want, got, close); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if got, err := activity.InverseProbabilityContrast(nil); err != nil || len(got) != 0 {
		t.Errorf("no trials: %v, %v", got, err)
	}
	for _, bad := range []activity.FeedTrialOutcome{{Probability: 0, Hours: 1}, {Probability: 1.1, Hours: 1}, {Probability: 1}, {Probability: 1, Hours: 1, Bites: -1}, {Probability: math.NaN(), Hours: 1}, {Probability: 5e-324, Hours: 1}, {Probability: 1, Hours: 5e-324}} {
		if got, err := activity.InverseProbabilityContrast([]activity.FeedTrialOutcome{bad}); err == nil {
			t.Errorf("%+v passed as %+v", bad, got)
		}
	}
}

// A good spell raises both the odds of the heavier arm and the bites. Plain
// means by arm then show an effect where there is none; the weighted ones do not,
// and their SEs are about right.
func TestInverseProbabilityUndoesTheOdds(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	var off, square, plain float64
	const repeats = 200
	for range repeats {
		var trials []activity.FeedTrialOutcome
		var bites, hours [2]float64
		for range 300 {
			good := random.Float64() < 0.5
			p, mean := 0.2, 4.0
			if good {
				p, mean = 0.8, 12
			}
			o := activity.FeedTrialOutcome{Probability: 1 - p, Hours: 4}
			if random.Float64() < p {
				o.HalfSteps, o.Probability = 1, p
			}
			for at := random.ExpFloat64(); at < mean; at += random.ExpFloat64() {
				o.Bites++
			}
			bites[o.HalfSteps] += float64(o.Bites)
			hours[o.HalfSteps] += o.Hours
			trials = append(trials, o)
		}
		got, err := activity.InverseProbabilityContrast(trials)
		if err != nil {
			t.Fatal(err)
		}
		off += got[1].Difference / repeats
		square += math.Pow(got[1].Difference/got[1].DifferenceSE, 2) / repeats
		plain += (bites[1]/hours[1] - bites[0]/hours[0]) / repeats
	}
	if !feedNear(off, 0, 0.05) || plain < 1 {
		t.Errorf("weighted difference %v, plain %v; want 0 and a false 1.2", off, plain)
	}
	// The mean square of 200 standardised differences has sd 0.1.
	if square < 0.7 || square > 1.3 {
		t.Errorf("mean square of the standardised differences is %v, want about 1", square)
	}
}
