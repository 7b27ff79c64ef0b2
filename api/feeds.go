package api

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/cache"
	"osier/api/page"
	"osier/model"
)

// Feeds finds what clubs told, and what anglers plan.
type Feeds interface {
	Restrictions(ctx context.Context, water string, from, to time.Time) ([]model.Restriction, error)
	Outlook(ctx context.Context, id string) (model.KeptOutlook, error)
	Outlooks(ctx context.Context, club string, state model.OutlookState, before time.Time, beforeID string, limit int) ([]model.KeptOutlook, error)
	PlansOf(ctx context.Context, angler string, from, to time.Time, limit int) ([]model.Plan, error)
}

// Media types of feeds.
const (
	atomType     = "application/atom+xml; charset=utf-8"
	jsonFeedType = "application/feed+json"
	calendarType = "text/calendar; charset=utf-8"
	csvType      = "text/csv; charset=utf-8; header=present"
	svgType      = "image/svg+xml"
)

// feeds adds the routes of what is taken elsewhere. Those of clubs are public and
// the same for everybody.
func (s *Server) feeds() {
	s.get(page.FeedAtomPath(":club"), auth.Public, s.told(atomType, page.Atom))
	s.get(page.FeedJSONPath(":club"), auth.Public, s.told(jsonFeedType, page.JSONFeed))
	s.get(page.CalendarPath(":club"), auth.Public, s.told(calendarType, page.ClubCalendar))
	s.get(page.EmbedPath(":club"), auth.Public, s.embedded(html, page.Embed))
	s.get(page.EmbedSVGPath(":club"), auth.Public, s.embedded(svgType, page.EmbedSVG))
	s.get(page.OutlookCSVPath(":club", ":outlook"), auth.Public, s.outlookTable)
	s.get("/v1/anglers/:angler/calendar.ics", auth.SignedIn, s.anglerCalendar)
	s.get("/calendars/:secret/sessions.ics", auth.Public, s.secretCalendar)
}

// told answers one of the forms of what a club told.
func (s *Server) told(contentType string, render func(page.ClubWord) ([]byte, error)) handler {
	return func(c *gin.Context) (answer, error) {
		return s.clubAnswer(c, contentType, func(w page.ClubWord, _ time.Time) ([]byte, time.Time, error) {
			body, err := render(w)
			return body, w.Told(), err
		})
	}
}

// embedded answers what a club shows on its own site: its waters today. It is the
// only page of ours that may stand in a frame. The day may change with any hour.
func (s *Server) embedded(contentType string, render func(page.ClubWord, time.Time) ([]byte, error)) handler {
	return func(c *gin.Context) (answer, error) {
		a, err := s.clubAnswer(c, contentType, func(w page.ClubWord, now time.Time) ([]byte, time.Time, error) {
			body, err := render(w, now)
			changed := now.Truncate(time.Hour)
			if told := w.Told(); told.After(changed) {
				changed = told
			}
			return body, changed, err
		})
		if err == nil {
			a.header.Set("Content-Security-Policy", page.EmbedPolicy())
			a.header.Set("Cross-Origin-Resource-Policy", "cross-origin")
			a.header.Set("Referrer-Policy", "no-referrer")
		}
		return a, err
	}
}

