package model

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"
)

// Maybe is a value that may not be known. A missing value is never a zero: a
// calm wind is Known(0), a wind nobody measured is the zero Maybe. In JSON a
// missing value is null.
type Maybe[T any] struct {
	Value T
	Known bool
}

// Known wraps a value that was measured, written down or computed.
func Known[T any](v T) Maybe[T] { return Maybe[T]{Value: v, Known: true} }

// Or returns the value, or the given stand-in when it is not known.
func (m Maybe[T]) Or(standIn T) T {
	if m.Known {
		return m.Value
	}
	return standIn
}

// MarshalJSON writes the value, or null when it is not known.
func (m Maybe[T]) MarshalJSON() ([]byte, error) {
	if !m.Known {
		return []byte("null"), nil
	}
	switch v := any(m.Value).(type) {
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("a known value is %v: only finite numbers may leave", v)
		}
		if size := math.Abs(v); size == 0 || size >= 1e-6 && size < 1e21 { // written with no exponent
			return strconv.AppendFloat(nil, v, 'f', -1, 64), nil
		}
	case time.Time:
		return v.MarshalJSON()
	}
	return json.Marshal(m.Value)
}

// UnmarshalJSON reads null as not known and anything else as the value.
func (m *Maybe[T]) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*m = Maybe[T]{}
		return nil
	}
	if err := json.Unmarshal(b, &m.Value); err != nil {
		return err
	}
	m.Known = true
	return nil
}
