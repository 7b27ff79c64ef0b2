package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
	"osier/model/activity"
	"osier/model/caution"
	"osier/model/feeder"
	"osier/model/plan"
)

// offBy is the ordinary weather with the air so much warmer.
func offBy(airC float64) func(time.Time) values {
	return func(at time.Time) values {
		v := ordinary(at)
		v.air, v.dew = v.air+airC, v.dew+airC
		return v
	}
}

// tradesInput is the trade's question in the test's own words, for a plan of
// four hours from the fixture.
func tradesInput(in plan.Input, p model.Plan) feeder.Input {
	trade := feeder.Input{
		Group: feeder.Group(in.Question.Group), DistanceM: 25, DepthM: 2, Hours: 4, KnownWater: in.KnownWater,
		Wind: feeder.Wind{SpeedMps: 3, SpeedKnown: true, FromDeg: 230, FromKnown: true},
	}
	for _, h := range p.Conditions {
		trade.WaterC += h.WaterC.AtFeeder() / 4
		trade.WaterLowC += h.WaterC.LowAtFeeder() / 4
		trade.WaterHighC += h.WaterC.High / 4
	}
	if caution.Asks(p.Cautions, "low_oxygen", model.Care) {
		trade.LevelCap = feeder.Lean
	} else if caution.Asks(p.Cautions, "fish_heat", model.Care) {
		trade.LevelCap = feeder.Even
	}
	return trade
}

// gramFor is what a rounded figure may be off by, and rounding errors of the
// mean temperature with it.
const gramFor = 0.051

// sameAsTrade holds every figure of feed, feeder and rhythm against the trade's.
func sameAsTrade(t testing.TB, p model.Plan, trade feeder.Input) feeder.Plan {
	t.Helper()
	want, err := feeder.ColdStart(trade)
	if err != nil {
		t.Fatal(err)
	}
	for what, pair := range map[string][2]float64{
		"rate":          {float64(p.Feed.RateGH), want.Feed.RateGH},
		"wished rate":   {float64(p.Feed.WishedRateGH), want.Feed.WishedRateGH},
		"opening fills": {float64(p.Feed.OpeningFills), float64(want.Feed.OpeningFills)},
		"opening":       {float64(p.Feed.OpeningG), want.Feed.OpeningG},
		"total damp":    {float64(p.Feed.TotalDampG), want.Feed.TotalDampG},
		"total dry":     {float64(p.Feed.TotalDryG), want.Feed.TotalDryG},
		"mix":           {float64(p.Feed.MixDryG), want.Feed.MixDryG},
		"capacity":      {float64(p.Feeder.CapacityMl), want.Feeder.CapacityMl},
		"fill factor":   {p.Feeder.FillFactor, want.Feeder.FillFactor},
		"weight":        {float64(p.Feeder.WeightG.Value), want.Cast.WeightG},
		"loaded mass":   {float64(p.Feeder.LoadedMassG.Value), want.Cast.LoadedMassG},
		"soak":          {p.Rhythm.SoakMin, want.Rhythm.SoakMin},
		"soak's least":  {p.Rhythm.SoakRange.Low, want.Rhythm.SoakLowMin},
		"soak's most":   {p.Rhythm.SoakRange.High, want.Rhythm.SoakHighMin},
		"recast":        {p.Rhythm.RecastMin, want.Rhythm.RecastIntervalMin},
		"fills an hour": {p.Rhythm.FillsPerH, want.Rhythm.FillsPerH},
	} {
		if !(math.Abs(pair[0]-pair[1]) <= gramFor) {
			t.Errorf("%s %v, the trade's %v", what, pair[0], pair[1])
		}
	}
	words := [][2]string{
		{p.Feed.Level, string(want.Feed.Level)},
		{p.Feed.OpeningRelease, want.Feed.OpeningRelease},
		{p.Feeder.Type, want.Feeder.Type},
		{p.Feeder.Step, want.Feeder.Step},
		{p.Rhythm.Basis, want.Rhythm.Basis},
	}
	for _, pair := range words {
		if pair[0] != pair[1] {
			t.Errorf("%q, the trade's %q", pair[0], pair[1])
		}
	}
	return want
}

