package timing_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model/timing"
)

// invented casts of 12 sessions, drawn with the project's generator at seed 4025;
// the program embeds them for verify.
const inventedCasts = "../../cmd/osier/reference/timing/casts-12.csv"

// castsIn reads session, time in minutes to the bite or the wind-in, and bite.
func castsIn(t *testing.T, file string, timed timing.Precision) []timing.Wait {
	t.Helper()
	f, err := os.Open(file)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("%s is not here; the embedded casts are checked in its place", file)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []timing.Wait
	for _, row := range rows[1:] {
		minutes, err := strconv.ParseFloat(row[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		cast := timing.CastRecord{Session: row[0], SoakMin: minutes, TrueBite: row[5] == "1", BiteMin: minutes, Timing: timed}
		if timed != timing.Exact {
			cast.BiteMin = math.Ceil(minutes)
		}
		w, err := cast.Wait()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, w)
	}
	return out
}

func fitOf(t *testing.T, waits []timing.Wait) timing.HazardFit {
	t.Helper()
	fit, err := timing.FitHazard(waits, timing.UsualHazardPrior(3))
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

func typicalOf(t *testing.T, fit timing.HazardFit, angler, water string) timing.Hazard {
	t.Helper()
	h, err := fit.Typical(angler, water)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Figures of glmmTMB 1.1.5 (session as a normal random effect, Laplace, Newton
// polished) and of the closed gamma form maximised by BFGS in R 4.2.2. Pooled
// casts ask for a recast at 20 min where a typical session asks for none.
func TestHazardsAgreeWithOtherFitters(t *testing.T) {
	waits := castsIn(t, inventedCasts, timing.Exact)
	fit, err := timing.FitHazardAlone(waits)
	if err != nil {
		t.Fatal(err)
	}
	if fit.Casts != 363 || fit.Bites != 165 || fit.Sessions != 12 || fit.Tried.HighMin != 30 {
		t.Errorf("the fit is of %d casts, %d bites, %d sessions, tried %+v", fit.Casts, fit.Bites, fit.Sessions, fit.Tried)
	}
	gamma, err := timing.FitGammaHazard(waits)
	if err != nil {
		t.Fatal(err)
	}
	typical := typicalOf(t, fit, "", "")
	for _, row := range []struct {
		name string
		got  timing.Hazard
		want []float64 // log hazards
		soak float64
	}{
		{"pooled", fit.Pooled, []float64{math.Log(0.02635430351), math.Log(0.05394554655), math.Log(0.08550511233), math.Log(0.07960397342), math.Log(0.05593431594), math.Log(0.04293402938)}, 20},
		{"typical session", typical, []float64{-3.84523646, -3.083364775, -2.506705984, -2.426944104, -2.613428863, -2.847855015}, 30},
		{"session of mean luck", gamma.Mean, []float64{-3.725571104, -2.9633966, -2.386805327, -2.304787464, -2.475026782, -2.71353985}, 30},
	} {
		for j, want := range row.want {
			if got := math.Log(row.got.PerMin[j]); math.Abs(got-want) > 1e-5 {
				t.Errorf("%s: log hazard of piece %d is %g, want %g", row.name, j+1, got, want)
			}
		}
		if best, err := row.got.BestSoak(even(1.5)); err != nil || best.SoakMin != row.soak || best.Interior != (row.soak < 30) {
			t.Errorf("%s: best soak %+v, %v, want %g", row.name, best, err, row.soak)
		}
	}
	if sd := fit.Count.Spread.SDs[0]; math.Abs(sd-0.5174499727) > 1e-5 || math.Abs(fit.Count.LogLikelihood+97.5053911) > 1e-5 {
		t.Errorf("sd of sessions %g, log-likelihood %g", sd, fit.Count.LogLikelihood)
	}
	if math.Abs(gamma.Shape-3.990540523) > 1e-4 || math.Abs(gamma.Kernel+626.1991784) > 1e-5 {
		t.Errorf("gamma shape %g, kernel %g", gamma.Shape, gamma.Kernel)
	}
}

func TestTheOrderOfCastsChangesNothing(t *testing.T) {
	waits := castsIn(t, inventedCasts, timing.WholeMinute)
	fit := fitOf(t, waits)
	rand.New(rand.NewPCG(3, 3)).Shuffle(len(waits), func(i, j int) { waits[i], waits[j] = waits[j], waits[i] })
	if diff := cmp.Diff(fit, fitOf(t, waits)); diff != "" {
		t.Errorf("another order gives another fit: %s", diff)
	}
}

// Minutes rounded up, taken as (m-1, m], give what times to the second give; the
// same minutes taken as times come out half a minute late.
func TestWholeMinutesLoseAlmostNothing(t *testing.T) {
	exact := typicalOf(t, fitOf(t, castsIn(t, inventedCasts, timing.Exact)), "", "")
	minutes := castsIn(t, inventedCasts, timing.WholeMinute)
	rounded := typicalOf(t, fitOf(t, minutes), "", "")
	for i := range minutes {
		if minutes[i].Bite {
			minutes[i].AfterMin = minutes[i].ByMin
		}
	}
	late := typicalOf(t, fitOf(t, minutes), "", "")
	for j, want := range exact.PerMin {
		if math.Abs(math.Log(rounded.PerMin[j]/want)) > 0.03 {
			t.Errorf("piece %d: %g by whole minutes, %g exactly", j+1, rounded.PerMin[j], want)
		}
	}
	_, exactWait, _ := exact.At(20)
	_, roundedWait, _ := rounded.At(20)
	_, lateWait, _ := late.At(20)
	if math.Abs(roundedWait-exactWait) > 0.05 || lateWait-exactWait < 0.15 {
		t.Errorf("mean wait up to 20 min: %g exactly, %g by minutes, %g by minutes taken as times", exactWait, roundedWait, lateWait)
	}
}

// Where bites are known only to lie in (0, 3] and every other cast was wound in
// at 3 min, the likelihood is that of a share: the hazard is -log(1 - share)/3.
func TestBitesThatNobodyTimedKeepTheirLikelihood(t *testing.T) {
	var waits []timing.Wait
	for s := range 6 {
		for i := range 40 {
			waits = append(waits, timing.Wait{Session: strconv.Itoa(s), Bite: i < 30, AfterMin: 3, ByMin: 3})
			if i < 30 {
				waits[len(waits)-1].AfterMin = 0
			}
		}
	}
	fit, err := timing.FitHazard(waits, timing.HazardPrior{BitesPerMin: 0.3, LogSD: 50, StepLogSD: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := typicalOf(t, fit, "", "").PerMin[0], -math.Log(0.25)/3; math.Abs(got-want) > 1e-4 {
		t.Errorf("the hazard is %g, want %g", got, want)
	}
}

func TestAboutFiveMinutesIsSpreadOverThreeToSeven(t *testing.T) {
	var about, timed []timing.Wait
	random := rand.New(rand.NewPCG(11, 4))
	for i := range 600 {
		session, at := strconv.Itoa(i%12), 20*random.ExpFloat64()
		c := timing.CastRecord{Session: session, SoakMin: min(at, 20), TrueBite: at < 20, BiteMin: min(at, 20), Timing: timing.Exact}
		w, err := c.Wait()
		if err != nil {
			t.Fatal(err)
		}
		timed = append(timed, w)
		c.Timing, c.BiteMin, c.SoakMin = timing.About, math.Round(at), 20
		if w, err = c.Wait(); err != nil {
			t.Fatal(err)
		}
		about = append(about, w)
	}
	rough, sharp := typicalOf(t, fitOf(t, about), "", ""), typicalOf(t, fitOf(t, timed), "", "")
	_, roughWait, _ := rough.At(20)
	_, sharpWait, _ := sharp.At(20)
	if math.Abs(roughWait/sharpWait-1) > 0.01 {
		t.Errorf("the mean wait up to 20 min is %g by memory and %g by the clock", roughWait, sharpWait)
	}
}

// One angler's few casts lean on everybody's, and a name not seen gets a typical
// angler's hazard.
func TestAnAnglersFewCastsLeanOnTheOthers(t *testing.T) {
	var waits []timing.Wait
	add := func(angler string, sessions, casts, bites int) {
		for s := range sessions {
			for i := range casts {
				w := timing.Wait{Session: angler + strconv.Itoa(s), Angler: angler, Water: "pit", Bite: i < bites, AfterMin: 10, ByMin: 10}
				if w.Bite {
					w.AfterMin, w.ByMin = 5, 5
				}
				waits = append(waits, w)
			}
		}
	}
	for _, angler := range []string{"a", "b", "c", "d", "e"} {
		add(angler, 6, 20, 10)
	}
	add("quick", 1, 4, 4)
	add("slow", 1, 4, 0)
	fit := fitOf(t, waits)
	level := func(angler string) float64 { return typicalOf(t, fit, angler, "pit").PerMin[1] }
	quickAlone := 4.0 / (4 * 2) // bites over minutes in the second piece
	if !(level("slow") < level("a") && level("a") < level("quick") && level("quick") < quickAlone) || level("slow") <= 0 {
		t.Errorf("hazards: slow %g, usual %g, quick %g of %g by its own casts", level("slow"), level("a"), level("quick"), quickAlone)
	}
	if unseen := level("nobody"); unseen != level("") || math.Abs(math.Log(unseen/level("a"))) > 0.3 {
		t.Errorf("an angler not seen has %g, the usual %g", unseen, level("a"))
	}
}

func TestDrawsOfAHazardAreRepeatableAndCentredOnTheFit(t *testing.T) {
	fit := fitOf(t, castsIn(t, inventedCasts, timing.Exact))
	draws, err := fit.TypicalDraws("", "", 4000, 7)
	if err != nil {
		t.Fatal(err)
	}
	again, err := fit.TypicalDraws("", "", 4000, 7)
	if err != nil || !cmp.Equal(draws, again) {
		t.Fatalf("the same seed gives other draws, %v", err)
	}
	typical := typicalOf(t, fit, "", "")
	for j, h := range typical.PerMin {
		var sum, squares float64
		for _, d := range draws {
			off := math.Log(d.PerMin[j] / h)
			sum += off
			squares += off * off
		}
		mean, sd := sum/4000, math.Sqrt(squares/4000)
		// Bites alone would give 1/sqrt(bites): 0.14 to 0.4 here; sessions add.
		if math.Abs(mean) > 5*sd/math.Sqrt(4000) || sd < 0.13 || sd > 0.45 {
			t.Errorf("piece %d: draws lie %g about the fit with sd %g", j+1, mean, sd)
		}
	}
}

func TestFitsRefuseWhatTheyCannotUse(t *testing.T) {
	bite := timing.Wait{Session: "1", Bite: true, AfterMin: 2, ByMin: 2}
	for _, row := range []struct {
		waits []timing.Wait
		says  string
	}{
		{nil, "no casts"},
		{[]timing.Wait{{Bite: true, AfterMin: 2, ByMin: 2}}, "session"},
		{[]timing.Wait{{Session: "1", Bite: true, AfterMin: 3, ByMin: 2}}, "between"},
		{[]timing.Wait{{Session: "1", AfterMin: 2, ByMin: 3}}, "without a bite"},
		{[]timing.Wait{{Session: "1", AfterMin: math.NaN(), ByMin: 3}}, "between"},
		{[]timing.Wait{bite, {Session: "1", Angler: "b", AfterMin: 2, ByMin: 2}}, "angler"},
	} {
		if _, err := timing.FitHazard(row.waits, timing.UsualHazardPrior(3)); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%+v: got %v, want it to say %q", row.waits, err, row.says)
		}
	}
	for _, prior := range []timing.HazardPrior{{}, timing.UsualHazardPrior(-1), timing.UsualHazardPrior(math.NaN())} {
		if _, err := timing.FitHazard([]timing.Wait{bite}, prior); err == nil {
			t.Errorf("prior %+v was taken", prior)
		}
	}
	if _, err := timing.FitGammaHazard([]timing.Wait{{Session: "1", AfterMin: 2, ByMin: 2}}); err == nil {
		t.Error("a gamma fit without a bite was made")
	}
	if _, err := timing.FitHazardAlone([]timing.Wait{{Session: "1", Bite: true, AfterMin: 2, ByMin: 3}}); err == nil {
		t.Error("a bite that is not timed entered the fit without a prior")
	}
	if _, err := (timing.HazardFit{}).Typical("", ""); err == nil {
		t.Error("a fit of nothing has a hazard")
	}
}

// Casts without a bite can only lower the pooled hazard.
func TestOneMoreBlankCastNeverRaisesThePooledHazard(t *testing.T) {
	waits := castsIn(t, inventedCasts, timing.Exact)
	before := fitOf(t, waits).Pooled
	for _, minutes := range []float64{0.5, 4, 12, 29} {
		after := fitOf(t, append(waits, timing.Wait{Session: "3", AfterMin: minutes, ByMin: minutes})).Pooled
		for j := range before.PerMin {
			if after.PerMin[j] > before.PerMin[j] {
				t.Errorf("a blank cast of %g min raises piece %d from %g to %g", minutes, j+1, before.PerMin[j], after.PerMin[j])
			}
		}
	}
}
