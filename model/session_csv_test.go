package model_test

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

func readSample(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("testdata/sessions/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func readCSV(t *testing.T, text string, d model.Defaults) ([]model.ParsedSession, []model.RowReport) {
	t.Helper()
	parsed, reports, err := model.ReadSessionsCSV(strings.NewReader(text), d)
	if err != nil {
		t.Fatal(err)
	}
	return parsed, reports
}

func TestSampleSummaries(t *testing.T) {
	d := model.Defaults{Zone: london(t), Now: testNow}
	parsed, reports := readCSV(t, string(readSample(t, "summary.csv")), d)
	if len(parsed) != 3 || len(reports) != 3 {
		t.Fatalf("%d sessions, %+v", len(parsed), reports)
	}
	vp, marlo, quill := parsed[0].Session, parsed[1].Session, parsed[2].Session
	want := model.Session{
		ID: vp.DerivedID(), Water: "quillmarsh-pit", Angler: "VP", Group: model.Bream, Style: model.Summary,
		Start: at("2025-06-14T07:00:00+01:00"), End: at("2025-06-14T12:30:00+01:00"), BreaksMin: 30, Rods: 1,
		WrittenAt: model.Known(at("2025-06-19T20:00:00+01:00")), Peg: "7",
		Bites: model.Known(14), LineBites: model.Known(6), Fish: map[model.Group]int{model.Silver: 2, model.Bream: 5},
		Weight:    model.Known(model.Weight{G: 5102.914, How: model.Estimated}), // 11 lb 4 oz: 11.25 x 453.59237 g
		Planned:   model.PlannedFeed{Level: "Ample"},
		FeedUsed:  model.FeedUsed{MixedDryG: model.Known(model.Grams(1500)), LeftDryG: model.Known(model.Grams(300))},
		Feeder:    model.FeederUsed{Type: "cage", CapacityMl: model.Known(model.Millilitres(55))},
		Notes:     "invented for Osier; rain, then sun",
		EnteredAt: testNow, Demo: true,
	}
	if diff := cmp.Diff(want, vp); diff != "" {
		t.Error(diff)
	}
	if marlo.Bites.Known || marlo.BitesText != "loads" || marlo.Fish[model.Silver] != 4 {
		t.Errorf("loads is no number: %v %q %v", marlo.Bites, marlo.BitesText, marlo.Fish)
	}
	if !quill.Blank || quill.FishLanded() != model.Known(0) {
		t.Error("a blank is a record")
	}
}

func TestSampleTallyAndLog(t *testing.T) {
	d := model.Defaults{Zone: london(t), Now: testNow}
	parsed, reports := readCSV(t, string(readSample(t, "hourly.csv")), d)
	if len(parsed) != 2 || len(reports) != 6 {
		t.Fatalf("%d sessions, %+v", len(parsed), reports)
	}
	tolly, dmk := parsed[0].Session, parsed[1].Session
	if diff := cmp.Diff([]int{2, 3, 4}, parsed[0].Rows); diff != "" {
		t.Error(diff)
	}
	if len(tolly.Intervals) != 3 || tolly.Bites != model.Known(13) || tolly.CastCount != model.Known(33) || tolly.Fish[model.Silver] != 8 {
		t.Errorf("tolly: %+v", tolly)
	}
	if got := tolly.Intervals[2]; !got.End.Equal(at("2025-05-10T12:00:00+01:00")) || got.Level != "Ample" {
		t.Errorf("last hour %+v", got)
	}
	if !dmk.Blank || dmk.Rods != 2 || dmk.LineBites != model.Known(1) || dmk.Intervals[2].End.Sub(dmk.Intervals[2].Start) != 30*time.Minute {
		t.Errorf("dmk: %+v", dmk)
	}

	parsed, reports = readCSV(t, string(readSample(t, "full_log.csv")), d)
	if len(parsed) != 1 || len(reports) != 6 {
		t.Fatalf("%d sessions, %+v", len(parsed), reports)
	}
	rj := parsed[0].Session
	if len(rj.Casts) != 6 || rj.Bites != model.Known(3) || rj.LineBites != model.Known(1) || rj.CastCount != model.Known(6) {
		t.Errorf("rj: %+v", rj)
	}
	if diff := cmp.Diff(map[model.Group]int{model.Bream: 1, model.Silver: 1}, rj.Fish); diff != "" {
		t.Error(diff)
	}
	if got := rj.Casts[1]; got.BiteMin != model.Known(5.5) || got.FishG != model.Known(model.Grams(1450)) || !got.In.Equal(at("2025-09-06T06:45:00+01:00")) {
		t.Errorf("second cast %+v", got)
	}
}

const summaryHeader = "group,style,start,end,bites,fish_bream,blank,weight_lb,weight_oz,notes\n"

func TestRowsAreRefusedOneByOne(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "VP", Zone: london(t), Now: testNow}
	good := "bream,summary,2025-06-14 07:00,12:00,3,1,,,,fine\n"
	for _, c := range []struct{ name, row, says string }{
		{"too few cells", "bream,summary,2025-06-15 07:00", "3 cells and the header 10 columns"},
		{"too many cells", "bream,summary,2025-06-15 07:00,12:00,3,1,,,,a,b", "11 cells"},
		{"stray quotation mark", `bream,summary,2025-06-15 07:00,12:00,3,1,,,,say "hi"`, "quotation marks are astray"},
		{"autumn hour", "bream,summary,2025-10-26 01:30,12:00,3,1,,,,", "say which with the offset"},
		{"spring hour", "bream,summary,2025-03-30 01:30,12:00,3,1,,,,", "never showed"},
		{"dated next month", "bream,summary,2026-02-28 07:00,12:00,3,1,,,,", "still to come"},
		{"no start", "bream,summary,,12:00,3,1,,,,", "start: it is missing"},
		{"decimal pound", "bream,summary,2025-06-15 07:00,12:00,3,1,,4.12,,", "weight_lb: 4.12 is a decimal pound"},
		{"17 ounces", "bream,summary,2025-06-15 07:00,12:00,3,1,,4,17,", "weight_oz: 17 oz"},
		{"half a bite", "bream,summary,2025-06-15 07:00,12:00,3.5,1,,,,", "bites"},
		{"NaN", "bream,summary,2025-06-15 07:00,12:00,NaN,1,,,,", "bites"},
		{"words for fish", "bream,summary,2025-06-15 07:00,12:00,3,some,,,,", "fish_bream: \"some\" is no count"},
		{"zero not typed", "bream,summary,2025-06-15 07:00,12:00,3,,,,,", "a zero must be typed"},
		{"blank with fish", "bream,summary,2025-06-15 07:00,12:00,3,2,yes,,,", "blank"},
		{"maybe a blank", "bream,summary,2025-06-15 07:00,12:00,3,,maybe,,,", "yes or no"},
		{"zero hours", "bream,summary,2025-06-15 07:00,2025-06-15 07:00,3,1,,,,", "not after the start"},
		{"40 hours", "bream,summary,2025-06-15 07:00,2025-06-16 23:00,3,1,,,,", "40.0 h"},
		{"unknown group", "eel,summary,2025-06-15 07:00,12:00,3,1,,,,", "silver, bream or carp"},
		{"unknown style", "bream,diary,2025-06-15 07:00,12:00,3,1,,,,", "full_log, hourly or summary"},
		{"tally without a mark", "bream,hourly,2025-06-15 07:00,12:00,3,1,,,,", "session"},
		{"cell of a novel", "bream,summary,2025-06-15 07:00,12:00,3,1,,,," + strings.Repeat("x", 9000), "9000 bytes"},
		{"decimal comma", `bream,summary,2025-06-15 07:00,12:00,"3,5",1,,,,`, "bites"},
	} {
		parsed, reports := readCSV(t, summaryHeader+c.row+"\n"+good, d)
		if len(parsed) != 1 || parsed[0].Session.Notes != "fine" {
			t.Errorf("%s: the good row did not get through: %+v", c.name, parsed)
		}
		if len(reports) != 2 || reports[0].Row != 2 || reports[0].Status != model.RowRefused || !strings.Contains(strings.Join(reports[0].Problems, "\n"), c.says) {
			t.Errorf("%s: got %+v, want a refusal of row 2 with %q", c.name, reports, c.says)
		}
		if reports[1].Row != 3 || reports[1].Status != model.RowStored {
			t.Errorf("%s: got %+v", c.name, reports[1])
		}
	}
}

