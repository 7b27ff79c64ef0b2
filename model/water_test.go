package model_test

import (
	"math"
	"strings"
	"testing"

	"osier/model"
)

func goodWater() model.Water {
	return model.Water{
		ID: "reedmere", Name: "Reedmere", LatDeg: 52, LonDeg: -1, ElevationM: 60, MeanDepthM: 2, Bank: "grass", Colour: "tinged",
		Zone: "Europe/London", Groups: []model.Group{model.Bream}, Pegs: []model.Peg{goodPeg(), {Number: "5"}},
	}
}

func goodPeg() model.Peg {
	return model.Peg{Number: "4", FacingDeg: model.Known[model.Degrees](0), PowerLinesM: model.Known[model.Metres](120), PlatformHeightM: model.Known[model.Metres](0.4)}
}

func TestWaterRefusals(t *testing.T) {
	london(t)
	type w = model.Water
	wantRefusals(t, goodWater, w.Validate, []refusal[w]{
		{"no id", func(v *w) { v.ID = "" }, "id", "1 to 63 small letters"},
		{"an id that is a path", func(v *w) { v.ID = "../etc" }, "id", "1 to 63 small letters"},
		{"no name", func(v *w) { v.Name = "  " }, "name", "1 to 200 characters"},
		{"a name that has no end", func(v *w) { v.Name = strings.Repeat("a", 201) }, "name", "1 to 200 characters"},
		{"north of the pole", func(v *w) { v.LatDeg = 90.1 }, "lat", "give -90 to 90 degrees"},
		{"no number", func(v *w) { v.LatDeg = math.NaN() }, "lat", "give a number in degrees"},
		{"once round", func(v *w) { v.LonDeg = 181 }, "lon", "give -180 to 180 degrees"},
		{"on the sea bed", func(v *w) { v.ElevationM = -500 }, "elevation_m", "give -430 to 5000 m"},
		{"no depth", func(v *w) { v.MeanDepthM = 0 }, "mean_depth_m", "give 0.2 to 60 m"},
		{"no area", func(v *w) { v.AreaHa = model.Known(0.0) }, "area_ha", "give 0.01 to 100000 ha"},
		{"no fetch", func(v *w) { v.FetchM = model.Known[model.Metres](0) }, "fetch_m", "give 1 to 100000 m"},
		{"more wind than the station's", func(v *w) { v.ShelterFactor = model.Known(1.2) }, "shelter_factor", "0.05 to 1"},
		{"a limit that would read as none", func(v *w) { v.FeedLimitDryG = model.Known[model.Grams](0) }, "feed_limit_dry_g", "give 1 to 100000 g"},
		{"a boiling mean", func(v *w) { v.ClimateMeanC = model.Known[model.Celsius](40) }, "climate_mean_c", "give 0 to 35 C"},
		{"a range below nothing", func(v *w) { v.ClimateRangeC = model.Known[model.Celsius](-1) }, "climate_range_c", "give 0 to 20 C"},
		{"lines behind the bank", func(v *w) { v.PowerLinesM = model.Known[model.Metres](-1) }, "power_lines_m", "give 0 to 100000 m"},
		{"no zone", func(v *w) { v.Zone = "" }, "zone", "IANA name such as Europe/London"},
		{"the zone of whatever machine", func(v *w) { v.Zone = "Local" }, "zone", "IANA name such as Europe/London"},
		{"no such zone", func(v *w) { v.Zone = "Europe/Atlantis" }, "zone", "IANA name such as Europe/London"},
		{"no name of a station", func(v *w) { v.Sources.Use = []string{"EGXX", "my station"} }, "sources.use[1]", "such as EGXX, or awc/EGXX"},
		{"a station in a folder", func(v *w) { v.Sources.Avoid = []string{"awc/../EGXX"} }, "sources.avoid[0]", "such as EGXX, or awc/EGXX"},
		{"a station used and avoided", func(v *w) { v.Sources = model.WaterSources{Use: []string{"EGXX"}, Avoid: []string{"EGXX"}} }, "sources.avoid[0]", "once, to be used or to be avoided"},
		{"a station named twice", func(v *w) { v.Sources.Use = []string{"EGXX", "EGXX"} }, "sources.use[1]", "name each station once"},
		{"too many stations", func(v *w) { v.Sources.Use = strings.Fields(strings.Repeat("EGXX ", 21)) }, "sources.use", "at most 20 stations"},
		{"a bank of sand", func(v *w) { v.Bank = "sand" }, "bank", "earth, grass or platform"},
		{"a green water", func(v *w) { v.Colour = "green" }, "colour", "clear, tinged or coloured"},
		{"no fish", func(v *w) { v.Groups = nil }, "groups", "silver, bream, carp"},
		{"a pike", func(v *w) { v.Groups = []model.Group{model.Bream, "pike"} }, "groups[1]", "silver, bream or carp"},
		{"a peg without a number", func(v *w) { v.Pegs[1].Number = "" }, "pegs[1].number", "1 to 20 characters"},
		{"a peg twice", func(v *w) { v.Pegs[1].Number = "4" }, "pegs[1].number", "number each peg once"},
	})
}