// Design, section 8.5: with no supported level the plan is the trade's to the
// gram, whatever the group, the temperature and the angler's habit.
func TestWithNoSupportedLevelThePlanIsTheTradesToTheGram(t *testing.T) {
	for _, airC := range []float64{-6, -1, 4, 9, 15, 21} {
		hours := series(offBy(airC))
		for _, g := range model.Groups() {
			for _, known := range []bool{false, true} {
				t.Run(fmt.Sprintf("%s, air %+g C, known %v", g, airC, known), func(t *testing.T) {
					in := input(t, hours)
					in.Question.Group, in.KnownWater, in.Fit = g, known, priorFit(t, g)
					in.UsualFeedZ = model.Known(0.7) // the habit may not move it
					p := build(t, in)
					if p.Activity == nil {
						t.Fatalf("every hour is struck out: %+v", p.Cautions)
					}
					sameAsTrade(t, p, tradesInput(in, p))
					want := model.FeedChoice{
						Basis: "trade", Sessions: "under 5", CostOver: 3, CostUnder: 1,
						Text: "Your records cannot yet show what feed does (under 5 sessions with their feed planned beforehand): this is the trade's rate.",
					}
					if diff := cmp.Diff(want, p.Feed.Choice); diff != "" {
						t.Errorf("choice (-want +got):\n%s", diff)
					}
				})
			}
		}
	}
}

// Records far from today's water temperature support nothing here.
func TestRecordsOfOtherWaterLeaveTheTradesPlan(t *testing.T) {
	in := input(t, series(offBy(15)))
	in.Fit = fedFits()["less"]
	p := build(t, in)
	sameAsTrade(t, p, tradesInput(in, p))
	if c := p.Feed.Choice; c.Basis != "trade" || !contains(c.Text, "No feed level is tried often enough at this water temperature") || c.RateRatio != nil || c.EValue.Known || c.Sessions != "50 or more" {
		t.Errorf("choice %+v", c)
	}
}

const fedSessions = 500

// fedFits are fits to invented sessions for bream in cold water, in which the
// bites fall off by curvature (z - best)^2 from the best planned feed: less and
// more than the trade's, or not at all.
var fedFits = sync.OnceValue(func() map[string]activity.Fit {
	fits := map[string]activity.Fit{}
	for name, truth := range map[string]struct{ best, curvature float64 }{
		"less": {-0.6, 1.5}, "more": {0.6, 1.5}, "much more": {1.2, 1.5}, "nothing": {0, 0},
	} {
		fit, err := activity.FitRecords("bream", fedRecords(truth.best, truth.curvature, fedSessions))
		if err != nil {
			panic(err)
		}
		fits[name] = fit
	}
	return fits
})

// fedRecords draws sessions of four hours at reedmere and elsewhere by eight
// anglers, a bite and a half an hour at the best feed.
func fedRecords(best, curvature float64, n int) []activity.SessionRecord {
	random := rand.New(rand.NewPCG(5, 11))
	records := make([]activity.SessionRecord, n)
	for i := range records {
		day := plan.OrdinaryDay(reedmere, start)
		waterC := 3 + 7*random.Float64()
		starting, ok := feeder.StartingRateGH(feeder.Bream, waterC)
		if !ok {
			panic("no starting rate")
		}
		z := 0.55 * random.NormFloat64()
		day.DayOfYear, day.MidHour, day.WaterC = 1+59*random.Float64(), 11, model.Known(model.Celsius(waterC))
		day.WindMps = model.Known(model.MetresPerSecond(8 * random.Float64()))
		day.StartingGH, day.PlannedGH = model.Known(model.GramsPerHour(starting)), model.Known(model.GramsPerHour(starting*math.Exp(z)))
		c, err := plan.Covariates(model.Bream, day)
		if err != nil {
			panic(err)
		}
		luck := math.Exp(0.5*random.NormFloat64() - 0.125)
		bites := poisson(random, 4*1.5*luck*math.Exp(-curvature*(z-best)*(z-best)))
		fish := 0
		for range bites {
			if random.Float64() < 0.6 {
				fish++
			}
		}
		records[i] = activity.SessionRecord{
			ID: fmt.Sprintf("s-%03d", i), Water: []string{"reedmere", "elsewhere"}[i%2], Angler: fmt.Sprintf("a%d", random.IntN(8)), Weight: 1,
			Intervals: []activity.IntervalRecord{{Covariates: c, Bites: bites, BitesKnown: true, Fish: fish, FishKnown: true, RodHours: 4}},
		}
	}
	return records
}

