package page_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"mime"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/mmcdole/gofeed"

	"osier/api/page"
)

const atomSpace = "http://www.w3.org/2005/Atom"

// node is an element of a feed.
type node struct {
	name xml.Name
	attr map[string]string
	kids []*node
	text string // between its own tags
}

// atomTree reads a document as XML, strictly.
func atomTree(t *testing.T, body string) *node {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(body))
	root := &node{}
	open := []*node{root}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v\n%s", err, body)
		}
		top := open[len(open)-1]
		switch token := token.(type) {
		case xml.StartElement:
			n := &node{name: token.Name, attr: map[string]string{}}
			for _, a := range token.Attr {
				n.attr[a.Name.Local] = a.Value
			}
			top.kids, open = append(top.kids, n), append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			top.text += string(token)
		}
	}
	if len(root.kids) != 1 {
		t.Fatalf("%d elements stand at the top", len(root.kids))
	}
	return root.kids[0]
}

func (n *node) all(name string) []*node {
	return slices.DeleteFunc(slices.Clone(n.kids), func(k *node) bool { return k.name != xml.Name{Space: atomSpace, Local: name} })
}

func (n *node) count(name string) int { return len(n.all(name)) }

// everywhere is a node and all below it of one name.
func (n *node) everywhere(name string) (found []*node) {
	for _, k := range n.kids {
		if k.name.Local == name {
			found = append(found, k)
		}
		found = append(found, k.everywhere(name)...)
	}
	return found
}

// every says whether something holds of all of the feed's entries.
func every(feed *node, holds func(*node) bool) bool {
	for _, e := range feed.all("entry") {
		if !holds(e) {
			return false
		}
	}
	return true
}

func exactly(name string, n int) func(*node) bool {
	return func(e *node) bool { return e.count(name) == n }
}

func atMost(name string, n int) func(*node) bool {
	return func(e *node) bool { return e.count(name) <= n }
}

// oneAlternateAType: no two alternate links have the same type and language.
func oneAlternateAType(n *node) bool {
	seen := map[[2]string]bool{}
	for _, l := range n.all("link") {
		if rel := l.attr["rel"]; rel != "alternate" && rel != "" {
			continue
		}
		key := [2]string{l.attr["type"], l.attr["hreflang"]}
		if seen[key] {
			return false
		}
		seen[key] = true
	}
	return true
}

func isIRI(s string) bool {
	u, err := url.Parse(s)
	return err == nil && u.IsAbs() && !strings.ContainsAny(s, " <>\"{}|\\^`")
}

func isIRIReference(s string) bool {
	_, err := url.Parse(s)
	return err == nil && !strings.ContainsAny(s, " <>\"{}|\\^`")
}

func isMediaType(s string) bool {
	kind, _, err := mime.ParseMediaType(s)
	return err == nil && strings.Count(kind, "/") == 1
}

