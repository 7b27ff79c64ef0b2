package caution

import (
	"math"
	"time"

	"osier/model"
	"osier/model/air"
)

const coldExposureSource = "wind chill index, Environment Canada (2001); the steps are our choice, since anglers sit still with wet hands"

// Cautions pack, section 2; all of them are our choice.
const (
	chillNoteC = 0
	chillCareC = -3 // for two hours on end
	chillStopC = -20
	wetCareC   = 5 // colder than this, with rain and
	wetWindMps = 5 // this wind or more

	// noChillAboveC is where wind stops to matter: the index ends at 10 C
	// (Environment Canada, 2001).
	noChillAboveC = 10

	coldSteps  = "feels-like 0 C, -3 C for 2 h and -20 C; air under 5 C with rain and wind of 5 m/s"
	coldAdvice = " You will be sitting still: wear a windproof layer, keep spare gloves dry, and set a time to stop."
)

// chill is how cold an hour is to sit in, as mild and as harsh as the readings
// allow. The two are one where nothing is missing.
type chill struct {
	mildC, harshC float64
	wet, maybeWet bool // rain with wind in cold air
	rainMm        float64
	missing       string
}

// coldExposure looks at what the air feels like. Where the wind is too light
// for a wind chill index the air temperature stands for it: calm air can chill
// too. Two hours on end are two neighbouring hours of the outing, since nobody
// sits out the ones before.
func coldExposure(o *outing) []finding {
	found := o.outdatedHours("Wind chill was", weatherKind)
	hours := o.planned
	var chills []chill
	for _, h := range hours {
		chills = append(chills, chillOf(h, o.hour(h.At.Add(time.Hour))))
	}
	for i, h := range hours {
		before, after := neighbours(chills, i)
		c := chills[i]
		f := coldRaises(c.mildC, c.wet, before.mildC <= chillCareC || after.mildC <= chillCareC)
		if f.level > nothing {
			f.inputs, f.badness = coldInputs(h, c), -c.mildC
			f.text = coldText(h, c, f.level)
			found = append(found, hourly(h, f))
		}
		could := coldRaises(c.harshC, c.maybeWet, before.harshC <= chillCareC || after.harshC <= chillCareC)
		if could.level > f.level {
			why := c.missing
			if why == "" {
				why = "the hour before or after is not known"
			}
			found = append(found, hourly(h, notChecked(could.level, "Wind chill was", why, coldSteps)))
		}
	}
	return found
}

// neighbours gives the hours on either side; past the ends of the outing they
// are never cold.
func neighbours(chills []chill, i int) (before, after chill) {
	before = chill{mildC: math.Inf(1), harshC: math.Inf(1)}
	after = before
	if i > 0 {
		before = chills[i-1]
	}
	if i+1 < len(chills) {
		after = chills[i+1]
	}
	return before, after
}

// coldRaises takes a feels-like temperature and what goes with it.
func coldRaises(feelsC float64, wet, cold2h bool) finding {
	switch {
	case feelsC <= chillStopC:
		return finding{level: stop, threshold: "feels-like -20 C or below"}
	case feelsC <= chillCareC && cold2h:
		return finding{level: care, threshold: "feels-like -3 C or below for 2 h"}
	case wet:
		return finding{level: care, threshold: "air under 5 C with rain and wind of 5 m/s or more"}
	case feelsC <= chillNoteC:
		return finding{level: note, threshold: "feels-like 0 C or below"}
	}
	return finding{}
}

// chillOf reads an hour. Rain comes from the hour's own depth, which fell
// before it and leaves everything wet, and from the next hour's, which fell in
// it.
func chillOf(h, next model.ConditionHour) chill {
	airC, airKnown := finite(h.AirC)
	windMps, windKnown := finite(h.WindMps)
	feelsC, kind := air.FeelsLike(airC, windMps, 0, false)
	switch {
	case !airKnown && !windKnown:
		return chill{mildC: math.Inf(1), harshC: math.Inf(-1), missing: "neither air temperature nor wind given"}
	case !airKnown || kind == air.KindUnknown:
		return chill{mildC: math.Inf(1), harshC: math.Inf(-1), missing: "no usable air temperature given"}
	case !windKnown && airC <= noChillAboveC:
		return chill{mildC: airC, harshC: math.Inf(-1), missing: "no wind given"}
	}
	c := chill{mildC: feelsC, harshC: feelsC}
	if airC < wetCareC && windMps >= wetWindMps {
		fell, fellKnown := finite(h.RainMm)
		falls, fallsKnown := finite(next.RainMm)
		c.rainMm = max(fell, falls)
		c.wet = c.rainMm > 0
		c.maybeWet = c.wet || !fellKnown || !fallsKnown
		if c.maybeWet && !c.wet {
			c.missing = "no rain given"
		}
	}
	return c
}

func coldInputs(h model.ConditionHour, c chill) map[string]float64 {
	inputs := map[string]float64{}
	put(inputs, "air_temp_c", h.AirC)
	put(inputs, "wind_mps", h.WindMps)
	if c.wet {
		inputs["rain_mm"] = c.rainMm
	}
	if c.mildC == c.harshC {
		inputs["feels_like_c"] = c.mildC
	}
	return inputs
}

func coldText(h model.ConditionHour, c chill, l level) string {
	what := "Feels like " + figure(c.mildC) + " C"
	switch {
	case c.mildC != c.harshC:
		what = "Air of " + figure(c.mildC) + " C, colder in any wind,"
	case c.wet:
		what += " with rain"
	}
	what += " from {from} to {until}."
	if l == stop {
		return what + " Too cold to sit still: do not fish."
	}
	return what + coldAdvice
}
