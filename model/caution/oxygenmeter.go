package caution

import (
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/water"
)

// Cautions pack, section 3. How long a reading counts is our choice.
const (
	meterClosurePct = 40
	meterHolds      = 24 * time.Hour
)

// meterLow raises where a meter showed too little oxygen within the day before.
func (o *outing) meterLow() []finding {
	var found []finding
	for _, r := range o.Meter {
		pct, known := o.saturationPct(r)
		if !known || pct >= meterClosurePct || r.At.After(o.Now) {
			continue
		}
		f := finding{
			from: r.At, until: r.At.Add(meterHolds), level: closure, badness: 1000 - pct,
			threshold: "a meter under 40 % of saturation within a day", inputs: map[string]float64{"oxygen_saturation_pct": pct},
			text: "A meter read " + figure(pct) + " % of saturation on " + r.At.In(o.loc).Format("2 January, 15:04") + ". Skip the keepnet, do not feed; report gasping fish.",
		}
		found = append(found, f.within(o.From, o.Until)...)
	}
	return found
}

// measured says what a meter read within the day before a time, or that none
// did: the rest is a guess from weather.
func (o *outing) measured(at time.Time) string {
	var last model.MeterReading
	var pct float64
	for _, r := range o.Meter {
		p, known := o.saturationPct(r)
		counts := known && !r.At.After(o.Now) && r.At.Add(meterHolds).After(at)
		if counts && r.At.After(last.At) {
			last, pct = r, p
		}
	}
	if last.At.IsZero() {
		return " No meter reading; based on weather."
	}
	return " A meter read " + figure(pct) + " % of saturation on " + last.At.In(o.loc).Format("2 January, 15:04") + "; this is based on weather."
}

// saturationPct is a reading of this water by an instrument as a share of
// saturation in per cent; nobody guesses oxygen. One in mg/L needs its water
// temperature; the pressure is the hour's, or the standard one.
func (o *outing) saturationPct(r model.MeterReading) (float64, bool) {
	if r.Water != o.Water.ID || !r.Instrument {
		return 0, false
	}
	if pct, known := finite(r.OxygenPct); known {
		return pct, pct >= 0
	}
	mgL, mgKnown := finite(r.OxygenMgL)
	waterC, waterKnown := finite(r.WaterC)
	if h := o.hour(r.At.Truncate(time.Hour)); !waterKnown {
		if _, known := waterHigh(h); known {
			waterC, waterKnown = h.WaterC.Value, true
		}
	}
	if !mgKnown || !waterKnown || mgL < 0 {
		return 0, false
	}
	hPa, highHPa := o.stationPressure(o.hour(r.At.Truncate(time.Hour)))
	if hPa != highHPa { // the pressure is not known
		hPa, _ = air.StationPressureFromSeaLevel(standardSeaHPa, float64(o.Water.ElevationM))
	}
	full, ok := water.OxygenSaturation(waterC, hPa, 0)
	if !ok {
		return 0, false
	}
	return 100 * mgL / full, true
}

// standardSeaHPa is one atmosphere, by definition.
const standardSeaHPa = 1013.25