var atomDate = regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$`)

func isDate(s string) bool {
	_, err := time.Parse(time.RFC3339, s)
	return err == nil && atomDate.MatchString(s)
}

func allOf(ns []*node, holds func(*node) bool) bool {
	return !slices.ContainsFunc(ns, func(n *node) bool { return !holds(n) })
}

// atomRules are the MUSTs of RFC 4287 section 4 that a writer of feeds can keep
// or break, with those of section 3 that they lead to. Each has a change to a
// good feed that breaks it, so that the check itself is known to work.
var atomRules = []struct {
	section, says string
	holds         func(feed *node) bool
	from, to      string // the change; the first place only
}{
	{"2", "the document is an Atom feed", func(f *node) bool { return f.name == xml.Name{Space: atomSpace, Local: "feed"} }, atomSpace, "urn:other"},
	{"4.1.1", "a feed has an author, unless each entry has", func(f *node) bool {
		return f.count("author") > 0 || every(f, func(e *node) bool { return e.count("author") > 0 })
	}, "author>", "nobody>"},
	{"4.1.1", "a feed has no more than one generator", atMost("generator", 1), "<entry>", "<generator/><generator/><entry>"},
	{"4.1.1", "a feed has no more than one icon", atMost("icon", 1), "<entry>", "<icon/><icon/><entry>"},
	{"4.1.1", "a feed has no more than one logo", atMost("logo", 1), "<entry>", "<logo/><logo/><entry>"},
	{"4.1.1", "a feed has exactly one id", exactly("id", 1), "<entry>", "<id>urn:a</id><entry>"},
	{"4.1.1", "a feed has no two alternate links of one type and language", oneAlternateAType, "<entry>", `<link href="a" rel="alternate" type="text/html"/><entry>`},
	{"4.1.1", "a feed has no more than one rights", atMost("rights", 1), "<entry>", "<rights/><rights/><entry>"},
	{"4.1.1", "a feed has no more than one subtitle", atMost("subtitle", 1), "<entry>", "<subtitle/><subtitle/><entry>"},
	{"4.1.1", "a feed has exactly one title", exactly("title", 1), "<entry>", "<title/><entry>"},
	{"4.1.1", "a feed has exactly one updated", exactly("updated", 1), "<entry>", "<updated/><entry>"},
	{"4.1.1 (should)", "a feed links to itself", func(f *node) bool {
		return slices.ContainsFunc(f.all("link"), func(l *node) bool { return l.attr["rel"] == "self" })
	}, `rel="self"`, `rel="via"`},
	{"4.1.2", "an entry has an author, or its feed or source has", func(f *node) bool {
		return f.count("author") > 0 || every(f, func(e *node) bool { return e.count("author") > 0 })
	}, "author>", "nobody>"},
	{"4.1.2", "an entry has no more than one content", func(f *node) bool { return every(f, atMost("content", 1)) }, "</entry>", "<content/></entry>"},
	{"4.1.2", "an entry has exactly one id", func(f *node) bool { return every(f, exactly("id", 1)) }, "</entry>", "<id>urn:a</id></entry>"},
	{"4.1.2", "an entry without content has an alternate link", func(f *node) bool {
		return every(f, func(e *node) bool {
			return e.count("content") > 0 || slices.ContainsFunc(e.all("link"), func(l *node) bool { return l.attr["rel"] == "alternate" || l.attr["rel"] == "" })
		})
	}, "</entry>", "</entry><entry><id>urn:a</id></entry>"},
	{"4.1.2", "an entry has no two alternate links of one type and language", func(f *node) bool { return every(f, oneAlternateAType) }, "</entry>", `<link href="a" type="text/html"/></entry>`},
	{"4.1.2", "an entry has no more than one published", func(f *node) bool { return every(f, atMost("published", 1)) }, "</entry>", "<published/></entry>"},
	{"4.1.2", "an entry has no more than one rights", func(f *node) bool { return every(f, atMost("rights", 1)) }, "</entry>", "<rights/><rights/></entry>"},
	{"4.1.2", "an entry has no more than one source", func(f *node) bool { return every(f, atMost("source", 1)) }, "</entry>", "<source/><source/></entry>"},
	{"4.1.2", "an entry whose content is elsewhere or base64 has a summary", func(f *node) bool {
		return every(f, func(e *node) bool {
			return e.count("summary") > 0 || allOf(e.all("content"), func(c *node) bool {
				return c.attr["src"] == "" && slices.Contains([]string{"", "text", "html", "xhtml"}, c.attr["type"])
			})
		})
	}, "</entry>", `</entry><entry><content src="a"/></entry>`},
	{"4.1.2", "an entry has no more than one summary", func(f *node) bool { return every(f, atMost("summary", 1)) }, "</entry>", "<summary/></entry>"},
	{"4.1.2", "an entry has exactly one title", func(f *node) bool { return every(f, exactly("title", 1)) }, "</entry>", "<title/></entry>"},
	{"4.1.2", "an entry has exactly one updated", func(f *node) bool { return every(f, exactly("updated", 1)) }, "</entry>", "<updated/></entry>"},
	{"4.1.3.1", "content is of type text, html, xhtml or a media type that is not composite", func(f *node) bool {
		return allOf(f.everywhere("content"), func(c *node) bool {
			kind := c.attr["type"]
			return slices.Contains([]string{"", "text", "html", "xhtml"}, kind) || isMediaType(kind) && !strings.HasPrefix(kind, "multipart/") && !strings.HasPrefix(kind, "message/")
		})
	}, `type="html"`, `type="multipart/mixed"`},
	{"4.1.3.2", "content that is elsewhere is empty, and its address a reference", func(f *node) bool {
		return allOf(f.everywhere("content"), func(c *node) bool {
			src, elsewhere := c.attr["src"]
			return !elsewhere || isIRIReference(src) && c.text == "" && len(c.kids) == 0
		})
	}, "<content ", `<content src="a" `},
	{"4.1.3.3", "content of type html or text has no child, so its markup is escaped", func(f *node) bool {
		return allOf(f.everywhere("content"), func(c *node) bool { return c.attr["type"] == "xhtml" || len(c.kids) == 0 })
	}, "</content>", "<p/></content>"},
	{"3.1.1", "a text construct is text, html or xhtml, and of the first two has no child", func(f *node) bool {
		texts := slices.Concat(f.everywhere("title"), f.everywhere("summary"), f.everywhere("subtitle"), f.everywhere("rights"))
		return allOf(texts, func(n *node) bool {
			return slices.Contains([]string{"", "text", "html"}, n.attr["type"]) && len(n.kids) == 0
		})
	}, "</summary>", "<b/></summary>"},
	{"4.2.1, 3.2.1", "an author has exactly one name, that is not empty", func(f *node) bool {
		return allOf(f.everywhere("author"), func(a *node) bool { return a.count("name") == 1 && a.all("name")[0].text != "" })
	}, "</author>", "<name>second</name></author>"},
	{"4.2.1, 3.2.2, 3.2.3", "an author has no more than one uri and one email", func(f *node) bool {
		return allOf(f.everywhere("author"), func(a *node) bool { return a.count("uri") <= 1 && a.count("email") <= 1 })
	}, "</author>", "<uri>a</uri><uri>b</uri></author>"},
	{"4.2.2", "a category has a term", func(f *node) bool {
		return allOf(f.everywhere("category"), func(c *node) bool { return c.attr["term"] != "" })
	}, "</entry>", "<category>outlook</category></entry>"},
	{"4.2.6", "an id is an absolute IRI", func(f *node) bool {
		return allOf(f.everywhere("id"), func(n *node) bool { return isIRI(n.text) })
	}, "<id>urn:uuid:", "<id>"},
	{"4.2.6", "an id is unique", func(f *node) bool {
		seen := map[string]bool{}
		for _, n := range f.everywhere("id") {
			if seen[n.text] {
				return false
			}
			seen[n.text] = true
		}
		return true
	}, "", ""},
	{"4.2.7", "a link is empty", func(f *node) bool {
		return allOf(f.everywhere("link"), func(l *node) bool { return len(l.kids) == 0 && l.text == "" })
	}, "</link>", "words</link>"},
	{"4.2.7.1", "a link has a href that is a reference", func(f *node) bool {
		return allOf(f.everywhere("link"), func(l *node) bool { href, is := l.attr["href"]; return is && isIRIReference(href) })
	}, `href="https:`, `href="a b`},
	{"4.2.7.2", "the relation of a link is a registered name or an IRI, and not empty", func(f *node) bool {
		return allOf(f.everywhere("link"), func(l *node) bool {
			rel, is := l.attr["rel"]
			return !is || slices.Contains([]string{"alternate", "related", "self", "enclosure", "via"}, rel) || isIRI(rel)
		})
	}, `rel="alternate"`, `rel=""`},
	{"4.2.7.3", "the type of a link is a media type", func(f *node) bool {
		return allOf(f.everywhere("link"), func(l *node) bool { kind, is := l.attr["type"]; return !is || isMediaType(kind) })
	}, `type="text/html"`, `type="html"`},
	{"4.2.7.4", "the language of a link is a tag", func(f *node) bool {
		return allOf(f.everywhere("link"), func(l *node) bool {
			lang, is := l.attr["hreflang"]
			return !is || regexp.MustCompile(`^[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8})*$`).MatchString(lang)
		})
	}, "<link ", `<link hreflang="" `},
	{"4.2.9, 4.2.15, 3.3", "each date is as RFC 3339 writes it, with capital T and Z", func(f *node) bool {
		return allOf(slices.Concat(f.everywhere("updated"), f.everywhere("published")), func(n *node) bool { return isDate(n.text) })
	}, "Z</updated>", "z</updated>"},
}

func TestAtomKeepsEachMustOfRFC4287(t *testing.T) {
	for name, word := range map[string]page.ClubWord{"all that can be told": told(), "nothing told yet": silent()} {
		body, err := page.Atom(word)
		if err != nil {
			t.Fatal(err)
		}
		feed := atomTree(t, string(body))
		for _, rule := range atomRules {
			if !rule.holds(feed) {
				t.Errorf("%s: section %s: %s: it is not so", name, rule.section, rule.says)
			}
		}
	}
}

func TestEachCheckOfAtomFindsAFeedThatBreaksIt(t *testing.T) {
	word := told()
	body, err := page.Atom(word)
	if err != nil {
		t.Fatal(err)
	}
	for _, rule := range atomRules {
		if rule.from == "" {
			continue
		}
		broken := strings.Replace(string(body), rule.from, rule.to, 1)
		switch { // where every occurrence must go, or several
		case rule.from == "author>":
			broken = strings.ReplaceAll(string(body), rule.from, rule.to)
		case rule.says == "a feed has exactly one id":
			broken = strings.Replace(string(body), "<entry>", rule.to, 1)
		}
		if broken == string(body) {
			t.Errorf("section %s: %s: the change found no place", rule.section, rule.says)
		} else if rule.holds(atomTree(t, broken)) {
			t.Errorf("section %s: %s: a feed that breaks it was not found", rule.section, rule.says)
		}
	}
}

func TestAtomIsReadByAGeneralReader(t *testing.T) {
	body, err := page.Atom(told())
	if err != nil {
		t.Fatal(err)
	}
	feed, err := gofeed.NewParser().Parse(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	checkReadBack(t, feed, "atom", "1.0")
}

// checkReadBack holds what a general reader made of either feed against what the
// club told, the newest first.
func checkReadBack(t *testing.T, feed *gofeed.Feed, kind, version string) {
	t.Helper()
	if feed.FeedType != kind || feed.FeedVersion != version || feed.Language != "en-GB" || feed.Link != "https://club.example/clubs/quill-club" {
		t.Errorf("read as %s %s in %q of %q", feed.FeedType, feed.FeedVersion, feed.Language, feed.Link)
	}
	type item struct{ Title, Link, At, By string }
	var got []item
	for _, i := range feed.Items {
		title, _, _ := strings.Cut(i.Title, "<script>") // of the nasty name
		got = append(got, item{title, i.Link, i.PublishedParsed.UTC().Format(time.RFC3339), i.Authors[0].Name})
		if i.GUID == "" || i.Content == "" || i.UpdatedParsed.Before(*i.PublishedParsed) {
			t.Errorf("%q has GUID %q, updated %v", i.Title, i.GUID, i.UpdatedParsed)
		}
		if strings.Contains(i.Content, "<script") || strings.Contains(i.Content, "<img") {
			t.Errorf("markup of a stranger got through in %q:\n%s", i.Title, i.Content)
		}
		if strings.Contains(i.Content, "draft") {
			t.Errorf("the draft is told")
		}
	}
	const club, officer = "https://club.example/clubs/quill-club", "water-officer"
	want := []item{
		{"Outlook for Saturday 28 to Sunday 29 November 2026, in place of an earlier one", club + "/outlooks/o-2", "2026-11-27T18:30:00Z", officer},
		{"Outlook for Saturday 28 to Sunday 29 November 2026", club + "/outlooks/o-1", "2026-11-26T18:30:00Z", officer},
		{"", club, "2026-11-25T08:00:00Z", officer},
		{"Drovelow Mere, lifted: no keepnets from Friday 20 November 2026, 09:00 GMT until Thursday 26 November 2026, 00:00 GMT", club, "2026-11-22T10:00:00Z", officer},
		{"Drovelow Mere: no keepnets from Friday 20 November 2026, 09:00 GMT until Thursday 26 November 2026, 00:00 GMT", club, "2026-11-20T09:00:00Z", officer},
		{"", club, "2026-10-23T12:00:00Z", officer},
		{"Drovelow Mere: closed from Tuesday 20 October 2026, 10:00 BST until it is lifted", club, "2026-10-20T08:00:00Z", officer},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("told (-) and read (+) differ:\n%s", diff)
	}
}

// What was told keeps its identifier and its words, whatever is told later and
// however the site is addressed.
func TestEntriesStayAsTheyWereTold(t *testing.T) {
	was := told()
	was.Outlooks, was.Restrictions[1].LiftedAt = was.Outlooks[2:], was.Restrictions[0].LiftedAt // before the second outlook and the lifting
	before, after := map[string]string{}, map[string]string{}
	for word, into := range map[*page.ClubWord]map[string]string{&was: before, ptr(told()): after} {
		body, err := page.Atom(*word)
		if err != nil {
			t.Fatal(err)
		}
		feed := atomTree(t, string(body))
		for _, e := range feed.all("entry") {
			into[e.all("id")[0].text] = e.all("title")[0].text + e.all("updated")[0].text + e.all("content")[0].text
		}
	}
	if len(before) != 5 || len(after) != 7 {
		t.Fatalf("%d entries before, %d after", len(before), len(after))
	}
	for id, words := range before {
		if after[id] != words {
			t.Errorf("%s was\n%s\nand is\n%s", id, words, after[id])
		}
	}
	elsewhere := told()
	elsewhere.Site = "https://moved.example"
	body, err := page.Atom(elsewhere)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range atomTree(t, string(body)).everywhere("id")[1:] {
		if _, is := after[n.text]; !is {
			t.Errorf("%s is new, only because the site moved", n.text)
		}
	}
}

// A closure made since an outlook was published takes its expectation out of the
// entry, which says so and is newer for it.
func TestAClosureMadeSinceTakesTheExpectationOut(t *testing.T) {
	word := told()
	since := word.Restrictions[2]
	since.ID, since.Water, since.From, since.MadeAt = "r-5", "quillmarsh-pit", utc("2026-11-28T07:00:00Z"), utc("2026-11-28T06:10:00Z")
	word.Restrictions = append(word.Restrictions, since)
	for name, want := range map[string]struct {
		word    page.ClubWord
		updated string
		bites   int // days for which they are told
	}{"before": {told(), "2026-11-27T18:30:00Z", 2}, "since": {word, "2026-11-28T06:10:00Z", 0}} {
		body, err := page.Atom(want.word)
		if err != nil {
			t.Fatal(err)
		}
		feed := atomTree(t, string(body))
		for _, e := range feed.all("entry") {
			if !strings.HasSuffix(e.all("link")[0].attr["href"], "o-2") {
				continue
			}
			updated, content := e.all("updated")[0].text, e.all("content")[0].text
			if told := strings.Count(content, "2.5 (0.5 to 6.0)"); updated != want.updated || told != want.bites || e.all("published")[0].text != "2026-11-27T18:30:00Z" {
				t.Errorf("%s: updated %s, with bites for %d days", name, updated, told)
			}
		}
		if got := feed.all("updated")[0].text; got != want.updated {
			t.Errorf("%s: the feed was updated %s", name, got)
		}
	}
}

func ptr[T any](v T) *T { return &v }

func TestTheDemoIsToldAsInvented(t *testing.T) {
	word := told()
	word.Club.Demo = true
	atom, err := page.Atom(word)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range atomTree(t, string(atom)).everywhere("title") {
		if !strings.HasPrefix(n.text, "Invented: ") {
			t.Errorf("%q does not say that it is invented", n.text)
		}
	}
}
