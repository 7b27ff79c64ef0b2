package model

import (
	"fmt"
	"time"
)

// SessionSummary is what one session came to, on one page: its casts, how long
// they waited, the plan against what happened, and one thing to try next time.
// What the record cannot tell is said and never filled in.
type SessionSummary struct {
	Session    string        `json:"session"`
	Water      string        `json:"water"`
	WaterName  string        `json:"water_name"`
	Group      Group         `json:"group"`
	Angler     string        `json:"angler"`
	Style      Style         `json:"style"`
	Start      time.Time     `json:"start"`
	End        time.Time     `json:"end"`
	RodHours   float64       `json:"rod_hours"`
	Peg        string        `json:"peg,omitempty"`
	Groundbait string        `json:"groundbait,omitempty"`
	HookBait   string        `json:"hook_bait,omitempty"`
	Notes      string        `json:"notes,omitempty"`
	Bites      Maybe[int]    `json:"bites"` // true bites
	LineBites  Maybe[int]    `json:"line_bites"`
	Fish       Maybe[int]    `json:"fish"` // landed, all groups
	Weight     Maybe[Weight] `json:"weight"`

	Casts       []SummaryCast   `json:"casts"`   // in their order; none unless every cast was logged
	Waiting     *SummaryWaiting `json:"waiting"` // null where no cast tells of waiting
	WaitingText string          `json:"waiting_text"`
	Plan        *SummaryPlan    `json:"plan"` // null where no plan can be held against it
	PlanText    string          `json:"plan_text"`
	Feed        SummaryFeed     `json:"feed"`
	// Cautions are those of the plan, as issued, that held in the hours fished.
	Cautions     []Caution `json:"cautions"`
	CautionsText string    `json:"cautions_text"`
	Queries      []string  `json:"queries"` // doubts about the record, in words
	CannotSay    []string  `json:"cannot_say"`
	TryNext      TryNext   `json:"try_next"`
	Deferral     string    `json:"deferral"`
	Demo         bool      `json:"demo"`
}

// SummaryCast is one cast of the session.
type SummaryCast struct {
	At      time.Time      `json:"at"` // the feeder settled
	SoakMin float64        `json:"soak_min"`
	Outcome Outcome        `json:"outcome"`
	BiteMin Maybe[float64] `json:"bite_min"`
	FillG   Maybe[Grams]   `json:"fill_g"`
	Group   Group          `json:"group,omitempty"`
	FishG   Maybe[Grams]   `json:"fish_g"`
}

// SummaryWaiting is how long this session's casts waited for a true bite, beside
// what is typical of the angler at the water.
type SummaryWaiting struct {
	Casts    int            `json:"casts"`
	Bites    int            `json:"bites"`
	NotTimed int            `json:"bites_not_timed"` // each put at the middle of its soak
	Survival []WaitingPoint `json:"survival"`
	// Typical is the fitted curve by minutes, to the longest soak on record;
	// empty where the angler's own casts do not bear one.
	Typical         []TypicalPoint `json:"typical"`
	TypicalCasts    int            `json:"typical_casts"`
	TypicalSessions int            `json:"typical_sessions"`
	Soak            *SummarySoak   `json:"soak"` // null where nothing stands behind one
}

// WaitingPoint is one minute of Kaplan and Meier's estimate of the share of this
// session's casts that still wait. The limits are of 95 %, and not known where
// the estimate is 0 or still 1.
type WaitingPoint struct {
	TimeMin float64        `json:"time_min"`
	AtRisk  int            `json:"at_risk"`
	Bites   int            `json:"bites"`
	WoundIn int            `json:"wound_in"`
	Waiting float64        `json:"still_waiting"`
	Low95   Maybe[float64] `json:"low95"`
	High95  Maybe[float64] `json:"high95"`
}

// TypicalPoint is the share of casts of a typical session that still wait.
type TypicalPoint struct {
	TimeMin float64 `json:"time_min"`
	Waiting float64 `json:"still_waiting"`
	Low90   float64 `json:"low90"`
	High90  float64 `json:"high90"`
}

// SummarySoak is how long a cast without a bite may be left, as a range that is
// nearly as good throughout.
type SummarySoak struct {
	Verdict string  `json:"verdict"` // best_soak, no_best_soak or trade_range
	LowMin  float64 `json:"low_min"`
	HighMin float64 `json:"high_min"`
	Text    string  `json:"text"`
}

// What a soak's verdict may be, in the words of the timing model.
const (
	BestSoak   = "best_soak"
	NoBestSoak = "no_best_soak"
	TradeSoak  = "trade_range" // the casts say too little
)

// How a count lies to an interval.
const (
	InsideInterval = "inside"
	BelowInterval  = "below"
	AboveInterval  = "above"
)

// SummaryPlan holds the plan, as issued, against what happened, for the
// rod-hours really fished.
type SummaryPlan struct {
	PlanID           string     `json:"plan_id"`
	RodHours         float64    `json:"rod_hours"`
	BitesLow90       int        `json:"bites_low90"`
	BitesHigh90      int        `json:"bites_high90"`
	Bites            Maybe[int] `json:"bites"`
	Fish             Maybe[int] `json:"fish"`
	BlankProbability float64    `json:"blank_probability"` // of no fish, before the first cast
	Verdict          string     `json:"verdict,omitempty"` // inside, below or above; empty where bites were not counted
	Text             string     `json:"text"`
}

