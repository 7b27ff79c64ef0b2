package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
)

// activitySummary holds the figures of each fit to a file of sessions.
type activitySummary struct {
	Fits map[string]activityFit `json:"fits"`
}

// activityFit is one fit with everything integrated. PeakMiB is the largest
// live heap seen in the process during the fit, sampled every few
// milliseconds; CPUSeconds is the process's own time in the fit.
type activityFit struct {
	Rows            int                `json:"rows"`
	Seconds         float64            `json:"seconds"`
	CPUSeconds      float64            `json:"cpu_seconds"`
	PeakMiB         float64            `json:"peak_mib"`
	BeyondDataBytes float64            `json:"bytes_a_row_beyond_data"`
	LogLikelihood   float64            `json:"loglik"`
	LogLikelihoodML *float64           `json:"loglik_ml,omitempty"`
	Theta           *float64           `json:"theta"`
	SDs             map[string]float64 `json:"sds"`
}

// activitySection checks one kind of file, where the folder has it.
type activitySection func(fs.FS, activitySummary) ([]verifyCheck, error)

// verifyActivity checks the arithmetic of the activity model: least squares
// against NIST's sets, count regressions and mixed models against other
// fitters, fits to invented sessions against their truth, scores and choices, and fits to
// real catch records.
// The files that a folder leaves out are passed over, but not all of them.
func verifyActivity(files fs.FS) (checks []verifyCheck, summary any, err error) {
	of := activitySummary{Fits: map[string]activityFit{}}
	for _, section := range []activitySection{
		verifyCertified, verifyRegressions, verifyMixed, verifySimulated, verifyScores, verifySmall, verifyChoices, verifyCatches,
	} {
		found, err := section(files, of)
		if err != nil {
			return nil, nil, err
		}
		checks = append(checks, found...)
	}
	if len(checks) == 0 {
		return nil, nil, errors.New("the folder holds none of strd, glm, mixed, sim-*.csv, scores.json, small.json, decisions.json and the catch files")
	}
	return checks, of, nil
}

// readReference decodes a file of figures; found is false where there is none.
func readReference(files fs.FS, name string, into any) (found bool, err error) {
	text, err := fs.ReadFile(files, name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("reading %s: %w", name, err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		return false, fmt.Errorf("reading %s: %w", name, err)
	}
	return true, nil
}

// relativeCheck takes the tolerance relative to figures above 1 and absolute
// below.
func relativeCheck(name string, got, want, tolerance float64, source string) verifyCheck {
	return numberCheck(name, got, want, tolerance*max(1, math.Abs(want)), source)
}
