package page

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// ClubWord is what a club tells of its waters to whoever asks: what its feeds,
// its calendar and the pieces for its own site are made of. There is nothing in
// it that the public may not see.
type ClubWord struct {
	Club         model.Club
	Waters       []model.Water       // the club's, in the order it shows them
	Outlooks     []model.Outlook     // published, in any order; drafts are left out
	Restrictions []model.Restriction // those lifted among them, in any order
	CautionsFrom time.Time           // the calendar leaves out what cautions were over by then
	Site         string              // how the site is addressed, such as https://club.example; empty leaves addresses relative
}

// published are the outlooks that are, from the first published to the last.
func (w ClubWord) published() []model.Outlook {
	out := slices.DeleteFunc(slices.Clone(w.Outlooks), func(o model.Outlook) bool {
		return o.State != model.OutlookPublished || o.Publish == nil
	})
	slices.SortStableFunc(out, func(a, b model.Outlook) int { return a.Publish.At.Compare(b.Publish.At) })
	return out
}

// waterDay is a water on a day, by the water's own zone.
type waterDay struct{ water, date string }

// said is what an outlook says of a water on a day.
type said struct {
	in  model.Outlook
	day model.OutlookDay
}

// lastWord is, for each water and day, what the outlook says that was published
// last about them. It alone holds for them, whether or not it says what it
// supersedes.
func (w ClubWord) lastWord() map[waterDay]said {
	last := map[waterDay]said{}
	for _, o := range w.published() {
		for _, water := range o.Waters {
			for _, day := range water.Days {
				last[waterDay{water.Water, day.Date}] = said{o, day}
			}
		}
	}
	return last
}

// water is one of the club's waters. One that is no longer known here is named by
// its identifier, in the club's zone.
func (w ClubWord) water(id string) model.Water {
	for _, water := range w.Waters {
		if water.ID == id {
			return water
		}
	}
	return model.Water{ID: id, Name: id, Zone: w.Club.Zone}
}

// name is the club's on one line, and its identifier where nothing is left.
func (w ClubWord) name() string { return cmp.Or(line(w.Club.Name), w.Club.ID) }

// uuid is the name that a thing keeps for ever, however the site is addressed and
// whichever machine answers: a UUID made of what the thing is (RFC 9562 section
// 5.8, version 8, as in its appendix B.2). A tag URI (RFC 4151) would need a
// domain that the club is sure to keep, and the thing's own address changes with
// the site's: both would break "must not change" of RFC 4287 section 4.2.6.
func uuid(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d %s\n", len(p), p)
	}
	b := h.Sum(nil)[:16]
	b[6], b[8] = b[6]&0x0f|0x80, b[8]&0x3f|0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:])
}

// uuid is that of something the club told. The day on which the club was added
// keeps two clubs of one name, on two machines, apart.
func (w ClubWord) uuid(parts ...string) string {
	return uuid(append([]string{"osier club", w.Club.ID, stamp(w.Club.AddedAt)}, parts...)...)
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// dayTime words an instant by the clock of a zone, and names the zone, since
// whoever reads it may be in another.
func dayTime(t time.Time, loc *time.Location) string {
	return t.In(loc).Format("Monday 2 January 2006, 15:04 MST")
}

// invented stands before every title where all of it is.
const invented = "Invented: "

func titled(demo bool, title string) string {
	if demo {
		return invented + title
	}
	return title
}

// plain takes out what may not stand in XML, in a calendar or in a cell: octets
// that are no UTF-8, and control characters but the line feed. A tab becomes a
// space, and whatever else ends a line a line feed.
func plain(s string) string {
	s = strings.NewReplacer("\r", "\n", "\t", " ", "\u2028", "\n", "\u2029", "\n").Replace(strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Map(func(r rune) rune {
		if r == '\n' || r >= ' ' && (r < 0x7f || r > 0x9f) && r != 0xFFFE && r != 0xFFFF {
			return r
		}
		return -1
	}, s)
}

// line is plain on one line.
func line(s string) string { return strings.Join(strings.Fields(plain(s)), " ") }

// Told is when the club last told or decided something, for the validators of
// what is made of it.
func (w ClubWord) Told() time.Time {
	last := w.Club.AddedAt
	for _, o := range w.published() {
		last = latest(last, o.Publish.At)
	}
	for _, r := range w.Restrictions {
		last = latest(last, r.MadeAt, r.LiftedAt.Or(r.MadeAt))
	}
	return last
}
