package model_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

func withdraws(id string) func(*model.Event) { return replaces(id) }

// What holds of a fish that was corrected: its weight in g, or nothing.
func TestCorrections(t *testing.T) {
	fish := func(id string, g model.Grams, more ...func(*model.Event)) model.Event {
		return event(id, model.EventFish, "08:05:00", append([]func(*model.Event){landed(model.Bream, g)}, more...)...)
	}
	takeBack := func(id, which, clock string) model.Event {
		return event(id, model.EventWithdraw, clock, withdraws(which))
	}
	for _, c := range []struct {
		name   string
		events []model.Event
		want   string
	}{
		{"as it was", []model.Event{fish("k1", 1000)}, "1000"},
		{"corrected", []model.Event{fish("k1", 1000), fish("k2", 1200, replaces("k1"), madeAt("08:10:00"))}, "1200"},
		{"corrected, and nobody said when", []model.Event{fish("k9", 1000), fish("k2", 1200, replaces("k9"))}, "1200"},
		{"moved to before it was", []model.Event{fish("k1", 1000, madeAt("08:06:00")), event("k2", model.EventFish, "08:02:00", landed(model.Bream, 1200), replaces("k1"))}, "1200"},
		{"a correction of a correction", []model.Event{fish("k1", 1000), fish("k2", 1200, replaces("k1"), madeAt("08:10:00")), fish("k3", 1300, replaces("k2"), madeAt("08:20:00"))}, "1300"},
		{"two corrections of one", []model.Event{fish("k1", 1000), fish("k2", 1200, replaces("k1"), madeAt("08:20:00")), fish("k3", 1300, replaces("k1"), madeAt("08:10:00"))}, "1200"},
		{"two corrections of one instant", []model.Event{fish("k1", 1000), fish("k2", 1200, replaces("k1")), fish("k3", 1300, replaces("k1"))}, "1300"},
		{"taken back", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00")}, ""},
		{"taken back twice", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00"), takeBack("w2", "k1", "08:11:00")}, ""},
		{"the taking back taken back", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00"), takeBack("w2", "w1", "08:11:00")}, "1000"},
		{"and that again", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00"), takeBack("w2", "w1", "08:11:00"), takeBack("w3", "w2", "08:12:00")}, ""},
		{"one of two takings back taken back", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00"), takeBack("w2", "k1", "08:11:00"), takeBack("w3", "w2", "08:12:00")}, ""},
		{"a correction taken back", []model.Event{fish("k1", 1000), fish("k2", 1200, replaces("k1")), takeBack("w1", "k2", "08:10:00")}, "1000"},
		{"taken back, then corrected", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00"), fish("k2", 1200, replaces("k1"), madeAt("08:20:00"))}, "1200"},
		{"corrected, then taken back", []model.Event{fish("k1", 1000), fish("k2", 1200, replaces("k1"), madeAt("08:10:00")), takeBack("w1", "k1", "08:20:00")}, ""},
		{"a taking back corrected into a fish", []model.Event{fish("k1", 1000), takeBack("w1", "k1", "08:10:00"), fish("k2", 1200, replaces("w1"))}, "1200"},
		{"a correction that came before what it corrects", []model.Event{fish("k2", 1200, replaces("k1"))}, "1200"},
		{"a taking back that came before what it takes back", []model.Event{takeBack("w1", "k1", "08:10:00")}, ""},
		{"a circle of two", []model.Event{fish("k1", 1000, replaces("k2")), fish("k2", 1200, replaces("k1"))}, "1200"},
		{"a circle of three, and one that hangs on it", []model.Event{fish("k1", 1000, replaces("k3")), fish("k2", 1200, replaces("k1")), fish("k3", 1300, replaces("k2")), fish("k4", 1400, replaces("k3"))}, "1400"},
		{"replacing itself", []model.Event{fish("k1", 1000, replaces("k1"))}, "1000"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var told []string
			for _, e := range model.InForce(logged(c.events...)) {
				told = append(told, asJSON(t, e.FishG))
			}
			if got := strings.Join(told, ", "); got != c.want {
				t.Errorf("fish in force: %q, want %q", got, c.want)
			}
		})
	}
}

// A long row of corrections is no trouble.
func TestAsManyCorrectionsAsASessionHolds(t *testing.T) {
	var events []model.Event
	for i := range model.MostLogged {
		e := event(fmt.Sprintf("k%04d", i), model.EventFish, "08:05:00", landed(model.Bream, model.Grams(i)))
		if i > 0 {
			e.Replaces = fmt.Sprintf("k%04d", i-1)
		}
		events = append(events, e)
	}
	began := time.Now()
	force := model.InForce(logged(events...))
	if len(force) != 1 || force[0].FishG.Value != model.MostLogged-1 {
		t.Errorf("%d in force, want the last alone", len(force))
	}
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("it took %v", took)
	}
}

// The clock of the device, by when its batches were sent and received.
func TestSkew(t *testing.T) {
	for _, c := range []struct {
		name  string
		skews []time.Duration
		want  time.Duration
	}{
		{"no events", nil, 0},
		{"right", []time.Duration{300 * time.Millisecond, 2 * time.Second}, 0},
		{"behind, and the way took long once", []time.Duration{10*time.Minute + 40*time.Second, 10*time.Minute + 200*time.Millisecond, 11 * time.Minute}, 10 * time.Minute},
		{"right, and one batch lay about for an hour", []time.Duration{time.Hour, 800 * time.Millisecond}, 0},
		{"ahead", []time.Duration{-time.Hour, -time.Hour + 3*time.Second}, -time.Hour},
	} {
		var events []model.LoggedEvent
		for i, skew := range c.skews {
			events = append(events, model.LoggedEvent{Event: event(fmt.Sprint("e", i), model.EventBite, "08:00:00"), Skew: skew})
		}
		if got := model.ClockOf(events).Behind(model.Event{}); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestTimesArePutRightAndItIsSaid(t *testing.T) {
	off := logged(bankMorning()...)
	for i := range off {
		off[i].Skew = 90*time.Minute + time.Duration(i)*time.Second
	}
	l, err := model.BuildLive("s-live", off)
	if err != nil {
		t.Fatal(err)
	}
	right := live(t, bankMorning()...)
	if !l.Session.Start.Equal(right.Session.Start.Add(90*time.Minute)) || !l.Session.End.Equal(right.Session.End.Add(90*time.Minute)) ||
		!l.Session.WaterTemp.Value.At.Value.Equal(clockAt("09:25:00")) || l.Session.Casts[1].BiteMin != right.Session.Casts[1].BiteMin {
		t.Errorf("from %s to %s, a bite at %v", l.Session.Start, l.Session.End, l.Session.Casts[1].BiteMin)
	}
	if q := l.Session.Queries; len(q) != 1 || !strings.Contains(q[0].Text, "90 min behind") {
		t.Errorf("queries %+v, want one about the clock", q)
	}
}

// A clock that was set while it logged is several, and each is told by how far
// it was set from the first.
func TestAClockThatWasSetIsPutRight(t *testing.T) {
	const hour = 3600
	type told struct {
		setS   float64       // by the event
		behind time.Duration // of the clock that told it, as its batch showed
	}
	for _, c := range []struct {
		name string
		told []told
		want []time.Duration
	}{
		{"right, then an hour ahead", []told{{0, 0}, {hour, -time.Hour}}, []time.Duration{0, -time.Hour}},
		{"an hour behind, then right", []told{{0, time.Hour}, {hour, 0}}, []time.Duration{time.Hour, 0}},
		{"an hour ahead, then right", []told{{0, -time.Hour}, {-hour, 0}}, []time.Duration{-time.Hour, 0}},
		{"set twice", []told{{0, 0}, {hour, -time.Hour}, {-hour, time.Hour}}, []time.Duration{0, -time.Hour, time.Hour}},
		{"both wrong", []told{{0, 3 * time.Hour}, {hour, 2 * time.Hour}}, []time.Duration{3 * time.Hour, 2 * time.Hour}},
		{"set in another session, and right ever since", []told{{hour, 2 * time.Second}, {hour, 4 * time.Second}}, []time.Duration{0, 0}},
		{"the way took long for one clock, and not for the other", []told{{0, time.Hour + 40*time.Second}, {hour, time.Second}}, []time.Duration{time.Hour, 0}},
		{"a few seconds off, and the difference is exact", []told{{0, 4 * time.Second}, {-7.25, 11250 * time.Millisecond}}, []time.Duration{0, 7250 * time.Millisecond}},
		{"never right: the nearest is off by whole seconds", []told{{0, 9400 * time.Millisecond}, {-100.5, 109900 * time.Millisecond}}, []time.Duration{9 * time.Second, 109500 * time.Millisecond}},
		{"from 1970", []told{{0, 56 * 365 * 24 * time.Hour}, {56 * 365 * 24 * hour, 0}}, []time.Duration{56 * 365 * 24 * time.Hour, 0}},
	} {
		var events []model.LoggedEvent
		for i, e := range c.told {
			e := model.LoggedEvent{Event: event(fmt.Sprint("e", i), model.EventBite, "08:00:00"), Skew: e.behind}
			e.ClockSetS = c.told[i].setS
			events = append(events, e)
		}
		for range 2 {
			var got []time.Duration
			for _, e := range c.told {
				got = append(got, model.ClockOf(events).Behind(model.Event{ClockSetS: e.setS}))
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("%s: behind by %v, want %v", c.name, got, c.want)
			}
			slices.Reverse(events) // the order changes nothing
		}
	}
}

// A batch is sent by the clock as it is then; what an older clock told lies as
// far from it as the clock was set between.
func TestSkewOfAnEventOfABatch(t *testing.T) {
	b := model.EventBatch{ClockSetS: 3600}
	for setS, want := range map[float64]time.Duration{3600: 10 * time.Second, 0: time.Hour + 10*time.Second, 5400: -30*time.Minute + 10*time.Second} {
		if got := b.SkewOf(model.Event{ClockSetS: setS}, 10*time.Second); got != want {
			t.Errorf("of an event told when it was set by %g s: %v, want %v", setS, got, want)
		}
	}
}

// The same morning on a phone whose clock is put an hour back, or forward, half
// way: the same session, and the doubt that belongs to it.
func TestASessionOnAClockThatIsSet(t *testing.T) {
	want := live(t, bankMorning()...)
	for _, setS := range []float64{-3600, 3600, -3599.25, -90, 0.5} {
		for at := range bankMorning() {
			set := logged(bankMorning()...)
			by := time.Duration(setS * float64(time.Second))
			for i := at; i < len(set); i++ {
				set[i].At, set[i].ClockSetS, set[i].Skew = set[i].At.Add(by), setS, -by
			}
			got, err := model.BuildLive("s-live", set)
			if err != nil {
				t.Fatal(err)
			}
			q := got.Session.Queries
			if told := len(q) == 1 && strings.Contains(q[0].Text, "was set while it logged (right, then"); at > 0 && math.Abs(setS) >= 60 && !told {
				t.Errorf("set by %g s before event %d: queries %+v", setS, at, q)
			}
			got.Session.Queries = nil
			if at > 0 {
				if diff := cmp.Diff(want, got); diff != "" {
					t.Fatalf("set by %g s before event %d (-never set +set):\n%s", setS, at, diff)
				}
			}
		}
	}
}

// Of two corrections the one written last holds, also where the clock was put
// back between them.
func TestTheLastCorrectionIsToldByClocksPutRight(t *testing.T) {
	fish := func(id string, g model.Grams, clock string, setS float64) model.LoggedEvent {
		e := event(id, model.EventFish, "08:05:00", landed(model.Bream, g), replaces("k0"), madeAt(clock))
		e.ClockSetS = setS
		e.At = e.At.Add(time.Duration(setS) * time.Second)
		return model.LoggedEvent{Event: e, Skew: -time.Duration(setS) * time.Second}
	}
	force := model.InForce([]model.LoggedEvent{
		fish("k1", 1000, "08:50:00", 0), fish("k2", 1200, "07:55:00", -3600), // written at 08:55
	})
	if len(force) != 1 || force[0].FishG.Value != 1200 || !force[0].At.Equal(clockAt("08:05:00")) || !force[0].MadeAt.Value.Equal(clockAt("08:55:00")) {
		t.Errorf("in force are %+v, want the fish of 1200 g", force)
	}
}

// What a device did not see cannot be put right, and is told.
func TestABatchThatComesLateIsTold(t *testing.T) {
	for _, c := range []struct {
		late    time.Duration
		telling string
	}{{time.Minute, ""}, {119 * time.Second, ""}, {2 * time.Minute, "came up to 2 min later"}, {time.Hour, "came up to 60 min later"}} {
		events := logged(bankMorning()...)
		for i := range 3 {
			events[i].Skew = c.late
		}
		l, err := model.BuildLive("s-live", events)
		if err != nil {
			t.Fatal(err)
		}
		if q := asJSON(t, l.Session.Queries); c.telling == "" && q != "null" || !strings.Contains(q, c.telling) {
			t.Errorf("%v late: %s, want %q", c.late, q, c.telling)
		}
	}
}

func TestSkewOfABatch(t *testing.T) {
	for _, c := range []struct {
		name string
		sent time.Time
		want time.Duration
		says string
	}{
		{"right", bankside, 0, ""},
		{"behind", bankside.Add(-time.Hour), time.Hour, ""},
		{"ahead", bankside.Add(time.Hour), -time.Hour, ""},
		{"a week ahead", bankside.Add(8 * 24 * time.Hour), 0, "set the device's clock"},
		{"years behind", bankside.AddDate(-3, 0, 0), 0, "set the device's clock"},
		{"missing", time.Time{}, 0, "it is missing"},
	} {
		got, err := model.Skew(c.sent, bankside)
		switch {
		case c.says == "" && (err != nil || got != c.want):
			t.Errorf("%s: %v, %v, want %v", c.name, got, err, c.want)
		case c.says != "" && (fieldOf(err) != "sent_at" || !strings.Contains(err.Error(), c.says)):
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.says)
		}
	}
}
