package model

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Water is one lake, pond, pit or reservoir with its own rules.
type Water struct {
	ID            string         `json:"id"`
	Name          string         `json:"name"`
	LatDeg        float64        `json:"lat"`
	LonDeg        float64        `json:"lon"`
	ElevationM    Metres         `json:"elevation_m"`
	MeanDepthM    Metres         `json:"mean_depth_m"`
	AreaHa        Maybe[float64] `json:"area_ha"`
	FetchM        Maybe[Metres]  `json:"fetch_m"`
	ShelterFactor Maybe[float64] `json:"shelter_factor"` // wind at 2 m over the water as a share of the station's at 10 m
	Bank          Bank           `json:"bank"`
	Zone          string         `json:"zone"` // IANA name
	Groups        []Group        `json:"groups"`
	Jurisdiction  string         `json:"jurisdiction,omitempty"`
	KeepnetRule   string         `json:"keepnet_rule,omitempty"`
	FeedLimitDryG Maybe[Grams]   `json:"feed_limit_dry_g"` // a day
	Colour        Colour         `json:"colour"`
	ClimateMeanC  Maybe[Celsius] `json:"climate_mean_c"`  // of the water, over the year
	ClimateRangeC Maybe[Celsius] `json:"climate_range_c"` // from that mean to the warmest or coldest
	PowerLinesM   Maybe[Metres]  `json:"power_lines_m"`   // nearest line anywhere on the site
	Pegs          []Peg          `json:"pegs,omitempty"`
	Sources       WaterSources   `json:"sources,omitzero"`
	Demo          bool           `json:"demo"`
	AddedAt       time.Time      `json:"added_at"`
}

// Peg is a fixed, numbered place on the bank.
type Peg struct {
	Number          string         `json:"number"`
	FacingDeg       Maybe[Degrees] `json:"facing_deg"`
	PowerLinesM     Maybe[Metres]  `json:"power_lines_m"`
	PlatformHeightM Maybe[Metres]  `json:"platform_height_m"`
}

// WaterSources overrules the choice of stations for a water. A station goes by
// its name, or by its feed's and its own: EGXX or awc/EGXX.
type WaterSources struct {
	Use   []string `json:"use,omitempty"`   // come first, in this order, wherever they have a value
	Avoid []string `json:"avoid,omitempty"` // are never used
}

// Bank is what an angler stands on.
type Bank string

// Colour is how clear the water usually is.
type Colour string

var (
	banks   = []Bank{"earth", "grass", "platform"}
	colours = []Colour{"clear", "tinged", "coloured"}
)

// idPattern keeps identifiers readable, and safe in paths and file names.
var idPattern = regexp.MustCompile(`^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$`)

// ValidateID refuses an identifier that could not stand in an address.
func ValidateID(field, id string) error {
	if idPattern.MatchString(id) {
		return nil
	}
	return Invalidf(field, "use 1 to 63 small letters, digits and hyphens, such as quillmarsh-pit", "%q cannot be an identifier", shorten(id))
}

// Location loads the water's zone.
func (w Water) Location() (*time.Location, error) {
	loc, err := time.LoadLocation(w.Zone)
	if err != nil || w.Zone == "" || w.Zone == "Local" {
		return nil, Invalidf("zone", "give an IANA name such as Europe/London", "%q is no time zone", w.Zone)
	}
	return loc, nil
}

