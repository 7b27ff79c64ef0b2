package page

import (
	"bytes"
	"encoding/json"
	"fmt"

	"github.com/gorilla/feeds"
)

// jsonFeed is the library's feed with its items always there: the library leaves
// them out where there are none, and JSON Feed 1.1 requires the array. The
// deprecated author is not written.
type jsonFeed struct {
	feeds.JSONFeed
	Items []*feeds.JSONItem `json:"items"`
	Osier jsonFeedOsier     `json:"_osier"`
}

// jsonFeedOsier is ours, by the rule of JSON Feed 1.1 for extensions: an object
// whose name begins with a low line.
type jsonFeedOsier struct {
	Demo bool `json:"demo"` // everything in the feed is invented
}

// JSONFeed is a club's feed of outlooks and restrictions (JSON Feed 1.1). It says
// the same as Atom does.
func JSONFeed(w ClubWord) ([]byte, error) {
	all, err := w.entries()
	if err != nil {
		return nil, err
	}
	feed := jsonFeed{
		JSONFeed: feeds.JSONFeed{
			Version: "https://jsonfeed.org/version/1.1", Title: w.feedTitle(), Description: line(w.Club.About), Language: "en-GB",
			HomePageUrl: w.Site + ClubPath(w.Club.ID), FeedUrl: w.Site + FeedJSONPath(w.Club.ID),
			Authors: []*feeds.JSONAuthor{{Name: w.name()}},
		},
		Items: []*feeds.JSONItem{}, Osier: jsonFeedOsier{Demo: w.Club.Demo},
	}
	for _, e := range all {
		feed.Items = append(feed.Items, jsonItem(e))
	}
	var b bytes.Buffer
	if err := json.NewEncoder(&b).Encode(feed); err != nil { // escapes < and >, for a page that prints it
		return nil, fmt.Errorf("write the JSON Feed of %s: %w", w.Club.ID, err)
	}
	return b.Bytes(), nil
}

func jsonItem(e entry) *feeds.JSONItem {
	at, updated := e.at.UTC(), e.updated.UTC()
	return &feeds.JSONItem{
		Id: e.id, Url: e.link, Title: e.title, Summary: e.text, ContentHTML: e.html,
		PublishedDate: &at, ModifiedDate: &updated, Authors: []*feeds.JSONAuthor{{Name: e.by}}, Tags: []string{e.tag},
	}
}
