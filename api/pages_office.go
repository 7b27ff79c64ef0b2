package api

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/page"
	"osier/model"
)

// done is what the office says after each form, by the mark in the query.
var done = map[string]string{
	page.OfficeNotes: "The notes are kept in the draft.", page.OfficePublish: "The outlook is published.",
	page.OfficeRestrict: "It is decided, and in force in every plan, page and feed.", page.OfficeLift: "It is lifted.",
}

// showOffice answers GET /clubs/{club}/office: the draft, what is in force, and
// the forms.
func (s *Server) showOffice(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "done"); err != nil {
		return answer{}, err
	}
	return s.office(c, done[c.Query("done")], nil)
}

// shownDrafts bounds the drafts that the office shows; our choice.
const shownDrafts = 5

func (s *Server) office(c *gin.Context, said string, refused *page.RefusedForm) (answer, error) {
	ctx, id := c.Request.Context(), c.Param("club")
	p := page.OfficePage{At: s.Now(), Once: rand.Text(), By: s.officer(c), Done: said, Refused: refused, Demo: s.Demo}
	var err error
	if p.Club, p.Waters, err = s.clubAndWaters(ctx, id); err != nil {
		return answer{}, err
	}
	if p.Restrictions, err = s.standing(ctx, id); err != nil {
		return answer{}, err
	}
	if p.Advised, err = s.closuresAdvised(ctx, p.Waters); err != nil {
		return answer{}, err
	}
	if p.Published, _, err = s.Outlooks.Outlooks(ctx, id, model.OutlookPublished, "", shownOutlooks); err != nil {
		return answer{}, err
	}
	drafts, _, err := s.Outlooks.Outlooks(ctx, id, model.OutlookDraft, "", shownDrafts)
	if err != nil {
		return answer{}, err
	}
	for _, entry := range drafts {
		draft, err := s.Outlooks.Outlook(ctx, id, entry.ID)
		if err != nil {
			return answer{}, err
		}
		p.Drafts = append(p.Drafts, draft)
	}
	body, err := page.Office(p)
	return framed(body, "private, no-store"), err
}

// adviceAhead is how far ahead the office looks for waters to be closed: as far as
// an outlook tells. Our choice.
const adviceAhead = usualOutlookDays * 24 * time.Hour

// closuresAdvised finds where closing a water should be considered.
func (s *Server) closuresAdvised(ctx context.Context, waters []model.Water) ([]page.ClosureAdvice, error) {
	from := s.Now().Truncate(time.Hour)
	var out []page.ClosureAdvice
	for _, w := range waters {
		a, err := s.officersConditions(ctx, w.ID, from, from.Add(adviceAhead))
		if err != nil {
			return nil, err
		}
		var told model.Conditions
		if err := json.Unmarshal(a.body.([]byte), &told); err != nil {
			return nil, fmt.Errorf("read the conditions of %s: %w", w.ID, err)
		}
		advised := slices.DeleteFunc(told.Cautions, func(c model.Caution) bool { return !c.AdviseClosure })
		if len(advised) > 0 {
			out = append(out, page.ClosureAdvice{Water: w, Cautions: advised})
		}
	}
	return out, nil
}

// officer is what the reader is called where nobody says otherwise.
func (s *Server) officer(c *gin.Context) string {
	p := s.who(c)
	if p.Angler != "" {
		return p.Angler
	}
	return string(p.Role)
}

// officeForm adds the route of a form of the office.
func (s *Server) officeForm(path string, h handler) {
	s.engine.POST(page.OfficePath(":club")+path, s.admit(auth.Officers, true), s.servePage(s.counted(h)))
}

// filled reads a form.
func filled(c *gin.Context) (url.Values, error) {
	body, err := readBody(c, maxJSONBytes, "application/x-www-form-urlencoded")
	if err != nil {
		return nil, err
	}
	values, err := url.ParseQuery(string(body))
	if err != nil {
		return nil, model.Invalidf("body", "send the form as the page does", "it cannot be read")
	}
	return values, nil
}

// settled leads back to the office once a form is through, or shows the form again
// with what was wrong with it.
func (s *Server) settled(c *gin.Context, form, about string, sent url.Values, err error) (answer, error) {
	if err == nil {
		return answer{status: http.StatusSeeOther, contentType: html, header: http.Header{"Location": {page.OfficePath(c.Param("club")) + "?done=" + form}}}, nil
	}
	var wrong *model.Error
	if !errors.As(err, &wrong) || wrong.Code != model.Invalid && wrong.Code != model.Conflict && wrong.Code != model.Forbidden {
		return answer{}, err
	}
	refused := page.RefusedForm{Of: form, About: about, Values: map[string]string{}, Field: wrong.Field, Text: wrong.Wrong}
	if wrong.Right != "" {
		refused.Text += ": " + wrong.Right
	}
	for name := range sent {
		refused.Values[name] = sent.Get(name)
	}
	if water, ofWater := strings.CutPrefix(wrong.Field, "waters."); ofWater {
		refused.Field = page.NoteField(water)
	}
	if _, inForm := refused.Values[refused.Field]; !inForm {
		refused.Field = ""
	}
	a, err := s.office(c, "", &refused)
	a.status = statusOf[wrong.Code]
	return a, err
}

