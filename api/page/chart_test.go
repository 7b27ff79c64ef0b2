package page_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"osier/api/page"
	"osier/model"
)

func chartOf(c page.Chart) []byte { return []byte(c.SVG()) }

func points(values ...float64) []page.Point {
	var out []page.Point
	for i, v := range values {
		out = append(out, page.Point{X: float64(i), Y: model.Maybe[float64]{Value: v, Known: v > -999}})
	}
	return out
}

func TestAChartIsNamedAndTold(t *testing.T) {
	all := elements(t, chartOf(page.Chart{ID: "heat", Title: hostile, Text: hostile, Unit: hostile, X: page.Axis{To: 2, Name: hostile, Ticks: []page.Tick{{At: 1, Label: hostile}}}, Lines: []page.Line{{Points: points(4, 5, 6)}}}))
	if all[0].attr["role"] != "img" || all[0].attr["aria-labelledby"] != "heat-title heat-text" {
		t.Errorf("the picture is %v", all[0].attr)
	}
	for _, name := range []string{"title", "desc"} {
		if e := named(all, name); len(e) != 1 || e[0].text != hostile || !strings.HasPrefix(e[0].attr["id"], "heat-") {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

func TestAGapStaysAGap(t *testing.T) {
	const gap = -1000
	all := elements(t, chartOf(page.Chart{ID: "c", X: page.Axis{To: 6}, Lines: []page.Line{{Points: points(1, 2, gap, 3, 4, 5, gap)}}}))
	var lengths []int
	for _, l := range named(all, "polyline") {
		lengths = append(lengths, len(strings.Fields(l.attr["points"])))
	}
	if fmt.Sprint(lengths) != "[2 3]" {
		t.Errorf("stretches of %v figures, want 2 and 3", lengths)
	}
}

// The upright axis is made of round figures that hold all that is drawn.
func TestTheUprightAxisIsRound(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   string
	}{
		{[]float64{4.2, 11.7}, "4 6 8 10 12"},
		{[]float64{-3, 9}, "-5 0 5 10"},
		{[]float64{990, 1031}, "990 1000 1010 1020 1030 1040"},
		{[]float64{7, 7}, "6.4 6.6 6.8 7.0 7.2 7.4 7.6"},
		{nil, "0.0 0.2 0.4 0.6 0.8 1.0"},
	} {
		var labels []string
		for _, e := range named(elements(t, chartOf(page.Chart{ID: "c", X: page.Axis{To: 5}, Lines: []page.Line{{Points: points(c.values...)}}})), "text") {
			if e.attr["text-anchor"] == "end" {
				labels = append(labels, e.text)
			}
		}
		if got := strings.Join(labels, " "); got != c.want {
			t.Errorf("%v: ticks %q, want %q", c.values, got, c.want)
		}
	}
}

func TestReadingsAreRingsAndIntervalsAreHatched(t *testing.T) {
	all := elements(t, chartOf(page.Chart{
		ID: "c", X: page.Axis{From: 0, To: 4}, Y: page.Axis{From: 0, To: 10},
		Marks: []page.Mark{{X: 1, Y: 5}, {X: 9, Y: 5}, {X: 1, Y: 50}},
		Bars:  []page.Bar{{X: 2, Low: 2, High: 6, Middle: model.Known(3.0), Label: "S"}},
		Bands: []page.Band{{Points: []page.Interval{{X: 0, Low: model.Known(1.0), High: model.Known(2.0)}, {X: 1, Low: model.Known(1.0), High: model.Known(3.0)}}}},
	}))
	if n := len(named(all, "circle")); n != 1 {
		t.Errorf("%d rings, want the one inside", n)
	}
	for _, name := range []string{"rect", "polygon"} {
		if e := named(all, name); len(e) != 1 || e[0].attr["fill"] != "url(#c-hatch)" {
			t.Errorf("%s is not hatched: %+v", name, e)
		}
	}
}

// Whatever the figures, a chart is well formed and nothing lies outside it.
func TestWhateverIsDrawnLiesInsideTheChart(t *testing.T) {
	number := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64}))
	rapid.Check(t, func(t *rapid.T) {
		maybe := func(name string) model.Maybe[float64] {
			return model.Maybe[float64]{Value: number.Draw(t, name), Known: rapid.Bool().Draw(t, name+" known")}
		}
		c := page.Chart{ID: "c", Title: rapid.StringN(0, 20, -1).Draw(t, "title"), X: page.Axis{From: number.Draw(t, "from"), To: number.Draw(t, "to")}}
		if strings.ContainsFunc(c.Title, func(r rune) bool { return r < ' ' || r == 0xFFFE || r == 0xFFFF || r == 0xFFFD }) {
			c.Title = ""
		}
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			x := number.Draw(t, "x")
			c.Lines = append(c.Lines, page.Line{Points: []page.Point{{X: x, Y: maybe("y")}, {X: x + 1, Y: maybe("y")}}})
			c.Bands = append(c.Bands, page.Band{Points: []page.Interval{{X: x, Low: maybe("low"), High: maybe("high")}, {X: x + 1, Low: maybe("low"), High: maybe("high")}}})
			c.Bars = append(c.Bars, page.Bar{X: x, Low: number.Draw(t, "low"), High: number.Draw(t, "high"), Middle: maybe("middle"), Label: "M"})
			c.Marks = append(c.Marks, page.Mark{X: x, Y: number.Draw(t, "mark")})
		}
		for _, e := range elements(t, chartOf(c)) {
			if e.name == "pattern" || slices.Contains(e.paths, "pattern") {
				continue
			}
			for _, pair := range strings.Fields(e.attr["points"]) {
				var x, y float64
				if _, err := fmt.Sscanf(pair, "%f,%f", &x, &y); err != nil || x < 35 || x > 291 || y < 21 || y > 175 {
					t.Fatalf("point %q of %s lies outside", pair, e.name)
				}
			}
			for _, name := range []string{"x", "x1", "x2", "cx", "y", "y1", "y2", "cy", "width", "height"} {
				var v float64
				if text := e.attr[name]; text != "" {
					if _, err := fmt.Sscan(text, &v); err != nil || v < 0 || v > 300 || math.IsNaN(v) {
						t.Fatalf("%s=%q of %s lies outside", name, text, e.name)
					}
				}
			}
		}
	})
}
