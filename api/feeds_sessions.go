package api

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/page"
	"osier/model"
)

// What of an angler's plans their calendar holds. Our choice.
const (
	plannedBack  = 30 * 24 * time.Hour
	plannedAhead = 366 * 24 * time.Hour
	mostPlanned  = 500
)

// anglerCalendar answers GET /v1/anglers/{angler}/calendar.ics: the angler's own
// planned sessions, for whoever acts for that angler.
func (s *Server) anglerCalendar(c *gin.Context) (answer, error) {
	if !s.who(c).IsAngler(c.Param("angler")) {
		return answer{}, s.notThere(c, "angler", c.Param("angler"))
	}
	return s.sessionCalendar(c, c.Param("angler"))
}

// secretCalendar answers GET /calendars/{secret}/sessions.ics: the same at an
// address that is itself the credential, since a calendar program can send no
// other. Only the secret of a token that was made for it opens it, and that opens
// nothing else.
func (s *Server) secretCalendar(c *gin.Context) (answer, error) {
	const nothing = "nothing is at this address: it was never made, has expired or was revoked"
	address := auth.Neighbourhood(c.ClientIP())
	secret := c.Param("secret")
	if wait := s.Limits.Spent("failed", address, auth.PerFailure, time.Now()); wait > 0 && !s.Limits.Seen("good", model.SecretDigest(secret)) {
		return answer{}, tooMany(c, wait, "addresses that open nothing")
	}
	var t model.Token
	err := auth.BadCredential()
	if model.LooksLikeSecret(secret) {
		t, err = s.tokenOf(c, secret, true)
	}
	if model.CodeOf(err) == model.NoCredential && err != nil {
		s.Limits.Take("failed", address, auth.PerFailure, time.Now())
		return answer{}, model.NotFoundf("address", "make a token of an angler for a calendar", nothing)
	}
	if err != nil {
		return answer{}, err
	}
	return s.sessionCalendar(c, t.Angler)
}

func (s *Server) sessionCalendar(c *gin.Context, angler string) (answer, error) {
	sessions, err := s.plannedSessions(c.Request.Context(), angler)
	if err != nil {
		return answer{}, err
	}
	sessions.Site = s.site(c.Request)
	body, err := page.SessionCalendar(sessions)
	header := http.Header{"Referrer-Policy": {"no-referrer"}, "X-Robots-Tag": {"noindex"}}
	return answer{body: body, contentType: calendarType, cacheControl: "private, no-cache", header: header}, err
}

// plannedSessions gathers an angler's plans, and what was decided about their
// waters.
func (s *Server) plannedSessions(ctx context.Context, angler string) (page.PlannedSessions, error) {
	now := s.Now()
	out := page.PlannedSessions{Angler: angler, Demo: s.Demo, Zones: map[string]string{}}
	plans, err := s.Feeds.PlansOf(ctx, angler, now.Add(-plannedBack), now.Add(plannedAhead), mostPlanned)
	if err != nil {
		return out, err
	}
	out.Plans = plans
	for _, p := range plans {
		if _, seen := out.Zones[p.Water]; seen {
			continue
		}
		w, err := s.Waters.Water(ctx, p.Water)
		if err != nil {
			return out, err
		}
		out.Zones[w.ID] = w.Zone
		made, err := s.Feeds.Restrictions(ctx, w.ID, now.Add(-plannedBack), now.Add(plannedAhead))
		if err != nil {
			return out, err
		}
		out.Restrictions = append(out.Restrictions, made...)
	}
	return out, nil
}