// Validate refuses a water that the rest of the program could not work with.
func (w Water) Validate() error {
	if err := ValidateID("id", w.ID); err != nil {
		return err
	}
	if strings.TrimSpace(w.Name) == "" || len(w.Name) > 200 {
		return Invalidf("name", "give a name of 1 to 200 characters", "the name has %d characters", len(w.Name))
	}
	for _, n := range []struct {
		field     string
		v         float64
		low, high float64
		unit      string
	}{
		{"lat", w.LatDeg, -90, 90, "degrees"},
		{"lon", w.LonDeg, -180, 180, "degrees"},
		{"elevation_m", float64(w.ElevationM), -430, 5000, "m"},
		{"mean_depth_m", float64(w.MeanDepthM), 0.2, 60, "m"},
		{"area_ha", w.AreaHa.Or(1), 0.01, 100000, "ha"},
		{"fetch_m", float64(w.FetchM.Or(1)), 1, 100000, "m"},
		{"shelter_factor", w.ShelterFactor.Or(0.65), 0.05, 1, "(share of station wind)"},
		{"feed_limit_dry_g", float64(w.FeedLimitDryG.Or(1)), 1, 100000, "g"},
		{"climate_mean_c", float64(w.ClimateMeanC.Or(10)), 0, 35, "C"},
		{"climate_range_c", float64(w.ClimateRangeC.Or(7)), 0, 20, "C"},
		{"power_lines_m", float64(w.PowerLinesM.Or(0)), 0, 100000, "m"},
	} {
		if err := Between(n.field, n.v, n.low, n.high, n.unit); err != nil {
			return err
		}
	}
	if _, err := w.Location(); err != nil {
		return err
	}
	if !slices.Contains(banks, w.Bank) {
		return Invalidf("bank", "give earth, grass or platform", "%q is no bank", string(w.Bank))
	}
	if !slices.Contains(colours, w.Colour) {
		return Invalidf("colour", "give clear, tinged or coloured", "%q is no colour of water", string(w.Colour))
	}
	if len(w.Groups) == 0 {
		return Invalidf("groups", "name at least one of silver, bream, carp", "no group is present")
	}
	for i, g := range w.Groups {
		if err := g.Validate(fmt.Sprintf("groups[%d]", i)); err != nil {
			return err
		}
	}
	if err := w.Sources.Validate("sources"); err != nil {
		return err
	}
	return w.validatePegs()
}

// stationName is a station's name as feeds write it, with or without the feed's
// before it.
var stationName = regexp.MustCompile(`^([a-z0-9-]{1,30}/)?[A-Za-z0-9_.-]{1,30}$`)

// mostNamedStations bounds each list; our choice, more than serve a water.
const mostNamedStations = 20

// Validate refuses what cannot be the name of a station, and one that is named
// twice.
func (s WaterSources) Validate(field string) error {
	seen := map[string]bool{}
	for _, list := range []struct {
		field string
		names []string
	}{{field + ".use", s.Use}, {field + ".avoid", s.Avoid}} {
		if len(list.names) > mostNamedStations {
			return Invalidf(list.field, "name at most 20 stations", "it names %d", len(list.names))
		}
		for i, name := range list.names {
			at := fmt.Sprintf("%s[%d]", list.field, i)
			if !stationName.MatchString(name) {
				return Invalidf(at, "give a station's name such as EGXX, or awc/EGXX", "%q is no name of a station", shorten(name))
			}
			if seen[name] {
				return Invalidf(at, "name each station once, to be used or to be avoided", "%s is named twice", name)
			}
			seen[name] = true
		}
	}
	return nil
}

func (w Water) validatePegs() error {
	seen := map[string]bool{}
	for i, p := range w.Pegs {
		if err := p.Validate(fmt.Sprintf("pegs[%d]", i)); err != nil {
			return err
		}
		if seen[p.Number] {
			return Invalidf(fmt.Sprintf("pegs[%d].number", i), "number each peg once", "peg %s is named twice", p.Number)
		}
		seen[p.Number] = true
	}
	return nil
}

// Validate refuses a peg without a number or with impossible measures.
func (p Peg) Validate(field string) error {
	if strings.TrimSpace(p.Number) == "" || len(p.Number) > 20 {
		return Invalidf(field+".number", "give the peg's number, 1 to 20 characters", "it has %d characters", len(p.Number))
	}
	if d := float64(p.FacingDeg.Or(0)); d < 0 || d >= 360 || d != d {
		return Invalidf(field+".facing_deg", "give degrees true from 0 up to but not including 360", "%v is no direction", d)
	}
	if err := Between(field+".power_lines_m", float64(p.PowerLinesM.Or(0)), 0, 100000, "m"); err != nil {
		return err
	}
	return Between(field+".platform_height_m", float64(p.PlatformHeightM.Or(0)), 0, 20, "m")
}

// Peg finds a peg by its number.
func (w Water) Peg(number string) (Peg, error) {
	for _, p := range w.Pegs {
		if p.Number == number {
			return p, nil
		}
	}
	return Peg{}, NotFoundf("peg", "add it with: osier peg add", "water %s has no peg %q", w.ID, shorten(number))
}

// Holds says whether the group is recorded as present.
func (w Water) Holds(g Group) bool { return slices.Contains(w.Groups, g) }

// Climate gives the water's yearly mean and the range about it, and whether
// both were given for this water. The defaults are those of the reference
// pack, water-and-fish 2.1, assumed there.
func (w Water) Climate() (meanC, rangeC Celsius, given bool) {
	return w.ClimateMeanC.Or(10.5), w.ClimateRangeC.Or(7), w.ClimateMeanC.Known && w.ClimateRangeC.Known
}
