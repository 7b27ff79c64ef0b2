package main

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// For each fault of both feeds: a good pull, then the fault for as long as it
// takes to see how the client waits, then recovery, with the answer that the
// fault kept from us. The last wait ends in the recovery.
func TestFaults(t *testing.T) {
	const m, h = time.Minute, time.Hour
	doubling := []time.Duration{2 * m, 4 * m, 8 * m, 16 * m, 32 * m, 64 * m, 128 * m, 256 * m, 6 * h, 6 * h}
	// The longest life of what is published here; no fault needs to be waited
	// for longer than the answer it stands in for.
	fresh := []time.Duration{40 * m}
	for _, c := range []struct {
		name  string
		fault faultText
		says  string          // the error; empty where the fault is none
		waits []time.Duration // from each request to the next
		stood bool            // the feed stood by the first issue
		whole bool            // the second issue came all the same
	}{
		{"slow", faultText{Fault: "slow", DelayMs: 60_000}, "took too long", doubling, false, false},
		{"cut off half-way", faultText{Fault: "cut"}, "cut off", doubling, false, false},
		{"304 with no body, of an answer we never had", faultText{Fault: "304"}, "", fresh, true, false},
		{"203", faultText{Fault: "203"}, "", fresh, false, true},
		{"403", faultText{Fault: "403"}, "status 403", []time.Duration{24 * h, 24 * h}, false, false},
		{"404", faultText{Fault: "404"}, "", []time.Duration{6 * h, 6 * h}, false, false},
		{"429 with Retry-After", faultText{Fault: "429", RetryAfter: "1800"}, "status 429", []time.Duration{30 * m, 30 * m, 30 * m}, false, false},
		{"429 with Retry-After as a date", faultText{Fault: "429", RetryAfter: "Fri, 06 Feb 2026 15:23:00 GMT"}, "status 429", []time.Duration{150 * m}, false, false},
		{"429 without Retry-After", faultText{Fault: "429"}, "status 429", []time.Duration{10 * m, 20 * m, 40 * m, 80 * m, 160 * m, 320 * m, 6 * h}, false, false},
		{"500", faultText{Fault: "500"}, "status 500", doubling, false, false},
		{"HTML", faultText{Fault: "html"}, "a web page came", doubling, false, false},
		{"empty features", faultText{Fault: "empty_features"}, "properties.timeseries: it is missing or empty", doubling, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newFaultBench(t)
			first := b.now()
			b.publish(first, 0, reportRows("XINV", first)...)
			if err := b.pullAsks(1); err != nil {
				t.Fatal(err)
			}
			b.wantServed(0, first, first)

			b.advance(48 * m)
			second := b.now()
			b.publish(second, 1, reportRows("XINV", second)...)
			for _, path := range []string{reportsPath, forecastPath} {
				b.fault(path, c.fault)
			}
			if c.fault.Fault == "slow" {
				b.useClient(50 * time.Millisecond)
			}
			issue, published, stood, reports := 0, first, first, 4
			switch {
			case c.stood:
				stood = second
			case c.whole:
				issue, published, stood, reports = 1, second, second, 5
			}
			for i, wait := range c.waits {
				// Asked again at the last due moment: what is wrong is said.
				err := b.pullAsks(1)
				if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
					t.Fatalf("request %d: error %v, want one that says %q", i+1, err, c.says)
				}
				b.wantStored(reports, issue+1)
				b.advance(wait - time.Second)
				if err := b.pullAsks(0); err != nil {
					t.Errorf("not due and not asked, yet: %v", err)
				}
				b.wantServed(issue, published, stood)
				b.advance(time.Second)
			}

			b.useClient(10 * time.Second)
			for _, path := range []string{reportsPath, forecastPath} {
				b.fault(path, faultText{})
			}
			if err := b.pullAsks(1); err != nil {
				t.Fatalf("recovered, yet: %v", err)
			}
			b.wantStored(5, 2)
			b.wantServed(1, second, b.now())

			b.advance(41 * m) // past the longest promise there was
			third := b.now()
			rows := reportRows("XINV", third)
			b.publish(third, 2, rows...)
			if err := b.pullAsks(1); err != nil {
				t.Fatal(err)
			}
			b.wantStored(len(rows), 3)
			b.wantServed(2, third, third)
			b.advance(40*m - time.Second)
			if err := b.pullAsks(0); err != nil {
				t.Error(err)
			}
		})
	}
}

