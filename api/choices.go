package api

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// postChoice answers POST /v1/choices: the same outing at several waters and
// days held against each other. It stores nothing.
func (s *Server) postChoice(c *gin.Context) (answer, error) {
	var q model.ChoiceQuestion
	_, err := readJSON(c, &q)
	if err != nil {
		return answer{}, err
	}
	if q.Angler, err = auth.Handle(s.who(c), "angler", q.Angler); err != nil {
		return answer{}, err
	}
	question, err := json.Marshal(q.Plainly())
	if err != nil {
		return answer{}, fmt.Errorf("name the question: %w", err)
	}
	return s.rendered(c.Request.Context(), s.Loader.LoadCurrent, "choice/"+string(question), func(ctx context.Context) (any, error) { return s.Planner.Choose(ctx, q) })
}
