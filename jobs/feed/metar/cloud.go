package metar

import "osier/model"

// readCloud takes the cloud groups and keeps the highest cover. The groups are
// ranges (FEW 1-2, SCT 3-4, BKN 5-7 oktas; WMO-No. 306, FM 15); the value
// stored is FEW 2, SCT 4, BKN 6, OVC and a hidden sky 8. The words that say
// that nothing of weight, or nothing at all, was seen (CAVOK, NSC, NCD, CLR,
// SKC) count as 0, though high cloud may be above them. Both are our choice.
func (r *Report) readCloud(group string) bool {
	oktas, ok := cloudOktas(group)
	if !ok {
		return false
	}
	r.CloudOktas = model.Known(max(oktas, r.CloudOktas.Value))
	r.observed = true
	return true
}

// cloudOktas reads one group. What follows the amount is height and kind,
// neither of which is needed, but something must follow it: a bare BKN is
// a word of the trend or of a remark.
func cloudOktas(group string) (oktas int, ok bool) {
	switch group {
	case "CAVOK", "CQVOK", "SKC", "CLR", "NSC", "NCD": // CQVOK is a seen misspelling
		return 0, true
	}
	if len(group) >= 3 && group[:2] == "VV" && startsHeight(group[2]) {
		return 8, true
	}
	if len(group) < 4 || !startsHeight(group[3]) {
		return 0, false
	}
	switch group[:3] {
	case "FEW":
		return 2, true
	case "SCT":
		return 4, true
	case "BKN":
		return 6, true
	case "OVC":
		return 8, true
	}
	return 0, false
}

// startsHeight accepts a height, its slashes, or the E of an estimated one.
func startsHeight(b byte) bool { return isDigit(b) || b == '/' || b == 'E' }
