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

// Findings tells what the records can say and what they cannot.
type Findings interface {
	Findings(ctx context.Context) (model.Findings, error)
}

// clubPages adds the routes of what a club shows, and of its officers' forms.
func (s *Server) clubPages() {
	s.page(page.ClubPath(":club"), auth.Public, s.showClub)
	s.page(page.OutlookPath(":club", ":outlook"), auth.Public, s.showOutlook)
	s.page(page.WaterOutlookPath(":water"), auth.Public, s.showWaterOutlook)
	s.page(page.TrackRecordPath, auth.Public, s.showTrackRecord)
	s.page(page.FindingsPath, auth.Public, s.showFindings)
	s.page(page.OfficePath(":club"), auth.Officers, s.showOffice)
	s.officeForm("/outlooks/:outlook/notes", s.postNotes)
	s.officeForm("/outlooks/:outlook/publish", s.postPublishForm)
	s.officeForm("/restrictions", s.postRestrictForm)
	s.officeForm("/restrictions/:restriction/lift", s.postLiftForm)
}

// showClub answers GET /clubs/{club}: its waters, what is decided there and what
// was published for today.
func (s *Server) showClub(c *gin.Context) (answer, error) {
	if err := onlyQuery(c); err != nil {
		return answer{}, err
	}
	id := c.Param("club")
	a, err := s.rendered(c.Request.Context(), s.Loader.LoadCurrent, "club-page/"+id, func(ctx context.Context) (any, error) { return s.clubPage(ctx, id) })
	if err != nil {
		return answer{}, err
	}
	made, err := asPage(shared(a), func(p page.ClubPage, notice string) ([]byte, error) { return page.Club(p, s.Now(), notice) })
	return subscribable(made, page.ClubFeeds(id)), err
}

// Most published outlooks and scored months that a club's page is made of; our
// choice.
const (
	shownOutlooks = 10
	shownScores   = 100
)

func (s *Server) clubPage(ctx context.Context, id string) (page.ClubPage, error) {
	p := page.ClubPage{Demo: s.Demo}
	var err error
	if p.Club, p.Waters, err = s.clubAndWaters(ctx, id); err != nil {
		return p, err
	}
	for _, w := range p.Waters { // whichever club decided it
		made, err := s.Feeds.Restrictions(ctx, w.ID, s.Now(), farAhead)
		if err != nil {
			return p, err
		}
		p.Restrictions = append(p.Restrictions, made...)
	}
	told, _, err := s.Outlooks.Outlooks(ctx, id, model.OutlookPublished, "", shownOutlooks)
	if err != nil {
		return p, err
	}
	for _, entry := range told {
		if entry.SupersededBy != "" || s.isOver(entry, p.Club) {
			continue
		}
		o, err := s.Outlooks.Outlook(ctx, id, entry.ID)
		if err != nil {
			return p, err
		}
		p.Published = append(p.Published, o)
	}
	scores, _, err := s.Outlooks.OutlookScores(ctx, id, "", shownScores)
	for _, score := range scores {
		if score.Outlook == "" { // of a month
			p.Scores = append(p.Scores, score)
		}
	}
	return p, err
}

// isOver says whether all days of an outlook are past by the club's clock.
func (s *Server) isOver(e model.OutlookEntry, club model.Club) bool {
	first, err := time.Parse(time.DateOnly, e.From)
	zone, zoneErr := club.Location()
	if err != nil || zoneErr != nil {
		return false
	}
	return first.AddDate(0, 0, max(1, e.Days)-1).Format(time.DateOnly) < s.Now().In(zone).Format(time.DateOnly)
}

// clubAndWaters finds a club with its waters, in its order. One that is named and
// not registered is left out.
func (s *Server) clubAndWaters(ctx context.Context, id string) (model.Club, []model.Water, error) {
	club, err := s.Clubs.Club(ctx, id)
	if err != nil {
		return club, nil, err
	}
	var waters []model.Water
	for _, id := range club.Waters {
		w, err := s.Waters.Water(ctx, id)
		if model.CodeOf(err) == model.NotFound && err != nil {
			continue
		}
		if err != nil {
			return club, nil, err
		}
		waters = append(waters, w)
	}
	return club, waters, nil
}

// standing are the restrictions of a club that hold now or will.
func (s *Server) standing(ctx context.Context, club string) ([]model.Restriction, error) {
	var all []model.Restriction
	for after := ""; ; {
		found, next, err := s.Restrictions.Restrictions(ctx, club, s.Now(), farAhead, after, longestPage)
		all = append(all, found...)
		if err != nil || next == "" {
			return all, err
		}
		after = next
	}
}

// farAhead is later than any restriction begins.
var farAhead = time.Date(2999, 12, 31, 0, 0, 0, 0, time.UTC)

// showOutlook answers GET /clubs/{club}/outlooks/{outlook}: what getOutlook does,
// as a page.
func (s *Server) showOutlook(c *gin.Context) (answer, error) {
	a, err := s.getOutlook(c)
	if err != nil {
		return answer{}, err
	}
	made, err := asPage(a, func(o model.Outlook, notice string) ([]byte, error) { return page.Outlook(o, s.Now(), notice) })
	return subscribable(made, page.ClubFeeds(c.Param("club"))), err
}

// showWaterOutlook answers GET /waters/{water}/outlook: what getWaterOutlook does,
// as a page.
func (s *Server) showWaterOutlook(c *gin.Context) (answer, error) {
	a, err := s.getWaterOutlook(c)
	if err != nil {
		return answer{}, err
	}
	var feeds []page.Feed
	made, err := asPage(a, func(w model.WaterOutlook, notice string) ([]byte, error) {
		feeds = page.WaterFeeds(w)
		return page.WaterOutlook(w, notice)
	})
	return subscribable(made, feeds), err
}

// subscribable tells programs of the feeds in the answer's head.
func subscribable(a answer, feeds []page.Feed) answer {
	for _, f := range feeds {
		if a.header == nil {
			a.header = http.Header{}
		}
		a.header.Add("Link", f.Alternate())
	}
	return a
}

// showTrackRecord answers GET /track-record: what getTrackRecord does, as a page.
func (s *Server) showTrackRecord(c *gin.Context) (answer, error) {
	a, err := s.getTrackRecord(c)
	if err != nil {
		return answer{}, err
	}
	waters, err := kept(c.Request.Context(), s, "shown-waters", func(ctx context.Context) ([]model.Water, error) {
		return s.Waters.Waters(ctx, "", longestPage)
	})
	if err != nil {
		return answer{}, err
	}
	return asPage(a, func(t model.TrackRecord, notice string) ([]byte, error) { return page.TrackRecord(t, waters, notice) })
}

// showFindings answers GET /findings: what the records can and cannot tell.
func (s *Server) showFindings(c *gin.Context) (answer, error) {
	if err := onlyQuery(c); err != nil {
		return answer{}, err
	}
	a, err := s.rendered(c.Request.Context(), s.Loader.Load, "findings", func(ctx context.Context) (any, error) {
		found, err := s.Findings.Findings(ctx)
		found.Demo = found.Demo || s.Demo
		return found, err
	})
	if err != nil {
		return answer{}, err
	}
	return asPage(shared(a), page.Findings)
}
