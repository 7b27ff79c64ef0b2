package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// Outlooks builds what clubs tell of their waters, and publishes it.
type Outlooks interface {
	Build(ctx context.Context, club string, days int) (model.Outlook, error)
	Edit(ctx context.Context, club, id string, change model.OutlookChange) (model.Outlook, error)
	Publish(ctx context.Context, club, id, by string) (published model.Outlook, fresh bool, err error)
	Outlook(ctx context.Context, club, id string) (model.Outlook, error)
	KeptOutlook(ctx context.Context, club, id string) (model.KeptOutlook, error)
	Outlooks(ctx context.Context, club string, state model.OutlookState, after string, limit int) (page []model.OutlookEntry, next string, err error)
	WaterOutlook(ctx context.Context, water string, days int) (model.WaterOutlook, error)
	OutlookScores(ctx context.Context, club, after string, limit int) (page []model.OutlookScore, next string, err error)
}

// usualOutlookDays is what is told where nobody says: today and three more.
const usualOutlookDays = 4

// postOutlook answers POST /v1/clubs/{club}/outlooks: builds a draft now.
func (s *Server) postOutlook(c *gin.Context) (answer, error) {
	body, err := readBody(c, maxJSONBytes, "application/json")
	if err != nil {
		return answer{}, err
	}
	asked := struct {
		Days int `json:"days"`
	}{usualOutlookDays}
	if err := decodeStrict(body, &asked); err != nil {
		return answer{}, err
	}
	built, err := s.Outlooks.Build(c.Request.Context(), c.Param("club"), asked.Days)
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusCreated, body: built, header: http.Header{"Location": {"/v1/clubs/" + built.Club + "/outlooks/" + built.ID}}}, nil
}

// listOutlooks answers GET /v1/clubs/{club}/outlooks: what was published, or, for
// the club's officers, the drafts.
func (s *Server) listOutlooks(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "state", "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	state := model.OutlookState(c.DefaultQuery("state", string(model.OutlookPublished)))
	if err := state.Validate(); err != nil {
		return answer{}, err
	}
	club, after := c.Param("club"), c.Query("after")
	if state != model.OutlookPublished {
		if err := auth.Officers.Admit(s.who(c), club, false); err != nil {
			return answer{}, err
		}
		page, err := s.outlookPage(c.Request.Context(), club, state, after, limit)
		return answer{body: page, cacheControl: "private, no-cache"}, err
	}
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, fmt.Sprintf("outlooks/%s/%d/%s", club, limit, after), func(ctx context.Context) (any, error) {
		return s.outlookPage(ctx, club, state, after, limit)
	})
	return shared(a), err
}

type outlookPage struct {
	Outlooks []model.OutlookEntry `json:"outlooks"`
	Next     *string              `json:"next"`
	Demo     bool                 `json:"demo"`
}

func (s *Server) outlookPage(ctx context.Context, club string, state model.OutlookState, after string, limit int) (outlookPage, error) {
	found, next, err := s.Outlooks.Outlooks(ctx, club, state, after, limit)
	page := outlookPage{Outlooks: append([]model.OutlookEntry{}, found...), Demo: s.Demo}
	if next != "" {
		page.Next = &next
	}
	return page, err
}

// getOutlook answers GET /v1/clubs/{club}/outlooks/{outlook}: a published one in
// its very bytes, and before them what followed it and what was decided since. A
// draft is found by the club's officers alone.
func (s *Server) getOutlook(c *gin.Context) (answer, error) {
	club, id := c.Param("club"), c.Param("outlook")
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, "outlook/"+club+"/"+id, func(ctx context.Context) (any, error) {
		k, err := s.Outlooks.KeptOutlook(ctx, club, id)
		if err == nil && k.State != model.OutlookPublished {
			err = model.NotFoundf("outlook", "", "%s has published no outlook %q", club, id)
		}
		if err != nil {
			return nil, err
		}
		return k.Told()
	})
	if model.CodeOf(err) == model.NotFound && auth.Officers.Admit(s.who(c), club, false) == nil {
		draft, err := s.Outlooks.Outlook(c.Request.Context(), club, id)
		return answer{body: draft, cacheControl: "private, no-cache"}, err
	}
	return shared(a), err
}

// patchOutlook answers PATCH /v1/clubs/{club}/outlooks/{outlook}: the club's own
// words in a draft.
func (s *Server) patchOutlook(c *gin.Context) (answer, error) {
	var change model.OutlookChange
	_, err := readJSON(c, &change)
	if err != nil {
		return answer{}, err
	}
	if change.By, err = auth.Author(s.who(c), "by", change.By); err != nil {
		return answer{}, err
	}
	edited, err := s.Outlooks.Edit(c.Request.Context(), c.Param("club"), c.Param("outlook"), change)
	return answer{body: edited}, err
}

// postPublish answers POST /v1/clubs/{club}/outlooks/{outlook}/publish: the draft
// never changes from then on. Sent again it is recognised.
func (s *Server) postPublish(c *gin.Context) (answer, error) {
	body, err := readBody(c, maxJSONBytes, "application/json")
	if err != nil {
		return answer{}, err
	}
	var asked struct {
		By string `json:"by"`
	}
	if err := decodeStrict(body, &asked); err != nil {
		return answer{}, err
	}
	if asked.By, err = auth.Author(s.who(c), "by", asked.By); err != nil {
		return answer{}, err
	}
	published, _, err := s.Outlooks.Publish(c.Request.Context(), c.Param("club"), c.Param("outlook"), asked.By)
	return answer{body: published}, err
}

// getWaterOutlook answers GET /v1/waters/{water}/outlook: day by day what is in
// force, or what would be built now.
func (s *Server) getWaterOutlook(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "days"); err != nil {
		return answer{}, err
	}
	days := usualOutlookDays
	if text := c.Query("days"); text != "" {
		var err error
		if days, err = strconv.Atoi(text); err != nil {
			return answer{}, model.Invalidf("days", "give a whole number from 1 to 7", "%q is none", text)
		}
	}
	water := c.Param("water")
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, fmt.Sprintf("water-outlook/%s/%d", water, days), func(ctx context.Context) (any, error) {
		return s.Outlooks.WaterOutlook(ctx, water, days)
	})
	return shared(a), err
}

// listOutlookScores answers GET /v1/clubs/{club}/outlook-scores: how what was
// published fared.
func (s *Server) listOutlookScores(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	club, after := c.Param("club"), c.Query("after")
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, fmt.Sprintf("outlook-scores/%s/%d/%s", club, limit, after), func(ctx context.Context) (any, error) {
		found, next, err := s.Outlooks.OutlookScores(ctx, club, after, limit)
		page := outlookScorePage{Scores: append([]model.OutlookScore{}, found...), Demo: s.Demo}
		if next != "" {
			page.Next = &next
		}
		return page, err
	})
	return shared(a), err
}

type outlookScorePage struct {
	Scores []model.OutlookScore `json:"scores"`
	Next   *string              `json:"next"`
	Demo   bool                 `json:"demo"`
}

// isMarkedStale says whether a rendered answer has outlived its time.
func isMarkedStale(body []byte) bool { return bytes.HasPrefix(body, []byte(`{"answer_stale":`)) }
