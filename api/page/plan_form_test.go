package page_test

import (
	"errors"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/api/page"
	"osier/model"
)

func asked(change ...string) url.Values {
	v := url.Values{"water": {"quillmarsh-pit"}, "group": {"bream"}, "day": {"2026-11-28"}, "time": {"08:30"}, "hours": {"5"}}
	for i := 0; i+1 < len(change); i += 2 {
		v.Set(change[i], change[i+1])
	}
	return v
}

func TestTheFormAsksWhatTheAPIAsks(t *testing.T) {
	zone := london(t)
	got, err := page.PlanQuestion(asked(
		"angler", " RJ ", "peg", "7", "cast_bearing_deg", "90", "distance_m", "37,5", "depth_m", "", "rod_max_g", "60",
		"known_water", "no", "mode", "match", "alone", "yes", "keepnet", "yes", "try", "yes",
	), zone)
	want := model.Question{
		Water: "quillmarsh-pit", Start: time.Date(2026, 11, 28, 8, 30, 0, 0, zone), Hours: 5, Group: model.Bream, Angler: "RJ", Peg: "7",
		BearingDeg: model.Known[model.Degrees](90), DistanceM: model.Known[model.Metres](37.5), RodMaxG: model.Known[model.Grams](60),
		KnownWater: model.Known(false), Mode: "match", Alone: true, Keepnet: true, Try: true,
	}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v (-want +got):\n%s", err, diff)
	}
	got, err = page.PlanQuestion(asked(), zone)
	want = model.Question{Water: "quillmarsh-pit", Start: time.Date(2026, 11, 28, 8, 30, 0, 0, zone), Hours: 5, Group: model.Bream}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("what is left out is not known: %v (-want +got):\n%s", err, diff)
	}
}

func TestWhatIsNoAnswerIsToldAtItsField(t *testing.T) {
	for _, c := range []struct{ field, typed, at, says string }{
		{"day", "28.11.2026", "day", "no day"},
		{"day", "", "day", "2026-11-28"},
		{"time", "25:00", "time", "no time"},
		{"hours", "", "hours", "empty"},
		{"hours", "five", "hours", "five"},
		{"hours", "NaN", "hours", "NaN"},
		{"hours", "1e999", "hours", "1e999"},
		{"distance_m", "far", "distance_m", "far"},
		{"depth_m", "2 m", "depth_m", "2 m"},
		{"rod_max_g", "1,2,3", "rod_max_g", "1,2,3"},
		{"cast_bearing_deg", "north", "cast_bearing_deg", "north"},
	} {
		_, err := page.PlanQuestion(asked(c.field, c.typed), london(t))
		var wrong *model.Error
		if !errors.As(err, &wrong) || wrong.Field != c.at || !strings.Contains(wrong.Error(), c.says) || wrong.Right == "" {
			t.Errorf("%s %q: %v, want it at %s with %q", c.field, c.typed, err, c.at, c.says)
			continue
		}
		body, err := page.PlanForm([]model.Water{{ID: "quillmarsh-pit", Name: "Pit"}}, asked(c.field, c.typed), wrong, false)
		for _, e := range sound(t, body, err) {
			if e.attr["name"] == c.at && (e.attr["aria-invalid"] != "true" || e.attr["aria-describedby"] != "wrong" || e.attr["value"] != c.typed) {
				t.Errorf("%s: the field is %v", c.field, e.attr)
			}
			if e.attr["id"] == "wrong" && !strings.Contains(e.text, wrong.Wrong) {
				t.Errorf("%s: told is %q", c.field, e.text)
			}
			if e.name == "details" && e.attr["open"] == "" && strings.Contains("peg cast_bearing_deg distance_m depth_m rod_max_g", c.at) {
				t.Errorf("%s: the wrong field is folded away", c.field)
			}
		}
	}
}

// At 01:30 on 29 March 2026 there was no such time by the clock in London; at
// 01:30 on 25 October it came twice.
func TestATimeThatTheClockSkipsIsRefused(t *testing.T) {
	if _, err := page.PlanQuestion(asked("day", "2026-03-29", "time", "01:30"), london(t)); err == nil || !strings.Contains(err.Error(), "skips 01:30") {
		t.Errorf("%v", err)
	}
	if q, err := page.PlanQuestion(asked("day", "2026-10-25", "time", "01:30"), london(t)); err != nil || q.Start.Format("15:04") != "01:30" {
		t.Errorf("%v %v", q.Start, err)
	}
}

func TestNoTimeOrNumberMakesThePageFail(t *testing.T) {
	for _, odd := range []string{strings.Repeat("9", 400), "\x00", hostile, "-0", "١٢", "0x1p4"} {
		for _, field := range page.PlanFields() {
			if _, err := page.PlanQuestion(asked(field, odd), london(t)); err != nil {
				var wrong *model.Error
				if !errors.As(err, &wrong) || len(wrong.Error()) > 300 {
					t.Errorf("%s %q: %v", field, odd, err)
				}
			}
		}
	}
}
