package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// postPlan answers POST /v1/plans: issues a plan, or gives the one that the
// same question got from the same records and weather in the same hour.
func (s *Server) postPlan(c *gin.Context) (answer, error) {
	var q model.Question
	if _, err := readJSON(c, &q); err != nil {
		return answer{}, err
	}
	a, id, err := s.issue(c, q)
	if err == nil {
		a.header.Set("Content-Location", "/v1/plans/"+id)
	}
	return a, err
}

// issue gives the plan for a question, and its identifier. The form of the page
// asks through it too.
func (s *Server) issue(c *gin.Context, q model.Question) (a answer, id string, err error) {
	if q.Angler, err = auth.Handle(s.who(c), "angler", q.Angler); err != nil {
		return answer{}, "", err
	}
	question, err := json.Marshal(q)
	if err != nil {
		return answer{}, "", fmt.Errorf("name the question: %w", err)
	}
	a, err = s.rendered(c.Request.Context(), s.Loader.LoadCurrent, "plan/"+string(question), func(ctx context.Context) (any, error) { return s.Planner.Plan(ctx, q) })
	if err != nil {
		return answer{}, "", err
	}
	id, err = planID(a.body.([]byte))
	return a, id, err
}

// planID reads the identifier out of a rendered plan, where it stands first,
// without reading the rest.
func planID(plan []byte) (string, error) {
	d := json.NewDecoder(bytes.NewReader(plan))
	for {
		token, err := d.Token()
		if err != nil {
			return "", fmt.Errorf("read the plan's identifier: %w", err)
		}
		if token == "plan_id" {
			var id string
			err := d.Decode(&id)
			return id, err
		}
	}
}

// getPlan answers GET /v1/plans/{plan}: the plan as it was issued, which never
// changes, and before it what clubs decided since about its hours. So it may be
// kept, and is asked about before it is used again.
func (s *Server) getPlan(c *gin.Context) (answer, error) {
	id := c.Param("plan")
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, "issued/"+id, func(ctx context.Context) (any, error) { return s.Plans.IssuedPlan(ctx, id) })
	if err != nil {
		return a, err
	}
	angler, err := planAngler(a.body.([]byte))
	if err == nil && !auth.MayReadPlan(s.who(c), angler) {
		err = s.notThere(c, "plan", id)
	}
	a.cacheControl = "private, no-cache"
	return a, err
}

// planAngler reads whom a rendered plan is for, empty for anybody, without
// reading what stands behind its question.
func planAngler(plan []byte) (string, error) {
	d := json.NewDecoder(bytes.NewReader(plan))
	if _, err := d.Token(); err != nil { // the brace
		return "", fmt.Errorf("read whom the plan is for: %w", err)
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return "", fmt.Errorf("read whom the plan is for: %w", err)
		}
		if name == "question" {
			var q model.Question
			err := d.Decode(&q)
			return q.Angler, err
		}
		var passed json.RawMessage
		if err := d.Decode(&passed); err != nil {
			return "", fmt.Errorf("read whom the plan is for: %w", err)
		}
	}
	return "", errors.New("the plan does not say whom it is for")
}