// postNotes answers POST /clubs/{club}/office/outlooks/{outlook}/notes.
func (s *Server) postNotes(c *gin.Context) (answer, error) {
	sent, err := filled(c)
	if err != nil {
		return answer{}, err
	}
	id := c.Param("outlook")
	change := model.OutlookChange{Waters: map[string]string{}}
	for name := range sent {
		text := strings.Join(strings.Fields(sent.Get(name)), " ") // a note is on one line
		if name == page.NoteField("") {
			change.Note = &text
		} else if water, ofWater := strings.CutPrefix(name, page.NoteField("")+"."); ofWater {
			change.Waters[water] = text
		}
	}
	if change.By, err = auth.Author(s.who(c), "by", sent.Get("by")); err == nil {
		_, err = s.Outlooks.Edit(c.Request.Context(), c.Param("club"), id, change)
	}
	return s.settled(c, page.OfficeNotes, id, sent, err)
}

// postPublishForm answers POST /clubs/{club}/office/outlooks/{outlook}/publish.
func (s *Server) postPublishForm(c *gin.Context) (answer, error) {
	sent, err := filled(c)
	if err != nil {
		return answer{}, err
	}
	id := c.Param("outlook")
	by, err := auth.Author(s.who(c), "by", sent.Get("by"))
	if err == nil {
		_, _, err = s.Outlooks.Publish(c.Request.Context(), c.Param("club"), id, by)
	}
	return s.settled(c, page.OfficePublish, id, sent, err)
}

// postRestrictForm answers POST /clubs/{club}/office/restrictions.
func (s *Server) postRestrictForm(c *gin.Context) (answer, error) {
	sent, err := filled(c)
	if err != nil {
		return answer{}, err
	}
	r, err := s.restrictionOf(c, sent)
	if err == nil {
		_, _, err = s.Restrictions.Restrict(c.Request.Context(), r)
	}
	return s.settled(c, page.OfficeRestrict, "", sent, err)
}

// restrictionOf reads the form of a restriction. Times are by the clock at the
// water.
func (s *Server) restrictionOf(c *gin.Context, sent url.Values) (r model.Restriction, err error) {
	r = model.Restriction{
		Club: c.Param("club"), Water: sent.Get("water"), Kind: model.RestrictionKind(sent.Get("kind")), Reason: strings.TrimSpace(sent.Get("reason")),
	}
	if r.DecidedBy, err = auth.Author(s.who(c), "decided_by", strings.TrimSpace(sent.Get("decided_by"))); err != nil {
		return r, err
	}
	if text := strings.TrimSpace(sent.Get("feed_limit_dry_g")); text != "" {
		grams, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil {
			return r, model.Invalidf("feed_limit_dry_g", "give the grams of dry feed as a number, such as 500", "it is no number")
		}
		r.FeedLimitDryG = model.Known(model.Grams(grams))
	}
	w, err := s.Waters.Water(c.Request.Context(), r.Water)
	if model.CodeOf(err) == model.NotFound && err != nil {
		return r, model.Invalidf("water", "pick one of the club's waters", "there is no such water")
	}
	if err != nil {
		return r, err
	}
	zone, err := w.Location()
	if err != nil {
		return r, err
	}
	from, err := clockTime("from", sent.Get("from"), zone)
	if err != nil {
		return r, err
	}
	if r.Until, err = clockTime("until", sent.Get("until"), zone); err != nil {
		return r, err
	}
	if r.From = from.Value; !from.Known {
		r.From, err = s.firstSent(c, sent.Get(page.OnceField))
	}
	return r, err
}

// longestOnce is the longest mark of a page that is taken, in bytes. Our choice.
const longestOnce = 100

// firstSent is when a form of a page was sent first, by the mark of the page: now,
// unless it was sent before. What is decided from then on is so one decision,
// however often a browser sends it.
func (s *Server) firstSent(c *gin.Context, once string) (time.Time, error) {
	now := s.Now()
	if once == "" || len(once) > longestOnce {
		return now, nil
	}
	ctx, key, operation := c.Request.Context(), s.owned(c, once), "first "+c.Request.Method+" "+c.Request.URL.Path
	if err := s.Answers.KeepAnswer(ctx, key, operation, "", http.StatusOK, now, []byte(now.UTC().Format(time.RFC3339))); err != nil {
		return now, err
	}
	_, _, first, found, err := s.Answers.AnswerTo(ctx, key, operation)
	if err != nil || !found {
		return now, err
	}
	return time.Parse(time.RFC3339, string(first))
}

// clockTime reads a day and a time by the clock of a zone, as browsers send them;
// nothing is not known. A time that the clock skips in spring is refused.
func clockTime(field, text string, zone *time.Location) (model.Maybe[time.Time], error) {
	if text = strings.TrimSpace(text); text == "" {
		return model.Maybe[time.Time]{}, nil
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04"} {
		if at, err := time.ParseInLocation(layout, text, zone); err == nil {
			if at.Format(layout) != text {
				return model.Maybe[time.Time]{}, model.Invalidf(field, "give a time after the clocks have gone forward", "the clock skips that time")
			}
			return model.Known(at), nil
		}
	}
	return model.Maybe[time.Time]{}, model.Invalidf(field, "give a day and a time such as 2026-11-28 08:00, or leave it empty", "%.40q is no time", text)
}

// postLiftForm answers POST /clubs/{club}/office/restrictions/{restriction}/lift.
func (s *Server) postLiftForm(c *gin.Context) (answer, error) {
	sent, err := filled(c)
	if err != nil {
		return answer{}, err
	}
	id := c.Param("restriction")
	by, err := auth.Author(s.who(c), "by", strings.TrimSpace(sent.Get("by")))
	if err == nil {
		_, err = s.Restrictions.LiftOf(c.Request.Context(), c.Param("club"), id, by, sent.Get("why"))
	}
	return s.settled(c, page.OfficeLift, id, sent, err)
}