// Judged says in words how the bites lie to the interval.
func (p SummaryPlan) Judged() SummaryPlan {
	blank := fmt.Sprintf(" It gave a session without fish %.0f chances in 100", 100*p.BlankProbability)
	if p.Fish.Known {
		blank += fmt.Sprintf("; %d were landed", p.Fish.Value)
	}
	blank += "."
	if !p.Bites.Known {
		p.Text = fmt.Sprintf("The bites were not counted, or are in doubt, so the plan's %d to %d cannot be judged.", p.BitesLow90, p.BitesHigh90) + blank
		return p
	}
	interval := fmt.Sprintf("of %d to %d, which nine in ten such sessions should keep", p.BitesLow90, p.BitesHigh90)
	bites := fmt.Sprintf("%d %s in %.1f rod-hours", p.Bites.Value, plural(p.Bites.Value, "bite", "bites"), p.RodHours)
	lie := plural(p.Bites.Value, " lies ", " lie ")
	const oneSession = ": the plan was wrong, or the day was one of the few. One session cannot tell which; the track record can."
	switch {
	case p.Bites.Value < p.BitesLow90:
		p.Verdict, p.Text = BelowInterval, bites+lie+"below the plan's interval "+interval+oneSession
	case p.Bites.Value > p.BitesHigh90:
		p.Verdict, p.Text = AboveInterval, bites+lie+"above the plan's interval "+interval+oneSession
	default:
		p.Verdict, p.Text = InsideInterval, bites+lie+"inside the plan's interval "+interval+"."
	}
	p.Text += blank
	return p
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// SummaryFeed holds the feed planned against what the casts' fills tell was fed,
// in damp grams per rod-hour. The opening and top-ups are no part of either.
type SummaryFeed struct {
	PlannedGH Maybe[GramsPerHour] `json:"planned_g_h"`
	FedGH     Maybe[GramsPerHour] `json:"fed_g_h"`
	Text      string              `json:"text"`
}

// FedByCasts adds up the fills of the casts. One fill that nobody weighed leaves
// the whole not known.
func (s Session) FedByCasts(planned Maybe[GramsPerHour]) SummaryFeed {
	f := SummaryFeed{PlannedGH: planned}
	total, weighed := Grams(0), 0
	for _, c := range s.Casts {
		if c.FillG.Known {
			total += c.FillG.Value
			weighed++
		}
	}
	plan, fed := "the feed planned is not known", "What was fed is not known: "
	if planned.Known {
		plan = fmt.Sprintf("%.0f g/h were planned", float64(planned.Value))
	}
	switch hours := s.RodHours(); {
	case len(s.Casts) == 0:
		f.Text = fed + "the record has no casts; " + plan + "."
	case weighed < len(s.Casts):
		f.Text = fmt.Sprintf("%sthe fill of %d of %d casts was not weighed; %s.", fed, len(s.Casts)-weighed, len(s.Casts), plan)
	case !(hours > 0):
		f.Text = fed + "no time was fished; " + plan + "."
	default:
		f.FedGH = Known(GramsPerHour(float64(total) / hours))
		f.Text = fmt.Sprintf("The casts fed %.0f g/h damp; %s. The opening and top-ups come on top of both.", float64(f.FedGH.Value), plan)
	}
	return f
}

// SummaryCasts are the casts of the session in their order.
func (s Session) SummaryCasts() []SummaryCast {
	out := make([]SummaryCast, 0, len(s.Casts))
	for _, c := range s.Casts {
		out = append(out, SummaryCast{
			At: c.In, SoakMin: c.Out.Sub(c.In).Minutes(), Outcome: c.Outcome, BiteMin: c.BiteMin, FillG: c.FillG, Group: c.Group, FishG: c.FishG,
		})
	}
	return out
}

// Words says what came of the cast.
func (c SummaryCast) Words() string {
	words := map[Outcome]string{NoBite: "no bite", LineBite: "line touched", MissedBite: "bite missed", FishLanded: "fish", FishLost: "fish lost"}[c.Outcome]
	if c.Outcome == FishLanded && c.Group != "" {
		words = string(c.Group)
	}
	if c.FishG.Known {
		words += fmt.Sprintf(", %.0f g", float64(c.FishG.Value))
	}
	return words
}

// CannotSay is what a record of this style leaves untold (trade pack 6.3).
func (s Session) CannotSay() []string {
	switch s.Style {
	case Hourly:
		return []string{
			"A tally by the hour does not tell how long a cast waited, so there is no curve of waiting times and no soak.",
			"It does not tell what a cast was filled with, nor what became of each bite.",
		}
	case Summary:
		return []string{
			"Totals at the end of the day do not tell how long a cast waited, so there is no curve of waiting times and no soak.",
			"They do not tell when in the day anything came, nor what became of each bite.",
		}
	}
	return []string{}
}

// QueriesInWords are the doubts about the record.
func (s Session) QueriesInWords() []string {
	out := make([]string, 0, len(s.Queries))
	for _, q := range s.Queries {
		text := q.Field + ": " + q.Text
		switch q.Excludes {
		case "session":
			text += " (until it is settled no fit reads this session)"
		case "field":
			text += " (until it is settled no fit reads this field)"
		}
		out = append(out, text)
	}
	return out
}
