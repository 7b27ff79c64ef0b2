package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// postPlan answers POST /v1/plans: issues a plan, or gives the one that the
// same question got from the same records and weather in the same hour.
func (s *Server) postPlan(c *gin.Context) (answer, error) {
	body, err := readBody(c, maxJSONBytes, "application/json")
	if err != nil {
		return answer{}, err
	}
	var q model.Question
	if err := decodeStrict(body, &q); err != nil {
		return answer{}, err
	}
	question, err := json.Marshal(q)
	if err != nil {
		return answer{}, fmt.Errorf("name the question: %w", err)
	}
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, "plan/"+string(question), func(ctx context.Context) (any, error) { return s.Planner.Plan(ctx, q) })
	if err != nil {
		return answer{}, err
	}
	id, err := planID(a.body.([]byte))
	a.header.Set("Content-Location", "/v1/plans/"+id)
	return a, err
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
	a.cacheControl = "private, no-cache"
	return a, err
}
