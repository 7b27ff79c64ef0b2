package main

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/water"
)

// The club is none on a map. Its waters lie together in the open North Sea,
// where no fishery is, at a longitude that suits British clocks, whose change
// in October the records need. They share one cell of the forecast.
const (
	demoLatDeg = 53.90
	demoLonDeg = 2.20
)

// demoClub is the invented club.
const demoClub = "Hobbin Row Angling Circle"

func demoStation() model.Station {
	return model.Station{
		ID: "HOBBIN", Source: inventedSource, Name: "Hobbin Row (invented)",
		LatDeg: demoLatDeg, LonDeg: demoLonDeg, ElevationM: model.Known(model.Metres(5)),
	}
}

// The places of the waters in the list.
const (
	quillmarsh = iota
	drovelow
	thistlecote
)

func demoWaters(addedAt time.Time) []model.Water {
	pit := demoWater("quillmarsh-pit", "Quillmarsh Pit (invented)", 0.002, 0.001, addedAt)
	pit.MeanDepthM, pit.AreaHa, pit.FetchM = 3.6, model.Known(4.5), model.Known(model.Metres(260))
	pit.Groups, pit.Colour = []model.Group{model.Bream, model.Silver}, "coloured"
	pit.PowerLinesM, pit.Pegs = model.Known(model.Metres(600)), ringOfPegs(24, 20)

	mere := demoWater("drovelow-mere", "Drovelow Mere (invented)", -0.002, 0.004, addedAt)
	mere.MeanDepthM, mere.AreaHa, mere.FetchM = 1.6, model.Known(2.1), model.Known(model.Metres(190))
	mere.Groups, mere.Colour = []model.Group{model.Silver, model.Carp}, "clear" // its tench count as carp
	mere.PowerLinesM, mere.Pegs = model.Known(model.Metres(24)), ringOfPegs(14, 65)
	for i := range mere.Pegs {
		mere.Pegs[i].PowerLinesM = model.Known(model.Metres(150))
	}
	mere.Pegs[13].PowerLinesM = mere.PowerLinesM // a line crosses the bank there

	pool := demoWater("thistlecote-pool", "Thistlecote Pool (invented)", -0.003, -0.004, addedAt)
	pool.MeanDepthM, pool.AreaHa, pool.FetchM = 1.7, model.Known(0.9), model.Known(model.Metres(120))
	pool.Groups, pool.Colour = []model.Group{model.Carp, model.Silver}, "tinged"
	pool.Bank, pool.Pegs = "platform", ringOfPegs(16, 110)
	pool.PowerLinesM = model.Known(model.Metres(800))
	for i := range pool.Pegs {
		pool.Pegs[i].PlatformHeightM = model.Known(model.Metres(0.4))
	}
	pool.KeepnetRule = "no keepnets from June to August"
	pool.FeedLimitDryG = model.Known(model.Grams(1200))
	return []model.Water{pit, mere, pool}
}

func demoWater(id, name string, north, east float64, addedAt time.Time) model.Water {
	return model.Water{
		ID: id, Name: name, LatDeg: demoLatDeg + north, LonDeg: demoLonDeg + east, ElevationM: 5,
		ShelterFactor: model.Known(water.DefaultShelter), Bank: "grass", Zone: "Europe/London",
		ClimateMeanC: model.Known(model.Celsius(airMeanC)), ClimateRangeC: model.Known(model.Celsius(airAmplitudeC)),
		Demo: true, AddedAt: addedAt,
	}
}

// ringOfPegs numbers pegs round a bank, each facing the middle.
func ringOfPegs(n int, firstDeg float64) []model.Peg {
	pegs := make([]model.Peg, n)
	for i := range pegs {
		pegs[i] = model.Peg{
			Number:    strconv.Itoa(i + 1),
			FacingDeg: model.Known(model.Degrees(math.Mod(firstDeg+float64(i)*math.Round(360/float64(n)), 360))),
		}
	}
	return pegs
}

