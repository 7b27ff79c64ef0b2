package main

import (
	"fmt"
	"io"
	"strings"

	"osier/jobs"
	"osier/model"
)

type waterCmd struct {
	Add  waterAddCmd  `cmd:"" help:"Register a water, or change one: what is not given stays as it was."`
	List waterListCmd `cmd:"" help:"List the waters."`
	Show waterShowCmd `cmd:"" help:"Show one water."`
}

type waterAddCmd struct {
	ID           string   `required:"" help:"Short name in addresses, such as home-pit."`
	Name         string   `help:"Name for people; needed for a new water."`
	Lat          *float64 `help:"Latitude, degrees north; needed for a new water."`
	Lon          *float64 `help:"Longitude, degrees east; needed for a new water."`
	Elevation    *float64 `help:"Height above sea level, m (0 for a new water)."`
	MeanDepth    *float64 `help:"Mean depth, m (2 for a new water)."`
	Area         *float64 `help:"Area, ha."`
	Fetch        *float64 `help:"Longest open stretch of water the wind can cross, m."`
	Shelter      *float64 `help:"Wind over the water as a share of the station's (0.65 when not given)."`
	Bank         string   `help:"earth, grass or platform (grass for a new water)."`
	Zone         string   `help:"IANA time zone (Europe/London for a new water)."`
	Groups       []string `help:"Groups present (silver,bream,carp for a new water)."`
	Jurisdiction string   `help:"Whose rules hold, such as England."`
	Keepnet      string   `help:"The water's own keepnet rule, in words."`
	FeedLimit    *float64 `help:"Most groundbait a day, dry g."`
	Colour       string   `help:"clear, tinged or coloured (tinged for a new water)."`
	ClimateMean  *float64 `help:"Mean water temperature over the year, C (10.5 assumed when not given)."`
	ClimateRange *float64 `help:"From that mean to the warmest, C (7 assumed when not given)."`
	PowerLines   *float64 `help:"Distance of the nearest overhead line on the site, m."`
	UseStation   []string `help:"Weather stations to go by first, in this order, such as EGXX or awc/EGXX; they must be in reach." placeholder:"ID"`
	AvoidStation []string `help:"Weather stations never to use." placeholder:"ID"`
}

