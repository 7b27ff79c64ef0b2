package page

import (
	_ "embed"
	"fmt"
	"strings"

	"osier/model"
)

//go:embed front/front.html
var frontHTML string

var frontPart = part("front", frontHTML)

// FrontPath is where one comes in.
const FrontPath = "/"

// Front lists the waters, and the clubs that look after some. more is after which
// water the next page begins, empty on the last.
// start are the pages to open first, where somebody picked some.
func Front(waters []model.Water, more string, clubs []model.Club, start []Start, demo bool) ([]byte, error) {
	view := struct {
		Waters []waterLine
		More   string
		Clubs  []way
		Start  []Start
	}{More: more, Start: start}
	for _, c := range clubs {
		view.Clubs = append(view.Clubs, way{Title: c.Name, Path: ClubPath(c.ID)})
	}
	for _, w := range waters {
		view.Waters = append(view.Waters, waterLine{ID: w.ID, Name: w.Name, About: aboutLine(w)})
	}
	return Frame{Title: "Osier", Path: FrontPath, Demo: demo}.Page(frontPart, view)
}

// Start is a page to open first.
type Start struct{ Title, Path string }

type waterLine struct{ ID, Name, About string }

// aboutLine is a water in a few words.
func aboutLine(w model.Water) string {
	var groups []string
	for _, g := range w.Groups {
		groups = append(groups, groupWords(g))
	}
	about := fmt.Sprintf("%s; mean depth %.1f m", strings.Join(groups, ", "), float64(w.MeanDepthM))
	if w.AreaHa.Known {
		about += fmt.Sprintf(", %.1f ha", w.AreaHa.Value)
	}
	return about
}
