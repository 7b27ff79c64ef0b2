package water

import "math"

// Oxygen taken up in a night by everything that breathes, in mg/L a day: the
// figures of six Iowa ponds 2 m deep, 514 pond-days from May to August 2020
// (Johnson et al., pond greenhouse gas responses, Limnology and Oceanography
// Letters, open data; worked out for the project's reference pack, water and
// fish, 3.3). The percentiles are of all days, the medians of the warm and the
// cool ones.
const (
	respiration10MgLD     = 1.5
	respiration50MgLD     = 6.1
	respiration90MgLD     = 10.6
	respirationWarmMgLD   = 6.3 // median at RiskWaterC and above, where it is flat
	respirationCoolMgLD   = 3.5 // median below RiskWaterC
	respirationHoursInDay = 24
)

// DawnInput is what the dawn estimate rests on.
type DawnInput struct {
	DuskWaterC float64 // of the water at 18:00 local time, 0 to 40
	StationHPa float64 // at the water's own height, 400 to 1100
	NightH     float64 // from sunset to sunrise, 0 to 24
}

// DawnOxygen is a guess at the oxygen at first light with its interval.
type DawnOxygen struct {
	DuskMgL         float64 // taken as the saturation
	DawnMgL         float64
	LowMgL          float64 // with the respiration that one day in ten exceeds
	HighMgL         float64 // with the respiration that nine days in ten exceed
	RespirationMgLD float64 // the median behind DawnMgL
}

// EstimateDawnOxygen guesses the oxygen of a small fresh water at first light,
// in mg/L: the saturation at dusk less the night's share of a day's respiration,
// never below 0. Outside the ranges of DawnInput there is no value. It is a
// guess from the weather and never a measurement; whoever shows it says so.
//
// What the air gives back overnight is taken as nothing, as on a still night, so
// a windy night ends better than this says. That the pond holds just the
// saturation at dusk is assumed: a pond in bloom holds more, a sick one less,
// and the interval covers only the respiration. That interval is the 10th and
// 90th percentile of the ponds' respiration. No percentiles are known for cool
// days alone, so below RiskWaterC the same spread is scaled to the cool median
// (0.9 to 6.1 about 3.5 mg/L a day): our choice.
//
// Source: reference pack, water and fish, 3.3.
func EstimateDawnOxygen(in DawnInput) (DawnOxygen, bool) {
	dusk, ok := OxygenSaturation(in.DuskWaterC, in.StationHPa, 0)
	if !ok || !(in.NightH >= 0 && in.NightH <= respirationHoursInDay) {
		return DawnOxygen{}, false
	}
	least, median, most := respirationMgLD(in.DuskWaterC)
	after := func(mgLD float64) float64 {
		return math.Max(0, dusk-mgLD*in.NightH/respirationHoursInDay)
	}
	return DawnOxygen{
		DuskMgL: dusk, DawnMgL: after(median), LowMgL: after(most), HighMgL: after(least),
		RespirationMgLD: median,
	}, true
}

// respirationMgLD is the 10th, 50th and 90th percentile for a temperature.
func respirationMgLD(waterC float64) (least, median, most float64) {
	if waterC >= RiskWaterC {
		return respiration10MgLD, respirationWarmMgLD, respiration90MgLD
	}
	const scale = respirationCoolMgLD / respiration50MgLD
	return respiration10MgLD * scale, respirationCoolMgLD, respiration90MgLD * scale
}
