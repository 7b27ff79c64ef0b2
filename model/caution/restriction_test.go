package caution_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
	"osier/model/caution"
)

// restriction holds for the middle two of the four hours planned.
func restriction(kind model.RestrictionKind) model.Restriction {
	r := model.Restriction{
		ID: "r-1", Club: "quill-club", Water: "quillmarsh-pit", Kind: kind, From: from.Add(time.Hour), Until: model.Known(from.Add(3 * time.Hour)),
		Reason: "fish in distress", DecidedBy: "water-officer",
	}
	if kind == model.FeedLimit {
		r.FeedLimitDryG = model.Known[model.Grams](500)
	}
	return r
}

// The outing is 07:00 to 11:00 by the clock at the water.
func TestAClosureStopsItsHoursAndNoOthers(t *testing.T) {
	for _, c := range []struct {
		name     string
		from     time.Duration // after the outing begins
		until    model.Maybe[time.Duration]
		lifted   model.Maybe[time.Duration]
		want     []string
		strikes  []bool
		inTheSay string
	}{
		{"over as it begins", -2 * time.Hour, model.Known(time.Duration(0)), model.Maybe[time.Duration]{}, nil, []bool{false, false, false, false}, ""},
		{"over a second later", -2 * time.Hour, model.Known(time.Second), model.Maybe[time.Duration]{}, []string{"stop 07:00-07:00"}, []bool{true, false, false, false}, "quill-club has closed this water until 9 April 2025, 07:00: "},
		{"its middle", time.Hour, model.Known(3 * time.Hour), model.Maybe[time.Duration]{}, []string{"stop 08:00-10:00"}, []bool{false, true, true, false}, "quill-club has closed this water from 9 April 2025, 08:00 until 9 April 2025, 10:00: fish in distress. Decided by water-officer."},
		{"for weeks", -time.Hour, model.Known(20 * 24 * time.Hour), model.Maybe[time.Duration]{}, []string{"stop 07:00-11:00"}, []bool{true, true, true, true}, "until 29 April 2025, 07:00: "},
		{"until it is lifted", 2 * time.Hour, model.Maybe[time.Duration]{}, model.Maybe[time.Duration]{}, []string{"stop 09:00-11:00"}, []bool{false, false, true, true}, "from 9 April 2025, 09:00 until it is lifted: "},
		{"lifted", 0, model.Maybe[time.Duration]{}, model.Known(time.Hour), []string{"stop 07:00-08:00"}, []bool{true, false, false, false}, "until 9 April 2025, 08:00: "},
		{"lifted before it began", time.Hour, model.Maybe[time.Duration]{}, model.Known(time.Duration(0)), nil, []bool{false, false, false, false}, ""},
		{"begins as it ends", 4 * time.Hour, model.Maybe[time.Duration]{}, model.Maybe[time.Duration]{}, nil, []bool{false, false, false, false}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := restriction(model.WaterClosed)
			after := func(d model.Maybe[time.Duration]) model.Maybe[time.Time] {
				return model.Maybe[time.Time]{Value: from.Add(d.Value), Known: d.Known}
			}
			r.From, r.Until, r.LiftedAt = from.Add(c.from), after(c.until), after(c.lifted)
			in := quiet()
			in.Restrictions = []model.Restriction{r}
			found := caution.Check(in)
			closed := of(found, "closed")
			if diff := cmp.Diff(c.want, levels(closed)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			for i, strikes := range c.strikes {
				if at := from.Add(time.Duration(i) * time.Hour); caution.Struck(found, at) != strikes {
					t.Errorf("hour %d is struck: %v", i, !strikes)
				}
			}
			if len(closed) == 1 && !strings.Contains(closed[0].Text, c.inTheSay) {
				t.Errorf("it says %q", closed[0].Text)
			}
		})
	}
}

