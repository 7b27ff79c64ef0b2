package api

import (
	"errors"
	"net/http"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/page"
	"osier/model"
)

// showPlanForm answers GET /plan: the form, filled in with what the query says and
// with tomorrow morning.
func (s *Server) showPlanForm(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, page.PlanFields()...); err != nil {
		return answer{}, err
	}
	waters, err := s.Waters.Waters(c.Request.Context(), "", longestPage)
	if err != nil {
		return answer{}, err
	}
	filled := c.Request.URL.Query()
	if len(waters) > 0 {
		w := waters[0]
		for _, other := range waters {
			if other.ID == filled.Get("water") {
				w = other
			}
		}
		s.fillIn(filled, w)
	}
	body, err := page.PlanForm(waters, filled, nil, s.Demo)
	return framed(body, "no-cache"), err
}

// The usual session: tomorrow, from eight by the clock at the water; our choice.
const usualStart = "08:00"

// fillIn puts what is usual into fields that nobody filled in.
func (s *Server) fillIn(filled url.Values, w model.Water) {
	usual := map[string]string{"water": w.ID, "time": usualStart, "hours": "5"}
	if zone, err := w.Location(); err == nil {
		usual["day"] = s.Now().In(zone).AddDate(0, 0, 1).Format(time.DateOnly)
	}
	if len(w.Groups) > 0 {
		usual["group"] = string(w.Groups[0])
	}
	for field, value := range usual {
		if filled.Get(field) == "" {
			filled.Set(field, value)
		}
	}
}

// postPlanForm answers POST /plan: issues the plan and leads to its page, or
// shows the form again with what was wrong.
func (s *Server) postPlanForm(c *gin.Context) (answer, error) {
	body, err := readBody(c, maxJSONBytes, "application/x-www-form-urlencoded")
	if err != nil {
		return answer{}, err
	}
	filled, err := url.ParseQuery(string(body))
	if err != nil {
		return answer{}, model.Invalidf("body", "send the form as the page does", "it cannot be read")
	}
	id, err := s.issueFilled(c, filled)
	var wrong *model.Error
	if errors.As(err, &wrong) && (wrong.Code == model.Invalid || wrong.Code == model.NotFound) {
		return s.showPlanFormAgain(c, filled, wrong)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusSeeOther, contentType: html, header: http.Header{"Location": {page.PlanPath(id)}}}, nil
}

func (s *Server) issueFilled(c *gin.Context, filled url.Values) (id string, err error) {
	w, err := s.Waters.Water(c.Request.Context(), filled.Get("water"))
	if err != nil {
		return "", err
	}
	zone, err := w.Location()
	if err != nil {
		return "", err
	}
	q, err := page.PlanQuestion(filled, zone)
	if err != nil {
		return "", err
	}
	_, id, err = s.issue(c, q)
	return id, err
}

func (s *Server) showPlanFormAgain(c *gin.Context, filled url.Values, wrong *model.Error) (answer, error) {
	waters, err := s.Waters.Waters(c.Request.Context(), "", longestPage)
	if err != nil {
		return answer{}, err
	}
	body, err := page.PlanForm(waters, filled, wrong, s.Demo)
	a := framed(body, "no-store")
	a.status = http.StatusUnprocessableEntity
	return a, err
}

// showPlan answers GET /plans/{plan}: the plan that getPlan answers, as a page.
func (s *Server) showPlan(c *gin.Context) (answer, error) {
	a, err := s.getPlan(c)
	if err != nil {
		return answer{}, err
	}
	return asPage(a, func(p model.Plan, notice string) ([]byte, error) {
		zone := p.Start.Location()
		if w, err := s.Waters.Water(c.Request.Context(), p.Water); err == nil {
			if z, err := w.Location(); err == nil {
				zone = z
			}
		}
		return page.Plan(p, zone, notice)
	})
}
