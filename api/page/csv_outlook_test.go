package page_test

import (
	"bytes"
	"encoding/csv"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"osier/api/page"
	"osier/model"
)

// rowsOf reads an outlook's table as rows by the name of the column.
func rowsOf(t interface {
	Helper()
	Fatalf(format string, args ...any)
}, o model.Outlook,
) (rows []map[string]string, names []string) {
	t.Helper()
	body, err := page.OutlookCSV(o)
	if err != nil {
		t.Fatalf("%v", err)
	}
	if n := bytes.Count(body, []byte("\n")); n != bytes.Count(body, []byte("\r\n")) {
		t.Fatalf("RFC 4180 ends a line with CR and LF: %q", body)
	}
	all, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if err != nil {
		t.Fatalf("%v", err)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, cell := range cells {
			row[all[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows, all[0]
}

func TestTheTableHasARowForEachWaterDayAndGroup(t *testing.T) {
	o := published("o-1", "2026-11-26T18:30:00Z")
	o.Waters[0].Days[0].Groups = append(o.Waters[0].Days[0].Groups, model.OutlookGroup{Group: model.Silver})
	o.Waters[0].Days[1].Groups, o.Waters[0].Days[1].Closed = nil, true
	rows, _ := rowsOf(t, o)
	var got []string
	for _, r := range rows {
		got = append(got, strings.Join([]string{r["water"], r["date"], r["group"], r["closed"], r["feed_rate_g_h"], r["bites_per_h_mean"], r["bites_per_h_low90"], r["bites_per_h_high90"]}, " "))
	}
	want := []string{
		"quillmarsh-pit 2026-11-28 bream no 180 2.5 0.5 6.0",
		"quillmarsh-pit 2026-11-28 silver no 0   ",
		"quillmarsh-pit 2026-11-29  yes    ",
		"drovelow-mere 2026-11-28 bream no 180 2.5 0.5 6.0",
		"drovelow-mere 2026-11-29 bream no 180 2.5 0.5 6.0",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if r := rows[0]; r["air_temp_low_c"] != "-3.2" || r["rain_mm"] != "" || r["water_temp_c"] != "6.1" || r["wind_mps"] != "5.0" || r["bites_low90"] != "2" || r["session_h"] != "5.0" || r["blank_probability"] != "0.15" {
		t.Errorf("the first row is %v", r)
	}
}

func TestTheTableSaysWhatWasDecidedSince(t *testing.T) {
	o := published("o-1", "2026-11-26T18:30:00Z")
	closed := model.Restriction{ID: "r-9", Water: "drovelow-mere", Kind: model.WaterClosed, From: utc("2026-11-29T00:00:00Z"), MadeAt: utc("2026-11-27T09:00:00Z"), Reason: "low oxygen", DecidedBy: "water-officer"}
	o.SincePublished = o.Since([]model.Restriction{closed})
	rows, _ := rowsOf(t, o)
	var got []string
	for _, r := range rows {
		_, why, _ := strings.Cut(r["decided_since"], ": closed from ")
		got = append(got, strings.Join([]string{r["water"], r["date"], r["closed"], r["bites_per_h_mean"], why}, "|"))
	}
	const since = "Sunday 29 November 2026, 00:00 GMT until it is lifted: low oxygen. Decided by water-officer, after this outlook was published."
	want := []string{
		"quillmarsh-pit|2026-11-28|no|2.5|", "quillmarsh-pit|2026-11-29|no|2.5|",
		"drovelow-mere|2026-11-28|no|2.5|" + since, "drovelow-mere|2026-11-29|yes||" + since,
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Each column of figures ends in its unit, or says what it is a share or a count
// of.
func TestColumnsNameTheirUnits(t *testing.T) {
	_, names := rowsOf(t, published("o-1", "2026-11-26T18:30:00Z"))
	figures := regexp.MustCompile(`temp|feels|wind|gust|rain|pressure|rate|capacity|weight|session|missing`)
	unit := regexp.MustCompile(`_(c|mps|hpa|mm|h|g|ml|g_h|from|text)$`)
	found := 0
	for _, name := range names {
		if figures.MatchString(name) {
			found++
			if !unit.MatchString(name) {
				t.Errorf("%s has no unit", name)
			}
		}
	}
	if found < 15 {
		t.Errorf("only %d columns of figures in %v", found, names)
	}
}

func TestTheTableOfTheDemoSaysSoFirst(t *testing.T) {
	o := published("o-1", "2026-11-26T18:30:00Z")
	if _, names := rowsOf(t, o); strings.Contains(strings.Join(names, " "), "invented") {
		t.Errorf("a real table says that it is invented: %v", names)
	}
	o.Demo = true
	rows, names := rowsOf(t, o)
	if names[0] != "everything_here_is_invented" || rows[0][names[0]] != "yes" {
		t.Errorf("the demo's table begins with %v", names)
	}
}

func TestADraftIsNoTable(t *testing.T) {
	o := published("o-1", "2026-11-26T18:30:00Z")
	o.Publish = nil
	if body, err := page.OutlookCSV(o); err == nil {
		t.Errorf("a draft was written: %s", body)
	}
}

// A spreadsheet takes a cell for a formula that begins with one of these; only
// our own figures may begin with a minus.
func TestNoCellIsAFormula(t *testing.T) {
	negative := regexp.MustCompile(`^-\d+(\.\d+)?$`)
	rapid.Check(t, func(t *rapid.T) {
		o := published("o-1", "2026-11-26T18:30:00Z")
		wild := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune("=+-@ \t\r\n\",'\x00\u2028")), rapid.Rune()))
		for i := range o.Waters {
			o.Waters[i].Name = wild.Draw(t, "name")
			for j := range o.Waters[i].Days {
				d := &o.Waters[i].Days[j]
				d.Paragraph, d.Conditions.PressureText, d.Confidence.Level = wild.Draw(t, "paragraph"), wild.Draw(t, "pressure"), wild.Draw(t, "confidence")
				d.Groups[0].Level, d.Groups[0].FeederType, d.Groups[0].HoursText = wild.Draw(t, "level"), wild.Draw(t, "feeder"), wild.Draw(t, "hours")
			}
		}
		rows, _ := rowsOf(t, o)
		if len(rows) != 4 {
			t.Fatalf("%d rows", len(rows))
		}
		for _, row := range rows {
			for name, cell := range row {
				if strings.HasPrefix(cell, " ") || strings.ContainsAny(cell, "\r\n\t") {
					t.Fatalf("%s is %q", name, cell)
				}
				if cell != "" && strings.ContainsRune("=+-@", rune(cell[0])) && !(strings.HasSuffix(name, "_c") && negative.MatchString(cell)) {
					t.Fatalf("%s is the formula %q", name, cell)
				}
			}
		}
	})
}
