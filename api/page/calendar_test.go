package page_test

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/api/page"
	"osier/model"
)

func strictly(t interface {
	Helper()
	Fatalf(format string, args ...any)
}, body []byte, err error,
) *icsComponent {
	t.Helper()
	if err != nil {
		t.Fatalf("%v", err)
	}
	cal, err := readStrictly(body)
	if err != nil {
		t.Fatalf("%v\n%s", err, body)
	}
	return cal
}

func value(t interface {
	Helper()
	Fatalf(format string, args ...any)
}, c *icsComponent, name string,
) string {
	t.Helper()
	v, err := c.one(name)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return v
}

// happening is an event as a reader understands it.
type happening struct {
	Title, Start, End, Status, Sequence, Revised, Rule string
}

// happenings are the events of a calendar whose title begins so, in its order.
func happenings(t *testing.T, cal *icsComponent, begins string) (found []happening) {
	t.Helper()
	for _, e := range cal.all("VEVENT") {
		h := happening{
			Title: value(t, e, "SUMMARY"), Start: value(t, e, "DTSTART"), Status: value(t, e, "STATUS"),
			Sequence: value(t, e, "SEQUENCE"), Revised: value(t, e, "LAST-MODIFIED"),
		}
		if stamp := value(t, e, "DTSTAMP"); stamp != h.Revised {
			t.Errorf("DTSTAMP %s is not when it was last changed, %s", stamp, h.Revised)
		}
		if ends := e.raw("DTEND"); len(ends) == 1 {
			h.End = ends[0]
		}
		if rules := e.raw("RRULE"); len(rules) == 1 {
			h.Rule = rules[0]
		}
		if strings.HasPrefix(h.Title, begins) {
			found = append(found, h)
		}
	}
	return found
}

func TestTheCalendarSaysWhatTheClubDecided(t *testing.T) {
	body, err := page.ClubCalendar(told())
	cal := strictly(t, body, err)
	want := []happening{
		{"Drovelow Mere: closed", "20261020T090000Z", "20261021T090000Z", "CONFIRMED", "0", "20261020T080000Z", "FREQ=DAILY"},
		{"Drovelow Mere: no keepnets", "20261120T090000Z", "20261126T000000Z", "CANCELLED", "1", "20261122T100000Z", ""},
	}
	if diff := cmp.Diff(want, happenings(t, cal, "Drovelow Mere")); diff != "" {
		t.Errorf("meant (-) and read (+) differ:\n%s", diff)
	}
}

// Only stops and cares are told. Those of the first outlook are cancelled for the
// one water of which the second speaks, and hold for the other.
func TestTheCalendarHasTheCautionsThatHold(t *testing.T) {
	word := told()
	for i := range word.Outlooks {
		for j, name := range []string{"Pit", "Mere"}[:len(word.Outlooks[i].Waters)] {
			word.Outlooks[i].Waters[j].Name = name
			word.Outlooks[i].Waters[j].Days = word.Outlooks[i].Waters[j].Days[:1]
		}
	}
	word.Restrictions = nil
	body, err := page.ClubCalendar(word)
	got := happenings(t, strictly(t, body, err), "")
	slices.SortFunc(got, func(a, b happening) int { return strings.Compare(a.Title+a.Status, b.Title+b.Status) })
	want := []happening{
		{"Mere: care, cold water", "20261128T080000Z", "20261128T160000Z", "CONFIRMED", "0", "20261126T183000Z", ""},
		{"Mere: stop, ice", "20261128T080000Z", "20261128T090000Z", "CONFIRMED", "0", "20261126T183000Z", ""},
		{"Pit: care, cold water", "20261128T080000Z", "20261128T160000Z", "CANCELLED", "1", "20261127T183000Z", ""},
		{"Pit: care, cold water", "20261128T080000Z", "20261128T160000Z", "CONFIRMED", "0", "20261127T183000Z", ""},
		{"Pit: stop, ice", "20261128T080000Z", "20261128T090000Z", "CANCELLED", "1", "20261127T183000Z", ""},
		{"Pit: stop, ice", "20261128T080000Z", "20261128T090000Z", "CONFIRMED", "0", "20261127T183000Z", ""},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("meant (-) and read (+) differ:\n%s", diff)
	}
}

