package caution

import (
	"math"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/solar"
	"osier/model/water"
)

// Where no pressure is known the estimate is made for both ends of what a
// barometer shows at the sea's level; from memory.
const (
	lowestSeaHPa  = 940
	highestSeaHPa = 1050
	duskHour      = 18 // local; reference pack, water and fish, 3.2
	// duskAboveC bounds a dusk nobody knows by the water of the hour; our choice.
	duskAboveC = 5
)

// dawn raises on the oxygen guessed for first light of the hour's local day,
// from the upper end of the water's interval at dusk before it.
func (o *outing) dawn(h model.ConditionHour, raise func(finding), unsure func(level, string)) {
	y, m, d := h.At.In(o.loc).Date()
	dusk := o.hour(time.Date(y, m, d-1, duskHour, 0, 0, 0, o.loc).Truncate(time.Hour))
	nightH := o.nightBefore(time.Date(y, m, d, 12, 0, 0, 0, o.loc))
	lowHPa, highHPa := o.stationPressure(dusk)

	raised := nothing
	if highC, known := waterHigh(dusk); known {
		if is, ok := dawnOf(highC, highHPa, nightH); ok && is.DawnMgL < dawnCareMgL {
			f := finding{level: care, badness: 100 - is.DawnMgL, threshold: "dawn estimate under 6 mg/L"}
			f.inputs = map[string]float64{"dawn_oxygen_mg_l": is.DawnMgL, "dusk_water_high_c": highC, "night_h": nightH}
			f.text = ": about " + figure(is.DawnMgL) + " mg/L."
			if is.DawnMgL < dawnOfficerMgL {
				f.threshold = "dawn estimate under 4 mg/L"
				f.text += " Ask an officer to take a reading."
			}
			raised = care
			raise(f)
		}
	}
	mayBe, why := o.waterMayBe(dusk), "no water temperature known of the evening before"
	if math.IsInf(mayBe, 1) {
		mayBe = o.waterMayBe(h) + duskAboveC
	} else {
		why = "the pressure, or a water not by an old forecast, is missing"
	}
	if could, ok := dawnOf(mayBe, lowHPa, nightH); raised < care && ok && could.DawnMgL < dawnCareMgL {
		unsure(care, why)
	}
}

// dawnOf asks the water model, at the nearest temperature it answers for.
func dawnOf(waterC, stationHPa, nightH float64) (water.DawnOxygen, bool) {
	return water.EstimateDawnOxygen(water.DawnInput{DuskWaterC: math.Max(0, math.Min(40, waterC)), StationHPa: stationHPa, NightH: nightH})
}

// stationPressure is the pressure at the water's height as low and as high as
// it may be; the two are one where it is known.
func (o *outing) stationPressure(h model.ConditionHour) (lowHPa, highHPa float64) {
	heightM := float64(o.Water.ElevationM)
	if hPa, known := finite(h.PressureHPa); known {
		at, ok := air.StationPressureFromSeaLevel(hPa, heightM)
		if h.PressureKind == model.QNH {
			at, ok = air.StationPressureFromQNH(hPa, heightM)
		}
		if ok {
			return at, at
		}
	}
	lowHPa, _ = air.StationPressureFromSeaLevel(lowestSeaHPa, heightM)
	highHPa, _ = air.StationPressureFromSeaLevel(highestSeaHPa, heightM)
	return lowHPa, highHPa
}

// nightBefore is the length in hours of the night into the day of a noon, which
// all hours of a day ask for.
func (o *outing) nightBefore(noon time.Time) float64 {
	if !noon.Equal(o.noon) {
		o.noon, o.nightH = noon, o.nightInto(noon)
	}
	return o.nightH
}

func (o *outing) nightInto(noon time.Time) float64 {
	yesterday, ok1 := solar.SunTimes(o.Water.LatDeg, o.Water.LonDeg, noon.AddDate(0, 0, -1))
	today, ok2 := solar.SunTimes(o.Water.LatDeg, o.Water.LonDeg, noon)
	switch {
	case !ok1 || !ok2:
		return 24 // no such sun is known: the safer end
	case yesterday.Set.IsZero() || today.Rise.IsZero():
		return math.Max(0, 24-today.DayLengthH())
	}
	return math.Max(0, math.Min(24, today.Rise.Sub(yesterday.Set).Hours()))
}

// sunHeight is 0, neither day nor night, where it cannot be told.
func (o *outing) sunHeight(at time.Time) float64 {
	deg, _ := solar.Elevation(o.Water.LatDeg, o.Water.LonDeg, at)
	return deg
}
