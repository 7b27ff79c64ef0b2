package model_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

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
		if got := model.LeastSkew(events); got != c.want {
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