// The clocks of London go back at 01:00 UTC on 25 October 2026 and forward at the
// same hour on 28 March 2027. What is meant by the clock at the water must be so
// on both sides, and the hours between count as they pass.
func TestTheCalendarAcrossAChangeOfClocks(t *testing.T) {
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name        string
		from, until time.Time
		hours       float64
	}{
		{"back", time.Date(2026, 10, 24, 8, 0, 0, 0, london), time.Date(2026, 10, 26, 8, 0, 0, 0, london), 49},
		{"forward", time.Date(2027, 3, 27, 8, 0, 0, 0, london), time.Date(2027, 3, 29, 8, 0, 0, 0, london), 47},
		{"within the hour that comes twice", utc("2026-10-25T00:30:00Z").In(london), utc("2026-10-25T01:30:00Z").In(london), 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			word := told()
			word.Outlooks = nil
			word.Restrictions = word.Restrictions[:1]
			word.Restrictions[0].From, word.Restrictions[0].Until = tc.from, model.Known(tc.until)
			body, err := page.ClubCalendar(word)
			strictly(t, body, err)
			cal, err := ics.ParseCalendar(bytes.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			events := cal.Events()
			if len(events) != 1 {
				t.Fatalf("%d events", len(events))
			}
			start, err1 := events[0].GetStartAt()
			end, err2 := events[0].GetEndAt()
			if err1 != nil || err2 != nil || !start.Equal(tc.from) || !end.Equal(tc.until) || end.Sub(start).Hours() != tc.hours {
				t.Errorf("read %v (%v) to %v (%v), %v h", start.In(london), err1, end.In(london), err2, end.Sub(start).Hours())
			}
			if a, b := start.In(london).Format("15:04"), tc.from.Format("15:04"); a != b {
				t.Errorf("it begins at %s by the clock at the water, meant was %s", a, b)
			}
		})
	}
}

// A closure without an end is told each day; its days must join without a gap or
// an overlap, also over the change of clocks.
func TestAClosureWithoutEndHasNoGap(t *testing.T) {
	body, err := page.ClubCalendar(told())
	for _, h := range happenings(t, strictly(t, body, err), "Drovelow Mere: closed") {
		const layout = "20060102T150405Z"
		start, err1 := time.Parse(layout, h.Start)
		end, err2 := time.Parse(layout, h.End)
		if err1 != nil || err2 != nil || end.Sub(start) != 24*time.Hour || h.Rule != "FREQ=DAILY" {
			t.Errorf("%+v: %v %v", h, err1, err2)
		}
	}
}

