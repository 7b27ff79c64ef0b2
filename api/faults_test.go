package api_test

import (
	"context"
	"errors"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"osier/api"
	"osier/model"
)

// broken is a planner that fails as it is told to.
type broken struct {
	conditions func() (model.Conditions, error)
	plan       func() (model.Plan, error)
}

func (b broken) Conditions(context.Context, string, time.Time, time.Time) (model.Conditions, error) {
	return b.conditions()
}

func (b broken) ConditionsForOfficers(context.Context, string, time.Time, time.Time) (model.Conditions, error) {
	return b.conditions()
}

func (b broken) Plan(context.Context, model.Question) (model.Plan, error) { return b.plan() }

func (b broken) Choose(context.Context, model.ChoiceQuestion) (model.Choice, error) {
	_, err := b.plan()
	return model.Choice{}, err
}

func (b broken) Season(context.Context, string, []model.Group, float64) (model.SeasonPlan, error) {
	_, err := b.conditions()
	return model.SeasonPlan{}, err
}

const secret = "secret-in-the-works"

func TestFaultsOfOurOwn(t *testing.T) {
	for _, tc := range []struct {
		name    string
		planner broken
		logged  string
	}{
		{"a panic", broken{
			func() (model.Conditions, error) { panic(secret) },
			func() (model.Plan, error) { panic(secret) },
		}, secret},
		{"an error without a code", broken{
			func() (model.Conditions, error) { return model.Conditions{}, errors.New(secret) },
			func() (model.Plan, error) { return model.Plan{}, errors.New(secret) },
		}, secret},
		{"a number that is none", broken{
			func() (model.Conditions, error) {
				return model.Conditions{Hours: []model.ConditionHour{{AirC: model.Known(model.Celsius(math.NaN()))}}}, nil
			},
			func() (model.Plan, error) {
				return model.Plan{ID: "p-1", Feed: model.FeedPlan{RateGH: model.GramsPerHour(math.Inf(1))}}, nil
			},
		}, "encode the answer"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			h := newPit(t, func(o *api.Options) { o.Planner = tc.planner })
			for path, method := range map[string]string{"/v1/plans": "POST", "/v1/waters/quillmarsh-pit/conditions": "GET"} {
				h.log.Reset()
				w := h.send(method, path, question)
				p := h.problem(w, http.StatusInternalServerError)
				if p.Code != "internal" || strings.Contains(w.Body.String(), secret) || !strings.Contains(p.Detail, "nothing was changed") {
					t.Errorf("the problem is %s", w.Body)
				}
				if !strings.Contains(h.log.String(), tc.logged) {
					t.Errorf("the log does not say why: %s", h.log)
				}
			}
			h.wants(h.send("GET", "/v1/waters", ""), 200) // it still answers
		})
	}
}

func TestStoreDown(t *testing.T) {
	h := newPit(t)
	must(t, h.db.Close())
	for _, s := range []step{
		{"GET", "/readyz", "", nil, 503},
		{"GET", "/v1/waters", "", nil, 503},
		{"GET", "/v1/waters/quillmarsh-pit", "", nil, 503},
		{"PUT", "/v1/waters/quillmarsh-pit", pit, nil, 503},
		{"GET", "/v1/waters/quillmarsh-pit/conditions", "", nil, 503},
		{"POST", "/v1/plans", question, nil, 503},
		{"GET", "/v1/plans/p-1", "", nil, 503},
		{"POST", "/v1/sessions", summary, nil, 503},
		{"POST", "/v1/sessions", summary, []header{{"Idempotency-Key", "k-1"}}, 503},
		{"GET", "/v1/sessions/s-1", "", nil, 503},
		{"PATCH", "/v1/sessions/s-1", "{}", nil, 503},
		{"DELETE", "/v1/sessions/s-1", "", nil, 503},
		{"POST", "/v1/imports", csvFile, asType("text/csv"), 503},
		{"GET", "/v1/imports/i-1", "", nil, 503},
		{"GET", "/v1/jobs", "", nil, 503},
		{"GET", "/healthz", "", nil, 200},
		{"GET", "/openapi.yaml", "", nil, 200},
	} {
		t.Run(s.method+" "+s.path, func(t *testing.T) {
			h := h.on(t)
			w := h.wants(h.send(s.method, s.path, s.body, s.headers...), s.status)
			if s.status == 200 {
				return
			}
			p := h.problem(w, s.status)
			if p.Code != "unavailable" || !strings.Contains(p.Right, "try again") || strings.Contains(p.Detail, "sql") {
				t.Errorf("the problem is %+v", p)
			}
			if w.Header().Get("Retry-After") != "5" {
				t.Errorf("Retry-After is %q", w.Header().Get("Retry-After"))
			}
		})
	}
}

func TestAPathOfAPersonIsNotLogged(t *testing.T) {
	h := newPit(t)
	h.send("GET", "/v1/sessions/s-of-somebody", "")
	if log := h.log.String(); strings.Contains(log, "s-of-somebody") || !strings.Contains(log, "/v1/sessions/:session") {
		t.Errorf("the log says %s", log)
	}
}

func TestTheServerHasLimits(t *testing.T) {
	s := newHouse(t).api.HTTPServer()
	if s.ReadHeaderTimeout <= 0 || s.ReadTimeout <= 0 || s.WriteTimeout <= 0 || s.IdleTimeout <= 0 || s.MaxHeaderBytes <= 0 {
		t.Errorf("a caller may hold the server up: %+v", s)
	}
}
