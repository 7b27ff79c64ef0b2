package air

import (
	"math"
	"slices"
	"time"
)

// Limits of a believable pressure at sea level (QNH or SLP): a little outside
// the records of 870 hPa in a typhoon and 1084 hPa in Siberia (from memory).
const (
	lowestSeaLevelHPa  = 870.0
	highestSeaLevelHPa = 1085.0
)

// A reading more than spikeHPa away from the one before, when the next one is
// as far back again, is a fault. Only neighbours at most spikeWindow apart
// count, so that a deep low seen every three hours is kept (our choice).
const (
	spikeHPa    = 5.0
	spikeWindow = 120 * time.Minute
)

// Reading is one pressure of one station at one instant. Readings that are
// compared must be of one station and of one kind, all QNH or all reduced to
// sea level: the two differ by several hPa.
type Reading struct {
	At  time.Time
	HPa float64
}

// ScreenReadings parts the readings that can be believed, returned in order of
// time, from those that cannot: values outside 870 to 1085 hPa or not finite,
// a jump of over 5 hPa that jumps back at the next reading, and of several
// readings for one instant all but the last given, which is the correction. The
// input may come in any order and is left as it was. The rule is our own; no
// source.
func ScreenReadings(readings []Reading) (kept, dropped []Reading) {
	inRange := make([]Reading, 0, len(readings))
	for _, r := range readings {
		if within(r.HPa, lowestSeaLevelHPa, highestSeaLevelHPa) {
			inRange = append(inRange, r)
		} else {
			dropped = append(dropped, r)
		}
	}
	slices.SortStableFunc(inRange, func(a, b Reading) int { return a.At.Compare(b.At) })
	kept = make([]Reading, 0, len(inRange))
	for i, r := range inRange {
		if i+1 < len(inRange) && inRange[i+1].At.Equal(r.At) {
			dropped = append(dropped, r)
		} else {
			kept = append(kept, r)
		}
	}
	kept, spikes := dropSpikes(kept)
	return kept, append(dropped, spikes...)
}

func dropSpikes(ordered []Reading) (kept, spikes []Reading) {
	kept = make([]Reading, 0, len(ordered))
	for i, r := range ordered {
		// A spike is judged against the last reading kept, or its fault would
		// make its good neighbours look like spikes too.
		if len(kept) > 0 && i+1 < len(ordered) && isSpike(kept[len(kept)-1], r, ordered[i+1]) {
			spikes = append(spikes, r)
		} else {
			kept = append(kept, r)
		}
	}
	return kept, spikes
}

func isSpike(before, r, after Reading) bool {
	if r.At.Sub(before.At) > spikeWindow || after.At.Sub(r.At) > spikeWindow {
		return false
	}
	there, back := r.HPa-before.HPa, after.HPa-r.HPa
	return (there > spikeHPa && back < -spikeHPa) || (there < -spikeHPa && back > spikeHPa)
}

// SeaLevelPressureFitsQNH says whether a station's pressure reduced to sea level
// and its QNH, both in hPa, can both be right at that height in m: they may
// differ by 10 hPa below 800 m and by 20 hPa from there up. Where they do not
// fit, neither should be used. Values that are not finite never fit. The limits
// are our choice, about twice the 95th percentile of real reports.
func SeaLevelPressureFitsQNH(slpHPa, qnhHPa, heightM float64) bool {
	allowedHPa := 10.0
	if heightM >= 800 {
		allowedHPa = 20
	}
	return math.Abs(slpHPa-qnhHPa) <= allowedHPa && !math.IsNaN(heightM)
}
