package page_test

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"osier/api/page"
)

// skeleton is the names of a document's elements and attributes: what nobody's
// words may change.
func skeleton(t testing.TB, body []byte) string {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(body)))
	d.Entity = xml.HTMLEntity
	var names strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return names.String()
		}
		if err != nil {
			t.Fatalf("not well formed: %v\n%s", err, body)
		}
		if start, is := token.(xml.StartElement); is && start.Name.Local != "text" { // lines of the picture
			names.WriteString(start.Name.Local + " ")
			for _, a := range start.Attr {
				names.WriteString(a.Name.Local + " ")
			}
		}
	}
}

// wordy is a club with one stranger's words in every place that takes some.
func wordy(words string) page.ClubWord {
	w := told()
	w.Club.Name, w.Club.About, w.Waters[0].Name, w.Waters[1].Name = words, "about "+words, words, words
	for i := range w.Restrictions {
		r := &w.Restrictions[i]
		r.Reason, r.DecidedBy, r.LiftedWhy, r.LiftedBy = words, words, words, words
	}
	for i := range w.Outlooks {
		o := &w.Outlooks[i]
		o.Note = "note " + words
		for j := range o.Waters {
			o.Waters[j].Name, o.Waters[j].Note = words, "note "+words
			for k := range o.Waters[j].Days {
				d := &o.Waters[j].Days[k]
				d.Paragraph, d.Groups[0].Level, d.Cautions[0].Text = words, words, words
			}
		}
	}
	return w
}

func FuzzWordsStayWords(f *testing.F) {
	for _, seed := range []string{"plain", nasty, "]]>", "<![CDATA[", "&amp;", "&#0;", "--><script>", "\xff", "\uFFFE", "{{.}}", "'\"`=", "javascript:alert(1)"} {
		f.Add(seed)
	}
	now := utc("2026-11-28T10:00:00Z")
	forms := map[string]func(page.ClubWord) ([]byte, error){
		"Atom": page.Atom, "embed": func(w page.ClubWord) ([]byte, error) { return page.Embed(w, now) },
		"picture": func(w page.ClubWord) ([]byte, error) { return page.EmbedSVG(w, now) },
	}
	usual := map[string]string{}
	for name, render := range forms {
		body, err := render(wordy("plain"))
		if err != nil {
			f.Fatal(err)
		}
		usual[name] = skeleton(f, body)
	}
	f.Fuzz(func(t *testing.T, words string) {
		for name, render := range forms {
			body, err := render(wordy(words))
			if err != nil || !utf8.Valid(body) {
				t.Fatalf("%s: %v", name, err)
			}
			if got, want := skeleton(t, body), usual[name]; got != want {
				t.Fatalf("%s: %q changed the document from\n%s\nto\n%s", name, words, want, got)
			}
			for _, rule := range atomRules {
				if name == "Atom" && !rule.holds(atomTree(t, string(body))) {
					t.Fatalf("section %s: %s: it is not so for %q", rule.section, rule.says, words)
				}
			}
		}
		body, err := page.JSONFeed(wordy(words))
		var feed object
		if err != nil || json.Unmarshal(body, &feed) != nil {
			t.Fatalf("no JSON (%v): %s", err, body)
		}
		for _, rule := range jsonFeedRules {
			if !rule.holds(feed) {
				t.Fatalf("%s: it is not so for %q", rule.says, words)
			}
		}
		for _, item := range itemsOf(feed) {
			if html := member(item, "content_html"); strings.Contains(html, "<script") || strings.Contains(html, "<img") || strings.Contains(html, "<![") {
				t.Fatalf("markup got through: %s", html)
			}
		}
	})
}
