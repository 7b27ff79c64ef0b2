package api

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// postReading answers POST /v1/waters/{water}/readings: keeps what a
// thermometer or an oxygen meter showed. The same reading again is recognised
// and changes nothing.
func (s *Server) postReading(c *gin.Context) (answer, error) {
	m := model.MeterReading{At: s.Now(), Instrument: true}
	_, err := readJSON(c, &m)
	if err != nil {
		return answer{}, err
	}
	m.Water = c.Param("water")
	if m.By, err = auth.Handle(s.who(c), "by", m.By); err != nil {
		return answer{}, err
	}
	stored, fresh, err := s.Recorder.RecordReading(c.Request.Context(), m)
	if err != nil {
		return answer{}, err
	}
	status := http.StatusOK
	if fresh {
		status = http.StatusCreated
	}
	return answer{status: status, body: stored}, nil
}

// endOfTime lies after whatever is stored.
var endOfTime = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// listReadings answers GET /v1/waters/{water}/readings: the newest first.
func (s *Server) listReadings(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "from", "until", "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	from, err := timeQuery(c, "from", time.Unix(0, 0))
	if err != nil {
		return answer{}, err
	}
	until, err := timeQuery(c, "until", endOfTime)
	if err != nil {
		return answer{}, err
	}
	water, after := c.Param("water"), c.Query("after")
	named := s.who(c).Role == model.Administrator // who stood where and when is nobody else's business
	question := fmt.Sprintf("readings/%s/%d/%d/%d/%v/%s", water, from.Unix(), until.Unix(), limit, named, after)
	a, err := s.rendered(c.Request.Context(), s.Loader.Load, question, func(ctx context.Context) (any, error) {
		readings, next, err := s.Recorder.Readings(ctx, water, from, until, after, limit)
		page := readingPage{Readings: append([]model.MeterReading{}, readings...), Demo: s.Demo}
		for i := range page.Readings {
			if !named {
				page.Readings[i].By = ""
			}
		}
		if next != "" {
			page.Next = &next
		}
		return page, err
	})
	a.cacheControl = "private, no-cache"
	return a, err
}

type readingPage struct {
	Readings []model.MeterReading `json:"readings"`
	Next     *string              `json:"next"`
	Demo     bool                 `json:"demo"`
}