func TestOneBadRowRefusesItsSessionWhole(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "RJ", Zone: london(t), Now: testNow}
	head := "session,group,style,start,end,bites,hour_start,hour_end,hour_bites,hour_fish\n" +
		"a,bream,hourly,2025-06-14 07:00,10:00,,07:00,08:00,2,1\n" +
		"b,bream,hourly,2025-06-15 07:00,08:00,,07:00,08:00,0,0\n"
	for _, c := range []struct {
		name, rows string
		line       int
		says       string
	}{
		{"a count that is none", "a,,,,,,08:00,09:00,x1x1x,1.5\n", 4, "hour_fish"},
		{"an hour outside", "a,,,,,,09:30,10:30,1,1\n", 4, "hour_end: 2025-06-14T10:30:00+01:00 lies outside"},
		{"a contradiction", "a,,,,11:00,,08:00,09:00,1,1\n", 4, `end: row 2 says "10:00", and this row "11:00"`},
		{"a total that does not add up", "a,,,,,7,08:00,09:00,1,1\n", 2, "add up to 3"},
		{"a ragged row", "a,,,08:00\n", 4, "4 cells"},
		{"quotation marks", "a,,\"x\"y,,,,,,,\n", 4, "astray"},
	} {
		parsed, reports := readCSV(t, head+c.rows, d)
		if len(parsed) != 1 || len(parsed[0].Session.Intervals) != 1 {
			t.Errorf("%s: session b should stand alone: %+v", c.name, parsed)
		}
		if len(reports) != 3 {
			t.Errorf("%s: %+v", c.name, reports)
			continue
		}
		for _, r := range reports {
			problems := strings.Join(r.Problems, "\n")
			switch {
			case r.Row == 3 && r.Status != model.RowStored, r.Row != 3 && r.Status != model.RowRefused:
				t.Errorf("%s: %+v", c.name, r)
			case r.Row == c.line && !strings.Contains(problems, c.says):
				t.Errorf("%s: row %d says %q, want %q", c.name, r.Row, problems, c.says)
			case r.Row != 3 && r.Row != c.line && !strings.Contains(problems, fmt.Sprintf("see row %d", c.line)):
				t.Errorf("%s: row %d says %q", c.name, r.Row, problems)
			}
		}
	}
}

