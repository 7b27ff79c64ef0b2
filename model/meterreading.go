package model

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"
)

// MeterReading is what an instrument showed in a water: a thermometer, an oxygen
// meter, or both. It corrects the model of the water, and outranks any guess
// from the weather.
type MeterReading struct {
	ID         string         `json:"id"`
	Water      string         `json:"water"`
	At         time.Time      `json:"at"`
	WaterC     Maybe[Celsius] `json:"water_temp_c"`
	OxygenMgL  Maybe[float64] `json:"oxygen_mg_l"`
	OxygenPct  Maybe[float64] `json:"oxygen_saturation_pct"`
	DepthM     Maybe[Metres]  `json:"depth_m"`           // under the surface
	Instrument bool           `json:"instrument"`        // a thermometer or meter, not a guess
	By         string         `json:"by,omitempty"`      // a handle
	Session    string         `json:"session,omitempty"` // the record it came in, if it did
	Queries    []Query        `json:"queries,omitempty"` // doubts raised when it was entered
	EnteredAt  time.Time      `json:"entered_at"`
	Demo       bool           `json:"demo"`
}

// clocksApart is how far ahead of ours the clock of whoever took a reading may
// run. Our choice, as for what was seen at a water.
const clocksApart = 15 * time.Minute

// ValidateAt refuses a reading that says nothing, that no instrument in fresh
// water shows, or that has not been taken yet.
func (m MeterReading) ValidateAt(now time.Time) error {
	if !m.WaterC.Known && !m.OxygenMgL.Known && !m.OxygenPct.Known {
		return Invalidf("water_temp_c", "give a water temperature, or oxygen in mg/l or in % of saturation", "nothing was read")
	}
	for _, n := range []struct {
		field     string
		v         float64
		low, high float64
		unit      string
	}{
		{"water_temp_c", float64(m.WaterC.Or(0)), -0.5, 40, "C"},
		{"oxygen_mg_l", m.OxygenMgL.Or(0), 0, 30, "mg/l"},
		{"oxygen_saturation_pct", m.OxygenPct.Or(0), 0, 300, "% of saturation"},
		{"depth_m", float64(m.DepthM.Or(0)), 0, 60, "m"},
	} {
		if err := Between(n.field, n.v, n.low, n.high, n.unit); err != nil {
			return err
		}
	}
	if m.By != "" {
		if err := ValidateHandle("by", m.By); err != nil {
			return err
		}
	}
	if err := validateInstant("at", m.At); err != nil {
		return err
	}
	if m.At.After(now.Add(clocksApart)) {
		return Invalidf("at", "give the time at which it was read", "%s lies ahead", m.At.Format(time.RFC3339))
	}
	return nil
}

// DerivedID names a reading by all that was read, so that the same reading sent
// twice is one.
func (m MeterReading) DerivedID() (string, error) {
	m.ID, m.Queries, m.EnteredAt, m.Demo = "", nil, time.Time{}, false
	m.At = m.At.UTC().Truncate(time.Second)
	read, err := json.Marshal(m)
	if err != nil {
		return "", fmt.Errorf("name the reading: %w", err)
	}
	sum := sha256.Sum256(read)
	return "m-" + hex.EncodeToString(sum[:8]), nil
}

// Calibrates says whether the model of the water is corrected by the reading: a
// temperature off an instrument that no query keeps out.
func (m MeterReading) Calibrates() bool {
	if !m.WaterC.Known || !m.Instrument {
		return false
	}
	for _, q := range m.Queries {
		if q.Excludes != "" {
			return false
		}
	}
	return true
}

// Doubts raises what an angler should be asked about a reading: a temperature
// that the water hardly had, most often that of the air. Nothing is changed;
// a doubtful temperature is kept and corrects nothing.
func (m MeterReading) Doubts(around Surroundings) []Query {
	if !m.WaterC.Known {
		return nil
	}
	return doubtWaterTemp("water_temp_c", float64(m.WaterC.Value), around)
}

// MeterReading is the session's own reading of the water, if it has one that no
// query keeps out. Without a time of its own it counts at the middle of the
// hours fished.
func (s Session) MeterReading() Maybe[MeterReading] {
	t := s.WaterTemp
	if !t.Known || s.Excluded("water_temp") {
		return Maybe[MeterReading]{}
	}
	middle := s.Start.Add(s.End.Sub(s.Start) / 2)
	return Known(MeterReading{
		ID: s.ID, Session: s.ID, Water: s.Water, At: t.Value.At.Or(middle).UTC(), WaterC: Known(t.Value.C), DepthM: t.Value.DepthM,
		Instrument: t.Value.Instrument, By: s.Angler, EnteredAt: s.EnteredAt, Demo: s.Demo,
	})
}
