package plan_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

// inputAt is an outing at a water of its own name, in the weather given.
func inputAt(t testing.TB, water string, hours []model.WeatherHour) plan.Input {
	t.Helper()
	w := reedmere
	w.ID, w.Name = water, strings.ToUpper(water[:1])+water[1:]
	h, err := plan.NewHistory(w, hours, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	in := input(t, hours)
	in.History, in.Question.Water, in.Question.Angler = h, water, "VP"
	in.Evidence.Basis = "both"
	return in
}

func consider(t testing.TB, in plan.Input) plan.Considered {
	t.Helper()
	c, err := plan.Consider(in)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func considerAt(t testing.TB, water string, hours []model.WeatherHour) plan.Considered {
	t.Helper()
	return consider(t, inputAt(t, water, hours))
}

// fitTo is a fit to as many sessions of four hours at each water as told, with
// the bites that each had on average.
func fitTo(t testing.TB, sessions int, bites map[string]int) activity.Fit {
	t.Helper()
	in := input(t, series(ordinary))
	c, err := plan.Covariates(model.Bream, in.History.Drivers(plan.Outing{
		Start: in.Question.Start, End: in.Question.End(), Group: model.Bream, PlannedGH: model.Known[model.GramsPerHour](150),
	}))
	if err != nil {
		t.Fatal(err)
	}
	var records []activity.SessionRecord
	for water, mean := range bites {
		for i := range sessions {
			records = append(records, activity.SessionRecord{
				ID: fmt.Sprintf("%s-%d", water, i), Water: water, Angler: "VP", Weight: 1,
				Intervals: []activity.IntervalRecord{{Covariates: c, Bites: mean + i%3 - 1, BitesKnown: true, RodHours: 4}},
			})
		}
	}
	fit, err := activity.FitRecords("bream", records)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

func compare(t testing.TB, fit activity.Fit, a, b plan.Considered) (mean, sd float64) {
	t.Helper()
	mean, sd, err := plan.Compare(fit, a, b)
	if err != nil {
		t.Fatal(err)
	}
	return mean, sd
}

func comparedWith(t testing.TB, fit activity.Fit, options ...plan.Considered) ([]model.ChoiceComparison, string) {
	t.Helper()
	comparisons, summary, err := plan.Compared(fit, options)
	if err != nil {
		t.Fatal(err)
	}
	return comparisons, summary
}

func TestAnOptionIsItsPlanInShort(t *testing.T) {
	for name, hours := range everyWeather() {
		in := inputAt(t, "reedmere", hours)
		p, o := build(t, in), consider(t, in).Option
		if diff := cmp.Diff(p.Activity, o.Activity); diff != "" {
			t.Errorf("%s: activity of the plan (-) and of the option (+) differ:\n%s", name, diff)
		}
		if o.Feed.Level != p.Feed.Level || o.Feed.RateGH != p.Feed.RateGH || o.Feeder.CapacityMl != p.Feeder.CapacityMl || o.Feeder.Step != p.Feeder.Step {
			t.Errorf("%s: feed %+v and feeder %+v, the plan has %+v and %+v", name, o.Feed, o.Feeder, p.Feed, p.Feeder)
		}
		if o.Confidence.Level != p.Confidence.Level || o.Weather.MissingHours != p.Weather.MissingHours || o.Plan != p.Question {
			t.Errorf("%s: confidence %s, %d hours missing, question %+v", name, o.Confidence.Level, o.Weather.MissingHours, o.Plan)
		}
		for _, c := range p.Cautions {
			shown := slices.ContainsFunc(o.Cautions, func(k model.ChoiceCaution) bool { return k.ID == c.ID && k.Level == c.Level && k.Text == c.Text })
			if !slices.Contains(o.CautionIDs, c.ID) || shown != (c.Level == model.Stop || c.Level == model.Care) || c.Level == model.NotChecked && !slices.Contains(o.NotChecked, c.ID) {
				t.Errorf("%s: %s %s is lost in %+v, %v, not checked %v", name, c.Level, c.ID, o.Cautions, o.CautionIDs, o.NotChecked)
			}
		}
	}
}

func TestAStruckOptionShowsNothingAndIsComparedWithNothing(t *testing.T) {
	fit := fitTo(t, 20, map[string]int{"reedmere": 12, "aldermere": 12})
	open, struck := considerAt(t, "reedmere", series(ordinary)), considerAt(t, "aldermere", thundery(0, 1, 2, 3))
	if o := struck.Option; !o.Struck || o.Activity != nil || o.Feed.RateGH != 0 || len(o.Cautions) == 0 || o.Cautions[0].Level != model.Stop {
		t.Errorf("struck option %+v, want no activity, no feed and the caution first", o)
	}
	for _, pair := range [][2]plan.Considered{{open, struck}, {struck, open}} {
		if _, _, err := plan.Compare(fit, pair[0], pair[1]); err == nil || !contains(err.Error(), "struck out") {
			t.Errorf("compared with a struck option: error %v", err)
		}
	}
	comparisons, summary := comparedWith(t, fit, struck, open)
	if len(comparisons) != 0 || summary != "Only Reedmere on Saturday 7 February is left to go by; there is nothing to hold it against." {
		t.Errorf("%d comparisons: %q", len(comparisons), summary)
	}
	if _, summary := comparedWith(t, fit, struck); summary != "A caution strikes every one of these out: do not fish then." {
		t.Errorf("all struck: %q", summary)
	}
	if _, summary := comparedWith(t, fit); summary != "Nothing can be said about any of these; each refusal says why." {
		t.Errorf("none: %q", summary)
	}
}

// Hours struck in part leave an option in the comparison.
func TestAnOptionStruckInPartIsCompared(t *testing.T) {
	fit := fitTo(t, 20, map[string]int{"reedmere": 12, "aldermere": 12})
	part := considerAt(t, "aldermere", thundery(3))
	if part.Option.Struck || part.Option.Activity == nil || part.Option.Activity.HoursCounted != 3 {
		t.Fatalf("option %+v, want three hours left", part.Option)
	}
	if comparisons, _ := comparedWith(t, fit, considerAt(t, "reedmere", series(ordinary)), part); len(comparisons) != 1 {
		t.Errorf("%d comparisons, want one", len(comparisons))
	}
}

func TestWatersThatDifferAreToldApart(t *testing.T) {
	fit := fitTo(t, 30, map[string]int{"reedmere": 40, "aldermere": 4})
	better, worse := considerAt(t, "reedmere", series(ordinary)), considerAt(t, "aldermere", series(ordinary))
	for name, options := range map[string][]plan.Considered{"better first": {better, worse}, "better last": {worse, better}} {
		comparisons, summary := comparedWith(t, fit, options...)
		if len(comparisons) != 1 {
			t.Fatalf("%s: %d comparisons, want one", name, len(comparisons))
		}
		c := comparisons[0]
		if c.Water != "aldermere" || c.Against.Water != "reedmere" || !c.ToldApart || c.RateRatio.Mean > 0.3 || c.RateRatio.High90 >= 1 || !(c.RateRatio.Low90 < c.RateRatio.Mean && c.RateRatio.Mean < c.RateRatio.High90) {
			t.Errorf("%s: %+v, want aldermere at about a tenth of reedmere", name, c)
		}
		if want := fmt.Sprintf("about %.2f times the bites an hour of Reedmere on Saturday 7 February, 90 %% interval %.2f to %.2f", c.RateRatio.Mean, c.RateRatio.Low90, c.RateRatio.High90); c.Text != want {
			t.Errorf("%s: text %q, want %q", name, c.Text, want)
		}
		if summary != "Reedmere on Saturday 7 February is expected to give more bites an hour than the other." {
			t.Errorf("%s: summary %q", name, summary)
		}
	}
}

func TestWhatCannotBeToldApartIsGivenNoOrder(t *testing.T) {
	fit := fitTo(t, 3, map[string]int{"reedmere": 7, "aldermere": 6})
	a, b, unseen := considerAt(t, "aldermere", series(ordinary)), considerAt(t, "reedmere", series(ordinary)), considerAt(t, "nowhere", series(ordinary))
	comparisons, summary := comparedWith(t, fit, a, b, unseen)
	if len(comparisons) != 2 {
		t.Fatalf("%d comparisons, want two", len(comparisons))
	}
	for _, c := range comparisons {
		if c.ToldApart || !contains(c.Text, "cannot be told apart from Reedmere") || !contains(c.Text, "90 % interval") || contains(c.Text, "about") {
			t.Errorf("%+v, want it not told apart from Reedmere", c)
		}
	}
	if !strings.HasPrefix(summary, "None of these 3 can be told apart") || contains(summary, "Reedmere") || contains(summary, "Aldermere") {
		t.Errorf("summary %q, want no water named before another", summary)
	}
}

func TestSomeCanBeToldApartAndSomeNot(t *testing.T) {
	fit := fitTo(t, 30, map[string]int{"reedmere": 40, "aldermere": 39, "coldpit": 4})
	cold, alder, reed := considerAt(t, "coldpit", series(ordinary)), considerAt(t, "aldermere", series(ordinary)), considerAt(t, "reedmere", series(ordinary))
	comparisons, summary := comparedWith(t, fit, cold, alder, reed)
	var order []string
	for _, c := range comparisons {
		order = append(order, fmt.Sprint(c.Water, c.ToldApart))
	}
	if diff := cmp.Diff([]string{"coldpittrue", "aldermerefalse"}, order); diff != "" {
		t.Errorf("comparisons, in the order of the options (-want +got):\n%s", diff)
	}
	const want = "These 2 cannot be told apart from the one of them with the most bites expected: Aldermere on Saturday 7 February; Reedmere on Saturday 7 February. Fewer are expected of the other."
	if summary != want {
		t.Errorf("summary %q, want %q", summary, want)
	}
}

// The same water in the same weather on the same day differs by nothing.
func TestOneOptionTwiceShowsNoVisibleDifference(t *testing.T) {
	fit := fitTo(t, 20, map[string]int{"reedmere": 12, "aldermere": 12})
	o := considerAt(t, "reedmere", series(ordinary))
	comparisons, _ := comparedWith(t, fit, o, o)
	if c := comparisons[0]; c.ToldApart || c.RateRatio != (model.RatioRange{Mean: 1, Low90: 1, High90: 1}) || c.Text != "no visible difference from Reedmere on Saturday 7 February: 1.00 to 1.00 times its bites an hour (90 % interval)" {
		t.Errorf("%+v", c)
	}
}

func TestAnUnseenWaterIsWiderThanASeenOne(t *testing.T) {
	fit := fitTo(t, 20, map[string]int{"reedmere": 12, "aldermere": 11, "coldpit": 13})
	reed, alder, unseen := considerAt(t, "reedmere", series(ordinary)), considerAt(t, "aldermere", series(ordinary)), considerAt(t, "nowhere", series(ordinary))
	_, seen := compare(t, fit, alder, reed)
	_, wide := compare(t, fit, unseen, reed)
	if !(wide > seen) {
		t.Errorf("sd %v against an unseen water, %v against a seen one; want it wider", wide, seen)
	}
	few := fitTo(t, 4, map[string]int{"reedmere": 12, "aldermere": 11, "coldpit": 13})
	if _, sd := compare(t, few, alder, reed); sd <= seen {
		t.Errorf("sd %v after 4 sessions each, %v after 20; want it narrower with more", sd, seen)
	}
}

func TestADifferenceTurnsRoundWithItsSides(t *testing.T) {
	fit := fitTo(t, 10, map[string]int{"reedmere": 12, "aldermere": 5})
	a, b := considerAt(t, "reedmere", series(ordinary)), considerAt(t, "aldermere", series(ordinary))
	m1, s1 := compare(t, fit, a, b)
	m2, s2 := compare(t, fit, b, a)
	if math.Abs(m1+m2) > 1e-12 || math.Abs(s1-s2) > 1e-12 || m1 <= 0 {
		t.Errorf("%v +- %v one way, %v +- %v the other", m1, s1, m2, s2)
	}
}

func TestMissingWeatherIsSaidInTheComparisonAndWidensIt(t *testing.T) {
	fit := fitTo(t, 20, map[string]int{"reedmere": 12, "aldermere": 12})
	known, unknown := considerAt(t, "reedmere", series(ordinary)), considerAt(t, "aldermere", nothing())
	if o := unknown.Option; o.Weather.MissingHours != 4 || o.Confidence.Level != "low" || len(o.NotChecked) == 0 {
		t.Errorf("without weather: %d hours missing, confidence %s, not checked %v", o.Weather.MissingHours, o.Confidence.Level, o.NotChecked)
	}
	comparisons, _ := comparedWith(t, fit, known, unknown)
	if !contains(comparisons[0].Text, "weather is missing for some of these hours") {
		t.Errorf("text %q does not say that weather is missing", comparisons[0].Text)
	}
	alike := considerAt(t, "aldermere", series(ordinary))
	comparisons, _ = comparedWith(t, fit, known, alike)
	if contains(comparisons[0].Text, "missing") {
		t.Errorf("text %q says that weather is missing", comparisons[0].Text)
	}
	_, with := compare(t, fit, known, alike)
	_, without := compare(t, fit, known, unknown)
	if without < with+0.05 {
		t.Errorf("sd %v with the weather, %v without; want it clearly wider", with, without)
	}
}

func TestAChoiceByThePriorAloneSaysSo(t *testing.T) {
	a, b := inputAt(t, "reedmere", series(ordinary)), inputAt(t, "aldermere", series(ordinary))
	a.Evidence.Basis, b.Evidence.Basis = "prior", "prior"
	const says = "No records stand behind this"
	if _, summary := comparedWith(t, a.Fit, consider(t, a), consider(t, b)); !contains(summary, says) {
		t.Errorf("summary %q, want it to say %q", summary, says)
	}
	b.Evidence.Basis = "both"
	if _, summary := comparedWith(t, a.Fit, consider(t, a), consider(t, b)); contains(summary, says) {
		t.Errorf("summary %q says that no records stand behind it", summary)
	}
}

func TestALongSummaryNamesEightAndCountsTheRest(t *testing.T) {
	bites := map[string]int{"coldpit": 2}
	options := []plan.Considered{considerAt(t, "coldpit", series(ordinary))}
	for i := range 11 {
		water := fmt.Sprintf("pit%d", i)
		bites[water] = 40
		options = append(options, considerAt(t, water, series(ordinary)))
	}
	_, summary := comparedWith(t, fitTo(t, 12, bites), options...)
	if !strings.HasPrefix(summary, "These 11 cannot be told apart") || strings.Count(summary, " on Saturday 7 February") != 8 || !contains(summary, "; and 3 more. Fewer are expected of the other.") {
		t.Errorf("summary %q", summary)
	}
}

func TestAnOutingThatNoPlanIsMadeForIsRefused(t *testing.T) {
	in := inputAt(t, "reedmere", series(ordinary))
	in.Question.Start = time.Time{}
	if _, err := plan.Consider(in); err == nil {
		t.Error("an outing at no time was considered")
	}
}
