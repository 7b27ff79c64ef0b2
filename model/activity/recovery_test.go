package activity_test

import (
	"fmt"
	"math"
	"testing"

	"osier/model/activity"
)

// recovery is how well fits find what was planted: means over runs of the
// generator.
type recovery struct {
	runs int
	// cover is, for each coefficient, the share of 95 % intervals that hold the
	// truth, z its mean error in standard errors, z2 the mean square of that
	// over all coefficients.
	cover, z                 []float64
	z2                       float64
	theta, waterSD, anglerSD float64
}

// recoverPlanted fits 1,000 invented sessions of each seed with flat priors.
// The pegs are in the sessions but not in the fit.
func recoverPlanted(t *testing.T, firstSeed, runs int) recovery {
	t.Helper()
	p, n := float64(len(inventedBeta)), float64(runs)
	out := recovery{runs: runs, cover: make([]float64, len(inventedBeta)), z: make([]float64, len(inventedBeta))}
	for seed := firstSeed; seed < firstSeed+runs; seed++ {
		fit, err := activity.FitCounts(inventedRecords(inventSessions(1000, uint64(seed))), activity.CountPriors{}, activity.CountMethod{})
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if fit.Spread.Alpha == 0 {
			t.Fatalf("seed %d: the fit sees no more than Poisson spread", seed)
		}
		for j, truth := range inventedBeta {
			z := (fit.Coefficients[j] - truth) / fit.SEs[j]
			out.z[j] += z / n
			out.z2 += z * z / n / p
			if math.Abs(z) <= 1.96 {
				out.cover[j] += 1 / n
			}
		}
		out.theta += 1 / fit.Spread.Alpha / n
		out.waterSD += fit.Spread.SDs[0] / n
		out.anglerSD += fit.Spread.SDs[1] / n
	}
	return out
}

// pooled is the mean of recoveries of equally many runs.
func pooled(parts []recovery) recovery {
	out := recovery{cover: make([]float64, len(inventedBeta)), z: make([]float64, len(inventedBeta))}
	n := float64(len(parts))
	for _, r := range parts {
		out.runs += r.runs
		for j := range out.z {
			out.cover[j] += r.cover[j] / n
			out.z[j] += r.z[j] / n
		}
		out.z2 += r.z2 / n
		out.theta, out.waterSD, out.anglerSD = out.theta+r.theta/n, out.waterSD+r.waterSD/n, out.anglerSD+r.anglerSD/n
	}
	return out
}

func (r recovery) meanCover() float64 {
	var sum float64
	for _, c := range r.cover {
		sum += c
	}
	return sum / float64(len(r.cover))
}

func (r recovery) print(t *testing.T) {
	t.Helper()
	t.Logf("%d seeds: the 95 %% intervals cover %.4f, mean square z %.3f; mean theta %.3f, water sd %.3f, angler sd %.3f", r.runs, r.meanCover(), r.z2, r.theta, r.waterSD, r.anglerSD)
	for j, name := range inventedColumns {
		t.Logf("  %-14s covers %.3f, mean z %+.3f", name, r.cover[j], r.z[j])
	}
}

// recoveryBar is what means over runs may come to.
type recoveryBar struct {
	coverLow, coverHigh float64 // over all coefficients
	eachLow, eachHigh   float64
	z                   float64
	// How far theta and the sds may be from the reference's means.
	theta, waterSD, anglerSD float64
}

// The reference's means: theta comes out below the planted 1.80 because the
// pegs' spread goes into it.
const (
	recoveredTheta    = 1.71
	recoveredSDWater  = 0.491
	recoveredSDAngler = 0.398
)

// misses lists what lies outside a bar.
func (r recovery) misses(bar recoveryBar) (out []string) {
	within := func(name string, got, low, high float64) {
		if !(got >= low && got <= high) {
			out = append(out, fmt.Sprintf("%s is %.4f, outside %.4g to %.4g", name, got, low, high))
		}
	}
	within("the cover of all 95 % intervals", r.meanCover(), bar.coverLow, bar.coverHigh)
	for j, name := range inventedColumns {
		within("the cover of "+name, r.cover[j], bar.eachLow, bar.eachHigh)
		within("the mean z of "+name, r.z[j], -bar.z, bar.z)
	}
	within("mean theta", r.theta, recoveredTheta-bar.theta, recoveredTheta+bar.theta)
	within("mean water sd", r.waterSD, recoveredSDWater-bar.waterSD, recoveredSDWater+bar.waterSD)
	within("mean angler sd", r.anglerSD, recoveredSDAngler-bar.anglerSD, recoveredSDAngler+bar.anglerSD)
	return out
}

func TestRecoveryOver2000Seeds(t *testing.T) {
	// The bar and the reference's means are the project's statistics notes,
	// section 5. Means of theta and the sds over 200 seeds have sds of about
	// 0.010, 0.006 and 0.004 from one 200 to the next: three of them.
	onlyLong(t)
	bar := recoveryBar{0.94, 0.96, 0.905, 0.985, 0.25, 0.03, 0.018, 0.012}
	var parts []recovery
	for first := 1; first < 2000; first += 200 {
		parts = append(parts, recoverPlanted(t, first, 200))
	}
	// On seeds 1 to 200 the intervals cover 0.9393 and those of hour_cos 0.900, a
	// hair under the bar. So do those of an established fitter, glmmTMB 1.1.5 with
	// REML, given the same 200 files: 0.9396, hour_cos 0.900, mean theta 1.699, sds
	// 0.489 and 0.395. What is missed is missed by the draw and not by the fit. The
	// cover of 2,800 intervals has an sd of about 0.006 from one 200 seeds to the
	// next, so those seeds are held to three sds about what the 2,000 give.
	parts[0].print(t)
	for _, miss := range parts[0].misses(bar) {
		t.Logf("OUTSIDE THE BAR on seeds 1 to 200: %s", miss)
	}
	byChance := bar
	byChance.coverLow, byChance.coverHigh, byChance.eachLow, byChance.eachHigh = 0.931, 0.965, 0.893, 1
	for _, miss := range parts[0].misses(byChance) {
		t.Errorf("seeds 1 to 200: %s", miss)
	}
	// Ten times the runs, and the bar as it stands.
	all := pooled(parts)
	all.print(t)
	for _, miss := range all.misses(bar) {
		t.Errorf("seeds 1 to 2000: %s", miss)
	}
}

func TestRecoveryOver8Seeds(t *testing.T) {
	// By chance alone: the cover of 112 intervals has an sd of about 0.028, a mean
	// of 8 z-scores 0.35, and theta and the sds in one run 0.14, 0.08 and 0.06;
	// three sds of a mean of 8 each, 3.4 for the 14 z-scores.
	r := recoverPlanted(t, 1, 8)
	misses := r.misses(recoveryBar{0.86, 1, 0.5, 1, 1.2, 0.15, 0.085, 0.06})
	for _, miss := range misses {
		t.Error(miss)
	}
	if r.z2 < 0.6 || r.z2 > 1.6 {
		t.Errorf("the mean square z is %.3f, want about 1", r.z2)
	}
	if len(misses) > 0 {
		r.print(t)
	}
}
