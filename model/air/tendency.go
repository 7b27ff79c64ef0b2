package air

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// How a base pressure is found among irregular reports (our choice).
const (
	tendencySpan      = 3 * time.Hour
	baseNeighbours    = 120 * time.Minute // reports further apart are not interpolated between
	baseNearest       = 30 * time.Minute  // a lone report this near the base instant is scaled
	shortestSpan      = time.Hour
	trendStaleAfter   = 90 * time.Minute
	tendencyUnknown   = "unknown"
	tendencyNoCode    = -1
	tendencyCodeUp    = 2
	tendencyCodeDown  = 7
	tendencyCodeLevel = 4
)

// Trend is how the pressure changed over the three hours up to the newest
// reading.
type Trend struct {
	Known     bool
	ChangeHPa float64 // rounded to 0.1, halves away from zero; 0 when not known
	Word      string  // "steady", "rising slowly" ... "falling very rapidly", or "unknown"
	// Code is the characteristic of WMO table 0200 in the short form of
	// regulation 12.2.3.5.3: 2 up, 7 down, 4 unchanged; -1 when not known. The
	// full table needs samples at equal steps, which reports are not.
	Code     int
	Newest   time.Time // the newest reading used; zero when there is none
	Base     time.Time // the instant of the base pressure; zero when not known
	WholeHPa bool      // the readings were whole hectopascals
	Note     string    // what a reader must know to judge the change, or why there is none
}

// ThreeHourTrend is the pressure trend of one station from readings of one kind
// (all QNH or all reduced to sea level), in any order; they are screened first
// by ScreenReadings. wholeHPa says that the readings were rounded to whole
// hectopascals, as a METAR's Q group is.
//
// The base is the reading three hours before the newest, else the straight line
// between the readings on either side when they are at most 120 min apart, else
// the nearest reading within 30 min, the change being scaled to three hours.
// Failing all of these the trend is unknown, which is not steady. The rule is
// our own; the words are the UK Met Office's for coastal reports, less the two
// about a rate that eases or turns; the code is WMO-No. 306, 12.2.3.5.3.
func ThreeHourTrend(readings []Reading, wholeHPa bool) Trend {
	trend := Trend{Word: tendencyUnknown, Code: tendencyNoCode, WholeHPa: wholeHPa}
	kept, _ := ScreenReadings(readings)
	if len(kept) == 0 {
		trend.Note = "no usable pressure reading"
		return trend
	}
	newest := kept[len(kept)-1]
	trend.Newest = newest.At
	base, ok := findBase(kept, tendencySpan)
	if !ok {
		trend.Note = "no reading close enough to three hours before the newest"
		return trend
	}
	trend.Known, trend.Base = true, base.at
	trend.ChangeHPa = Round((newest.HPa-base.hPa)*base.scale, 1)
	trend.Word, trend.Code = describeChange(trend.ChangeHPa, wholeHPa)
	trend.Note = base.note
	if wholeHPa {
		trend.Note = joinNotes("from whole hectopascals: the change is uncertain by 1 hPa either way, and steady means under 1 hPa", base.note)
	}
	return trend
}

// Stale says whether the newest reading is more than 90 min older than now. A
// trend without any reading is stale.
func (t Trend) Stale(now time.Time) bool {
	return t.Newest.IsZero() || now.Sub(t.Newest) > trendStaleAfter
}

// ChangeOver is the change in hPa, rounded to 0.1, over the span up to the
// newest reading, with the screening and the base rule of ThreeHourTrend; that
// the same rule serves for 24 hours is our choice. It is false for a span under
// one hour and where no base is found.
func ChangeOver(readings []Reading, span time.Duration) (changeHPa float64, ok bool) {
	kept, _ := ScreenReadings(readings)
	if len(kept) == 0 || span < shortestSpan {
		return 0, false
	}
	base, ok := findBase(kept, span)
	if !ok {
		return 0, false
	}
	return Round((kept[len(kept)-1].HPa-base.hPa)*base.scale, 1), true
}

type basePressure struct {
	at    time.Time
	hPa   float64
	scale float64 // brings the change from the base to the span asked for
	note  string
}

// findBase looks for the pressure one span before the last of the ordered
// readings, of which there is at least one.
func findBase(ordered []Reading, span time.Duration) (basePressure, bool) {
	newest := ordered[len(ordered)-1]
	at := newest.At.Add(-span)
	next, exact := slices.BinarySearchFunc(ordered, at, func(r Reading, t time.Time) int { return r.At.Compare(t) })
	if exact {
		return basePressure{at: at, hPa: ordered[next].HPa, scale: 1}, true
	}
	after := ordered[next]
	nearest := after
	if next > 0 {
		before := ordered[next-1]
		if after.At.Sub(before.At) <= baseNeighbours {
			return interpolateBase(before, after, at), true
		}
		if at.Sub(before.At) < after.At.Sub(at) {
			nearest = before
		}
	}
	if nearest.At.Sub(at).Abs() > baseNearest {
		return basePressure{}, false
	}
	actual := newest.At.Sub(nearest.At)
	note := fmt.Sprintf("measured over %.0f min and scaled to %.0f", actual.Minutes(), span.Minutes())
	return basePressure{nearest.At, nearest.HPa, float64(span) / float64(actual), note}, true
}

func interpolateBase(before, after Reading, at time.Time) basePressure {
	share := float64(at.Sub(before.At)) / float64(after.At.Sub(before.At))
	hPa := before.HPa + share*(after.HPa-before.HPa)
	note := fmt.Sprintf("base interpolated between readings %.0f min apart", after.At.Sub(before.At).Minutes())
	return basePressure{at: at, hPa: hPa, scale: 1, note: note}
}

// describeChange gives the word (UK Met Office glossary) and the short code
// (WMO-No. 306, 12.2.3.5.3) for a change already rounded to 0.1 hPa.
func describeChange(changeHPa float64, wholeHPa bool) (word string, code int) {
	tenths := math.Round(math.Abs(changeHPa) * 10)
	if tenths < 1 || (wholeHPa && tenths < 10) {
		return "steady", tendencyCodeLevel
	}
	way, code := "rising", tendencyCodeUp
	if changeHPa < 0 {
		way, code = "falling", tendencyCodeDown
	}
	switch {
	case tenths <= 15:
		return way + " slowly", code
	case tenths <= 35:
		return way, code
	case tenths <= 60:
		return way + " quickly", code
	default:
		return way + " very rapidly", code
	}
}

func joinNotes(first, second string) string {
	if second == "" {
		return first
	}
	return first + "; " + second
}
