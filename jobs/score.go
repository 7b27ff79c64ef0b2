package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
)

// ScoreStore is what scoring reads, and where scores are kept.
type ScoreStore interface {
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	Plan(ctx context.Context, id string) (model.Plan, error)
	Scores(ctx context.Context, water string, group model.Group) ([]model.Score, error)
	PutScores(ctx context.Context, scores []model.Score) error
	DeleteScores(ctx context.Context, sessions []string) error
}

// Scorer holds plans, as they were issued, against the sessions that followed
// them.
type Scorer struct {
	Store ScoreStore
	Now   func() time.Time
}

// Run scores every session that followed a plan and has not been scored as it
// stands, and takes away the scores of those that no longer should have one. It
// counts what it did. Running it again does nothing.
func (s *Scorer) Run(ctx context.Context) (map[string]int, error) {
	sessions, err := s.Store.Sessions(ctx, "", "", time.Unix(0, 0), s.Now())
	if err != nil {
		return nil, err
	}
	before, err := s.scoredBefore(ctx)
	if err != nil {
		return nil, err
	}
	references := &referencesByMonth{store: s.Store, fits: map[string]activity.SimpleReferences{}}
	counts := map[string]int{"sessions": len(sessions)}
	var made []model.Score
	for _, one := range sessions {
		old, scored := before[one.ID]
		digest := scoreDigest(one)
		if scored && old.InputsDigest == digest {
			delete(before, one.ID)
			continue
		}
		score, why, err := s.score(ctx, one, references)
		if err != nil {
			return counts, fmt.Errorf("score session %s: %w", one.ID, err)
		}
		if why != "" {
			counts["not scored: "+why]++
			continue
		}
		score.InputsDigest, score.FirstScoredAt = digest, score.ScoredAt
		if scored {
			score.FirstScoredAt = firstScored(old)
		}
		made = append(made, score)
		delete(before, one.ID)
		counts["scored"]++
	}
	if err := s.Store.PutScores(ctx, made); err != nil {
		return counts, err
	}
	gone := make([]string, 0, len(before))
	for id := range before {
		gone = append(gone, id)
	}
	counts["taken away"] = len(gone)
	return counts, s.Store.DeleteScores(ctx, gone)
}

// scoredBefore are the scores there are, by session. Sessions after this clock
// are left out: a run over the past must not take their scores away.
func (s *Scorer) scoredBefore(ctx context.Context) (map[string]model.Score, error) {
	scores, err := s.Store.Scores(ctx, "", "")
	if err != nil {
		return nil, err
	}
	out := map[string]model.Score{}
	for _, one := range scores {
		if one.Start.After(s.Now()) {
			continue
		}
		out[one.Session] = one
	}
	return out, nil
}

// firstScored is when a session was scored for the first time, as far as its
// score tells.
func firstScored(s model.Score) time.Time {
	if s.FirstScoredAt.IsZero() {
		return s.ScoredAt
	}
	return s.FirstScoredAt
}

// scoreVersion goes with what a score holds: one of another version is made anew.
const scoreVersion = 2

// scoreDigest names what of a session its score is made from. Plans never
// change, so that their name stands for them.
func scoreDigest(s model.Session) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d|%v|%s|%s|%s|%s|%d|%d|%g|%v|%v",
		scoreVersion, s.Excluded(""), s.PlanID, s.Water, s.Angler, s.Group, s.Start.Unix(), s.End.Unix(), s.RodHours(), bitesOf(s), fishOf(s)))
	return hex.EncodeToString(sum[:12])
}

// Why a session that names a plan is not scored against it.
const (
	noPlan         = "it followed no plan"
	unknownPlan    = "no such plan was issued"
	excludedRecord = "a query about the record keeps it out"
	bitesUnknown   = "its bites were not counted"
	noTimeFished   = "no time fished"
	otherPlan      = "the plan was for another water, group or angler"
	otherTime      = "the plan was for another time"
	issuedLate     = "the plan was issued after the first cast"
	noExpectation  = "the plan expected nothing"
)

// matchedByName is how session and plan are brought together: the record names
// the plan. Nothing is guessed from time and place, since who looked at a plan
// and left it would otherwise be scored with those who followed one.
const matchedByName = "the record names the plan"

// whyNot says why a session must not be scored against a plan; empty where it
// may. The plan must have been for this water, group and angler, if it named
// one, for a time that the session shares, and out before the first cast: a plan
// issued later could know what was biting.
func whyNot(s model.Session, p model.Plan) string {
	switch {
	case p.Water != s.Water || p.Group != s.Group || p.Question.Angler != "" && p.Question.Angler != s.Angler:
		return otherPlan
	case !p.IssuedAt.Before(s.Start):
		return issuedLate
	case !s.Start.Before(planEnd(p)) || !p.Start.Before(s.End):
		return otherTime
	case p.Activity == nil || p.Activity.Basis == (model.ForecastBasis{}):
		return noExpectation
	}
	return ""
}

func planEnd(p model.Plan) time.Time {
	return p.Start.Add(time.Duration(p.Hours * float64(time.Hour)))
}

// score matches one session with its plan and scores it; why says why not.
func (s *Scorer) score(ctx context.Context, one model.Session, references *referencesByMonth) (score model.Score, why string, err error) {
	switch {
	case one.PlanID == "":
		return score, noPlan, nil
	case one.Excluded(""):
		return score, excludedRecord, nil
	case !bitesOf(one).Known:
		return score, bitesUnknown, nil
	case !(one.RodHours() > 0):
		return score, noTimeFished, nil
	}
	p, err := s.Store.Plan(ctx, one.PlanID)
	if model.CodeOf(err) == model.NotFound {
		return score, unknownPlan, nil
	}
	if err != nil {
		return score, "", err
	}
	if why := whyNot(one, p); why != "" {
		return score, why, nil
	}
	score = model.Score{
		Session: one.ID, Plan: p.ID, Fit: p.Fit, Water: p.Water, Angler: one.Angler, Group: p.Group, IssuedAt: p.IssuedAt, Start: one.Start,
		RodHours: one.RodHours(), Bites: one.Bites.Value, Fish: fishOf(one), Basis: p.Activity.Basis,
		Matched: matchedByName, ScoredAt: s.Now(), Demo: p.Demo || one.Demo,
	}
	basis := activity.ForecastBasis(score.Basis)
	forecast, err := basis.Score(score.RodHours, score.Bites)
	if err != nil {
		return score, "", err
	}
	if score.BlankProbability, err = basis.Blank(score.RodHours); err != nil {
		return score, "", err
	}
	score.Forecast = countScore(forecast)
	score.References, err = references.score(ctx, score)
	return score, "", err
}

func countScore(s activity.CountScore) model.CountScore {
	out := model.CountScore{
		CRPS: s.CRPS, DSS: s.DSS, PITLow: s.PIT.Lower, PITHigh: s.PIT.Upper,
		Cover50: s.Cover50, Cover90: s.Cover90, Mean: s.Mean,
	}
	if !s.Impossible {
		out.LogScore = model.Known(s.LogScore)
	}
	return out
}

// scoredCount is the way back.
func scoredCount(s model.CountScore) activity.CountScore {
	return activity.CountScore{
		LogScore: s.LogScore.Value, Impossible: !s.LogScore.Known, CRPS: s.CRPS, DSS: s.DSS,
		PIT: activity.PIT{Lower: s.PITLow, Upper: s.PITHigh}, Cover50: s.Cover50, Cover90: s.Cover90, Mean: s.Mean,
	}
}
