package page_test

import (
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"osier/api/page"
	"osier/model"
)

var at = time.Date(2026, 11, 25, 9, 20, 0, 0, time.UTC)

func london(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// full makes a value in which nothing is empty and every text is hostile.
func full[T any](depth int) T {
	var v T
	fill(reflect.ValueOf(&v).Elem(), depth)
	return v
}

func fill(v reflect.Value, depth int) {
	if v.Type() == reflect.TypeFor[time.Time]() {
		v.Set(reflect.ValueOf(at))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(hostile)
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(3)
	case reflect.Float64:
		v.SetFloat(2.5)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), depth)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), depth, depth))
		for i := range depth {
			fill(v.Index(i), depth)
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		value := reflect.New(v.Type().Elem()).Elem()
		fill(value, depth)
		v.SetMapIndex(reflect.ValueOf("air_temp_c"), value)
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), depth)
		}
	}
}

func fullWater() model.Water {
	w := full[model.Water](2)
	w.ID, w.Zone, w.Demo = "quillmarsh-pit", "Europe/London", true
	return w
}

func fullConditions() model.Conditions {
	c := full[model.Conditions](30)
	for i := range c.Hours {
		c.Hours[i].At = at.Truncate(time.Hour).Add(time.Duration(i) * time.Hour)
	}
	return c
}

func fullSeason() model.SeasonPlan {
	s := full[model.SeasonPlan](12)
	for i := range s.Months {
		s.Months[i].Month = i + 1
		s.Months[i].Groups = s.Months[i].Groups[:1]
	}
	s.Water = "quillmarsh-pit"
	for i := range s.Months {
		s.Months[i].Groups[0].Group = model.Bream
	}
	return s
}

// made is each page in the frame, from what is as full and as hostile as can be.
func made(t *testing.T) map[string][]byte {
	t.Helper()
	pages := map[string][]byte{}
	keep := func(name string) func([]byte, error) {
		return func(body []byte, err error) {
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			pages[name] = body
		}
	}
	w, c := fullWater(), fullConditions()
	keep("front")(page.Front([]model.Water{w}, "alder-mere", full[[]model.Club](2), []page.Start{{Title: hostile, Path: "/plans/p-1"}}, true))
	keep("no waters")(page.Front(nil, "", nil, nil, true))
	keep("water")(page.Water(w, c, full[[]model.Club](2), hostile))
	keep("season")(page.Season(fullSeason(), hostile))
	keep("weather")(page.Weather(w, c, full[[]model.MeterReading](3), 7, hostile))
	keep("plan")(page.Plan(full[model.Plan](3), time.UTC, hostile))
	struck := full[model.Plan](3)
	struck.Activity = nil
	keep("plan without activity")(page.Plan(struck, time.UTC, ""))
	filled := map[string][]string{}
	for _, field := range page.PlanFields() {
		filled[field] = []string{hostile}
	}
	keep("form")(page.PlanForm([]model.Water{w}, nil, nil, true))
	keep("form without waters")(page.PlanForm(nil, nil, nil, true))
	keep("form refused")(page.PlanForm([]model.Water{w}, filled, &model.Error{Field: "hours", Wrong: hostile, Right: hostile}, true))
	keep("form refused as a whole")(page.PlanForm([]model.Water{w}, filled, &model.Error{Field: hostile, Wrong: hostile, Right: hostile}, true))
	keep("refusal")(page.Refusal(hostile, hostile, hostile, true))
	keep("sign-in")(page.SignInPage(page.SignIn{Wrong: hostile, Next: hostile, ByService: true, Demo: true}))
	keep("signed in")(page.SignInPage(page.SignIn{Who: hostile, Demo: true}))
	return pages
}

func TestPagesAreSoundWhateverPeopleWrote(t *testing.T) {
	for name, body := range made(t) {
		t.Run(name, func(t *testing.T) {
			all := sound(t, body, nil)
			if all[0].attr["lang"] != "en-GB" {
				t.Errorf("the language is %q", all[0].attr["lang"])
			}
			for _, once := range []string{"header", "main", "footer"} {
				if n := len(named(all, once)); n != 1 {
					t.Errorf("%d <%s>, want 1", n, once)
				}
			}
			holds(t, all, "To the content", "Osier", "INVENTED: this club, its waters, people, weather and catches do not exist.", model.Deferral)
			for _, e := range all {
				loads := e.attr["src"] + e.attr["srcset"] + e.attr["action"] + e.attr["href"]
				if strings.Contains(loads, ":") || strings.HasPrefix(loads, "//") {
					t.Errorf("<%s> leads elsewhere: %q", e.name, loads)
				}
			}
			checkHeadings(t, all)
			if pictures := len(named(all, "svg")); pictures > 0 && len(named(all, "table")) < pictures/2 {
				t.Errorf("%d pictures and %d tables", pictures, len(named(all, "table")))
			}
		})
	}
}

