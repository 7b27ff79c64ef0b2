package model

import "fmt"

// What a record is worth by the time that passed before it was written down:
// statistics pack 1.2, a choice made there. Recall drifts: a twelve-month
// recall survey overstated trips by 44 to 45 % against diaries (Connelly and
// Brown 1995), and reports of trips fall off after two weeks (Mathiowetz and
// Andrews 2011).
const (
	weightWithinDay       = 1.0
	weightWithinWeek      = 0.7
	weightWithinFortnight = 0.4
	weightLater           = 0.25
)

// LagWeight is the weight of the record in a fit, from 0.25 to 1, by how late
// it was written. A record of which nobody said when it was written counts as
// one written within the week (our choice), unless it was entered within the
// day: it had been written by then.
func (s Session) LagWeight() float64 {
	lag := s.LagH()
	switch {
	case !lag.Known && !s.EnteredAt.IsZero() && s.EnteredAt.Sub(s.End).Hours() <= 24:
		return weightWithinDay
	case !lag.Known:
		return weightWithinWeek
	case lag.Value <= 24:
		return weightWithinDay
	case lag.Value <= 7*24:
		return weightWithinWeek
	case lag.Value <= 14*24:
		return weightWithinFortnight
	}
	return weightLater
}

// LearnAs is the style that fits may read the record as: a full log written
// more than 12 h late was not kept live, so only its totals count.
func (s Session) LearnAs() Style {
	if lag := s.LagH(); s.Style == FullLog && lag.Known && lag.Value > lateH {
		return Summary
	}
	return s.Style
}

func guardLag(s Session) []Query {
	lag := s.LagH()
	if !lag.Known {
		return []Query{{Field: "written_at", Text: fmt.Sprintf("nobody said when this was written; where records are weighed by how soon they were written, its weight is %v", s.LagWeight())}}
	}
	var queries []Query
	if lag.Value < 0 {
		queries = append(queries, Query{Field: "written_at", Text: fmt.Sprintf("it was written %.1f h before the last wind-in: is the end right?", -lag.Value)})
	}
	if s.LearnAs() != s.Style {
		queries = append(queries, Query{Field: "style", Text: fmt.Sprintf("this log was written %.0f h after the session, so it is learnt from as a summary; its casts are kept", lag.Value)})
	}
	if s.LagWeight() < weightWithinDay {
		queries = append(queries, Query{Field: "written_at", Text: fmt.Sprintf("it was written %.0f days after the session; where records are weighed by how soon they were written, its weight is %v", lag.Value/24, s.LagWeight())})
	}
	return queries
}
