package main

import (
	"fmt"
	"io"
	"strings"

	"osier/jobs"
	"osier/model"
)

type waterCmd struct {
	Add  waterAddCmd  `cmd:"" help:"Register a water, or change one."`
	List waterListCmd `cmd:"" help:"List the waters."`
	Show waterShowCmd `cmd:"" help:"Show one water."`
}

type waterAddCmd struct {
	ID           string   `required:"" help:"Short name in addresses, such as home-pit."`
	Name         string   `required:"" help:"Name for people."`
	Lat          float64  `required:"" help:"Latitude, degrees north."`
	Lon          float64  `required:"" help:"Longitude, degrees east."`
	Elevation    float64  `default:"0" help:"Height above sea level, m."`
	MeanDepth    float64  `default:"2" help:"Mean depth, m."`
	Area         *float64 `help:"Area, ha."`
	Fetch        *float64 `help:"Longest open stretch of water the wind can cross, m."`
	Shelter      *float64 `help:"Wind over the water as a share of the station's (0.65 when not given)."`
	Bank         string   `default:"grass" help:"earth, grass or platform."`
	Zone         string   `default:"Europe/London" help:"IANA time zone."`
	Groups       []string `default:"silver,bream,carp" help:"Groups present."`
	Jurisdiction string   `help:"Whose rules hold, such as England."`
	Keepnet      string   `help:"The water's own keepnet rule, in words."`
	FeedLimit    *float64 `help:"Most groundbait a day, dry g."`
	Colour       string   `default:"tinged" help:"clear, tinged or coloured."`
	ClimateMean  *float64 `help:"Mean water temperature over the year, C (10.5 assumed when not given)."`
	ClimateRange *float64 `help:"From that mean to the warmest, C (7 assumed when not given)."`
	PowerLines   *float64 `help:"Distance of the nearest overhead line on the site, m."`
	UseStation   []string `help:"Weather stations to go by first, in this order, such as EGXX or awc/EGXX; they must be in reach." placeholder:"ID"`
	AvoidStation []string `help:"Weather stations never to use." placeholder:"ID"`
}

func (c *waterAddCmd) Run(a *app) error {
	w := model.Water{
		ID: c.ID, Name: c.Name, LatDeg: c.Lat, LonDeg: c.Lon,
		ElevationM: model.Metres(c.Elevation), MeanDepthM: model.Metres(c.MeanDepth),
		AreaHa: given[float64](c.Area), FetchM: given[model.Metres](c.Fetch), ShelterFactor: given[float64](c.Shelter),
		Bank: model.Bank(c.Bank), Zone: c.Zone, Jurisdiction: c.Jurisdiction, KeepnetRule: c.Keepnet,
		FeedLimitDryG: given[model.Grams](c.FeedLimit), Colour: model.Colour(c.Colour),
		ClimateMeanC: given[model.Celsius](c.ClimateMean), ClimateRangeC: given[model.Celsius](c.ClimateRange),
		PowerLinesM: given[model.Metres](c.PowerLines), AddedAt: a.now(),
		Sources: model.WaterSources{Use: c.UseStation, Avoid: c.AvoidStation},
	}
	for _, g := range c.Groups {
		w.Groups = append(w.Groups, model.Group(g))
	}
	if err := w.Validate(); err != nil {
		return err
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if old, err := db.Water(a.ctx, w.ID); err == nil {
		w.Pegs, w.AddedAt = old.Pegs, old.AddedAt
	}
	if err := db.PutWater(a.ctx, w); err != nil {
		return err
	}
	a.print(w, func(out io.Writer) { fmt.Fprintf(out, "Registered %s (%s).\n", w.Name, w.ID) })
	return nil
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