// poisson draws by counting exponential waits.
func poisson(random *rand.Rand, mean float64) int {
	k := 0
	for at := random.ExpFloat64(); at < mean; at += random.ExpFloat64() {
		k++
	}
	return k
}

// withRecords asks for the plan of a February day with such a fit.
func withRecords(t testing.TB, fit string) plan.Input {
	t.Helper()
	in := input(t, series(ordinary))
	in.Fit, in.FitID = fedFits()[fit], "fit-"+fit
	in.Evidence.Basis = "both"
	return in
}

func TestRecordsMoveTheRateTowardsWhatTheyShow(t *testing.T) {
	for _, c := range []struct {
		fit  string
		z    model.Span // of the rate planned
		says []string
	}{
		{"less", model.Span{Low: -1.1, High: -0.3}, []string{"times the bites, 90 % interval", "that it is more", "-fold for the nearer end of the interval", "50 or more sessions"}},
		{"more", model.Span{Low: 0.1, High: 0.7}, []string{"times the bites, 90 % interval", "that it is more", "-fold for the nearer end of the interval", "50 or more sessions"}},
		{"nothing", model.Span{Low: -1.3, High: -0.05}, []string{"no visible difference", "-fold for the nearer end of the interval"}}, // the lightest that cannot be told apart
	} {
		t.Run(c.fit, func(t *testing.T) {
			in := withRecords(t, c.fit)
			p := build(t, in)
			trade := tradesInput(in, p)
			cold, err := feeder.ColdStart(trade)
			if err != nil {
				t.Fatal(err)
			}
			z := math.Log(float64(p.Feed.WishedRateGH) / cold.Feed.StartingRateGH)
			t.Logf("z = %.2f: %s", z, p.Feed.Choice.Text)
			if z < c.z.Low || z > c.z.High {
				t.Errorf("z is %.2f, want %+v", z, c.z)
			}
			// Capacity and rhythm are those of the trade for that rate.
			trade.WishedRateGH = cold.Feed.StartingRateGH * math.Pow(1.1, math.Round(z/math.Log(1.1)))
			made := sameAsTrade(t, p, trade)
			if made.Feed.RateGH == cold.Feed.RateGH {
				t.Errorf("the plan feeds the trade's %.1f g/h", cold.Feed.RateGH)
			}
			choice := p.Feed.Choice
			if choice.Basis != "records" || choice.Sessions != "50 or more" || choice.RateRatio == nil || !choice.EValue.Known || choice.AgainstUsual {
				t.Errorf("choice %+v", choice)
			}
			for _, says := range append(c.says, "cost 3 times one too little") {
				if !contains(choice.Text, says) {
					t.Errorf("%q does not say %q", choice.Text, says)
				}
			}
			if want, _ := activity.EValue(choice.RateRatio.Mean); math.Abs(want-choice.EValue.Value) > 0.02 {
				t.Errorf("E-value %v, that of %v is %v", choice.EValue.Value, choice.RateRatio.Mean, want)
			}
		})
	}
}

// Statistics pack 2.5: of two that cannot be told apart, the lighter.
func TestOfLevelsThatCannotBeToldApartTheLighterIsPlanned(t *testing.T) {
	p := build(t, withRecords(t, "nothing"))
	r := p.Feed.Choice.RateRatio
	if r.Low90 < 0.8 || r.High90 > 1.25 || float64(p.Feed.WishedRateGH) >= float64(p.Feed.Choice.AgainstGH.Value) {
		t.Errorf("%v g/h against %v, ratio %+v: want a lighter one within 0.8 to 1.25", p.Feed.WishedRateGH, p.Feed.Choice.AgainstGH.Value, *r)
	}
}

