package caution

import (
	"time"
)

const sunGlareSource = "UK Health Security Agency heat-health alert texts (keep out of the sun from 11 to 15 h); the share of cloud is our choice"

const (
	clearShare     = 0.25 // cloud at most: two eighths of the sky
	sunFrom        = 11   // local hours
	sunUntil       = 15
	clearThreshold = "11:00 to 15:00 from May to August under a clear sky (cloud a quarter or less)"
)

// sunGlare notes the strong sun of a summer's midday.
func sunGlare(o *outing) []finding {
	var found []finding
	for _, h := range o.planned {
		if hour := h.At.In(o.loc).Hour(); hour < sunFrom || hour >= sunUntil || !o.inSeason(h.At, time.May, time.August) {
			continue
		}
		cloud, known := finite(h.CloudFraction)
		switch {
		case known && cloud <= clearShare:
			found = append(found, hourly(h, finding{
				level: note, badness: -cloud, threshold: clearThreshold, inputs: map[string]float64{"cloud_fraction": cloud},
				text: "Strong sun and glare from {from} to {until}. Wear a hat and sun cream, and shade your eyes.",
			}))
		case !known:
			found = append(found, hourly(h, notChecked(note, "Strong sun was", "no cloud given", clearThreshold)))
		case o.outdated(h.Weather):
			found = append(found, hourly(h, notChecked(note, "Strong sun was", "the cloud is by an old forecast", clearThreshold)))
		}
	}
	return found
}
