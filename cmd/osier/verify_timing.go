package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
)

// timingSummary holds what each file of casts says of the soak.
type timingSummary struct {
	Casts map[string]castsSummary `json:"casts"`
}

// verifyTiming checks the arithmetic of waiting times and of a session's course:
// survival against another program, soaks against closed forms, hazards against
// other fitters, updating against closed forms and tables. The files that a
// folder leaves out are passed over, but not all of them.
func verifyTiming(files fs.FS) (checks []verifyCheck, summary any, err error) {
	of := timingSummary{Casts: map[string]castsSummary{}}
	for _, section := range []func(fs.FS) ([]verifyCheck, error){
		verifyTimingSurvival, verifyTimingRecast, of.verifyCasts, verifyTimingUpdating,
	} {
		found, err := section(files)
		if err != nil {
			return nil, nil, err
		}
		checks = append(checks, found...)
	}
	if len(checks) == 0 {
		return nil, nil, errors.New("the folder holds none of survival/km.json, recast.json, casts-*.csv with its .fit.json, updating.json")
	}
	return checks, of, nil
}

// worstCheck compares two rows of figures, null being no figure, and shows the
// pair that is furthest out for its tolerance. Rows of different length are an
// error. At names each place.
func worstCheck(name string, got, want []*float64, tolerance float64, at func(int) string, source string) (verifyCheck, error) {
	if len(got) != len(want) {
		return verifyCheck{}, fmt.Errorf("%s: %s has %d figures, the computation %d", source, name, len(want), len(got))
	}
	worst, furthest := verifyCheck{Name: name + ", worst of none", OK: true, Source: source}, -1.0
	for i := range want {
		out := math.Inf(1)
		c := verifyCheck{Got: "null", Want: "null", Source: source}
		switch {
		case got[i] != nil && want[i] != nil:
			c = relativeCheck("", *got[i], *want[i], tolerance, source)
			out = math.Abs(*got[i]-*want[i]) / max(1, math.Abs(*want[i]))
		case got[i] != nil:
			c.Got = *got[i]
		case want[i] != nil:
			c.Want = *want[i]
		default:
			c.OK, out = true, 0
		}
		if !(out <= furthest) { // also for NaN
			worst, furthest = c, out
			worst.Name = fmt.Sprintf("%s, worst of %d, %s", name, len(want), at(i))
		}
	}
	return worst, nil
}

// figures points at each value.
func figures(values []float64) []*float64 {
	out := make([]*float64, len(values))
	for i := range values {
		out[i] = &values[i]
	}
	return out
}