// The property of the part: whatever is asked, the plan feeds the trade's rate
// or one that the records support, and never more than a cap.
func TestTheRateStaysWithinWhatIsSupportedAndUnderTheCap(t *testing.T) {
	weathers := [][]model.WeatherHour{series(offBy(-8)), series(offBy(-3)), series(ordinary), series(offBy(4))}
	moved, capped, drawn := 0, 0, 0
	rapid.Check(t, func(r *rapid.T) {
		in := input(t, rapid.SampledFrom(weathers).Draw(r, "weather"))
		in.Fit = fedFits()[rapid.SampledFrom([]string{"less", "more", "nothing"}).Draw(r, "fit")]
		in.FeedSeed = rapid.Uint64().Draw(r, "seed")
		in.KnownWater = rapid.Bool().Draw(r, "known")
		in.Question.Water = rapid.SampledFrom([]string{"reedmere", "unheard of"}).Draw(r, "water")
		in.Question.Try = rapid.Bool().Draw(r, "try")
		if rapid.Bool().Draw(r, "usual") {
			in.UsualFeedZ = model.Known(rapid.Float64Range(-3, 3).Draw(r, "usual z"))
		}
		p := build(t, in)
		cold, err := feeder.ColdStart(tradesInput(in, p))
		if err != nil {
			r.Fatal(err)
		}
		rate, ceiling := float64(p.Feed.WishedRateGH), cold.Feed.CeilingGH
		if ceiling > 0 && (rate > ceiling+0.05 || float64(p.Feed.RateGH) > ceiling+0.05) {
			r.Fatalf("%v g/h under a cap of %v", p.Feed.RateGH, ceiling)
		}
		if ceiling > 0 {
			capped++
		}
		if p.Feed.Choice.Basis == "trial" {
			drawn++
		}
		if math.Abs(rate-cold.Feed.WishedRateGH) < 0.06 {
			return
		}
		moved++
		// The document gives rates to 0.1 g/h.
		for _, off := range []float64{0, -0.05, 0.05} {
			if in.Fit.Tried.Supported(in.Question.Water, cold.FeedTempC, rate+off).OK {
				return
			}
		}
		r.Fatalf("%v g/h at %.1f C is planned and not supported: %s", rate, cold.FeedTempC, p.Feed.Choice.Text)
	})
	if moved < 10 || capped < 10 || drawn < 10 {
		t.Errorf("%d rates moved, %d under a cap, %d drawn: want ten of each to have been seen", moved, capped, drawn)
	}
}

// A meter that read too little oxygen caps the feed at Lean, whatever the
// records show.
func TestARateThatRecordsWouldRaiseStopsAtTheCap(t *testing.T) {
	in := withRecords(t, "much more")
	free := build(t, in)
	in.Around.Meter = []model.MeterReading{{Water: "reedmere", At: now, OxygenPct: model.Known(38.0), Instrument: true}}
	p := build(t, in)
	ceiling := 0.95 * 120.0 // of Lean (trade pack 3.2 and 3.5)
	if float64(free.Feed.WishedRateGH) <= ceiling {
		t.Fatalf("%v g/h without a cap: nothing binds", free.Feed.WishedRateGH)
	}
	if p.Feed.Level != "Lean" || float64(p.Feed.RateGH) > ceiling || float64(p.Feed.WishedRateGH) < 0.8*ceiling || !contains(p.Feed.Choice.Text, "A cap holds: nothing above 114 g/h was weighed.") {
		t.Errorf("%s, %v g/h, want Lean and up to %v: %s", p.Feed.Level, p.Feed.RateGH, ceiling, p.Feed.Choice.Text)
	}
	for _, a := range p.Alternatives {
		if float64(a.RateGH.Value) > ceiling {
			t.Errorf("%s, %v g/h, is held against a plan under the cap", a.Level, a.RateGH.Value)
		}
	}
}

// In warmer water the trade's own rate is over the cap: the cap that held both is
// named, whatever the records chose below it.
func TestACapIsNamedThoughTheRecordsChoseTheRate(t *testing.T) {
	in := withRecords(t, "much more")
	in.History = history(t, series(offBy(8)))
	in.Around.Meter = []model.MeterReading{{Water: "reedmere", At: now, OxygenPct: model.Known(38.0), Instrument: true}}
	p := build(t, in)
	if p.Feed.Choice.Basis != "records" || p.Feed.WishedRateGH > 114 || !strings.HasPrefix(p.Feed.Cap, "capped at Lean (low_oxygen") {
		t.Errorf("%v g/h by %s, cap %q: %s", p.Feed.WishedRateGH, p.Feed.Choice.Basis, p.Feed.Cap, p.Feed.Choice.Text)
	}
}

