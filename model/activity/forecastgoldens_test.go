package activity_test

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"

	"osier/model/activity"
)

// mixtureCase is a mean count, a log score of y, and quantiles under a normal
// mixture of NB2.
type mixtureCase struct {
	EtaMean  float64 `json:"eta_mean"`
	EtaVar   float64 `json:"eta_var"`
	Hours    float64 `json:"hours"`
	Theta    any     `json:"theta"`
	Mean     float64 `json:"mean"`
	LogScore float64 `json:"log_score"`
	Y        int     `json:"y"`
	PITUpper float64 `json:"pit_upper"`
	Q05      int     `json:"q05"`
	Q25      int     `json:"q25"`
	Median   int     `json:"median"`
	Q75      int     `json:"q75"`
	Q95      int     `json:"q95"`
}

func checkMixture(t *testing.T, c mixtureCase) {
	t.Helper()
	theta, finite := c.Theta.(float64)
	if !finite {
		theta = math.Inf(1)
	}
	prediction, err := activity.NewCountPrediction(c.EtaMean, c.EtaVar, c.Hours, 1/theta)
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := prediction.LogProbability(c.Y); !ok || !near(-got, c.LogScore, 1e-6) {
		t.Errorf("%+v: log score is %v", c, -got)
	}
	cdf, rateMean := activity.MixtureBites(c.EtaMean, c.EtaVar, theta, c.Hours)
	if !near(rateMean*c.Hours, c.Mean, 1e-9) {
		t.Errorf("%+v: mean is %v", c, rateMean*c.Hours)
	}
	if got := cdf(c.Y); !near(got, c.PITUpper, 1e-6) {
		t.Errorf("%+v: P(Y <= %d) is %v", c, c.Y, got)
	}
	for _, q := range []struct {
		p    float64
		want int
	}{{0.05, c.Q05}, {0.25, c.Q25}, {0.5, c.Median}, {0.75, c.Q75}, {0.95, c.Q95}} {
		if got := activity.CountQuantile(cdf, q.p); got != q.want {
			t.Errorf("%+v: quantile %v is %d, want %d", c, q.p, got, q.want)
		}
	}
}

func TestMixtureAgainstGoldens(t *testing.T) {
	// From the project's check values for normal mixtures of NB2.
	for _, c := range []mixtureCase{
		{0.3, 0.25, 5, 1.8, 7.647952098316893, 2.612705219191218, 0, 0.07333588553223289, 0, 2, 5, 10, 23},
		{-1, 1.2, 4, 1.8, 2.6812801841425573, 2.563288363471336, 3, 0.7845622043709966, 0, 0, 1, 3, 11},
		{-1, 1.2, 4, 1.8, 2.6812801841425573, 7.08321999944765, 25, 0.9907604160483247, 0, 0, 1, 3, 11},
		{0.36464878157755215, 1.0501041232819661, 4, 1.8, 9.737605098783105, 2.056848817414927, 0, 0.12785623409625288, 0, 1, 4, 11, 36},
		{0.8, 0.02, 6, 1.1, 13.48744792005883, 4.448448832878132, 25, 0.8483466858939994, 0, 4, 9, 19, 40},
	} {
		checkMixture(t, c)
	}
}

func TestSharedScores(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(sharedStatistics, "scores.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared score goldens are not here; a few of them are checked from this file's own copy")
	}
	var goldens struct {
		Mixture []mixtureCase `json:"mixture"`
		Extreme []struct {
			Y      int     `json:"y"`
			Mu     float64 `json:"mu"`
			Theta  float64 `json:"theta"`
			LogPMF float64 `json:"logpmf"`
		} `json:"extreme_logpmf"`
		NB2 []struct {
			Mu       float64 `json:"mu"`
			Theta    any     `json:"theta"`
			Y        int     `json:"y"`
			LogScore float64 `json:"log_score"`
			PITUpper float64 `json:"pit_upper"`
		} `json:"nb2"`
	}
	if err := json.Unmarshal(text, &goldens); err != nil {
		t.Fatal(err)
	}
	if len(goldens.Mixture) == 0 || len(goldens.Extreme) == 0 || len(goldens.NB2) == 0 {
		t.Fatal("the shared score goldens have no cases")
	}
	for _, c := range goldens.Mixture {
		checkMixture(t, c)
	}
	for _, c := range goldens.Extreme {
		if got, err := activity.NB2LogPMF(c.Y, c.Mu, c.Theta); err != nil || !near(got, c.LogPMF, 1e-9) {
			t.Errorf("%+v: log probability is %v (%v)", c, got, err)
		}
	}
	for _, c := range goldens.NB2 {
		theta, ok := c.Theta.(float64)
		if !ok {
			theta = math.Inf(1)
		}
		if got, err := activity.NB2LogPMF(c.Y, c.Mu, theta); err != nil || !near(-got, c.LogScore, 1e-9) {
			t.Errorf("%+v: log score is %v (%v)", c, -got, err)
		}
		if got := activity.NB2CDF(c.Y, c.Mu, theta); theta < 1e6 && !near(got, c.PITUpper, 1e-9) {
			t.Errorf("%+v: P(Y <= y) is %v", c, got)
		}
	}
}
