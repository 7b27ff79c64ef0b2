package solar

import (
	"math"
	"time"
)

// Heights of the sun's centre in degrees that mark a day (NOAA solar
// calculation details).
const (
	RiseSetDeg       = -0.833 // refraction at the horizon and the sun's radius together
	CivilTwilightDeg = -6.0
)

// iterations is how often an event is computed anew with the sun where it
// stands at the event; after three the result no longer moves by a second.
const iterations = 3

// Times are the instants, in UTC to the second, at which the sun passes a
// height on one day. Rise or Set is the zero time where it does not; on the
// first and last days of a midnight sun or a polar night only one may be.
type Times struct {
	Rise, Noon, Set time.Time
	UpAllDay        bool // never below that height
	DownAllDay      bool // never above that height
}

// SunTimes are sunrise, noon and sunset at a place (degrees, north and east
// positive) on a day. The day is the calendar date of the argument in its own
// location; give the date at the water. Rise and set are those on either side
// of that day's solar noon, so far from Greenwich their date in UTC may be
// another. It is false for a place that is not on Earth and for years outside
// 1900 to 2100. Source: NOAA solar calculation details, iterated.
func SunTimes(latDeg, lonDeg float64, date time.Time) (Times, bool) {
	return timesAt(latDeg, lonDeg, date, RiseSetDeg)
}

// CivilTwilight is SunTimes for the sun 6 degrees below the horizon: Rise is
// dawn and Set is dusk.
func CivilTwilight(latDeg, lonDeg float64, date time.Time) (Times, bool) {
	return timesAt(latDeg, lonDeg, date, CivilTwilightDeg)
}

// DayLengthH is the time in hours between Rise and Set: 24 when the sun is up
// all day, 0 when it is down all day.
func (t Times) DayLengthH() float64 {
	if t.Noon.IsZero() || t.DownAllDay {
		return 0
	}
	morningH, eveningH := 12.0, 12.0
	if !t.Rise.IsZero() {
		morningH = t.Noon.Sub(t.Rise).Hours()
	}
	if !t.Set.IsZero() {
		eveningH = t.Set.Sub(t.Noon).Hours()
	}
	return morningH + eveningH
}

func timesAt(latDeg, lonDeg float64, date time.Time, heightDeg float64) (Times, bool) {
	if !defined(latDeg, lonDeg, date) {
		return Times{}, false
	}
	year, month, day := date.Date()
	midnight := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	place := place{latDeg: latDeg, lonDeg: lonDeg, heightDeg: heightDeg}
	noon, _ := place.crossing(midnight, 0)
	rise, riseCos := place.crossing(midnight, -1)
	set, setCos := place.crossing(midnight, +1)

	t := Times{Noon: noon, UpAllDay: riseCos < -1 && setCos < -1, DownAllDay: riseCos > 1 || setCos > 1}
	if t.DownAllDay {
		return t, true
	}
	if riseCos >= -1 {
		t.Rise = rise
	}
	if setCos >= -1 {
		t.Set = set
	}
	return t, true
}

type place struct{ latDeg, lonDeg, heightDeg float64 }

// crossing is when the sun passes the height before (side -1) or after (side
// +1) the noon of the day that begins at midnight, or that noon itself (side
// 0), with the cosine of the hour angle there: beyond 1 the sun stays below the
// height, beyond -1 above it.
func (p place) crossing(midnight time.Time, side float64) (at time.Time, cosHour float64) {
	at = after(midnight, 720-4*p.lonDeg)
	for range iterations {
		s := sunAt(at)
		cosHour = p.cosHourAngle(s.declinationRad)
		// While iterating an hour angle that does not exist is taken as the
		// nearest that does; only the last one decides.
		hourDeg := deg(math.Acos(max(-1, min(1, cosHour))))
		at = after(midnight, 720-4*p.lonDeg-s.equationMin+side*4*hourDeg)
	}
	return at.Round(time.Second), cosHour
}

func (p place) cosHourAngle(declinationRad float64) float64 {
	lat := rad(p.latDeg)
	return (math.Sin(rad(p.heightDeg)) - math.Sin(lat)*math.Sin(declinationRad)) /
		(math.Cos(lat) * math.Cos(declinationRad))
}

func after(midnight time.Time, minutes float64) time.Time {
	return midnight.Add(time.Duration(minutes * float64(time.Minute)))
}