// Fewer than 20 sessions show nothing of feed, and that is said.
func TestUnderTwentySessionsTheRecordsCannotShowWhatFeedDoes(t *testing.T) {
	for n, wants := range map[int]string{1: "cannot yet show what feed does (under 5 sessions with their feed planned beforehand)", 19: "cannot yet show what feed does", 20: ""} {
		fit, err := activity.FitRecords("bream", fedRecords(-0.6, 1.5, n))
		if err != nil {
			t.Fatal(err)
		}
		in := input(t, series(ordinary))
		in.Fit = fit
		p := build(t, in)
		says := p.Feed.Choice.Text
		if wants != "" {
			sameAsTrade(t, p, tradesInput(in, p))
		}
		if p.Feed.Choice.Sessions != model.CountBand(n) || wants != "" && !contains(says, wants) || wants == "" && contains(says, "cannot yet show") {
			t.Errorf("%d sessions: %s counted, %q", n, p.Feed.Choice.Sessions, says)
		}
	}
}

func TestTheRatioIsAgainstTheAnglersOwnHabitWhereItIsKnown(t *testing.T) {
	in := withRecords(t, "less")
	in.UsualFeedZ = model.Known(0.8)
	p := build(t, in)
	cold, err := feeder.ColdStart(tradesInput(in, p))
	if err != nil {
		t.Fatal(err)
	}
	c := p.Feed.Choice
	want := cold.Feed.StartingRateGH * math.Exp(0.8)
	if !c.AgainstUsual || math.Abs(float64(c.AgainstGH.Value)-want) > 0.06 || !contains(c.Text, "what you usually plan") {
		t.Errorf("choice %+v, want it against the usual %.1f g/h", c, want)
	}
	// The same two rates by the fit's own comparison, at the temperature that the
	// feed is read at: with twelve days of weather the low end.
	if !contains(c.Text, fmt.Sprintf("this is for %.0f C, the low end", cold.FeedTempC)) {
		t.Errorf("%q does not say that it is read at the low end", c.Text)
	}
	planned := dayCovariates(t, in, p)
	planned.PlannedRateGH, planned.StartingRateGH, planned.WaterC = float64(p.Feed.WishedRateGH), cold.Feed.StartingRateGH, cold.FeedTempC
	usual := planned
	usual.PlannedRateGH = want
	mean, sd, err := in.Fit.Difference(planned, anyone, usual, anyone)
	if err != nil {
		t.Fatal(err)
	}
	got := *c.RateRatio
	for what, pair := range map[string][2]float64{
		"ratio": {got.Mean, mean}, "low": {got.Low90, mean - 1.645*sd}, "high": {got.High90, mean + 1.645*sd},
	} {
		if math.Abs(math.Log(pair[0])-pair[1]) > 0.005 {
			t.Errorf("%s %v, the fit gives %.3f", what, pair[0], math.Exp(pair[1]))
		}
	}
	if got.Low90 <= 1 || c.ProbabilityMore.Value < 0.95 {
		t.Errorf("ratio %+v, probability of more %v: want the habit told to cost bites", got, c.ProbabilityMore.Value)
	}
}

func TestATrialIsDrawnAmongWhatIsSupportedAndLogged(t *testing.T) {
	in := withRecords(t, "nothing")
	in.Question.Try = true
	drawnAt := map[float64]int{}
	for seed := range uint64(20) {
		in.FeedSeed = seed * 0x9E3779B97F4A7C15
		p := build(t, in)
		trial := p.Feed.Choice.Trial
		if p.Feed.Choice.Basis != "trial" || trial == nil || !trial.Drawn || len(trial.Arms) < 2 || trial.TemperatureBand != "under 8 C" || trial.Seed != fmt.Sprintf("%016x", in.FeedSeed) {
			t.Fatalf("choice %+v, trial %+v", p.Feed.Choice, trial)
		}
		total, found := 0.0, false
		for _, arm := range trial.Arms {
			total += arm.Probability
			found = found || arm.RateGH == trial.RateGH && arm.Probability == trial.Probability
			if !in.Fit.Tried.Supported("reedmere", waterOf(p), arm.RateGH).OK {
				t.Errorf("arm %+v is not supported", arm)
			}
		}
		if math.Abs(total-1) > 1e-9 || !found || trial.Probability <= 0 {
			t.Errorf("trial %+v: probabilities add up to %v, drawn arm among them: %v", trial, total, found)
		}
		if math.Abs(float64(p.Feed.WishedRateGH)-trial.RateGH) > 0.06 {
			t.Errorf("the plan wishes %v g/h, drawn is %v", p.Feed.WishedRateGH, trial.RateGH)
		}
		// What is said in figures of the rate that would be planned otherwise is
		// not said of the one drawn.
		if c := p.Feed.Choice; c.RateRatio != nil || c.AgainstGH.Known || c.EValue.Known || !contains(c.Text, "drawn at random") || !contains(c.Text, "would be planned") {
			t.Errorf("choice %+v", c)
		}
		drawnAt[trial.RateGH]++
	}
	if len(drawnAt) < 2 {
		t.Errorf("20 seeds drew %v, want more than one level", drawnAt)
	}
}

