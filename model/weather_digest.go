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
			if !r.Known {
				d.Write([]byte{0})
				continue
			}
			hashNumber(d, r.Value)
			hashText(d, string(r.From.Kind)+"/"+r.From.Source+"/"+r.From.Station)
		}
		hashText(d, string(h.Thunder.Observed))
		if h.Thunder.Symbol.Known && h.Thunder.Symbol.Value {
			d.Write([]byte{1})
		}
		hashNumber(d, h.Thunder.Probability.Or(-1))
	}
	return "w-" + hex.EncodeToString(d.Sum(nil)[:8])
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