// checkHeadings finds a level that was skipped.
func checkHeadings(t *testing.T, all []*element) {
	t.Helper()
	level := 0
	for _, e := range all {
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
			this := int(e.name[1] - '0')
			if this > level+1 {
				t.Errorf("heading %q of level %d follows one of level %d", e.text, this, level)
			}
			level = this
		}
	}
}

// Words and marks that belong to other things (trade pack, section 9).
func TestNoPageRatesHoursOrNamesAPeak(t *testing.T) {
	avoided := regexp.MustCompile(`(?i)\b(best|prime|peak|hot|major|minor|stars?|score out of|index|moon)\b`)
	for name, body := range made(t) {
		if found := avoided.FindString(says(elements(t, body))); found != "" {
			t.Errorf("%s says %q", name, found)
		}
	}
}

func TestOnlyADemosPagesSayThatAllIsInvented(t *testing.T) {
	w, c := fullWater(), fullConditions()
	w.Demo, c.Demo = false, false
	body, err := page.Water(w, c, nil, "")
	lacks(t, sound(t, body, err), "INVENTED")
}

// Contrast as on the bankside page; see there.
func TestContrastOfTheStyleInBothSchemes(t *testing.T) {
	css := styleText(t)
	blocks := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(css, -1)
	if len(blocks) != 3 {
		t.Fatalf("%d sets of colours, want one for light, for dark and for print", len(blocks))
	}
	for i, scheme := range []string{"light", "dark"} {
		for _, c := range []struct {
			over, under string
			least       float64
		}{
			{"ink", "paper", 7},
			{"ink", "quiet", 7},
			{"on-deep", "deep", 7},
			{"deep", "paper", 7},
			{"line", "paper", 4.5},
		} {
			if got := contrast(luminance(t, blocks[i][1], c.over), luminance(t, blocks[i][1], c.under)); got < c.least {
				t.Errorf("%s: %s on %s has a contrast of %.2f, want %g at least", scheme, c.over, c.under, got, c.least)
			}
		}
	}
	for _, must := range []string{"@media print", "color-scheme: light dark", ":focus-visible"} {
		if !strings.Contains(css, must) {
			t.Errorf("the style has no %s", must)
		}
	}
	for _, never := range []string{"url(", "@import", "transition", "animation", "http"} {
		if strings.Contains(css, never) {
			t.Errorf("the style has %s", never)
		}
	}
}

func styleText(t *testing.T) string {
	t.Helper()
	for path, file := range page.Styles() {
		if regexp.MustCompile(`^/style/[0-9a-f]{12}\.css$`).MatchString(path) {
			return string(file.Body)
		}
	}
	t.Fatal("there is no style under its digest")
	return ""
}

func TestAPageLoadsTheStyleThatIsServed(t *testing.T) {
	links := map[string]string{}
	for _, e := range named(elements(t, made(t)["front"]), "link") {
		links[e.attr["rel"]] = e.attr["href"]
	}
	if _, served := page.Styles()[links["stylesheet"]]; !served {
		t.Errorf("the style %q is not served", links["stylesheet"])
	}
}

func TestTheFrontPageSaysWhereToBegin(t *testing.T) {
	body, err := page.Front(nil, "", nil, []page.Start{{Title: "A plan for RJ", Path: "/plans/p-1"}}, true)
	found := false
	for _, a := range named(sound(t, body, err), "a") {
		found = found || a.attr["href"] == "/plans/p-1" && a.text == "A plan for RJ"
	}
	if !found {
		t.Error("the plan is not linked")
	}
	body, err = page.Front(nil, "", nil, nil, false)
	if sound(t, body, err); strings.Contains(string(body), "Begin here") {
		t.Error("there is a heading over nothing")
	}
}
