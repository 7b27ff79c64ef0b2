package caution

import (
	"slices"
	"strings"
	"time"

	"osier/model"
)

// level orders what a check can raise.
type level int

const (
	nothing level = iota
	note
	care
	closure // of the fish: officers are advised to close, everybody else takes care
	stop
)

var levelNames = map[level]model.CautionLevel{note: model.Note, care: model.Care, closure: model.Care, stop: model.Stop}

// seenAs is the level as the reader may know it: only officers are told of
// advice to close.
func (o *outing) seenAs(l level) level {
	if l == closure && !o.Officer {
		return care
	}
	return l
}

// finding is what a check says of one stretch of time: a level raised, or, when
// unchecked, the level that a missing reading could still raise. In its text
// {from} and {until} stand for the ends of the caution it becomes part of.
type finding struct {
	from, until time.Time
	level       level
	unchecked   bool
	badness     float64 // of two findings of one level the one with more speaks
	inputs      map[string]float64
	threshold   string
	text        string
}

// hourly sets a finding on the hour that starts with the readings.
func hourly(h model.ConditionHour, f finding) finding {
	f.from, f.until = h.At, h.At.Add(time.Hour)
	return f
}

// within cuts a finding to a stretch of time; outside it there is none.
func (f finding) within(from, until time.Time) []finding {
	if f.from.Before(from) {
		f.from = from
	}
	if f.until.After(until) {
		f.until = until
	}
	if !f.from.Before(f.until) {
		return nil
	}
	return []finding{f}
}

// notChecked words a missing reading. The subject brings its verb: "Thunder
// was".
func notChecked(could level, subject, why, threshold string) finding {
	return finding{
		level: could, unchecked: true, threshold: threshold,
		text: subject + " not checked: " + why + ", from {from} to {until}.",
	}
}

// span is a stretch of one level with the finding that speaks for it.
type span struct {
	from, until time.Time
	finding
}

// spans cuts the outing wherever a finding begins or ends, takes the highest
// level of each piece, and joins neighbours that say the same. Apart from these
// it returns the pieces in which a missing reading could have raised more.
func (o *outing) spans(findings []finding) (raised, unchecked []span) {
	cuts := o.cuts(findings)
	for i := 1; i < len(cuts); i++ {
		var is, could finding
		for _, f := range findings {
			if f.from.After(cuts[i-1]) || f.until.Before(cuts[i]) {
				continue
			}
			f.level = o.seenAs(f.level)
			if f.unchecked {
				could = worse(could, f)
			} else {
				is = worse(is, f)
			}
		}
		if is.level > nothing {
			raised = join(raised, span{cuts[i-1], cuts[i], is}, func(a, b finding) bool { return a.level == b.level })
		}
		if could.level > is.level {
			unchecked = join(unchecked, span{cuts[i-1], cuts[i], could}, func(a, b finding) bool { return a.text == b.text })
		}
	}
	return raised, unchecked
}

// cuts lists, in order, the times within the outing at which anything changes.
func (o *outing) cuts(findings []finding) []time.Time {
	cuts := []time.Time{o.From, o.Until}
	for _, f := range findings {
		for _, t := range []time.Time{f.from, f.until} {
			if t.After(o.From) && t.Before(o.Until) {
				cuts = append(cuts, t)
			}
		}
	}
	slices.SortFunc(cuts, time.Time.Compare)
	return slices.CompactFunc(cuts, time.Time.Equal)
}

// worse keeps the first of two equals.
func worse(a, b finding) finding {
	if b.level > a.level || b.level == a.level && b.badness > a.badness {
		return b
	}
	return a
}

func join(spans []span, next span, alike func(a, b finding) bool) []span {
	if n := len(spans); n > 0 && spans[n-1].until.Equal(next.from) && alike(spans[n-1].finding, next.finding) {
		spans[n-1].until = next.until
		spans[n-1].finding = worse(spans[n-1].finding, next.finding)
		return spans
	}
	return append(spans, next)
}

// caution puts a span into the words of its check.
func (o *outing) caution(c check, s span) model.Caution {
	name := levelNames[s.level]
	if s.unchecked {
		name = model.NotChecked
	}
	inputs := s.inputs
	if inputs == nil {
		inputs = map[string]float64{}
	}
	from, until := s.from.In(o.loc), s.until.In(o.loc)
	return model.Caution{
		ID: c.id, Level: name, From: from, Until: until,
		AdviseClosure: s.level == closure && !s.unchecked,
		Inputs:        inputs, Threshold: s.threshold, Source: c.source,
		Text: strings.NewReplacer("{from}", from.Format(o.layout), "{until}", until.Format(o.layout)).Replace(s.text),
	}
}