func TestTheSamePlanIsMadeAgain(t *testing.T) {
	for _, try := range []bool{false, true} {
		in := withRecords(t, "less")
		in.Question.Try, in.FeedSeed, in.UsualFeedZ = try, 77, model.Known(-0.2)
		if diff := cmp.Diff(build(t, in), build(t, in)); diff != "" {
			t.Errorf("asked again, try %v (-first +second):\n%s", try, diff)
		}
	}
}

// waterOf is the mean water temperature of the hours planned.
func waterOf(p model.Plan) float64 {
	sum := 0.0
	for _, h := range p.Conditions {
		sum += h.WaterC.AtFeeder()
	}
	return sum / float64(len(p.Conditions))
}

func TestWithNothingToTryTheTrialIsRefusedInWords(t *testing.T) {
	in := input(t, series(ordinary))
	in.Question.Try = true
	p := build(t, in)
	sameAsTrade(t, p, tradesInput(in, p))
	c := p.Feed.Choice
	if c.Basis != "trade" || c.Trial == nil || c.Trial.Drawn || c.Trial.Why == "" || len(c.Trial.Arms) != 0 || c.Trial.RateGH != 0 || c.Trial.Probability != 0 {
		t.Errorf("choice %+v, trial %+v", c, c.Trial)
	}
	if !strings.HasPrefix(c.Text, "Nothing is drawn to try: fewer than two feed levels") {
		t.Errorf("text %q", c.Text)
	}
	in.Question.Try = false
	if build(t, in).Feed.Choice.Trial != nil {
		t.Error("there is a trial that nobody asked for")
	}
}

// Where every hour is struck out nothing is fed, and nothing is drawn.
func TestNoFeedIsChosenWhereEveryHourIsStruckOut(t *testing.T) {
	in := withRecords(t, "more")
	in.Question.Try = true
	in.History = history(t, thundery(0, 1, 2, 3))
	want := model.FeedChoice{Basis: "trade", CostOver: 3, CostUnder: 1, Text: "Nothing is fed: a caution strikes out every hour asked for."}
	if diff := cmp.Diff(want, build(t, in).Feed.Choice); diff != "" {
		t.Errorf("choice (-want +got):\n%s", diff)
	}
}

// An angler with records of their own at a water knows more than a stranger at
// a new one, by the same fit.
func TestAStrangerAtANewWaterGetsTheWiderInterval(t *testing.T) {
	in := withRecords(t, "nothing")
	width := func(water, angler string) float64 {
		in.Question.Water, in.Question.Angler = water, angler
		r := build(t, in).Activity.BitesPerH
		if !(0 < r.Low90 && r.Low90 < r.Low50 && r.Low50 < r.Median && r.Median < r.High50 && r.High50 < r.High90) {
			t.Errorf("%s at %s: rate %+v is no interval", angler, water, r)
		}
		return math.Log(r.High90 / r.Low90)
	}
	at, newWater, newAngler, stranger := width("reedmere", "a1"), width("new", "a1"), width("reedmere", "nobody"), width("new", "nobody")
	t.Logf("log width of the 90 %% interval: %.2f at home, %.2f at a new water, %.2f as a new angler, %.2f both", at, newWater, newAngler, stranger)
	if !(at < newWater && at < newAngler && newWater < stranger && newAngler < stranger) {
		t.Errorf("widths %.3f, %.3f, %.3f, %.3f; want them to grow", at, newWater, newAngler, stranger)
	}
	in.Fit = priorFit(t, model.Bream)
	if prior := width("reedmere", "a1"); prior <= at {
		t.Errorf("width %.2f by the prior alone, %.2f with records", prior, at)
	}
}

func priorFit(t testing.TB, g model.Group) activity.Fit {
	t.Helper()
	fit, err := priorOf(g)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}
