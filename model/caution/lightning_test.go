package caution_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/caution"
)

func symbol(h *model.ConditionHour) { h.Thunder.Symbol = model.Known(true) }

func heard(what model.Thunder) func(*model.ConditionHour) {
	return func(h *model.ConditionHour) { h.Thunder.Observed = what }
}

// A storm makes a stop while it lasts and for 30 minutes, and a care for three
// hours to either side.
func TestHowLongThunderLasts(t *testing.T) {
	inProgress := func(what model.Thunder) caution.Input {
		in := quiet()
		in.Now = from
		in = each(in, -3, 1, heard(model.ThunderNone))
		return each(in, 0, 1, heard(what))
	}
	reported := func(after time.Duration) caution.Input {
		in := quiet()
		in.Reports = []model.Report{report(model.HeardThunder, from.Add(after))}
		return in
	}
	elsewhere := reported(time.Hour)
	elsewhere.Reports[0].Water = "another-pond"
	// Hours that are over need no forecast.
	over := each(quiet(), -49, -2, func(h *model.ConditionHour) {
		h.Thunder = model.ThunderHour{Observed: model.ThunderNone}
	})
	for _, c := range []struct {
		name string
		in   caution.Input
		want []string
	}{
		{"nothing heard in hours without a forecast", over, nil},
		{"symbol in one hour", each(quiet(), 1, 2, symbol), []string{"stop 08:00-09:30", "care 07:00-08:00", "care 09:30-11:00"}},
		{"symbol in the hour before", each(quiet(), -1, 0, symbol), []string{"stop 07:00-07:30", "care 07:30-10:00", "note 10:00-11:00"}},
		{"symbol three hours after the last hour", each(quiet(), 6, 7, symbol), []string{"care 10:00-11:00", "note 07:00-10:00"}},
		{"symbol four hours after the last hour", each(quiet(), 7, 8, symbol), []string{"note " + allMorning}},
		{"heard up to the beginning", inProgress(model.ThunderNow), []string{"stop 07:00-07:30", "care 07:30-10:00"}},
		{"heard in the vicinity", inProgress(model.ThunderVicinity), []string{"stop 07:00-07:30", "care 07:30-10:00"}},
		{"heard lately", inProgress(model.ThunderRecent), []string{"stop 07:00-07:30", "care 07:30-10:00"}},
		{"not heard", inProgress(model.ThunderNone), nil},
		{"reported during", reported(40 * time.Minute), []string{"stop 07:40-08:10", "care 07:00-07:40", "care 08:10-10:40"}},
		{"reported 29 min before", reported(-29 * time.Minute), []string{"stop 07:00-07:01", "care 07:01-09:31"}},
		{"reported 30 min before", reported(-30 * time.Minute), []string{"care 07:00-09:30"}},
		{"reported at another water", elsewhere, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, levels(of(caution.Check(c.in), "lightning"))); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestThunderNotCheckedNamesWhatIsMissing(t *testing.T) {
	noSymbol := func(h *model.ConditionHour) { h.Thunder.Symbol = model.Maybe[bool]{} }
	noChance := func(h *model.ConditionHour) { h.Thunder.Probability = model.Maybe[float64]{} }
	neither := func(h *model.ConditionHour) { h.Thunder = model.ThunderHour{} }
	for _, c := range []struct {
		name string
		in   caution.Input
		want string
	}{
		{"no forecast", each(quiet(), 0, 9, neither), "Thunder was not checked: no forecast of thunder given, from 07:00 to 11:00."},
		{"a symbol without thunder alone", each(quiet(), 0, 9, noChance), "Thunder was not checked: no probability of thunder given, from 07:00 to 11:00."},
		{"a low probability alone", each(quiet(), 0, 9, noSymbol), "Thunder was not checked: no thunder symbol given, from 07:00 to 11:00."},
		{"one hour after the outing", each(quiet(), 6, 7, neither), "Thunder was not checked: no forecast of thunder given, from 10:00 to 11:00."},
		{"no station in the hours before", each(quiet(), -49, -1, heard(model.ThunderUnknown)), "Thunder was not checked: no station near enough told of it, from 07:00 to 08:00."},
	} {
		var texts []string
		for _, got := range of(caution.Check(c.in), "lightning") {
			texts = append(texts, got.Text)
			if got.Level != model.NotChecked {
				t.Errorf("%s: %+v", c.name, got)
			}
		}
		if !slices.Contains(texts, c.want) {
			t.Errorf("%s: got %q, want %s among them", c.name, texts, c.want)
		}
	}
}

// Thunder in an hour that nobody forecast would be noted all that day.
func TestAGapInTheDaysForecastIsSaid(t *testing.T) {
	in := each(quiet(), 6, 7, func(h *model.ConditionHour) { h.Thunder = model.ThunderHour{} })
	want := []string{"not checked 07:00-10:00", "not checked 10:00-11:00"}
	if diff := cmp.Diff(want, levels(of(caution.Check(in), "lightning"))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestThunderTexts(t *testing.T) {
	got := of(caution.Check(each(quiet(), 1, 2, symbol)), "lightning")
	want := "Thunder expected: stop from 08:00 to 09:30. Put the rod down and leave the water; wait 30 minutes after the last thunder."
	if got[0].Text != want {
		t.Errorf("got %s, want %s", got[0].Text, want)
	}
	in := quiet()
	in.Reports = []model.Report{report(model.HeardThunder, from.Add(10*time.Minute))}
	if got := of(caution.Check(in), "lightning")[0].Text; !strings.HasPrefix(got, "Thunder was heard at 07:10: stop until 07:40. ") {
		t.Errorf("got %s", got)
	}
}