func (c *waterAddCmd) Run(a *app) error {
	if err := model.ValidateID("id", c.ID); err != nil {
		return err
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	w, err := db.Water(a.ctx, c.ID)
	switch {
	case model.CodeOf(err) == model.NotFound:
		w, err = c.newWater(a)
		if err != nil {
			return err
		}
	case err != nil:
		return err
	}
	c.change(&w)
	if err := w.Validate(); err != nil {
		return err
	}
	if err := db.PutWater(a.ctx, w); err != nil {
		return err
	}
	a.print(w, func(out io.Writer) { fmt.Fprintf(out, "Registered %s (%s).\n", w.Name, w.ID) })
	return nil
}

// newWater is a water of which nothing is said yet: what a lowland stillwater
// usually is, where the flags are silent.
func (c *waterAddCmd) newWater(a *app) (model.Water, error) {
	if c.Name == "" || c.Lat == nil || c.Lon == nil {
		return model.Water{}, model.Invalidf("name, lat, lon", "give all three for a water that is not registered yet", "one of them is not given")
	}
	if c.Elevation == nil {
		fmt.Fprintln(a.stderr, "No --elevation given: taken as 0 m. Stations over 300 m higher or lower are not used, and temperatures are moved by 6.5 C a km.")
	}
	return model.Water{
		ID: c.ID, MeanDepthM: 2, Bank: "grass", Zone: "Europe/London", Groups: model.Groups(), Colour: "tinged", AddedAt: a.now(),
	}, nil
}

// change writes what the flags give; what they do not give stays as it was.
func (c *waterAddCmd) change(w *model.Water) {
	setText(&w.Name, c.Name)
	setText(&w.Bank, c.Bank)
	setText(&w.Zone, c.Zone)
	setText(&w.Colour, c.Colour)
	setText(&w.Jurisdiction, c.Jurisdiction)
	setText(&w.KeepnetRule, c.Keepnet)
	setNumber(&w.LatDeg, c.Lat)
	setNumber(&w.LonDeg, c.Lon)
	setNumber(&w.ElevationM, c.Elevation)
	setNumber(&w.MeanDepthM, c.MeanDepth)
	setMaybe(&w.AreaHa, c.Area)
	setMaybe(&w.FetchM, c.Fetch)
	setMaybe(&w.ShelterFactor, c.Shelter)
	setMaybe(&w.FeedLimitDryG, c.FeedLimit)
	setMaybe(&w.ClimateMeanC, c.ClimateMean)
	setMaybe(&w.ClimateRangeC, c.ClimateRange)
	setMaybe(&w.PowerLinesM, c.PowerLines)
	if len(c.Groups) > 0 {
		w.Groups = nil
		for _, g := range c.Groups {
			w.Groups = append(w.Groups, model.Group(g))
		}
	}
	if len(c.UseStation)+len(c.AvoidStation) > 0 {
		w.Sources = model.WaterSources{Use: c.UseStation, Avoid: c.AvoidStation}
	}
}

func setText[T ~string](to *T, flag string) {
	if flag != "" {
		*to = T(flag)
	}
}

func setNumber[T ~float64](to *T, flag *float64) {
	if flag != nil {
		*to = T(*flag)
	}
}

func setMaybe[T ~float64](to *model.Maybe[T], flag *float64) {
	if flag != nil {
		*to = model.Known(T(*flag))
	}
}

// given turns a flag that may be absent into a value that may be missing.
func given[T ~float64](flag *float64) model.Maybe[T] {
	if flag == nil {
		return model.Maybe[T]{}
	}
	return model.Known(T(*flag))
}

type waterListCmd struct{}

func (c *waterListCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	waters, err := db.Waters(a.ctx, "", 10000)
	if err != nil {
		return err
	}
	if waters == nil {
		waters = []model.Water{}
	}
	a.print(map[string]any{"waters": waters}, func(out io.Writer) {
		if len(waters) == 0 {
			fmt.Fprintln(out, "No water is registered. Register one with: osier water add --id ID --name NAME --lat LAT --lon LON")
		}
		for _, w := range waters {
			fmt.Fprintf(out, "%-24s %s\n", w.ID, w.Name)
		}
	})
	return nil
}

type waterShowCmd struct {
	ID string `arg:"" help:"The water."`
}

func (c *waterShowCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	w, err := db.Water(a.ctx, c.ID)
	if err != nil {
		return err
	}
	weather, err := jobs.ChooseWeather(a.ctx, db, w, a.now())
	if err != nil {
		return err
	}
	shown := struct {
		model.Water
		Weather jobs.WeatherChoice `json:"weather"`
	}{w, weather}
	a.print(shown, func(out io.Writer) {
		waterText(out, w)
		weatherChoiceText(out, w, weather)
	})
	return nil
}

func waterText(out io.Writer, w model.Water) {
	mean, span, ownClimate := w.Climate()
	fmt.Fprintf(out, "%s (%s)\n", w.Name, w.ID)
	fmt.Fprintf(out, "  position      %.4f, %.4f, %.0f m above sea level, %s\n", w.LatDeg, w.LonDeg, float64(w.ElevationM), w.Zone)
	fmt.Fprintf(out, "  mean depth    %.1f m\n", float64(w.MeanDepthM))
	groups := make([]string, len(w.Groups))
	for i, g := range w.Groups {
		groups[i] = string(g)
	}
	fmt.Fprintf(out, "  groups        %s\n", strings.Join(groups, ", "))
	fmt.Fprintf(out, "  bank, colour  %s, %s\n", w.Bank, w.Colour)
	word := "assumed"
	if ownClimate {
		word = "given"
	}
	fmt.Fprintf(out, "  climate       mean %.1f C, +/-%.1f C over the year (%s)\n", float64(mean), float64(span), word)
	for _, p := range w.Pegs {
		fmt.Fprintf(out, "  peg %s", p.Number)
		if p.FacingDeg.Known {
			fmt.Fprintf(out, ", faces %.0f degrees", float64(p.FacingDeg.Value))
		}
		if p.PowerLinesM.Known {
			fmt.Fprintf(out, ", power lines at %.0f m", float64(p.PowerLinesM.Value))
		}
		fmt.Fprintln(out)
	}
}
