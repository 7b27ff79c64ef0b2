package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
	"osier/model/feeder"
	"osier/model/plan"
	"osier/model/store"
)

// plantedTruth holds what was planted in the invented records beside what the
// program found of it.
func plantedTruth(ctx context.Context, db *store.DB, world demoWorld, now time.Time) (*model.PlantedTruth, error) {
	out := &model.PlantedTruth{Truths: []model.PlantedEffect{}, Flaws: []model.PlantedFlaw{}}
	public, err := fitsOf(ctx, db, "", now)
	if err != nil {
		return nil, err
	}
	for _, rule := range []struct{ what, column string }{
		{"Temperature: bites rise steeply with it, up to 23 C", "log_appetite"},
		{"Pressure over 3 h: no effect at all", "pressure_change_3h_hpa"},
		{"Pressure over 24 h: no effect at all", "pressure_change_24h_hpa"},
	} {
		found, err := foundOf(public, rule.column)
		if err != nil {
			return nil, err
		}
		out.Truths = append(out.Truths, model.PlantedEffect{What: rule.what, Found: found})
	}
	habit, err := marloInWinter(ctx, db, now)
	if err != nil {
		return nil, err
	}
	out.Truths = append(out.Truths, habit)
	out.Flaws, err = plantedFlaws(ctx, db, world, now)
	return out, err
}

// fitsOf are the fits in force of an angler, by group; the public ones where no
// angler is named, or where theirs are all in those.
func fitsOf(ctx context.Context, db *store.DB, angler string, now time.Time) (map[model.Group]activity.Fit, error) {
	record, err := db.LatestFit(ctx, angler, now)
	if angler != "" && err != nil && model.CodeOf(err) == model.NotFound {
		record, err = db.LatestFit(ctx, "", now)
	}
	fits := map[model.Group]activity.Fit{}
	if err == nil {
		err = json.Unmarshal(record.Body, &fits)
	}
	return fits, err
}

// foundOf says what the fits found about a column, group by group.
func foundOf(fits map[model.Group]activity.Fit, column string) (string, error) {
	var said []string
	for _, g := range model.Groups() {
		if fits[g].Sessions == 0 {
			continue
		}
		effects, err := fits[g].Effects()
		if err != nil {
			return "", fmt.Errorf("say what the fit found for %s: %w", g, err)
		}
		for _, e := range effects {
			if e.Column == column {
				said = append(said, string(g)+": "+plantedFinding(e))
			}
		}
	}
	if len(said) == 0 {
		return "no public fit yet", nil
	}
	return strings.Join(said, "; "), nil
}

func plantedFinding(e activity.Effect) string {
	switch {
	case !e.Learnt:
		return "too little to say yet"
	case !e.Found:
		return "no effect found"
	case e.Change > 0:
		return "more bites"
	}
	return "fewer bites"
}

// What marlo does in winter: usually 2.2 times the trade's rate, in water of 5 C.
const (
	marloHabit   = 0.8 // ln of it
	marloWinterC = 5.0
)

