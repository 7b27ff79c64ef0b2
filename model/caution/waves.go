package caution

import (
	"math"

	"osier/model"
)

const wavesSource = "Beaufort scale; common practice; the figures for low platforms are our choice"

// Wind speeds in m/s at 10 m; cautions pack, section 2.
const (
	wavesNoteMps     = 8
	wavesCareMps     = 11 // on a low platform; our choice
	lowPlatformM     = 0.3
	wavesSpreadDeg   = 90 // a wind within this of the way the peg faces blows onto it; our choice, the safer reading
	wavesThreshold   = "mean wind 8 m/s onshore, 11 m/s onshore on a low platform, gust 21 m/s onshore"
	wavesOnBank      = "Waves on this bank from {from} to {until}, wind of "
	wavesPlatformWet = " m/s. Low platforms may be wet."
)

// waves looks at wind that blows onto the peg. A peg faces the water, so a wind
// from ahead of it drives the waves in.
func waves(o *outing) []finding {
	var found []finding
	for _, h := range o.planned {
		onto := o.onshore(h)
		if onto == no {
			continue
		}
		mean, meanKnown := finite(h.WindMps)
		gust, gustKnown := finite(h.GustMps)
		gust = math.Max(mean, gust)
		low := o.lowPlatform()
		f := finding{}
		if onto == yes {
			f = wavesRaise(mean, gust, low == yes)
		}
		f.badness, f.inputs = mean, map[string]float64{}
		put(f.inputs, "wind_mps", h.WindMps)
		put(f.inputs, "gust_mps", h.GustMps)
		put(f.inputs, "wind_from_deg", h.WindFromDeg)
		put(f.inputs, "fetch_m", o.Water.FetchM)
		found = append(found, hourly(h, f))

		mayMean, mayGust, why := mean, gust, "which way the peg faces, or the wind blows, is not known"
		if onto == yes {
			why = "whether the peg is a low platform is not known"
		}
		if !meanKnown || o.outdated(h.Weather) {
			mayMean, why = math.Inf(1), "no wind given, or only by an old forecast"
		}
		if !gustKnown || o.outdated(h.Weather) {
			mayGust, why = math.Inf(1), "no wind or gusts given, or only by an old forecast"
		}
		if could := wavesRaise(mayMean, mayGust, low != no).level; could > f.level {
			found = append(found, hourly(h, notChecked(could, "Waves were", why, wavesThreshold)))
		}
	}
	return found
}

func wavesRaise(mean, gust float64, low bool) finding {
	text := wavesOnBank + figure(mean) + wavesPlatformWet
	switch {
	case gust >= gustStopMps:
		return finding{level: stop, threshold: "gust 21 m/s onshore", text: wavesOnBank + figure(mean) + " m/s, gusts to " + figure(gust) + ". Do not fish it."}
	case mean >= wavesCareMps && low:
		return finding{level: care, threshold: "mean wind 11 m/s onshore on a low platform", text: text + " Stay off them."}
	case mean >= wavesNoteMps:
		return finding{level: note, threshold: "mean wind 8 m/s onshore", text: text}
	}
	return finding{}
}

// onshore says whether the wind of the hour blows onto the peg. The wind's
// direction by an old forecast settles nothing.
func (o *outing) onshore(h model.ConditionHour) fact {
	if o.Peg == nil {
		return maybe
	}
	facing, facingKnown := finite(o.Peg.FacingDeg)
	wind, windKnown := finite(h.WindFromDeg)
	if !facingKnown || !windKnown {
		return maybe
	}
	apart := math.Abs(math.Remainder(wind-facing, 360))
	return isOr(apart < wavesSpreadDeg, o.outdated(h.Weather))
}

// lowPlatform says whether the peg is a platform near the water. A bank of earth
// or grass settles nothing: single pegs there may have platforms too.
func (o *outing) lowPlatform() fact {
	if o.Peg == nil {
		return maybe
	}
	heightM, known := finite(o.Peg.PlatformHeightM)
	return isOr(known && heightM <= lowPlatformM, !known)
}
