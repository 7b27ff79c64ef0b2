package page_test

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/gorilla/feeds"
	"github.com/mmcdole/gofeed"

	"osier/api/page"
)

type object = map[string]any

func member(o object, name string) string { s, _ := o[name].(string); return s }

func itemsOf(feed object) (items []object) {
	list, _ := feed["items"].([]any)
	for _, i := range list {
		items = append(items, i.(object))
	}
	return items
}

func everyItem(feed object, holds func(object) bool) bool {
	for _, i := range itemsOf(feed) {
		if !holds(i) {
			return false
		}
	}
	return true
}

// authorsHold says whether each author of a feed or an item has a name, an
// address or a picture.
func authorsHold(o object) bool {
	list, isList := o["authors"].([]any)
	if _, given := o["authors"]; given && !isList {
		return false
	}
	for _, a := range list {
		author, _ := a.(object)
		if member(author, "name")+member(author, "url")+member(author, "avatar") == "" {
			return false
		}
	}
	return true
}

var itemNames = regexp.MustCompile(`^(id|url|external_url|title|content_html|content_text|summary|image|banner_image|date_published|date_modified|authors|tags|language|attachments|_[a-zA-Z].*)$`)

// jsonFeedRules is what JSON Feed 1.1 requires of a feed and its items, each with
// a change that breaks it.
var jsonFeedRules = []struct {
	says     string
	holds    func(feed object) bool
	breaking func(feed object)
}{
	{"version is required, and is the address of version 1.1", func(f object) bool { return member(f, "version") == "https://jsonfeed.org/version/1.1" }, func(f object) { delete(f, "version") }},
	{"title is required, a string", func(f object) bool { return member(f, "title") != "" }, func(f object) { f["title"] = 1 }},
	{"items is required, an array, also where there are none", func(f object) bool { _, is := f["items"].([]any); return is }, func(f object) { delete(f, "items") }},
	{"home_page_url is an address", func(f object) bool { return isIRI(member(f, "home_page_url")) }, func(f object) { f["home_page_url"] = "/here" }},
	{"feed_url is an address", func(f object) bool { return isIRI(member(f, "feed_url")) }, func(f object) { f["feed_url"] = "" }},
	{"next_url, if any, is not the feed itself", func(f object) bool { return f["next_url"] == nil || f["next_url"] != f["feed_url"] }, func(f object) { f["next_url"] = f["feed_url"] }},
	{"authors are an array of objects with at least one member", authorsHold, func(f object) { f["authors"] = []any{object{}} }},
	{"author, of version 1, is not written", func(f object) bool {
		return f["author"] == nil && everyItem(f, func(i object) bool { return i["author"] == nil })
	}, func(f object) { f["author"] = object{} }},
	{"an extension is an object whose name begins with a low line and a letter", func(f object) bool {
		for name, v := range f {
			if !strings.HasPrefix(name, "_") {
				continue
			}
			if _, is := v.(object); !is || !regexp.MustCompile(`^_[a-zA-Z]`).MatchString(name) {
				return false
			}
		}
		return true
	}, func(f object) { f["_1"] = 1 }},
	{"an item has an id, a string that is not empty", func(f object) bool { return everyItem(f, func(i object) bool { return member(i, "id") != "" }) }, func(f object) { itemsOf(f)[0]["id"] = 1 }},
	{"an id is an item's own", func(f object) bool {
		seen := map[string]bool{}
		return everyItem(f, func(i object) bool { id := member(i, "id"); was := seen[id]; seen[id] = true; return !was })
	}, func(f object) { itemsOf(f)[0]["id"] = itemsOf(f)[1]["id"] }},
	{"content_html or content_text must be present", func(f object) bool {
		return everyItem(f, func(i object) bool { return member(i, "content_html")+member(i, "content_text") != "" })
	}, func(f object) { delete(itemsOf(f)[0], "content_html") }},
	{"url is an address", func(f object) bool { return everyItem(f, func(i object) bool { return isIRI(member(i, "url")) }) }, func(f object) { itemsOf(f)[0]["url"] = "here" }},
	{"dates are as RFC 3339 writes them", func(f object) bool {
		return everyItem(f, func(i object) bool { return isDate(member(i, "date_published")) && isDate(member(i, "date_modified")) })
	}, func(f object) { itemsOf(f)[0]["date_published"] = "2026-11-28" }},
	{"tags are an array of strings", func(f object) bool {
		return everyItem(f, func(i object) bool {
			tags, is := i["tags"].([]any)
			for _, tag := range tags {
				if _, word := tag.(string); !word {
					return false
				}
			}
			return is
		})
	}, func(f object) { itemsOf(f)[0]["tags"] = "outlook" }},
	{"the authors of an item are as those of the feed", func(f object) bool { return everyItem(f, authorsHold) }, func(f object) { itemsOf(f)[0]["authors"] = object{} }},
	{"an item has no member that is not of the version or an extension", func(f object) bool {
		return everyItem(f, func(i object) bool {
			for name := range i {
				if !itemNames.MatchString(name) {
					return false
				}
			}
			return true
		})
	}, func(f object) { itemsOf(f)[0]["banner_"] = "x" }},
}

func jsonFeedOf(t *testing.T, word page.ClubWord) (body []byte, feed object) {
	t.Helper()
	body, err := page.JSONFeed(word)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(body, &feed); err != nil || !utf8.Valid(body) {
		t.Fatalf("no JSON: %v\n%s", err, body)
	}
	return body, feed
}

func TestJSONFeedKeepsWhatVersion11Requires(t *testing.T) {
	for name, word := range map[string]page.ClubWord{"all that can be told": told(), "nothing told yet": silent()} {
		_, feed := jsonFeedOf(t, word)
		for _, rule := range jsonFeedRules {
			if !rule.holds(feed) {
				t.Errorf("%s: %s: it is not so", name, rule.says)
			}
		}
	}
}

func TestEachCheckOfJSONFeedFindsAFeedThatBreaksIt(t *testing.T) {
	for _, rule := range jsonFeedRules {
		_, feed := jsonFeedOf(t, told())
		rule.breaking(feed)
		if rule.holds(feed) {
			t.Errorf("%s: a feed that breaks it was not found", rule.says)
		}
	}
}

// Why the items are written by a field of our own. Once this fails, the library
// no longer needs that.
func TestTheLibraryAloneLeavesOutItems(t *testing.T) {
	alone, err := json.Marshal(feeds.JSONFeed{Items: []*feeds.JSONItem{}})
	if err != nil || strings.Contains(string(alone), "items") {
		t.Errorf("%s, %v", alone, err)
	}
}

func TestJSONFeedIsReadByAGeneralReader(t *testing.T) {
	body, _ := jsonFeedOf(t, told())
	feed, err := gofeed.NewParser().Parse(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	checkReadBack(t, feed, "json", "https://jsonfeed.org/version/1.1") // it gives the address
}

func TestJSONFeedSaysWhereItIsInvented(t *testing.T) {
	for _, demo := range []bool{false, true} {
		word := told()
		word.Club.Demo = demo
		_, feed := jsonFeedOf(t, word)
		if said := feed["_osier"].(object)["demo"]; said != demo {
			t.Errorf("demo is %v, and said to be %v", demo, said)
		}
	}
}
