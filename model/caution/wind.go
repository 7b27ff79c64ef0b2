package caution

import "math"

const windSource = "Beaufort scale; using its classes for gusts is our choice"

// Wind speeds in m/s at 10 m; cautions pack, section 2.
const (
	windNoteMps = 8
	gustCareMps = 14
	gustStopMps = 21
)

// wind looks at the mean wind and the gusts. A gust is at least the mean wind,
// so a mean wind of a gust's strength counts as one.
func wind(o *outing) []finding {
	found := o.outdatedHours("Wind was", weatherKind)
	for _, h := range o.planned {
		mean, meanKnown := finite(h.WindMps)
		gust, gustKnown := finite(h.GustMps)
		if f := windRaises(mean, math.Max(mean, gust), gustKnown && gust >= mean); f.level > nothing {
			f.inputs = map[string]float64{}
			put(f.inputs, "wind_mps", h.WindMps)
			put(f.inputs, "gust_mps", h.GustMps)
			found = append(found, hourly(h, f))
		}
		if subject := missingWind(meanKnown, gustKnown); subject != "" {
			found = append(found, hourly(h, notChecked(stop, subject, "none given", "mean wind 8 m/s, gusts 14 and 21 m/s")))
		}
	}
	return found
}

// windRaises takes the mean wind and the gust in m/s. The zero that finite
// gives for a missing reading raises nothing.
func windRaises(mean, gust float64, reported bool) finding {
	if gust < gustCareMps && mean < windNoteMps {
		return finding{}
	}
	what := "Gusts to " + figure(gust) + " m/s from {from} to {until}."
	if !reported {
		what = "Mean wind up to " + figure(mean) + " m/s from {from} to {until}, gusts more."
	}
	switch {
	case gust >= gustStopMps:
		return finding{level: stop, badness: gust, threshold: "gust 21 m/s", text: what + " Branches may break: do not fish."}
	case gust >= gustCareMps:
		return finding{level: care, badness: gust, threshold: "gust 14 m/s", text: what + " No umbrella, stay out from under trees, expect short casts."}
	}
	return finding{level: note, badness: mean, threshold: "mean wind 8 m/s", text: "Mean wind up to " + figure(mean) + " m/s from {from} to {until}. Expect a bow in the line and short casts."}
}

func missingWind(meanKnown, gustKnown bool) string {
	switch {
	case !meanKnown && !gustKnown:
		return "Wind and gusts were"
	case !meanKnown:
		return "Mean wind was"
	case !gustKnown:
		return "Gusts were"
	}
	return ""
}
