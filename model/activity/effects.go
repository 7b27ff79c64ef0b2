package activity

import (
	"fmt"
	"math"
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
// They speak of the records alone, because what is believed after them would
// pass off the prior as a finding; forecasts use what is believed. What the
// records say by themselves is what is left of the belief about a column when
// its prior is taken out again, both being normal (precisions subtract): exact
// where the columns do not overlap.
func (f Fit) Effects() ([]Effect, error) {
	if err := f.Check(); err != nil {
		return nil, fmt.Errorf("effects: %w", err)
	}
	columns, err := Columns(f.Group)
	if err != nil {
		return nil, fmt.Errorf("effects: %w", err)
	}
	out := make([]Effect, 0, len(columns)-1)
	for j := 1; j < len(columns); j++ {
		out = append(out, effect(f.Count.Coefficients[j], f.Count.SEs[j], columns[j]))
	}
	return out, nil
}

// leastLearnt is how much of a prior's precision the records must add before
// they are said to speak of a column; our choice.
const leastLearnt = 0.1

// normal90 is the 95 % point of the standard normal.
const normal90 = 1.6448536269514722

func effect(estimate, sd float64, about Column) Effect {
	e := Effect{Column: about.Name}
	priorPrecision := 1 / (about.PriorSD * about.PriorSD)
	precision := 1/(sd*sd) - priorPrecision
	if precision < leastLearnt*priorPrecision {
		e.Text = fmt.Sprintf("%s: the records say too little yet, the prior stands", about.Meaning)
		return e
	}
	e.Learnt = true
	alone, se := (estimate/(sd*sd)-about.PriorMean*priorPrecision)/precision, 1/math.Sqrt(precision)
	low, high := alone-normal90*se, alone+normal90*se
	e.Change, e.Low90, e.High90 = boundedExp(alone)-1, boundedExp(low)-1, boundedExp(high)-1
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
// the difference of the two log rates at one water for one angler. A value outside its range is an error.
func (f Fit) Contributions(session, usual Covariates) ([]Contribution, error) {
	if err := f.Check(); err != nil {
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
			EffectLogRate: f.Count.Coefficients[j] * (here[j] - there[j]),
		})
	}
	return out, nil
}

// boundedExp is exp with its argument held within -30 to 30, so that no rate
// overflows and none is exactly 0.
func boundedExp(x float64) float64 { return math.Exp(min(max(x, -30), 30)) }
