package main

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"strings"
	"testing"
	"time"

	"osier/model"
)

// plantedAt is what the findings page of the demo tells of the truth.
func plantedAt(t *testing.T, now time.Time) (planted *model.PlantedTruth) {
	t.Helper()
	dir, err := os.MkdirTemp("", "osier-planted")
	if err != nil {
		t.Fatal(err)
	}
	a := app{ctx: context.Background(), stdout: io.Discard, stderr: io.Discard, data: dir, now: func() time.Time { return now }, log: slog.New(slog.DiscardHandler)}
	db, err := a.open()
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := errors.Join(db.Close(), os.RemoveAll(dir)); err != nil {
			t.Error(err)
		}
	}()
	world, _, err := a.loadDemo(a.ctx, db)
	if err != nil {
		t.Fatal(err)
	}
	if planted, err = plantedTruth(a.ctx, db, world, a.now()); err != nil {
		t.Fatal(err)
	}
	return planted
}

// Every flaw is told with how it was caught, and every one was.
func TestTheDemoTellsWhatWasPlantedAndCaught(t *testing.T) {
	planted := plantedAt(t, demoNow)
	want := map[string]int{flawClock: flawsOfClock, flawPounds: flawsOfPounds, flawLoads: flawsOfLoads, flawLate: flawsOfLate, flawTwice: 2, flawAir: 1}
	kinds := map[string]bool{}
	for _, f := range planted.Flaws {
		kinds[f.Kind] = true
		if f.Caught != f.Planted || f.Example == "" || f.CaughtBy == "" {
			t.Errorf("%+v", f)
		}
		if n, ok := want[f.Kind]; ok && f.Planted != n {
			t.Errorf("%d planted of %s, want %d", f.Planted, f.Kind, n)
		}
	}
	if len(kinds) != 8 {
		t.Errorf("%d kinds of flaw are told of, want 8: %v", len(kinds), kinds)
	}
	for _, truth := range planted.Truths {
		t.Logf("%s -> %s", truth.What, truth.Found)
	}
	if n := len(planted.Truths); n != 4 {
		t.Fatalf("%d truths", n)
	}
	if found := planted.Truths[0].Found; !strings.Contains(found, "more bites") {
		t.Errorf("temperature: %s", found)
	}
	for _, pressure := range planted.Truths[1:3] {
		if !strings.Contains(pressure.Found, "no effect found") || strings.Contains(pressure.Found, "more bites") || strings.Contains(pressure.Found, "fewer bites") {
			t.Errorf("pressure: %s", pressure.Found)
		}
	}
	if found := planted.Truths[3].Found; !strings.Contains(found, "it costs him bites") {
		t.Errorf("feed: %s", found)
	}
}
