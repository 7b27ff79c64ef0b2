package activity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Effect says in plain words what the records show about one column. Change
// figures are shares of the bite rate for one scaled unit: 0.12 is 12 % more.
type Effect struct {
	Column string `json:"column"`
	// Learnt is false while the prior alone stands for the column.
	Learnt bool `json:"learnt"`
	// Found is true when the records' own 90 % interval does not contain 0.
	Found  bool    `json:"found"`
	Change float64 `json:"change"`
	Low90  float64 `json:"low90"`
	High90 float64 `json:"high90"`
	Text   string  `json:"text"`
}

// Effects returns one Effect for each column but the intercept, in order.
//
// They speak of the records alone (least squares and its t interval), because
// the blended estimate would pass off the prior as a finding. Forecasts use the
// blended one.
func (f Fit) Effects() ([]Effect, error) {
	if err := f.check(); err != nil {
		return nil, fmt.Errorf("effects: %w", err)
	}
	out := make([]Effect, 0, len(f.Columns)-1)
	for j := 1; j < len(f.Columns); j++ {
		out = append(out, f.effect(f.Columns[j], columnTable[j].Column))
	}
	return out, nil
}

func (f Fit) effect(c FittedColumn, about Column) Effect {
	e := Effect{Column: c.Name, Learnt: c.Fitted}
	if !c.Fitted {
		e.Text = fmt.Sprintf("%s: not learnt yet, the prior stands (%s)", about.Meaning, c.NotFitted)
		return e
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(f.DegreesOfFreedom)}.Quantile(0.95)
	low, high := c.RecordsEstimate-t*c.RecordsSE, c.RecordsEstimate+t*c.RecordsSE
	e.Change, e.Low90, e.High90 = boundedExp(c.RecordsEstimate)-1, boundedExp(low)-1, boundedExp(high)-1
	e.Found = low > 0 || high < 0
	interval := fmt.Sprintf("90 %% interval %+.0f to %+.0f %% for each %s", 100*e.Low90, 100*e.High90, about.ScaledUnit)
	switch {
	case !e.Found:
		e.Text = fmt.Sprintf("%s: no effect found (%s)", about.Meaning, interval)
	case low > 0:
		e.Text = fmt.Sprintf("%s: more bites, %+.0f %% (%s)", about.Meaning, 100*e.Change, interval)
	default:
		e.Text = fmt.Sprintf("%s: fewer bites, %+.0f %% (%s)", about.Meaning, 100*e.Change, interval)
	}
	return e
}

// Contribution is one driver's share of a session's log rate.
type Contribution struct {
	Column string `json:"column"`
	// Value is in the column's own unit, its centre where not known.
	Value float64 `json:"value"`
	// EffectLogRate is added to the log rate because this session is not the
	// usual one; 0.1 is about 10 % more bites.
	EffectLogRate float64 `json:"effect_log_rate"`
}

// Contributions compares a session with usual conditions: for each column but
// the intercept, in order, the estimate times the difference. They add up to
// the difference of the two log rates. A value outside its range is an error.
func (f Fit) Contributions(session, usual Covariates) ([]Contribution, error) {
	if err := f.check(); err != nil {
		return nil, fmt.Errorf("contributions: %w", err)
	}
	here, _, err := BuildRow(session)
	if err != nil {
		return nil, fmt.Errorf("contributions of the session: %w", err)
	}
	there, _, err := BuildRow(usual)
	if err != nil {
		return nil, fmt.Errorf("contributions, usual conditions: %w", err)
	}
	out := make([]Contribution, 0, len(here)-1)
	for j := 1; j < len(here); j++ {
		about := columnTable[j]
		out = append(out, Contribution{
			Column:        about.Name,
			Value:         about.Centre + about.Scale*here[j],
			EffectLogRate: f.Columns[j].Estimate * (here[j] - there[j]),
		})
	}
	return out, nil
}

// boundedExp is exp with its argument held within -30 to 30, so that no rate
// overflows and none is exactly 0.
func boundedExp(x float64) float64 { return math.Exp(min(max(x, -30), 30)) }
