package api

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"sync"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/page"
)

// html is the media type of pages.
const html = "text/html; charset=utf-8"

// pages adds the routes of the pages that the server renders, and of the files
// they load.
func (s *Server) pages() {
	// The document is long, and the same for as long as the process lives.
	docs := sync.OnceValues(func() ([]byte, error) { return page.Docs(s.Document, s.Demo) })
	s.page(page.DocsPath, auth.Public, func(*gin.Context) (answer, error) {
		body, err := docs()
		return framed(body, "no-cache"), err
	})
	for path, file := range page.Styles() {
		s.get(path, auth.Public, func(*gin.Context) (answer, error) {
			return answer{body: file.Body, contentType: file.Type, cacheControl: "public, max-age=31536000, immutable"}, nil
		})
	}
	s.page(page.FrontPath, auth.Public, s.showFront)
	s.page(page.WaterPath(":water"), auth.Public, s.showWater)
	s.page(page.SeasonPath(":water"), auth.Public, s.showSeason)
	s.page(page.WeatherPath(":water"), auth.Public, s.showWeather)
	s.page(page.PlanFormPath, auth.Public, s.showPlanForm)
	s.engine.POST(page.PlanFormPath, s.admit(auth.Public, false), s.servePage(s.postPlanForm))
	s.page(page.PlanPath(":plan"), auth.Public, s.showPlan)
	s.clubPages()
}

// page adds the route of a page. What goes wrong is told as a page too.
func (s *Server) page(path string, a auth.Access, h handler) {
	s.engine.GET(path, s.admit(a, false), s.servePage(h))
	s.engine.HEAD(path, s.admit(a, false), s.servePage(h))
}

func (s *Server) servePage(h handler) gin.HandlerFunc {
	return func(c *gin.Context) {
		a, err := h(c)
		if err == nil {
			err = s.write(c, a)
		}
		if err != nil {
			s.writeRefusal(c, err)
		}
	}
}

// writeRefusal is writeProblem for people.
func (s *Server) writeRefusal(c *gin.Context, err error) {
	p := s.problem(c, err)
	body, renderErr := page.Refusal(p.Title, cmp.Or(p.Wrong, p.Detail), p.Right, s.Demo)
	if renderErr != nil {
		s.writeProblem(c, renderErr)
		return
	}
	if p.Status == http.StatusServiceUnavailable {
		c.Header("Retry-After", "5")
	}
	if p.Status == http.StatusUnauthorized {
		c.Header("WWW-Authenticate", challenge(c))
	}
	a := framed(body, "no-store")
	a.status = p.Status
	if err := s.write(c, a); err != nil {
		s.writeProblem(c, err)
	}
}

// framed is a page as it is answered: with the policy of every page.
func framed(body []byte, cacheControl string) answer {
	header := http.Header{"Content-Security-Policy": {page.Policy}, "Referrer-Policy": {"same-origin"}}
	return answer{body: body, contentType: html, cacheControl: cacheControl, header: header}
}

// asPage makes a page of the value that the JSON of the same thing carries, and
// keeps its age and its lifetime. An answer past its time says so on the page.
func asPage[T any](a answer, render func(v T, notice string) ([]byte, error)) (answer, error) {
	raw, err := encode(a.body)
	if err != nil {
		return answer{}, err
	}
	var v T
	var old struct {
		Stale bool `json:"answer_stale"`
		AgeS  int  `json:"answer_age_s"`
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		return answer{}, fmt.Errorf("read the answer: %w", err)
	}
	notice := ""
	if bytes.HasPrefix(raw, []byte(`{"answer_stale"`)) {
		if err := json.Unmarshal(raw, &old); err != nil {
			return answer{}, fmt.Errorf("read the answer's age: %w", err)
		}
		notice = "This page is old: the store does not answer, and what you read was made " + strconv.Itoa(old.AgeS/60) + " minutes ago."
	}
	body, err := render(v, notice)
	if err != nil {
		return answer{}, err
	}
	made := framed(body, a.cacheControl)
	if age := a.header.Get("Age"); age != "" {
		made.header.Set("Age", age)
	}
	return made, nil
}

// kept reads a value that a page shows beside its answer as answers are rendered:
// while the store does not answer, it is what it was last.
func kept[T any](ctx context.Context, s *Server, question string, read func(context.Context) (T, error)) (v T, err error) {
	a, err := s.rendered(ctx, s.Loader.LoadCurrent, question, func(ctx context.Context) (any, error) { return read(ctx) })
	if err != nil {
		return v, err
	}
	body, err := encode(a.body)
	if err != nil {
		return v, err
	}
	err = json.Unmarshal(body, &v)
	return v, err
}
