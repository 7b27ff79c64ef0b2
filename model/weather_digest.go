package model

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"math"
)

// WeatherVersion names a run of hourly weather by its values and where they
// came from, not by its age: the same reports give the same name whenever they
// are read.
func WeatherVersion(hours []WeatherHour) string {
	d := sha256.New()
	for _, h := range hours {
		hashNumber(d, float64(h.At.Unix()))
		for _, r := range []Reading{h.AirC, h.DewC, h.RHPct, h.WindMps, h.WindFromDeg, h.GustMps, h.SeaLevelHPa, h.QNHHPa, h.RainMm, h.Cloud} {
			hashMaybe(d, Maybe[float64]{Value: r.Value, Known: r.Known})
			if r.Known {
				hashOrigin(d, r.From)
			}
		}
		hashFlag(d, h.WholeHPa)
		hashText(d, string(h.Thunder.Observed))
		hashFlag(d, h.Thunder.Symbol.Known)
		hashFlag(d, h.Thunder.Symbol.Value)
		hashMaybe(d, h.Thunder.Probability)
	}
	return "w-" + hex.EncodeToString(d.Sum(nil)[:8])
}

// hashOrigin takes the time of the report or issue along: the pressure trend
// reads it.
func hashOrigin(d hash.Hash, p Provenance) {
	hashText(d, string(p.Kind)+"/"+p.Source+"/"+p.Station)
	hashNumber(d, float64(p.At.Value.Unix()))
}

func hashMaybe(d hash.Hash, m Maybe[float64]) {
	hashFlag(d, m.Known)
	if m.Known {
		hashNumber(d, m.Value)
	}
}

func hashFlag(d hash.Hash, set bool) {
	if set {
		d.Write([]byte{1})
		return
	}
	d.Write([]byte{0})
}

// A hash never refuses what is written to it.
func hashNumber(d hash.Hash, v float64) {
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], math.Float64bits(v))
	d.Write(b[:])
}

func hashText(d hash.Hash, s string) {
	hashNumber(d, float64(len(s)))
	d.Write([]byte(s))
}