func TestAClosureStandsAfterOfficialWarningsAndBeforeAllElse(t *testing.T) {
	in := each(quiet(), 0, 5, windAndGust(9, 22)) // a stop by wind
	in.Warnings = []model.OfficialWarning{warning(model.HazardWind, model.Minor)}
	in.Restrictions = []model.Restriction{restriction(model.WaterClosed)}
	got := caution.Check(in)
	var ids []string
	for _, c := range got[:3] {
		ids = append(ids, c.ID+" "+string(c.Level))
	}
	if diff := cmp.Diff([]string{"official_warning note", "closed stop", "wind stop"}, ids); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestKeepnetsAreRefusedToThoseWhoMeanToUseOne(t *testing.T) {
	for keepnet, want := range map[bool]string{true: "care 08:00-10:00", false: "note 08:00-10:00"} {
		in := quiet()
		in.Keepnet, in.Restrictions = keepnet, []model.Restriction{restriction(model.NoKeepnets)}
		found := caution.Check(in)
		if diff := cmp.Diff([]string{want}, levels(of(found, "club_keepnets"))); diff != "" {
			t.Errorf("keepnet %v (-want +got):\n%s", keepnet, diff)
		}
		for _, c := range of(found, "keepnet") {
			if c.Level == model.Note && !strings.Contains(c.Text, "A club's restriction allows none") {
				t.Errorf("the rule is told as %q", c.Text)
			}
		}
		if caution.Struck(found, from.Add(time.Hour)) {
			t.Error("an hour is struck out, and fishing without a keepnet is allowed")
		}
	}
}

func TestTheLeastFeedLimitHolds(t *testing.T) {
	limit := restriction(model.FeedLimit)
	other, elsewhere, over := limit, limit, limit
	other.FeedLimitDryG, elsewhere.FeedLimitDryG, over.FeedLimitDryG = model.Known[model.Grams](800), model.Known[model.Grams](100), model.Known[model.Grams](100)
	elsewhere.Water, over.LiftedAt = "other-pit", model.Known(from)
	none := model.Maybe[model.Grams]{}
	for _, c := range []struct {
		name         string
		own          model.Maybe[model.Grams]
		restrictions []model.Restriction
		want         model.Maybe[model.Grams]
	}{
		{"none", none, nil, none},
		{"the water's own", model.Known[model.Grams](600), nil, model.Known[model.Grams](600)},
		{"the club's alone", none, []model.Restriction{limit}, model.Known[model.Grams](500)},
		{"the club's is less", model.Known[model.Grams](600), []model.Restriction{other, limit}, model.Known[model.Grams](500)},
		{"the water's is less", model.Known[model.Grams](300), []model.Restriction{limit}, model.Known[model.Grams](300)},
		{"another water's and one that is over", none, []model.Restriction{elsewhere, over}, none},
		{"a closure limits no feed", none, []model.Restriction{restriction(model.WaterClosed)}, none},
	} {
		in := quiet()
		in.Water.FeedLimitDryG, in.Restrictions = c.own, c.restrictions
		if got := in.FeedLimitDryG(in.Water, from, until); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
	in := quiet()
	in.Restrictions = []model.Restriction{limit, elsewhere}
	got := only(t, in, "club_feed_limit")
	if got.Level != model.Care || got.Inputs["limit_dry_g"] != 500 || !strings.Contains(got.Text, "at most 500 g of dry feed a day") {
		t.Errorf("got %+v", got)
	}
}

// Whatever was found stays found, at its level, when clubs decide more.
func TestARestrictionNeverLowersALevel(t *testing.T) {
	one := rapid.Custom(func(t *rapid.T) model.Restriction {
		r := restriction(rapid.SampledFrom([]model.RestrictionKind{model.WaterClosed, model.NoKeepnets, model.FeedLimit}).Draw(t, "kind"))
		r.From = from.Add(time.Duration(rapid.IntRange(-300, 300).Draw(t, "from")) * time.Minute)
		r.Until = model.Maybe[time.Time]{Value: r.From.Add(time.Duration(rapid.IntRange(1, 600).Draw(t, "for")) * time.Minute), Known: rapid.Bool().Draw(t, "ends")}
		r.LiftedAt = model.Maybe[time.Time]{Value: from.Add(time.Duration(rapid.IntRange(-300, 300).Draw(t, "lifted")) * time.Minute), Known: rapid.Bool().Draw(t, "is lifted")}
		return r
	})
	rapid.Check(t, func(t *rapid.T) {
		in := each(quiet(), 0, 2, windAndGust(9, rapid.Float64Range(0, 30).Draw(t, "gust")))
		in.Keepnet = rapid.Bool().Draw(t, "keepnet")
		in.Restrictions = rapid.SliceOfN(one, 0, 3).Draw(t, "before")
		before := caution.Check(in)
		in.Restrictions = append(in.Restrictions, one.Draw(t, "more"))
		after := caution.Check(in)
		count := map[string]int{}
		for _, c := range after {
			count[c.ID+string(c.Level)+c.From.String()+c.Until.String()]++
		}
		for _, c := range before {
			key := c.ID + string(c.Level) + c.From.String() + c.Until.String()
			if count[key]--; count[key] < 0 {
				t.Fatalf("%s of level %s is gone", c.ID, c.Level)
			}
		}
		for at := from; at.Before(until); at = at.Add(time.Hour) {
			if caution.Struck(before, at) && !caution.Struck(after, at) {
				t.Fatalf("%s is open again", at)
			}
		}
	})
}

func TestAPlanIsToldWhatWasDecidedSince(t *testing.T) {
	in := quiet()
	knew := restriction(model.NoKeepnets)
	knew.ID = "r-knew"
	in.Restrictions = []model.Restriction{knew}
	p := model.Plan{Start: from, Question: model.Question{Start: from, Hours: 4}, Cautions: caution.Check(in)}
	made, elsewhere, later, lifted := restriction(model.WaterClosed), restriction(model.WaterClosed), restriction(model.WaterClosed), knew
	elsewhere.Water = "other-pit"
	later.From, later.Until = until, model.Maybe[time.Time]{}
	lifted.LiftedAt, lifted.LiftedBy, lifted.LiftedWhy = model.Known(from.Add(2*time.Hour)), "water-officer", "rain came"
	for _, c := range []struct {
		name string
		now  []model.Restriction
		want []string
		says string
	}{
		{"nothing new", []model.Restriction{knew}, nil, ""},
		{"closed since", []model.Restriction{knew, made}, []string{"stop 08:00-10:00"}, "This was decided after the plan was issued: ask for a new plan."},
		{"another water, and other hours", []model.Restriction{knew, elsewhere, later}, nil, ""},
		{"lifted since", []model.Restriction{lifted}, []string{"note 09:00-10:00"}, "quill-club lifted a restriction that this plan names (club_keepnets) on 9 April 2025, 09:00: rain came. Decided by water-officer."},
	} {
		got := caution.SinceIssued(p, in.Water, c.now)
		if diff := cmp.Diff(c.want, levels(got)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
		if len(got) > 0 && !strings.Contains(got[0].Text, c.says) {
			t.Errorf("%s: it says %q", c.name, got[0].Text)
		}
	}
}