func TestWordsOfAnHourAreKept(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "marlo", Zone: london(t), Now: testNow}
	parsed, _ := readCSV(t, "session,group,style,start,end,hour_start,hour_end,hour_bites,hour_fish\n"+
		"a,bream,hourly,2025-06-14 07:00,09:00,07:00,08:00,a few,1\na,,,,,08:00,09:00,4,0\n", d)
	s := parsed[0].Session
	if s.BitesText != "07:00 a few" || s.Bites.Known || s.Intervals[0].Bites.Known || s.Intervals[1].Bites != model.Known(4) {
		t.Errorf("%q %v %+v", s.BitesText, s.Bites, s.Intervals)
	}
}

func TestRowSaidTwiceIsADuplicate(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "VP", Zone: london(t), Now: testNow}
	row := "a,bream,summary,2025-06-14 07:00,12:00,1\n"
	parsed, reports := readCSV(t, "session,group,style,start,end,fish_bream\n"+row+row, d)
	if len(parsed) != 1 || reports[0].Status != model.RowStored || reports[1].Status != model.RowDuplicate {
		t.Errorf("%+v %+v", parsed, reports)
	}
}

func TestTimeOfDayFollowsTheStart(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "VP", Zone: london(t), Now: testNow}
	for _, c := range []struct{ start, end, want string }{
		{"2025-06-14 20:00", "02:30", "2025-06-15T02:30:00+01:00"},
		{"2025-06-14T20:00:00+02:00", "23:30", "2025-06-14T23:30:00+02:00"},
		{"2025-10-25T20:00:00+01:00", "01:30", "2025-10-26T01:30:00+01:00"},
	} {
		parsed, reports := readCSV(t, "group,style,start,end,fish_bream\nbream,summary,"+c.start+","+c.end+",1\n", d)
		if len(parsed) != 1 {
			t.Errorf("%s to %s: %+v", c.start, c.end, reports)
			continue
		}
		if got := parsed[0].Session.End.Format(time.RFC3339); got != c.want {
			t.Errorf("%s to %s: got %s, want %s", c.start, c.end, got, c.want)
		}
	}
}