// Rows of a station that fell silent eleven hours ago, and of one further off
// that reports.
func TestADeadStation(t *testing.T) {
	for _, c := range []struct {
		name    string
		other   bool // another station reports
		issue   int  // of the forecast, none when negative
		kind    model.Kind
		station string
		stale   bool
	}{
		{"another station is within reach", true, 0, model.Observed, "XOTH", false},
		{"there is a forecast", false, 0, model.Forecasted, "", false},
		{"there is nothing else", false, -1, model.Missing, "", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newFaultBench(t)
			last := time.Date(2026, 2, 6, 11, 50, 0, 0, time.UTC)
			b.publish(b.now(), c.issue, reportRows("XINV", last)...)
			if _, err := b.pull(); err != nil {
				t.Fatal(err)
			}
			b.advance(10*time.Hour + 50*time.Minute) // 22:55: it has been silent for eleven hours and five minutes
			rows := reportRows("XINV", last)
			if c.other {
				for _, row := range reportRows("XOTH", b.now()) {
					rows = append(rows, strings.Replace(row, ",53.05,", ",53.3,", 1))
				}
			}
			b.publish(b.now(), c.issue, rows...)
			if _, err := b.pull(); err != nil {
				t.Fatal(err)
			}
			now := b.conditions(b.now(), b.now().Add(30*time.Minute))
			from := now.Hours[0].Provenance["air_temp_c"]
			if from.Kind != c.kind || from.Station != c.station || now.Stale != c.stale {
				t.Errorf("now: %+v, stale %v; want %s by %q, stale %v", from, now.Stale, c.kind, c.station, c.stale)
			}
			// The hour that it reported last on is still observed, and old.
			then := b.conditions(last.Add(10*time.Minute), last.Add(70*time.Minute))
			from = then.Hours[0].Provenance["air_temp_c"]
			if from.Kind != model.Observed || from.AgeMin.Value != 11*60+5 || !then.Stale {
				t.Errorf("then: %+v, stale %v; want a report, 665 min old and stale", from, then.Stale)
			}
			b.wantStored(4, max(0, c.issue+1))
		})
	}
}

// The units of a new issue are not those that are read: the issue before is
// served on, and the new one is taken once its units are right.
func TestWrongUnits(t *testing.T) {
	b := newFaultBench(t)
	first := b.now()
	b.publish(first, 0, reportRows("XINV", first)...)
	if err := b.pullAsks(1); err != nil {
		t.Fatal(err)
	}
	b.advance(48 * time.Minute)
	second := b.now()
	b.publish(second, 1, reportRows("XINV", second)...)
	b.fault(forecastPath, faultText{Fault: "wrong_units", Replace: map[string]string{"celsius": "K", "m/s": "knots"}})
	if err := b.pullAsks(1); err == nil || !strings.Contains(err.Error(), "air_temperature") {
		t.Errorf("error %v, want it to name the variable", err)
	}
	b.wantServed(0, first, first)

	b.advance(40 * time.Minute)
	b.fault(forecastPath, faultText{})
	if err := b.pullAsks(1); err != nil {
		t.Fatal(err)
	}
	b.wantServed(1, second, b.now())
	b.wantStored(5, 2)
}

// The clock goes back an hour, and the feeds' clocks do not. What is stored and
// lies ahead is not shown, nothing is shown with a negative age, no feed is
// asked more often than before, and once the clock is right nothing is lost.
func TestTheClockGoesBack(t *testing.T) {
	const hour, step = time.Hour, 4 * time.Minute
	b := newFaultBench(t)
	var published []time.Time
	for issue := range 3 {
		published = append(published, b.now())
		b.publish(b.now(), issue, reportRows("XINV", b.now())...)
		if err := b.pullAsks(1); err != nil {
			t.Fatal(err)
		}
		b.advance(48 * time.Minute)
	}
	b.advance(-hour) // from 14:29
	b.feedsAhead.Store(int64(hour))
	b.wantServed(1, published[1], published[1])

	real := func() time.Time { return b.now().Add(hour) }
	var asked []time.Time
	for i := range 60 {
		b.publish(real(), 3+i/10, reportRows("XINV", real())...)
		n, err := b.pull()
		if err != nil {
			t.Fatal(err)
		}
		if n[reportsPath] != n[forecastPath] || n[reportsPath] > 1 {
			t.Errorf("%s: asked %v", b.now().Format(time.DateTime), n)
		}
		if n[forecastPath] > 0 {
			asked = append(asked, b.now())
		}
		b.conditions(b.now().Add(-2*hour), b.now().Add(6*hour))
		b.advance(step)
	}
	// 40 minutes after it went back, and every 40 minutes from then on.
	want := []time.Time{}
	for i := range 5 {
		want = append(want, time.Date(2026, 2, 6, 14, 9+40*i, 0, 0, time.UTC))
	}
	if diff := cmp.Diff(want, asked); diff != "" {
		t.Errorf("requests (-want +got):\n%s", diff)
	}

	b.advance(hour)
	b.feedsAhead.Store(0)
	rows := reportRows("XINV", b.now())
	b.publish(b.now(), 9, rows...)
	if err := b.pullAsks(1); err != nil {
		t.Fatal(err)
	}
	b.wantStored(len(rows), 9)
	b.wantServed(9, b.now(), b.now())
}
