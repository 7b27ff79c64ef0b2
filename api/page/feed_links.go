package page

import "fmt"

// Media types of what a club's word is served as.
const (
	htmlType     = "text/html"
	atomType     = "application/atom+xml"
	jsonFeedType = "application/feed+json"
	calendarType = "text/calendar"
)

// FeedAtomPath is where a club's Atom feed is.
func FeedAtomPath(club string) string { return ClubPath(club) + "/feed.atom" }

// FeedJSONPath is where the same is as JSON Feed.
func FeedJSONPath(club string) string { return ClubPath(club) + "/feed.json" }

// CalendarPath is where a club's calendar is.
func CalendarPath(club string) string { return ClubPath(club) + "/calendar.ics" }

// EmbedPath is where the piece for a club's own site is, and EmbedSVGPath the
// same as a picture.
func EmbedPath(club string) string { return ClubPath(club) + "/embed" }

// EmbedSVGPath is where that picture is.
func EmbedSVGPath(club string) string { return ClubPath(club) + "/embed.svg" }

// OutlookCSVPath is that of one published outlook as a table.
func OutlookCSVPath(club, outlook string) string { return OutlookPath(club, outlook) + "/table.csv" }

// ClubFeeds are what a reader of a club may subscribe to, for the head and the
// Link header of each page about the club or a water of it (autodiscovery).
func ClubFeeds(club string) []Feed {
	return []Feed{
		{Title: "Outlooks and restrictions (Atom)", Type: atomType, Path: FeedAtomPath(club)},
		{Title: "Outlooks and restrictions (JSON Feed)", Type: jsonFeedType, Path: FeedJSONPath(club)},
		{Title: "Closures, restrictions and cautions (calendar)", Type: calendarType, Path: CalendarPath(club)},
	}
}

// Alternate is the feed as a value of a Link header (RFC 8288 section 3). Titles
// are our own words and paths are made of identifiers, so nothing needs escaping.
func (f Feed) Alternate() string {
	return fmt.Sprintf("<%s>; rel=\"alternate\"; type=%q; title=%q", f.Path, f.Type, f.Title)
}
