package api

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// keepRendered is how long a rendered answer stays in the cache. Its key holds
// the revision of the store and the hour, so it is never wrong, only unused.
const keepRendered = time.Hour

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
	ctx := c.Request.Context()
	plan, err := s.cached(ctx, "plan/"+string(question), func() (any, error) { return s.Planner.Plan(ctx, q) })
	if err != nil {
		return answer{}, err
	}
	var issued struct {
		ID string `json:"plan_id"`
	}
	if err := json.Unmarshal(plan, &issued); err != nil {
		return answer{}, fmt.Errorf("read the plan's identifier: %w", err)
	}
	return answer{body: plan, header: http.Header{"Content-Location": {"/v1/plans/" + issued.ID}}}, nil
}

// getPlan answers GET /v1/plans/{plan}: the plan as it was issued, which never
// changes.
func (s *Server) getPlan(c *gin.Context) (answer, error) {
	p, err := s.Plans.Plan(c.Request.Context(), c.Param("plan"))
	return answer{body: p, cacheControl: "private, max-age=31536000, immutable"}, err
}

// cached gives the rendered answer of this revision and hour, made now when it
// is not there.
func (s *Server) cached(ctx context.Context, question string, compute func() (any, error)) ([]byte, error) {
	revision, err := s.Revisions.Revision(ctx)
	if err != nil {
		return nil, err
	}
	key := fmt.Sprintf("%d/%d/%s", revision, s.Now().Truncate(time.Hour).Unix(), question)
	if body, ok := s.Cache.Get(ctx, key); ok {
		return body, nil
	}
	v, err := compute()
	if err != nil {
		return nil, err
	}
	body, err := encode(v)
	if err != nil {
		return nil, fmt.Errorf("encode the answer: %w", err)
	}
	s.Cache.Put(ctx, key, body, keepRendered)
	return body, nil
}
