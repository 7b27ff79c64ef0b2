package caution

const overheadLinesSource = "Energy Networks Association, messages to anglers (30 m); 60 m and 200 m are our choice"

// Distances in m; cautions pack, section 2.
const (
	linesStopM   = 30
	linesCareM   = 60  // our choice
	linesOnSiteM = 200 // a line further off is not on the site; our choice
)

// overheadLines goes by the distances recorded for the water and the peg, for
// the whole outing. A line anywhere on the site is at least as near as the
// water's distance, so a site without lines near it clears every peg.
func overheadLines(o *outing) []finding {
	var found []finding
	siteM, siteKnown := finite(o.Water.PowerLinesM)
	if siteKnown && siteM <= linesOnSiteM {
		found = append(found, o.all(finding{
			level: note, threshold: "a line on the site, 200 m or nearer", inputs: map[string]float64{"site_power_lines_m": siteM},
			text: "Power lines on this site, the nearest at " + figure(siteM) + " m. Keep 30 m away, carry rods level and taken down.",
		}))
	}
	pegM, pegKnown := 0.0, false
	if o.Peg != nil {
		pegM, pegKnown = finite(o.Peg.PowerLinesM)
	}
	if pegKnown {
		if !siteKnown {
			found = append(found, o.all(notChecked(note, "Power lines on the rest of the site were", "no distance recorded for this water", "a line on the site, 200 m or nearer")))
		}
		return append(found, o.all(linesRaise(pegM)))
	}
	switch {
	case !siteKnown:
		found = append(found, o.all(notChecked(stop, "Power lines were", "no distance recorded for this water; look up before you set up", "a line under 30 m, or to 60 m, from the peg")))
	case o.Peg == nil && siteM <= linesCareM:
		found = append(found, o.all(notChecked(stop, "Power lines were", "no peg was named; look up before you set up", "a line under 30 m, or to 60 m, from the peg")))
	case siteM <= linesCareM:
		found = append(found, o.all(notChecked(stop, "Power lines were", "no distance recorded for this peg; look up before you set up", "a line under 30 m, or to 60 m, from the peg")))
	}
	return found
}

func linesRaise(pegM float64) finding {
	f := finding{badness: -pegM, inputs: map[string]float64{"peg_power_lines_m": pegM}}
	switch {
	case pegM < linesStopM:
		f.level, f.threshold = stop, "a line under 30 m from the peg"
		f.text = "Power lines " + figure(pegM) + " m from this peg: not offered. Choose another, 30 m or more away."
	case pegM <= linesCareM:
		f.level, f.threshold = care, "a line 30 to 60 m from the peg"
		f.text = "Power lines " + figure(pegM) + " m from this peg. Keep 30 m away, carry rods level and taken down."
	}
	return f
}
