package water

import "time"

// What counts as a risk to the oxygen. The first two are assumed in the
// reference pack (water and fish, 3.3); the cloud limits are our choice. No
// figure is known for how much each one weighs.
const (
	RiskWaterC      = 22.0 // water this warm or warmer
	CalmNightMps    = 2.0  // wind below this in every hour of the night
	HeavyCloudShare = 0.75 // mean cloud of a dull day, at least
	SunnyCloudShare = 0.4  // mean cloud of sunny days, at most

	highestWindMps = 75 // as in Forcing; a stronger wind is a mistake
)

// Fact is whether something is so. The zero value is that nobody knows, which
// is not the same as that it is not so.
type Fact uint8

// The answers.
const (
	Unknown Fact = iota
	No
	Yes
)

// NightHour is one hour of weather about a night. What is missing is
// not known; an hour that is missing as a whole belongs in the list too.
type NightHour struct {
	At              time.Time
	WindMps         Reading // of the station
	CloudFraction   Reading // 0 to 1
	SunElevationDeg float64
}

// dark says whether the sun is below the horizon; at rising and setting its
// centre stands 0.833 degrees below it (NOAA solar calculation details).
func (h NightHour) dark() bool { return h.SunElevationDeg < -0.833 }

// within gives the reading, and whether it is known and can be true: a value
// out of range, or none at all, proves nothing.
func (r Reading) within(low, high float64) (float64, bool) {
	return r.Value, r.Known && r.Value >= low && r.Value <= high
}

// CalmNight says whether the wind stays below CalmNightMps in every dark hour of
// one night, given in order of time; hours by daylight are passed over. One
// windy hour is enough for a No; a Yes needs every hour.
func CalmNight(hours []NightHour) Fact {
	var night []NightHour
	for _, h := range hours {
		if h.dark() {
			night = append(night, h)
		}
	}
	if len(night) == 0 {
		return Unknown
	}
	answer := Yes
	for i, h := range night {
		if i > 0 && h.At.Sub(night[i-1].At) > time.Hour {
			answer = Unknown
		}
		switch windMps, known := h.WindMps.within(0, highestWindMps); {
		case !known:
			answer = Unknown
		case windMps >= CalmNightMps:
			return No
		}
	}
	return answer
}

// CloudAfterSun says whether a dull day, on which plants make little oxygen,
// follows sunny ones, in which they grew. Only hours by daylight count. It is
// known when the missing hours could not change it, whatever their cloud.
func CloudAfterSun(daysBefore, lastDay []NightHour) Fact {
	lastLeast, lastMost := meanCloud(lastDay)
	beforeLeast, beforeMost := meanCloud(daysBefore)
	switch {
	case lastMost < HeavyCloudShare || beforeLeast > SunnyCloudShare:
		return No
	case lastLeast >= HeavyCloudShare && beforeMost <= SunnyCloudShare:
		return Yes
	}
	return Unknown
}

// meanCloud bounds the mean cloud by daylight: what is missing is anything
// from clear to overcast, and where nothing was given so is the mean.
func meanCloud(hours []NightHour) (least, most float64) {
	n := 0.0
	for _, h := range hours {
		if h.dark() {
			continue
		}
		n++
		if share, known := h.CloudFraction.within(0, 1); known {
			least += share
			most += share
		} else {
			most++
		}
	}
	if n == 0 {
		return 0, 1
	}
	return least / n, most / n
}
