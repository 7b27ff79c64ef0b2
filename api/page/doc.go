// Package page holds what people look at: pages that the server renders, their
// pictures, styles, and the bankside page with its scripts. It renders what it
// is given and asks nothing. What it is given is what the JSON of the same thing
// is made of, so that both are views of one value.
//
// # A page
//
// A page has a part of its own, an HTML template beside its Go file, and the
// common Frame round it: heading, header, the banner of a demo, footer with the
// deferral and credits. To make one:
//
//	//go:embed club/club.html
//	var clubHTML string
//
//	var clubPart = part("club", clubHTML) // the words of words.go are there: {{day .From}}, {{clock .At}}
//
//	func Club(c model.Club, ...) ([]byte, error) {
//		view := struct{ ... }{...} // figures as they are to be read
//		return Frame{Title: c.Name, Path: "/clubs/" + c.ID, Demo: c.Demo}.Page(clubPart, view)
//	}
//
// The part has neither h1 (the Frame writes the title there) nor main, and is
// well-formed XML: <br/>, selected="selected". No script and no style stands in
// it, by element or attribute; style/page.css has the classes: caution, lead,
// figures (a dl), links (a ul), plain, quiet, words and whole (cells), group (a
// row over rows), wide (round a table that cannot be narrow, with tabindex="0",
// role="region" and a label), ask (a form) with field, hint, wrong and tick. A
// page is served with Policy; what it loads, Styles lists.
//
// # A picture
//
// Chart draws figures as SVG: lines, hatched bands and bars for doubt, rings for
// readings. It goes into <figure> with a figcaption, and the page gives the same
// figures as a table. Its colours are the page's, so it follows the dark scheme
// and print. For example, what was expected (bars) against what came (rings):
//
//	Chart{ID: "came", Title: "...", Text: "...", Unit: "bites",
//		X: Axis{From: 0.5, To: 12.5, Ticks: ticks, Name: "session"},
//		Bars: []Bar{{X: 1, Low: 2, High: 9, Middle: model.Known(4.0)}},
//		Marks: []Mark{{X: 1, Y: 6}}}.SVG()
package page