func TestPegRefusals(t *testing.T) {
	type p = model.Peg
	validate := func(v p) error { return v.Validate("peg") }
	wantRefusals(t, goodPeg, validate, []refusal[p]{
		{"no number", func(v *p) { v.Number = " " }, "peg.number", "1 to 20 characters"},
		{"facing all round", func(v *p) { v.FacingDeg = model.Known[model.Degrees](360) }, "peg.facing_deg", "from 0 up to but not including 360"},
		{"facing backwards", func(v *p) { v.FacingDeg = model.Known[model.Degrees](-1) }, "peg.facing_deg", "from 0 up to but not including 360"},
		{"facing nowhere", func(v *p) { v.FacingDeg = model.Known(model.Degrees(math.NaN())) }, "peg.facing_deg", "from 0 up to but not including 360"},
		{"lines behind it", func(v *p) { v.PowerLinesM = model.Known[model.Metres](-5) }, "peg.power_lines_m", "give 0 to 100000 m"},
		{"a tower", func(v *p) { v.PlatformHeightM = model.Known[model.Metres](21) }, "peg.platform_height_m", "give 0 to 20 m"},
	})
}

func TestIdentifiers(t *testing.T) {
	for id, ok := range map[string]bool{
		"a": true, "quillmarsh-pit": true, "pit-2": true, "2nd-lake": true, strings.Repeat("a", 63): true,
		"": false, "-pit": false, "pit-": false, "Pit": false, "pit 2": false, "pit/2": false, "pit.": false, "tümpel": false, "a\n": false, strings.Repeat("a", 64): false,
	} {
		if err := model.ValidateID("water", id); (err == nil) != ok {
			t.Errorf("identifier %q: %v, want it taken: %v", id, err, ok)
		}
	}
}

func TestFindingAPeg(t *testing.T) {
	w := goodWater()
	if p, err := w.Peg("5"); err != nil || p.Number != "5" {
		t.Errorf("peg %+v, error %v", p, err)
	}
	_, err := w.Peg("77")
	if model.CodeOf(err) != model.NotFound || !strings.Contains(err.Error(), `water reedmere has no peg "77"`) || !strings.Contains(err.Error(), "osier peg add") {
		t.Errorf("error %v, want it not found, with the way to add it", err)
	}
}

func TestTheClimateOfAWater(t *testing.T) {
	for _, c := range []struct {
		name       string
		mean, span model.Maybe[model.Celsius]
		wantMean   model.Celsius
		wantRange  model.Celsius
		given      bool
	}{
		{"assumed (pack water-and-fish 2.1)", model.Maybe[model.Celsius]{}, model.Maybe[model.Celsius]{}, 10.5, 7, false},
		{"given", model.Known[model.Celsius](12), model.Known[model.Celsius](9), 12, 9, true},
		{"half given is assumed", model.Known[model.Celsius](12), model.Maybe[model.Celsius]{}, 12, 7, false},
		{"a zero that was given", model.Known[model.Celsius](0), model.Known[model.Celsius](0), 0, 0, true},
	} {
		mean, span, given := (model.Water{ClimateMeanC: c.mean, ClimateRangeC: c.span}).Climate()
		if mean != c.wantMean || span != c.wantRange || given != c.given {
			t.Errorf("%s: %v, %v, %v; want %v, %v, %v", c.name, mean, span, given, c.wantMean, c.wantRange, c.given)
		}
	}
}
