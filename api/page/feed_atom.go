package page

import (
	"bytes"
	"encoding/xml"
	"fmt"

	"github.com/gorilla/feeds"
)

// atomFeed is the library's feed with what RFC 4287 section 4.1.1 recommends and
// the library has no room for: a link to the feed itself, and the language. It
// is built from the library's Atom types and not from its one type for all
// formats, which loses identifiers and dates on the way.
type atomFeed struct {
	feeds.AtomFeed
	Lang  string           `xml:"xml:lang,attr"`
	Links []feeds.AtomLink // read as link elements, by the type's own name
}

// Atom is a club's feed of outlooks and restrictions (RFC 4287).
func Atom(w ClubWord) ([]byte, error) {
	all, err := w.entries()
	if err != nil {
		return nil, err
	}
	self := w.Site + FeedAtomPath(w.Club.ID)
	feed := atomFeed{
		AtomFeed: feeds.AtomFeed{
			Xmlns: "http://www.w3.org/2005/Atom", Title: w.feedTitle(), Id: "urn:uuid:" + w.uuid("feed"), Updated: stamp(w.updated(all)),
			Subtitle: line(w.Club.About), Author: &feeds.AtomAuthor{AtomPerson: feeds.AtomPerson{Name: w.name()}},
		},
		Lang: "en-GB",
		Links: []feeds.AtomLink{
			{Href: self, Rel: "self", Type: atomType},
			{Href: w.Site + ClubPath(w.Club.ID), Rel: "alternate", Type: htmlType},
		},
	}
	for _, e := range all {
		feed.Entries = append(feed.Entries, atomEntry(e))
	}
	var b bytes.Buffer
	b.WriteString(xml.Header)
	if err := xml.NewEncoder(&b).Encode(feed); err != nil {
		return nil, fmt.Errorf("write the Atom feed of %s: %w", w.Club.ID, err)
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

func atomEntry(e entry) *feeds.AtomEntry {
	return &feeds.AtomEntry{
		Id: e.id, Title: e.title, Updated: stamp(e.updated), Published: stamp(e.at),
		Author:  &feeds.AtomAuthor{AtomPerson: feeds.AtomPerson{Name: e.by}},
		Links:   []feeds.AtomLink{{Href: e.link, Rel: "alternate", Type: htmlType}},
		Summary: &feeds.AtomSummary{Type: "text", Content: e.text},
		Content: &feeds.AtomContent{Type: "html", Content: e.html},
	}
}
