package api

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/page"
	"osier/model"
)

// usualDays is how many days of past weather a page shows when nobody says.
const usualDays = 7

// showFront answers GET /: the waters and the clubs.
func (s *Server) showFront(c *gin.Context) (answer, error) {
	a, err := s.listWaters(c)
	if err != nil {
		return answer{}, err
	}
	clubs, err := s.shownClubs(c)
	if err != nil {
		return answer{}, err
	}
	return asPage(a, func(p waterPage, _ string) ([]byte, error) {
		more := ""
		if p.Next != nil {
			more = *p.Next
		}
		return page.Front(p.Waters, more, clubs, s.Start, s.Demo)
	})
}

// showWater answers GET /waters/{water}: one water, now and in the next hours.
func (s *Server) showWater(c *gin.Context) (answer, error) {
	if err := onlyQuery(c); err != nil {
		return answer{}, err
	}
	w, err := s.shownWater(c)
	if err != nil {
		return answer{}, err
	}
	from := s.Now().Truncate(time.Hour)
	a, err := s.conditions(c.Request.Context(), w.ID, from, from.Add(usualSpan))
	if err != nil {
		return answer{}, err
	}
	a.cacheControl = "private, max-age=60"
	clubs, err := s.shownClubs(c)
	if err != nil {
		return answer{}, err
	}
	clubs = slices.DeleteFunc(clubs, func(club model.Club) bool { return !club.Has(w.ID) })
	return asPage(a, func(v model.Conditions, notice string) ([]byte, error) { return page.Water(w, v, clubs, notice) })
}

// showSeason answers GET /waters/{water}/season: the year month by month.
func (s *Server) showSeason(c *gin.Context) (answer, error) {
	a, err := s.getSeason(c)
	if err != nil {
		return answer{}, err
	}
	return asPage(a, page.Season)
}

// showWeather answers GET /waters/{water}/weather: the past days, with what
// thermometers showed.
func (s *Server) showWeather(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "days"); err != nil {
		return answer{}, err
	}
	days := usualDays
	if text := c.Query("days"); text != "" {
		var err error
		if days, err = strconv.Atoi(text); err != nil || !slices.Contains(page.WeatherDays(), days) {
			return answer{}, model.Invalidf("days", "give 3, 7 or 10", "%q days are not shown", text)
		}
	}
	ctx := c.Request.Context()
	w, err := s.shownWater(c)
	if err != nil {
		return answer{}, err
	}
	until := s.Now().Truncate(time.Hour).Add(time.Hour)
	from := until.AddDate(0, 0, -days)
	a, err := s.conditions(ctx, w.ID, from, until)
	if err != nil {
		return answer{}, err
	}
	a.cacheControl = "private, max-age=60"
	readings, err := s.shownReadings(c, w.ID, from, until)
	if err != nil {
		return answer{}, err
	}
	return asPage(a, func(v model.Conditions, notice string) ([]byte, error) {
		return page.Weather(w, v, readings, days, notice)
	})
}

// shownReadings are what thermometers showed, the oldest first: those that were
// handed in for the water and correct it. None says who took it or, to the
// minute, when, and nothing else is kept of them in a cache.
func (s *Server) shownReadings(c *gin.Context, water string, from, until time.Time) ([]model.MeterReading, error) {
	question := fmt.Sprintf("shown-readings/%s/%d/%d", water, from.Unix(), until.Unix())
	return kept(c.Request.Context(), s, question, func(ctx context.Context) ([]model.MeterReading, error) {
		taken, _, err := s.Recorder.Readings(ctx, water, from, until, "", longestPage)
		if err != nil {
			return nil, err
		}
		var shown []model.MeterReading
		for _, m := range slices.Backward(taken) {
			if m.Calibrates() {
				shown = append(shown, model.MeterReading{At: m.At.Truncate(time.Hour), WaterC: m.WaterC, DepthM: m.DepthM})
			}
		}
		return shown, nil
	})
}

// shownWater is the path's water, and shownClubs are the clubs, as a page beside
// another answer needs them.
func (s *Server) shownWater(c *gin.Context) (model.Water, error) {
	id := c.Param("water")
	return kept(c.Request.Context(), s, "water/"+id, func(ctx context.Context) (model.Water, error) { return s.Waters.Water(ctx, id) })
}

func (s *Server) shownClubs(c *gin.Context) ([]model.Club, error) {
	return kept(c.Request.Context(), s, "shown-clubs", func(ctx context.Context) ([]model.Club, error) { return s.Clubs.Clubs(ctx, "", usualPage) })
}
