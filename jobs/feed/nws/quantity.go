package nws

import (
	"encoding/json"
	"strconv"
	"strings"

	"osier/model"
	"osier/model/air"
)

// quantity is what is expected of one kind of value: how many of each unit that
// the feed may use make one of ours, and the range, in ours, outside which a
// value is a fault and not weather.
type quantity struct {
	per       map[string]float64 // by the feed's unit without its namespace
	low, high float64
	unit      string // ours
}

// The kinds of value. The units are those seen in recordings of 2019 to 2026.
// Ranges lie just outside the extremes on record (WMO World Weather and Climate
// Extremes Archive: -89.2 C, 56.7 C, 870 and 1084 hPa at sea level, a gust of
// 113 m/s; from memory); rain up to 500 mm is our choice, heights have room
// below the lowest shore and above the highest summit.
var (
	airTemperature = quantity{map[string]float64{"degC": 1}, -90, 60, "C"}
	dewPoint       = quantity{map[string]float64{"degC": 1}, -95, 40, "C"}
	speed          = quantity{map[string]float64{"km_h-1": air.KmhPerMps, "m_s-1": 1}, 0, 115, "m/s"}
	direction      = quantity{map[string]float64{"degree_(angle)": 1}, 0, 360, "degrees"}
	pressure       = quantity{map[string]float64{"Pa": 100}, 850, 1100, "hPa"}
	rainDepth      = quantity{map[string]float64{"mm": 1, "m": 0.001}, 0, 500, "mm"}
	height         = quantity{map[string]float64{"m": 1}, -500, 9000, "m"}
)

// measurement is one value as the feed writes it.
type measurement struct {
	Value          json.RawMessage `json:"value"`
	UnitCode       string          `json:"unitCode"`
	QualityControl string          `json:"qualityControl"`
}

// afterColon takes the namespace off: "unit:" and "wmoUnit:" before a unit,
// "qc:" before the mark of older answers.
func afterColon(code string) string {
	return code[strings.LastIndexByte(code, ':')+1:]
}

// reader reads the properties of one feature.
type reader struct {
	*notes
	what       string // the feature, for warnings
	properties map[string]json.RawMessage
	failed     []string // properties whose values failed the service's checks
	questioned bool     // a value in use is marked questionable
}

// property reads one property into v. It says false where the property is
// absent, null or, with a warning, of another form.
func (r *reader) property(name string, v any) bool {
	raw, there := r.properties[name]
	if !there || string(raw) == "null" {
		return false
	}
	if err := json.Unmarshal(raw, v); err != nil {
		r.warn("%s: %s: %.40q cannot be read; left out", r.what, name, raw)
		return false
	}
	return true
}

// text reads a property that is text, empty where there is none.
func (r *reader) text(name string) string {
	var s string
	r.property(name, &s)
	return printable(s)
}

// value reads one measurement. Absent and null are missing without a word; so
// is what failed the service's checks (X) or was set bad by hand (B), which
// failed keeps in mind.
func (r *reader) value(name string, q quantity) (float64, bool) {
	var m measurement
	if !r.property(name, &m) {
		return 0, false
	}
	mark := afterColon(m.QualityControl)
	if mark == "X" || mark == "B" {
		r.failed = append(r.failed, name)
		return 0, false
	}
	if len(m.Value) == 0 || string(m.Value) == "null" {
		return 0, false
	}
	per, known := q.per[afterColon(m.UnitCode)]
	if !known {
		r.once("%s: values in the unit %.40q are not read; left out", name, m.UnitCode)
		return 0, false
	}
	v, err := strconv.ParseFloat(string(m.Value), 64)
	if err != nil {
		r.warn("%s: %s: %.40q is not a finite number; left out", r.what, name, m.Value)
		return 0, false
	}
	v /= per
	if v < q.low || v > q.high {
		r.warn("%s: %s: %v is outside %v to %v %s; left out", r.what, name, v, q.low, q.high, q.unit)
		return 0, false
	}
	r.questioned = r.questioned || mark == "Q"
	return v + 0, true // + 0: never -0
}

// read is value in the type of the field it goes into.
func read[T ~float64](r *reader, name string, q quantity) model.Maybe[T] {
	v, ok := r.value(name, q)
	if !ok {
		return model.Maybe[T]{}
	}
	return model.Known(T(v))
}