// clubAnswer answers with what render makes of a club's word: once for all who ask
// until something changes in the store, or the hour ends. While the store does
// not answer the last is given, with its age.
func (s *Server) clubAnswer(c *gin.Context, contentType string, render func(w page.ClubWord, now time.Time) (body []byte, changed time.Time, err error)) (answer, error) {
	ctx, club, site := c.Request.Context(), c.Param("club"), s.site(c.Request)
	if err := model.ValidateID("club", club); err != nil {
		return answer{}, err
	}
	question := fmt.Sprintf("told/%s/%s/%s", contentType, club, site)
	e, revision, err := s.keptEntry(ctx, s.Loader.LoadCurrent, question, func(ctx context.Context) (cache.Entry, error) {
		now := s.Now()
		word, err := s.clubWord(ctx, club, now)
		if err != nil {
			return cache.Entry{}, err
		}
		word.Site = site
		body, changed, err := render(word, now)
		if err != nil {
			return cache.Entry{}, err
		}
		kept := append(strconv.AppendInt(nil, changed.Unix(), 10), '\n')
		return cache.NewEntry(append(kept, body...), s.Loader.Now(), s.restOfHour(), renderedStale), nil
	})
	if err != nil {
		return answer{}, err
	}
	seconds, body, _ := bytes.Cut(e.Value, []byte("\n"))
	changed, err := strconv.ParseInt(string(seconds), 10, 64)
	if err != nil {
		return answer{}, fmt.Errorf("read what was kept of %s: %w", c.FullPath(), err)
	}
	header := http.Header{"Link": clubLinks(club, c.Request.URL.Path, contentType)}
	for _, part := range []struct {
		entry cache.Entry
		now   time.Time
		old   bool
	}{{revision, s.Pointers.Now(), revision.RefreshFailed()}, {e, s.Loader.Now(), e.Stale(s.Loader.Now())}} {
		if part.old { // else it was found to be current just now
			header.Set("Age", strconv.Itoa(int(part.entry.Age(part.now).Seconds())))
		}
	}
	return publicly(c, answer{body: body, contentType: contentType, header: header}, time.Unix(changed, 0)), nil
}

// publicly gives an answer the validators and the lifetime of what is public, and
// lets pages elsewhere read it. Who sends only the time of what they hold gets 304
// by that (RFC 9110 section 13.1.3): what merely grew too old to be told is not
// worth a new answer.
func publicly(c *gin.Context, a answer, changed time.Time) answer {
	a.cacheControl = sharedFor
	a.header.Set("Last-Modified", changed.UTC().Format(http.TimeFormat))
	a.header.Set("Access-Control-Allow-Origin", "*")
	if c.GetHeader("If-None-Match") != "" {
		return a
	}
	if since, err := http.ParseTime(c.GetHeader("If-Modified-Since")); err == nil && !changed.After(since) {
		body, _ := a.body.([]byte)
		a.header.Set("ETag", etagOf(body))
		a.status, a.body = http.StatusNotModified, nil
	}
	return a
}

// clubLinks are the Link headers of what a club told: itself, and its other forms.
func clubLinks(club, path, contentType string) []string {
	links := []string{fmt.Sprintf("<%s>; rel=\"self\"; type=%q", path, contentType)}
	for _, f := range page.ClubFeeds(club) {
		if f.Path != path {
			links = append(links, f.Alternate())
		}
	}
	return links
}

// site is how whoever asks reaches us, for addresses that are read elsewhere.
func (s *Server) site(r *http.Request) string {
	if s.PublicURL != "" {
		return s.PublicURL
	}
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

// outlookTable answers GET /clubs/{club}/outlooks/{outlook}/table.csv: a published
// outlook as a table.
func (s *Server) outlookTable(c *gin.Context) (answer, error) {
	ctx := c.Request.Context()
	k, err := s.Feeds.Outlook(ctx, c.Param("outlook"))
	if err == nil && (k.Club != c.Param("club") || k.Publish == nil) {
		err = s.notThere(c, "outlook", c.Param("outlook"))
	}
	if err != nil {
		return answer{}, err
	}
	changed := k.Publish.At
	for _, w := range k.Waters {
		if len(w.Days) == 0 {
			continue
		}
		made, err := s.Feeds.Restrictions(ctx, w.Water, w.Days[0].From, w.Days[len(w.Days)-1].Until)
		if err != nil {
			return answer{}, err
		}
		k.SincePublished = append(k.SincePublished, k.Since(made)...)
	}
	for _, since := range k.SincePublished {
		for _, at := range []time.Time{since.Restriction.MadeAt, since.Restriction.LiftedAt.Or(changed)} {
			if at.After(changed) {
				changed = at
			}
		}
	}
	body, err := page.OutlookCSV(k.Outlook)
	if err != nil {
		return answer{}, err
	}
	header := http.Header{
		"Link":                {fmt.Sprintf("<%s>; rel=\"alternate\"; type=\"text/html\"", page.OutlookPath(k.Club, k.ID))},
		"Content-Disposition": {fmt.Sprintf("attachment; filename=%q", k.ID+".csv")},
	}
	return publicly(c, answer{body: body, contentType: csvType, header: header}, changed), nil
}
