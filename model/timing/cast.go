package timing

import (
	"fmt"
	"math"
)

// Precision is how the minute of a bite was taken.
type Precision string

// The ways in which a bite is timed.
const (
	// Exact is a time by the clock, to seconds.
	Exact Precision = "exact"
	// WholeMinute is rounded up: minute 4 is after 3 min and at 4 min at latest.
	WholeMinute Precision = "whole_minute"
	// About is from memory: minute 5 is after 3 min and at 7 min at latest.
	About Precision = "about"
	// NotTimed is a bite of which nothing is known but the soak it fell in.
	NotTimed Precision = "not_timed"
)

// aboutMin is how far a remembered minute may be out, either way; our choice.
const aboutMin = 2.0

// shortestWaitMin, below which a fit loses its digits, and longestWaitMin bound
// what is taken for a soak; our choice.
const (
	shortestWaitMin = 1e-6
	longestWaitMin  = 720.0
)

// CastRecord is one cast as a record holds it.
type CastRecord struct {
	// Session is never empty: casts of one session share its luck.
	Session string
	// Angler and Water may be empty where nobody said.
	Angler, Water string
	// SoakMin is from the settled feeder to the wind-in, or to the strike;
	// 1e-6 to 720 min. 0 stands for not known, which a timed bite allows.
	SoakMin float64
	// TrueBite is a taken hook bait: landed, lost and missed alike, for a missed
	// bite ends the wait as well. A line bite is none, however hard the knock.
	TrueBite bool
	// BiteMin is from the settled feeder to the first true bite; 0 or more.
	BiteMin float64
	Timing  Precision
	// OnTheDrop is a bite while the bait still sank.
	OnTheDrop bool
	// LineBites say that fish are there and nothing about the hook; no function
	// of this package that deals with waits reads them.
	LineBites int
}

// Wait is the time to the first true bite of one cast, as far as it is known.
type Wait struct {
	Session, Angler, Water string
	// Bite tells whether a true bite came, after AfterMin and at ByMin at latest;
	// the two are equal where it was timed exactly. Without a bite both are the
	// soak, and the wait was longer.
	Bite            bool
	AfterMin, ByMin float64
	OnTheDrop       bool
}

// Wait is what the cast says about waiting. A bite on the drop, or at 0
// min, falls in the first minute. A cast without a true bite is a wait cut short at
// the wind-in. A field out of its range is an error that names it.
func (c CastRecord) Wait() (Wait, error) {
	if err := c.check(); err != nil {
		return Wait{}, fmt.Errorf("cast: %w", err)
	}
	w := Wait{Session: c.Session, Angler: c.Angler, Water: c.Water, Bite: c.TrueBite, AfterMin: c.SoakMin, ByMin: c.SoakMin}
	if !c.TrueBite {
		return w, nil
	}
	w.OnTheDrop = c.OnTheDrop
	if c.OnTheDrop || (c.BiteMin < shortestWaitMin && c.Timing != NotTimed) {
		w.AfterMin, w.ByMin = 0, 1
		return w, nil
	}
	switch c.Timing {
	case Exact:
		w.AfterMin, w.ByMin = c.BiteMin, c.BiteMin
	case WholeMinute:
		w.ByMin = math.Ceil(c.BiteMin)
		w.AfterMin = w.ByMin - 1
	case About:
		w.AfterMin, w.ByMin = max(0, c.BiteMin-aboutMin), c.BiteMin+aboutMin
		if c.SoakMin > w.AfterMin {
			w.ByMin = min(w.ByMin, c.SoakMin)
		}
	case NotTimed:
		w.AfterMin = 0
	}
	return w, nil
}

func (c CastRecord) check() error {
	if c.Session == "" {
		return fmt.Errorf("session is empty; name the session, for its casts share its luck")
	}
	if c.SoakMin != 0 && !(c.SoakMin >= shortestWaitMin && c.SoakMin <= longestWaitMin) {
		return fmt.Errorf("soak_min is %g; give %g to %g min", c.SoakMin, shortestWaitMin, longestWaitMin)
	}
	if c.LineBites < 0 {
		return fmt.Errorf("line_bites is %d; give 0 or more", c.LineBites)
	}
	if !c.TrueBite {
		if c.SoakMin == 0 {
			return fmt.Errorf("soak_min is missing; a cast without a true bite needs its wind-in")
		}
		if c.OnTheDrop {
			return fmt.Errorf("on_the_drop is set and there was no true bite; leave it out")
		}
		return nil
	}
	if !(c.BiteMin >= 0 && c.BiteMin <= longestWaitMin) {
		return fmt.Errorf("bite_min is %g; give 0 to %g", c.BiteMin, longestWaitMin)
	}
	switch c.Timing {
	case Exact, WholeMinute, About:
		// A minute rounded up, or remembered, may pass the wind-in.
		if late := c.BiteMin - c.SoakMin; c.SoakMin > 0 && (late > aboutMin || late > 1 && c.Timing == WholeMinute || late > 0 && c.Timing == Exact) {
			return fmt.Errorf("bite_min is %g, after the soak of %g min; give a minute before the wind-in", c.BiteMin, c.SoakMin)
		}
	case NotTimed:
		if c.SoakMin == 0 && !c.OnTheDrop {
			return fmt.Errorf("the bite is not timed and soak_min is missing; give one of the two")
		}
	default:
		return fmt.Errorf("timing is %q; give exact, whole_minute, about or not_timed", c.Timing)
	}
	return nil
}

// WholeMinutes puts waits on the scale of whole minutes, rounded up: minute m is
// after m-1 and up to m. A bite known to within more than a minute takes the
// minute that holds the middle of what is known.
func WholeMinutes(waits []Wait) (minutes []float64, bites []bool) {
	for _, w := range waits {
		minutes = append(minutes, max(1, math.Ceil((w.AfterMin+w.ByMin)/2)))
		bites = append(bites, w.Bite)
	}
	return minutes, bites
}

// check refuses a wait that CastRecord.Wait would not have made.
func (w Wait) check() error {
	if w.Session == "" {
		return fmt.Errorf("session is empty; name it")
	}
	if !(w.AfterMin >= 0 && w.AfterMin <= w.ByMin && w.ByMin <= longestWaitMin+aboutMin) || w.ByMin < shortestWaitMin {
		return fmt.Errorf("the wait is known to lie between %g and %g min; give 0 or more, the later not before the earlier and at least %g", w.AfterMin, w.ByMin, shortestWaitMin)
	}
	if !w.Bite && w.AfterMin != w.ByMin {
		return fmt.Errorf("a wait without a bite runs from %g to %g min; give the one minute of the wind-in", w.AfterMin, w.ByMin)
	}
	return nil
}
