package jobs

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"osier/model"
)

// scoredYear is a year of scores at three waters for two groups. A few of 30
// anglers fish very often, and a fifth of the records come a month late.
func scoredYear(random *rand.Rand) []model.Score {
	var out []model.Score
	for day := range 365 {
		for range 2 + random.IntN(3) {
			angler := int(30 * math.Pow(random.Float64(), 2))
			start := time.Date(2026, 1, 1, 8, random.IntN(60), 0, 0, time.UTC).AddDate(0, 0, day)
			s := model.Score{
				Session: fmt.Sprintf("s-%d", len(out)), Angler: fmt.Sprintf("A%d", angler), Start: start, FirstScoredAt: start.Add(8 * time.Hour),
				Water: []string{"mere", "pit", "carr"}[(angler+random.IntN(2))%3], Group: []model.Group{model.Bream, model.Silver}[random.IntN(4)/3],
			}
			if random.IntN(5) == 0 {
				s.FirstScoredAt = s.FirstScoredAt.AddDate(0, 1, 0)
			}
			out = append(out, s)
		}
	}
	return out
}

// totals are the sessions behind every total that anybody can ask for at an
// instant: of a month or all, a water or all, a group or all.
func totals(scores []model.Score, now time.Time) map[string][]model.Score {
	out := map[string][]model.Score{}
	for _, water := range []string{"", "mere", "pit", "carr"} {
		for _, g := range []model.Group{"", model.Bream, model.Silver} {
			asked := slices.DeleteFunc(slices.Clone(scores), func(s model.Score) bool {
				return water != "" && s.Water != water || g != "" && s.Group != g
			})
			told, _ := disclose(asked, now)
			name := water + "/" + string(g) + "/"
			for month, batch := range told {
				out[name+month] = batch
				out[name] = append(out[name], batch...)
			}
		}
	}
	return out
}

// difference is what one of two totals, each by session, counts and the other
// does not.
func difference(a, b []model.Score) []model.Score {
	var out []model.Score
	for len(a) > 0 && len(b) > 0 {
		switch order := cmp.Compare(a[0].Session, b[0].Session); {
		case order == 0:
			a, b = a[1:], b[1:]
		case order < 0:
			out, a = append(out, a[0]), a[1:]
		default:
			out, b = append(out, b[0]), b[1:]
		}
	}
	return append(append(out, a...), b...)
}

// Statistics pack 6: overlapping totals allow differencing, over all versions
// ever told. Any two totals, of any two instants of a year, are held against the
// rule.
func TestNoTwoPublicTotalsDifferByWhatOneAnglerDid(t *testing.T) {
	scores := scoredYear(rand.New(rand.NewPCG(3, 8)))
	var all [][]model.Score
	seen := map[string]bool{}
	for day := 32; day < 400; day += 31 {
		now := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day)
		known := slices.DeleteFunc(slices.Clone(scores), func(s model.Score) bool { return s.FirstScoredAt.After(now) })
		for _, total := range totals(known, now) {
			slices.SortFunc(total, func(a, b model.Score) int { return cmp.Compare(a.Session, b.Session) })
			name := ""
			for _, s := range total {
				name += s.Session
			}
			if !seen[name] {
				seen[name] = true
				all = append(all, total)
			}
		}
	}
	if len(all) < 100 {
		t.Fatalf("%d totals, the test wants many", len(all))
	}
	compared := 0
	for i, a := range all {
		for _, b := range all[:i] {
			d := difference(a, b)
			compared++
			if why := model.Withheld(scoresByAngler(d)); len(d) > 0 && len(why) > 0 {
				t.Fatalf("two totals of %d and %d sessions differ by %d: %v", len(a), len(b), len(d), why)
			}
		}
	}
	t.Logf("%d totals, %d pairs, of %d scores", len(all), compared, len(scores))
}

// A session deleted or corrected takes nothing of the others along but what the
// rule no longer holds for.
func TestADeletedSessionLeavesThePublicRecordAtOnce(t *testing.T) {
	now := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	var scores []model.Score
	for i := range 11 {
		at := time.Date(2026, 2, 1+i, 9, 0, 0, 0, time.UTC)
		scores = append(scores, model.Score{Session: fmt.Sprintf("s-%d", i), Angler: fmt.Sprintf("A%d", i%5), Water: "mere", Group: model.Carp, Start: at, FirstScoredAt: at})
	}
	count := func(scores []model.Score) int {
		n := 0
		told, _ := disclose(scores, now)
		for _, batch := range told {
			n += len(batch)
		}
		return n
	}
	for deleted, want := range []int{11, 10, 0} {
		if got := count(scores[deleted:]); got != want {
			t.Errorf("%d deleted: %d told, want %d", deleted, got, want)
		}
	}
}