func TestFilesRefusedWhole(t *testing.T) {
	header := "group,style,start,end,water,angler"
	for _, c := range []struct {
		name, text string
		code       model.Code
		says       string
	}{
		{"empty", " \n", model.Invalid, "it is empty"},
		{"web page", "<!DOCTYPE html><html>", model.Invalid, "web page"},
		{"spreadsheet", "PK\x03\x04\x00\x00", model.Invalid, "no text in UTF-8"},
		{"another encoding", header + ",notes\nJ\xfcrgen", model.Invalid, "UTF-8"},
		{"prose", "Dear club,\nI caught loads.\n", model.Invalid, "names no column"},
		{"JSON", `{"sessions": []}`, model.Invalid, "cannot be read as CSV"},
		{"semicolons", "group;style;start;end\nbream;summary", model.Invalid, "separate the columns by commas"},
		{"broken first line", "gro\"up,style\n", model.Invalid, "first line"},
		{"unknown column", header + ",moon\n", model.Invalid, `column moon: there is no such column; take it out or use one of: session, id, water`},
		{"column twice", header + ",style\n", model.Invalid, "column style: it is there twice"},
		{"column without a name", header + ",\n", model.Invalid, "column 7: it has no name"},
		{"no start", "group,style,end,water,angler\n", model.Invalid, "column start: it is missing"},
		{"no angler", "group,style,start,end,water\n", model.Invalid, "column angler: it is missing"},
		{"no rows", header + "\n", model.Invalid, "no rows"},
		{"too many rows", header + "\n" + strings.Repeat("a,,,,,\n", 100_001), model.TooLarge, "100000 rows"},
		{"too long", strings.Repeat(" ", 33<<20), model.TooLarge, "32 MiB"},
	} {
		parsed, reports, err := model.ReadSessionsCSV(strings.NewReader(c.text), model.Defaults{Now: testNow})
		if err == nil || parsed != nil || reports != nil || model.CodeOf(err) != c.code || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v (%s), want %s with %q", c.name, err, model.CodeOf(err), c.code, c.says)
		}
	}
}

func TestByteOrderMarkAndSpareCommas(t *testing.T) {
	d := model.Defaults{Water: "quillmarsh-pit", Angler: "VP", Zone: london(t), Now: testNow}
	parsed, reports := readCSV(t, "\ufeffGroup , STYLE,start,end,fish_bream\r\nbream,summary,2025-06-14 07:00,12:00,1\r\n,,,,\r\n\r\n", d)
	if len(parsed) != 1 || len(reports) != 1 {
		t.Errorf("%+v %+v", parsed, reports)
	}
}

func TestWrittenCellsRunNoFormula(t *testing.T) {
	s := summaryDay()
	s.Notes, s.Particles, s.HookBait = "=1+1", "'tis", "-2"
	var out bytes.Buffer
	if err := model.WriteSessionsCSV(&out, []model.Session{s}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"'=1+1", "''tis", "'-2"} {
		if !strings.Contains(out.String(), ","+want+",") {
			t.Errorf("%s is not in %s", want, out.String())
		}
	}
}

// The layout's README names every column, and no other.
func TestReadmeNamesEveryColumn(t *testing.T) {
	var out bytes.Buffer
	if err := model.WriteSessionsCSV(&out, nil); err != nil {
		t.Fatal(err)
	}
	readme := string(readSample(t, "README.md"))
	for _, name := range strings.Split(strings.TrimSpace(out.String()), ",") {
		if !strings.Contains(readme, "`"+name+"`") {
			t.Errorf("testdata/sessions/README.md does not name the column %s", name)
		}
	}
}
