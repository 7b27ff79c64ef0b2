package jobs

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

// readable are the sessions of the group asked about that a plan may rest on, by
// start: the asker's own as they are now, and other people's as the public fit
// read them. Those are left out that were not over when the plan's begins, or by
// now: a plan for a time past must not read what came of it. What is given is
// shared with other readers and stays as it is.
func readable(joined []model.JoinedSession, public []*model.JoinedSession, q model.Question, now time.Time) []*model.JoinedSession {
	end := earlier(q.Start, now)
	out, own := make([]*model.JoinedSession, 0, len(public)), map[string]bool{}
	for i := range joined {
		if j := &joined[i]; q.Angler != "" && j.Angler == q.Angler {
			own[j.Session] = true
			if j.Group == q.Group && j.Use && !j.End.After(end) {
				out = append(out, j)
			}
		}
	}
	for _, j := range public {
		if !own[j.Session] && (q.Angler == "" || j.Angler != q.Angler) && !j.End.After(end) {
			out = append(out, j)
		}
	}
	slices.SortFunc(out, rowsByStart)
	return out
}

func rowsByStart(a, b *model.JoinedSession) int {
	return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Session, b.Session))
}

// evidence counts what stands behind a plan: the asker's sessions exactly, other
// people's as bands. The sessions are those of the group that the fit may read.
func evidence(g *grounds, q model.Question, day model.Drivers, fit activity.Fit) model.Evidence {
	all, similar, anglers := whose{others: g.sessions}, whose{others: g.alike(q.Water, day)}, len(g.own)
	if own := g.own[q.Angler]; q.Angler != "" && len(own) > 0 {
		anglers--
		for _, j := range own {
			all.isOwn()
			if j.Water == q.Water && alike(j.Drivers, day) {
				similar.isOwn()
			}
		}
	}
	e := model.Evidence{Sessions: all.count(), Similar: similar.count(), Anglers: model.CountBand(anglers), Basis: "prior"}
	if fit.Sessions > 0 {
		e.Basis = "both"
	}
	e.Text = fmt.Sprintf("%d sessions of yours on record for %s, %d of them here in water within %g C of this. Other people's: %s, of which alike %s.",
		all.own, q.Group, similar.own, similarC, e.Sessions.Others, e.Similar.Others)
	if e.Basis == "prior" {
		e.Text += " No record stands behind the expectation: it is what is typical for the season."
		if q.Angler == "" {
			e.Text += " Name yourself to have your own sessions counted."
		}
	}
	return e
}

// whose counts own sessions and others apart.
type whose struct{ own, others int }

// isOwn moves one of those counted as other people's to the asker's own.
func (t *whose) isOwn() { t.own, t.others = t.own+1, t.others-1 }

func (t whose) count() model.EvidenceCount {
	return model.EvidenceCount{Own: t.own, Others: model.CountBand(t.others)}
}

// alike says whether the water was about as warm.
func alike(a, b model.Drivers) bool {
	return a.WaterC.Known && b.WaterC.Known && math.Abs(float64(a.WaterC.Value-b.WaterC.Value)) <= similarC
}

// usual is the mean day of this water and season by the records, or, where they
// are too few, the climate's water temperature and ordinary weather.
func usual(g *grounds, q model.Question, day model.Drivers, w model.Water) model.Drivers {
	u := plan.OrdinaryDay(w, q.Start)
	u.DayOfYear, u.MidHour, u.LowLightShare = day.DayOfYear, day.MidHour, day.LowLightShare
	season := g.season(q.Water, day.DayOfYear)
	if season.days < usualSessions {
		return u
	}
	return plan.MeanDay(u, []model.Drivers{season.mean})
}

// usualFeedZ is the angler's own mean ln(planned / trade's rate) in water about
// as warm as this; missing under usualSessions of them.
func usualFeedZ(g *grounds, angler string, day model.Drivers) model.Maybe[float64] {
	sum, n := 0.0, 0
	if angler == "" {
		return model.Maybe[float64]{}
	}
	for _, j := range g.own[angler] {
		d := j.Regressors()
		if d.PlannedGH.Known && d.StartingGH.Known && alike(d, day) {
			sum += math.Log(float64(d.PlannedGH.Value / d.StartingGH.Value))
			n++
		}
	}
	if n < usualSessions {
		return model.Maybe[float64]{}
	}
	return model.Known(sum / float64(n))
}
