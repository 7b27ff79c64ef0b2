package water

import (
	"errors"
	"fmt"
	"time"
)

// What stands in for weather that is missing (reference pack 2.1).
const (
	defaultCloudFraction = 0.6
	defaultRHPct         = 80.0
	defaultWindMps       = 4.0 // at a station, so the site's shelter applies
)

// longestSpan is the longest time one Hour may stand for: a day, so that daily
// means can be used. A longer gap must be given as hours without air, so that
// nobody's silence is taken for steady weather.
const longestSpan = 24 * time.Hour

// Reading is a value that may be missing. A missing value is never a zero.
type Reading struct {
	Value float64
	Known bool
}

// Known makes a reading of a value that is known.
func Known(v float64) Reading { return Reading{Value: v, Known: true} }

func (r Reading) or(standIn float64) float64 {
	if r.Known {
		return r.Value
	}
	return standIn
}

// Hour is the weather of the time that ends at At and began where the hour
// before it ended: usually an hour, at most a day. The ranges are those of
// Forcing.
type Hour struct {
	At            time.Time
	AirC          Reading
	RHPct         Reading
	WindMps       Reading
	CloudFraction Reading
	ShortwaveWm2  Reading // measured sunlight; without it the cloud decides
	WindAtWater   bool    // the wind was measured over the water, so no shelter applies
}

// forcing is the weather over the site with stand-ins for what is missing. The
// sunlight is the measured one or 0; the caller adds what the cloud lets through.
func (h *Hour) forcing(site *Site, airC float64) Forcing {
	wind := h.WindMps.or(defaultWindMps)
	if !h.WindAtWater || !h.WindMps.Known {
		wind *= site.Shelter
	}
	return Forcing{
		AirC:          airC,
		RHPct:         h.RHPct.or(defaultRHPct),
		Wind2mMps:     wind,
		CloudFraction: h.CloudFraction.or(defaultCloudFraction),
		ShortwaveWm2:  h.ShortwaveWm2.or(0),
	}
}

// validate refuses weather out of range and an hour that does not follow from.
func (h *Hour) validate(from time.Time) error {
	switch span := h.At.Sub(from); {
	case span <= 0:
		return fmt.Errorf("it does not come after %s; give hours in order of time", from.Format(time.RFC3339))
	case span > longestSpan:
		return fmt.Errorf("it comes %v after the one before; give at least one hour a day, without air temperature where none is known", span)
	}
	// The whole station wind is checked, before shelter makes it smaller.
	return Forcing{
		AirC: h.AirC.or(0), RHPct: h.RHPct.or(0), Wind2mMps: h.WindMps.or(0),
		CloudFraction: h.CloudFraction.or(0), ShortwaveWm2: h.ShortwaveWm2.or(0),
	}.validate()
}

// checkOrder refuses hours that do not rise in time or hold impossible weather.
func checkOrder(from time.Time, hours []Hour) error {
	if from.IsZero() {
		return errors.New("the run has no beginning; give the instant at which it starts")
	}
	for i := range hours {
		if err := hours[i].validate(from); err != nil {
			return fmt.Errorf("hour %d (%s): %w", i, hours[i].At.Format(time.RFC3339), err)
		}
		from = hours[i].At
	}
	return nil
}