func TestTheCalendarIsWhatRFC5545Asks(t *testing.T) {
	for name, word := range map[string]page.ClubWord{"all that can be told": told(), "nothing told yet": silent()} {
		t.Run(name, func(t *testing.T) {
			body, err := page.ClubCalendar(word)
			cal := strictly(t, body, err)
			if cal.lines[0].name != "VERSION" || value(t, cal, "VERSION") != "2.0" || value(t, cal, "PRODID") != "-//Osier//Calendar//EN" || len(cal.raw("METHOD")) != 0 {
				t.Errorf("the calendar's own lines are %v", cal.lines)
			}
			if len(cal.kids) == 0 {
				t.Error("section 3.6: there is no component")
			}
			uids := map[string]bool{}
			for _, c := range cal.kids {
				uid := value(t, c, "UID")
				if !regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`).MatchString(uid) || uids[uid] {
					t.Errorf("UID %q is no UUID of version 8, or is there twice", uid)
				}
				uids[uid] = true
				for _, when := range []string{"DTSTAMP", "LAST-MODIFIED", "CREATED", "DTSTART", "DTEND"} {
					for _, v := range c.raw(when) {
						if !regexp.MustCompile(`^\d{8}T\d{6}Z$`).MatchString(v) {
							t.Errorf("%s is %q, not an instant in UTC", when, v)
						}
					}
				}
				value(t, c, "DTSTAMP")
				if c.name != "VEVENT" {
					continue
				}
				if transparent := value(t, c, "TRANSP"); transparent != "TRANSPARENT" {
					t.Errorf("a club's word takes the reader's time: %s", transparent)
				}
				if end := c.raw("DTEND"); len(end) == 1 && end[0] <= value(t, c, "DTSTART") {
					t.Errorf("it ends at %s, not after it begins", end[0])
				}
			}
		})
	}
}

func TestTheCalendarIsTheSameForTheSameWord(t *testing.T) {
	first, err := page.ClubCalendar(told())
	if err != nil {
		t.Fatal(err)
	}
	word := told()
	slices.Reverse(word.Outlooks)
	slices.Reverse(word.Restrictions)
	if again, err := page.ClubCalendar(word); err != nil || !bytes.Equal(first, again) {
		t.Errorf("the order of what is given changed the bytes (%v)", err)
	}
}

// The calendar never tells of hours in which to expect bites.
func TestTheCalendarTellsOfNoGoodHours(t *testing.T) {
	word := told()
	for i := range word.Outlooks {
		word.Outlooks[i].Note = ""
	}
	body, err := page.ClubCalendar(word)
	strictly(t, body, err)
	for _, never := range []string{"bites", "no hour stands out", "lean", "draft"} {
		if strings.Contains(string(body), never) {
			t.Errorf("it has %q in it", never)
		}
	}
}

func aPlan(issued string, level string) model.Plan {
	return model.Plan{
		ID: "p-" + issued, IssuedAt: utc(issued), Water: "quillmarsh-pit", WaterName: nasty, Group: model.Bream, Start: utc("2026-11-28T08:00:00Z"), Hours: 5.5,
		Question: model.Question{Start: utc("2026-11-28T08:00:00Z"), Hours: 5.5, Angler: "rush"},
		Feed:     model.FeedPlan{Level: level, RateGH: 180, TotalDampG: 900}, Feeder: model.FeederPlan{Type: "cage", CapacityMl: 25},
		Activity: &model.Activity{Sentence: "bites"}, HoursText: "no hour stands out",
		Cautions: []model.Caution{{Level: model.Stop, Text: nasty}, {Level: model.Note, Text: "only a note"}},
	}
}

func TestAnAnglersOwnCalendar(t *testing.T) {
	other := aPlan("2026-11-24T10:00:00Z", "even")
	other.Start = utc("2026-12-01T08:00:00Z")
	other.Question.Start = other.Start
	sessions := page.PlannedSessions{Angler: "rush", Zones: map[string]string{"quillmarsh-pit": "Europe/London"}, Site: "https://club.example", Plans: []model.Plan{aPlan("2026-11-25T10:00:00Z", "lean"), other, aPlan("2026-11-24T09:00:00Z", "heavy")}}
	body, err := page.SessionCalendar(sessions)
	cal := strictly(t, body, err)
	got := happenings(t, cal, "Fishing at ")
	for i := range got {
		got[i].Title = got[i].Title[:10]
	}
	want := []happening{ // the newer plan of two for the same outing
		{"Fishing at", "20261128T080000Z", "20261128T133000Z", "CONFIRMED", "1", "20261125T100000Z", ""},
		{"Fishing at", "20261201T080000Z", "20261201T133000Z", "CONFIRMED", "0", "20261124T100000Z", ""},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("meant (-) and read (+) differ:\n%s", diff)
	}
	first := cal.all("VEVENT")[0]
	text := value(t, first, "DESCRIPTION")
	for _, says := range []string{"feed lean, 180 g/h damp, 900 g in all; cage feeder of 25 ml.", "\nstop: ", model.Deferral} {
		if !strings.Contains(text, says) {
			t.Errorf("%q is not in %q", says, text)
		}
	}
	if strings.Contains(text, "note") || strings.Contains(text, "bites") || strings.Contains(text, "stands out") || value(t, first, "CLASS") != "PRIVATE" {
		t.Errorf("class %s, %q", value(t, first, "CLASS"), text)
	}
	// A closure since, and then its lifting, change the event each time; a plan
	// asked for after that knows of both.
	closed := model.Restriction{ID: "r-9", Club: "quill-club", Water: "quillmarsh-pit", Kind: model.WaterClosed, From: utc("2026-11-28T00:00:00Z"), MadeAt: utc("2026-11-26T10:00:00Z"), Reason: "low oxygen", DecidedBy: "water-officer"}
	lifted := closed
	lifted.LiftedAt, lifted.LiftedBy, lifted.LiftedWhy = model.Known(utc("2026-11-27T10:00:00Z")), "water-officer", "well again"
	for _, tc := range []struct {
		name                string
		made                model.Restriction
		plans               []model.Plan
		sequence, at, title string
		says                []string
	}{
		{"closed since", closed, sessions.Plans, "2", "20261126T100000Z", "Closed since: Fishing at", []string{"closed from Saturday 28 November 2026, 00:00 GMT until it is lifted: low oxygen. Decided by water-officer."}},
		{"lifted since", lifted, sessions.Plans, "3", "20261127T100000Z", "Fishing at", []string{"Lifted on Friday 27 November 2026, 10:00 GMT: well again."}},
		{"planned again", lifted, append(slices.Clone(sessions.Plans), aPlan("2026-11-27T12:00:00Z", "even")), "4", "20261127T120000Z", "Fishing at", []string{"feed even"}},
	} {
		p := sessions
		p.Plans, p.Restrictions = tc.plans, []model.Restriction{tc.made}
		body, err := page.SessionCalendar(p)
		event := strictly(t, body, err).all("VEVENT")[0]
		if n, at := value(t, event, "SEQUENCE"), value(t, event, "LAST-MODIFIED"); n != tc.sequence || at != tc.at || !strings.HasPrefix(value(t, event, "SUMMARY"), tc.title) || value(t, event, "UID") != value(t, first, "UID") {
			t.Errorf("%s: SEQUENCE %s at %s: %q", tc.name, n, at, value(t, event, "SUMMARY"))
		}
		for _, says := range tc.says {
			if text := value(t, event, "DESCRIPTION"); !strings.Contains(text, says) {
				t.Errorf("%s: %q is not in %q", tc.name, says, text)
			}
		}
	}
	if body, err := page.SessionCalendar(page.PlannedSessions{Angler: "rush"}); len(strictly(t, body, err).kids) == 0 {
		t.Error("a calendar without sessions has no component")
	}
}

// meant is what of a text a calendar can carry: no controls, and one way to
// end a line.
func meant(s string) string {
	s = strings.NewReplacer("\r", "\n", "\t", " ", "\u2028", "\n", "\u2029", "\n").Replace(strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Map(func(r rune) rune {
		if r != '\n' && (r < ' ' || r >= 0x7f && r <= 0x9f) || r == 0xFFFE || r == 0xFFFF {
			return -1
		}
		return r
	}, s)
}

// readsBack writes a reason into a calendar and reads it again, by the strict
// reader and by the library.
func readsBack(t interface {
	Helper()
	Fatalf(format string, args ...any)
}, reason string,
) {
	t.Helper()
	word := silent()
	word.Club.Name, word.Waters[0].Name = "Quill", "Pit"
	word.Restrictions = told().Restrictions[:1]
	word.Restrictions[0].Reason = reason
	body, err := page.ClubCalendar(word)
	want := "Pit: closed from Saturday 24 October 2026, 08:00 BST until Monday 26 October 2026, 08:00 GMT. " + strings.Join(strings.Fields(meant(reason)), " ") + ". Decided by water-officer."
	cal := strictly(t, body, err)
	if got := value(t, cal.all("VEVENT")[0], "DESCRIPTION"); got != want {
		t.Fatalf("%q was read as\n%q", want, got)
	}
	general, err := ics.ParseCalendar(bytes.NewReader(body))
	if err != nil {
		t.Fatalf("%v", err)
	}
	if got := general.Events()[0].GetProperty(ics.ComponentPropertyDescription).Value; got != want {
		t.Fatalf("%q was read by the library as\n%q", want, got)
	}
}

func TestWhateverIsWrittenIsReadBack(t *testing.T) {
	letters := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune("\\,;:\"\n\r\t <>'=\u2028é\U0001F41F漢\x00\x7f")), rapid.Rune()))
	rapid.Check(t, func(t *rapid.T) {
		readsBack(t, strings.Repeat(letters.Draw(t, "reason"), rapid.IntRange(1, 4).Draw(t, "times")))
	})
}

func FuzzWhateverIsWrittenIsReadBack(f *testing.F) {
	for _, seed := range []string{"", nasty, `\`, `\n`, `\\n`, "a\nb", ";,", strings.Repeat("é", 80), strings.Repeat("x", 300), "\xff\xfe"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, reason string) { readsBack(t, reason) })
}

// Unlike a reason, the words of a plan keep their lines.
func TestTextOfManyLinesIsFoldedAndReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 8).Draw(t, "cautions")
		plan := aPlan("2026-11-25T10:00:00Z", "lean")
		plan.WaterName, plan.Cautions = "Pit", nil
		want := "For bream: feed lean, 180 g/h damp, 900 g in all; cage feeder of 25 ml."
		for range n {
			words := rapid.StringN(0, 100, 400).Draw(t, "words")
			plan.Cautions = append(plan.Cautions, model.Caution{Level: model.Care, Text: words})
			want += "\ncare: " + strings.Join(strings.Fields(meant(words)), " ")
		}
		body, err := page.SessionCalendar(page.PlannedSessions{Angler: "rush", Plans: []model.Plan{plan}})
		cal := strictly(t, body, err)
		if got := value(t, cal.all("VEVENT")[0], "DESCRIPTION"); got != want+"\n"+model.Deferral {
			t.Fatalf("%q was read as\n%q", want, got)
		}
	})
}