// marloInWinter is what overfeeding in cold water costs marlo, for bream, which
// is what he fishes for then. He is invented: of a real angler no page tells.
func marloInWinter(ctx context.Context, db *store.DB, now time.Time) (model.PlantedEffect, error) {
	planted := model.PlantedEffect{What: fmt.Sprintf("Feed: marlo's winter habit of %.1f times the trade's rate makes for %.2f times the bites", math.Exp(marloHabit), math.Exp(demoRules.feed(marloHabit)))}
	fits, err := fitsOf(ctx, db, "marlo", now)
	if err != nil {
		return planted, err
	}
	starting, ok := feeder.StartingRateGH(feeder.Group(model.Bream), marloWinterC)
	if !ok {
		return planted, fmt.Errorf("no starting rate for bream at %g C", marloWinterC)
	}
	at := func(rateGH float64) (activity.Covariates, error) {
		return plan.Covariates(model.Bream, model.Drivers{
			DayOfYear: 15, MidHour: 12, WaterC: model.Known(model.Celsius(marloWinterC)),
			PlannedGH: model.Known(model.GramsPerHour(rateGH)), StartingGH: model.Known(model.GramsPerHour(starting)),
		})
	}
	his, err := at(starting * math.Exp(marloHabit))
	if err != nil {
		return planted, err
	}
	usual, err := at(starting)
	if err != nil {
		return planted, err
	}
	setting := activity.Setting{Angler: "marlo"}
	mean, sd, err := fits[model.Bream].Difference(his, setting, usual, setting)
	if err != nil {
		return planted, fmt.Errorf("compare marlo's feed: %w", err)
	}
	low, high := math.Exp(mean-reach90*sd), math.Exp(mean+reach90*sd)
	says := "it costs him bites"
	if high >= 1 {
		says = "cannot be told apart"
	}
	value, _ := activity.EValue(math.Exp(mean))
	planted.Found = fmt.Sprintf("%.2f times (90 %% interval %.2f to %.2f): %s. Something unrecorded that goes with both feed and bites could explain this away if it went with each %.1f-fold", math.Exp(mean), low, high, says, value)
	return planted, nil
}

// reach90 is the 95 % point of the standard normal.
const reach90 = 1.6449

// plantedFlaws counts the flaws of each kind, and those that were caught.
func plantedFlaws(ctx context.Context, db *store.DB, world demoWorld, now time.Time) ([]model.PlantedFlaw, error) {
	blanks, err := jobs.MissingBlanks(ctx, db, now)
	if err != nil {
		return nil, err
	}
	angler := map[string]string{}
	for _, s := range world.Truth.Sessions {
		angler[s.ID] = s.Angler
	}
	out := []model.PlantedFlaw{}
	for _, f := range world.Truth.Flaws {
		i := slices.IndexFunc(out, func(k model.PlantedFlaw) bool { return k.Kind == f.Kind })
		if i < 0 {
			i = len(out)
			out = append(out, model.PlantedFlaw{Kind: f.Kind, Example: f.What, CaughtBy: caughtByWords(f)})
		}
		caught, err := isCaught(ctx, db, f, func() bool {
			return slices.ContainsFunc(blanks, func(b jobs.AnglerBlanks) bool { return b.Angler == angler[f.Session] })
		})
		if err != nil {
			return nil, err
		}
		out[i].Planted++
		if caught {
			out[i].Caught++
		}
	}
	return out, nil
}

// isCaught says whether the program's own checks caught a flaw: the record was
// refused, recognised as sent before, or queried about its field, or its angler
// is missed some blanks.
func isCaught(ctx context.Context, db *store.DB, f demoFlaw, blanksMissed func() bool) (bool, error) {
	id := f.Session
	if f.Kind == flawTwice {
		id += "-again"
	}
	s, _, err := db.Session(ctx, id)
	notStored := err != nil && model.CodeOf(err) == model.NotFound
	if err != nil && !notStored {
		return false, err
	}
	switch f.Kind {
	case flawTwice, flawPounds:
		return notStored, nil
	case flawNoBlanks:
		return notStored && blanksMissed(), nil
	}
	field, isQuery := strings.CutPrefix(f.CaughtBy, "query: ")
	return isQuery && slices.ContainsFunc(s.Queries, func(q model.Query) bool { return q.Field == field }), nil
}

// caughtByWords says in a reader's words which check catches a flaw.
func caughtByWords(f demoFlaw) string {
	field, isQuery := strings.CutPrefix(f.CaughtBy, "query: ")
	switch {
	case isQuery:
		return "a query about " + strings.ReplaceAll(field, "_", " ")
	case f.Kind == flawPounds:
		return "refused: a decimal pound is no weight"
	case f.Kind == flawTwice:
		return "recognised as sent before"
	}
	return "fewer blanks than the fit expects of anybody"
}
