package main

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"osier/model"
)

// The club of the demo has its three waters told of at any date, one of them
// closed with a reason, and all of it is marked invented.
func TestTheDemoPublishesItsClubsOutlook(t *testing.T) {
	for _, c := range []struct {
		now, reason string
	}{
		{"2026-11-14T18:00:00Z", "fish were netted and moved, and the pool rests (invented)"},
		{"2026-07-20T05:00:00Z", "fish in distress in the heat (invented)"},
	} {
		now, err := time.Parse(time.RFC3339, c.now)
		if err != nil {
			t.Fatal(err)
		}
		a := newApp(t.Context(), cli{Data: t.TempDir(), Now: now}, io.Discard, io.Discard)
		db, err := a.open()
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		world, _, err := a.loadDemo(t.Context(), db)
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		told, err := a.publishDemo(t.Context(), db, world)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("the outlook took %s", time.Since(began).Round(time.Millisecond))
		if !told.Demo || told.State != model.OutlookPublished || told.Club != "hobbin-row" || len(told.Waters) != 3 || told.Days != 4 {
			t.Errorf("published %+v", told)
		}
		for i, w := range told.Waters {
			for _, d := range w.Days {
				if closed := i == thistlecote; d.Closed != closed || closed == (len(d.Groups) > 0) {
					t.Errorf("%s on %s: closed %v, %d groups", w.Water, d.Date, d.Closed, len(d.Groups))
				}
			}
		}
		var out bytes.Buffer
		demoOutlookText(&out, told)
		for _, says := range []string{"Quillmarsh Pit (invented): water about ", "Drovelow Mere (invented): ", " bites an hour", "Thistlecote Pool (invented): closed. hobbin-row has closed this water until ", c.reason} {
			if !strings.Contains(out.String(), says) {
				t.Errorf("the first screen lacks %q:\n%s", says, &out)
			}
		}
	}
}