// How far the truth strays from the slab: an AR(1) error from day to day.
const (
	waterErrorAR  = 0.95
	waterErrorSdC = 0.8
)

// trueWaterC is the temperature each water really had at each hour: the
// product's own slab on the invented weather, and an error the product cannot
// know.
func trueWaterC(seed uint64, waters []model.Water, hours []demoHour) ([][]float64, error) {
	forcing := make([]water.Hour, len(hours))
	for i, h := range hours {
		rh, ok := air.RelativeHumidity(h.airC, h.dewC)
		forcing[i] = water.Hour{
			At: h.at, AirC: water.Known(h.airC), RHPct: water.Reading{Value: rh, Known: ok},
			WindMps: water.Known(h.windMps), CloudFraction: water.Known(float64(h.oktas) / 8),
		}
	}
	out := make([][]float64, len(waters))
	for i, w := range waters {
		site := water.NewSite(w.LatDeg, w.LonDeg, float64(w.MeanDepthM))
		start, err := water.StartFromAir(site, hours[0].at.Add(-time.Hour), forcing)
		if err != nil {
			return nil, fmt.Errorf("water of %s: %w", w.ID, err)
		}
		run, _, err := water.Run(site, start, forcing, make([]water.Estimate, 0, len(hours)))
		if err != nil {
			return nil, fmt.Errorf("water of %s: %w", w.ID, err)
		}
		out[i] = withWaterError(seed, uint64(i), run)
	}
	return out, nil
}

func withWaterError(seed, place uint64, run []water.Estimate) []float64 {
	first := dayNumber(run[0].At) - 1
	daily := autoregression(seed, drawWaterError, place, waterErrorAR, first, len(run)/24+4)
	temps := make([]float64, len(run))
	for i, e := range run {
		day, share := fromNoon(e.At, first)
		temps[i] = math.Max(0.2, e.SurfaceC+waterErrorSdC*(daily[day]+share*(daily[day+1]-daily[day])))
	}
	return temps
}

// demoReports are what members saw: ice and distress in the two spells, and
// the bloom and the spawning that a shallow water has every year.
func demoReports(waters []model.Water, from, now time.Time) []model.Report {
	all := []model.Report{
		{Water: waters[drovelow].ID, Kind: model.SawIce, At: lastDate(now, time.January, frostDay+5).Add(8 * time.Hour), By: "DMK", Note: "cat ice along the reeds, gone by noon (invented)"},
		{Water: waters[thistlecote].ID, Kind: model.SawDistress, At: lastDate(now, time.July, closedDay).Add(5 * time.Hour), By: "sedge9", Note: "fish at the surface at first light (invented)"},
		{Water: waters[drovelow].ID, Kind: model.SawBloom, At: lastDate(now, time.August, 14).Add(9 * time.Hour), By: "RJ", Note: "green scum in the north corner (invented)"},
		{Water: waters[quillmarsh].ID, Kind: model.SawSpawning, At: lastDate(now, time.May, 24).Add(6 * time.Hour), By: "tolly", Note: "bream splashing in the margins (invented)"},
	}
	var past []model.Report
	for i, r := range all {
		if r.At.Before(from) || r.At.After(now) {
			continue
		}
		r.ID = fmt.Sprintf("invented-%d", i+1)
		past = append(past, r)
	}
	return past
}

func demoKits() []model.Kit {
	return []model.Kit{{
		Angler: "RJ",
		Feeders: []model.OwnFeeder{
			{Type: "cage", CapacityMl: 12, WeightG: 20},
			{Type: "cage", CapacityMl: 20, WeightG: 30},
			{Type: "cage", CapacityMl: 20, WeightG: 50},
			{Type: "cage", CapacityMl: 35, WeightG: 50},
			{Type: "plastic_open_end", CapacityMl: 55, WeightG: 50},
		},
		RodMaxG: model.Known(model.Grams(80)), TenFillsG: model.Known(model.Grams(270)), TenFillsMl: model.Known(model.Millilitres(35)),
	}}
}
