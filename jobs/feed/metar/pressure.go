package metar

import (
	"math"
	"strings"

	"osier/model"
	"osier/model/air"
)

// The limits within which a pressure group is believed; anything else is a
// typing error.
const (
	minQNHHPa = 850.0
	maxQNHHPa = 1100.0
)

// readPressure takes Qdddd in hPa and Adddd in hundredths of an inch of
// mercury, both rounded down by the sender (WMO-No. 306, 15.12.1; FMH-1
// 11.5.1). Exactly four digits count. Q goes before A wherever it stands. QFE,
// QBB and QFF are other pressures and have no digit after the Q.
func (r *Report) readPressure(group string) bool {
	if group[0] != 'Q' && group[0] != 'A' || leadingDigits(group[1:]) != 4 {
		return false
	}
	if len(group) > 5 && group[5] != '/' { // Q1021/A30.15 is a pressure, Q1022.3 a riddle
		return false
	}
	value := float64(number(group[1:5]))
	whole := group[0] == 'Q'
	if !whole {
		value = value / 100 * air.HPaPerInHg
	}
	if value < minQNHHPa || value > maxQNHHPa {
		return true
	}
	if !r.QNHHPa.Known || whole && !r.WholeHPa {
		r.QNHHPa, r.WholeHPa = model.Known(model.Hectopascals(value)), whole
	}
	return true
}

// seaLevel reads SLPppp, tenths of a hectopascal without the leading 9 or 10
// (FMH-1, 12.7). Of the two readings the one nearer to QNH is meant;
// without QNH the one nearer to 1000 hPa.
func seaLevel(group string, qnhHPa model.Maybe[model.Hectopascals]) (hPa model.Maybe[model.Hectopascals]) {
	digits, ok := strings.CutPrefix(group, "SLP")
	if !ok || !allDigits(digits, 3) {
		return hPa
	}
	tenths := number(digits)
	low, high := float64(9000+tenths)/10, float64(10000+tenths)/10
	near := float64(qnhHPa.Or(1000))
	if math.Abs(low-near) < math.Abs(high-near) {
		return model.Known(model.Hectopascals(low))
	}
	return model.Known(model.Hectopascals(high))
}

// Tendency is the change of pressure over the past three hours as a remark
// gives it: the characteristic of WMO table 0200 and the signed change.
type Tendency struct {
	Code      int // 0 to 8
	ChangeHPa float64
}

// tendency reads 5appp (FMH-1 12.7.2 h): ppp is the size of the change in
// tenths of a hectopascal and the characteristic gives its sign, plus for 0 to
// 3, minus for 5 to 8. A steady 4 with a change contradicts itself, and 999 is
// the missing value of the archives; both give nothing.
func tendency(group string) (t model.Maybe[Tendency]) {
	if !allDigits(group, 5) || group[0] != '5' || group[1] == '9' {
		return t
	}
	code, tenths := int(group[1]-'0'), number(group[2:])
	if tenths == 999 || code == 4 && tenths != 0 {
		return t
	}
	if code >= 5 {
		tenths = -tenths
	}
	return model.Known(Tendency{Code: code, ChangeHPa: float64(tenths) / 10})
}
