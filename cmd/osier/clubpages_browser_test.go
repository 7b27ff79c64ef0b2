//go:build browser

package main

import (
	"crypto/rand"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"osier/jobs"
	"osier/model"
)

// clubSite is the invented club with an outlook published and another drafted,
// and an officer's token.
type clubSite struct {
	*bankside
	published, draft string
	token            string
}

func newPublishedClub(t *testing.T) clubSite {
	t.Helper()
	b := newClubSite(t)
	now := func() time.Time { return time.Now().UTC().Truncate(time.Second) }
	world, err := newDemoWorld(demoSeed, now())
	fatal(t, err)
	a := &app{ctx: t.Context(), now: now, log: slog.New(slog.DiscardHandler)}
	told, err := a.publishDemo(t.Context(), b.db, world)
	fatal(t, err)
	draft, err := (&jobs.Outlooker{Store: b.db, Now: now}).Build(t.Context(), demoClubID, 3)
	fatal(t, err)
	secret, err := model.NewSecret(rand.Reader)
	fatal(t, err)
	token, err := model.Token{Role: model.Officer, Clubs: []string{demoClubID}, Angler: "secretary"}.Made(secret, now())
	fatal(t, err)
	fatal(t, b.db.AddToken(t.Context(), token, model.SecretDigest(secret)))
	return clubSite{bankside: b, published: told.ID, draft: draft.ID, token: secret}
}

// signIn goes to a page that only officers see, by keyboard.
func (s clubSite) signIn(p *phone, path string, widthPx int64) {
	p.t.Helper()
	p.reads(path, widthPx)
	p.comes(`location.pathname === "/sign-in"`)
	p.do(chromedp.Focus(chromedp.CSS(`[name=token]`)), chromedp.KeyEvent(s.token), chromedp.KeyEvent(kb.Enter))
	p.comes(`location.pathname === "` + path + `"`)
}

// Every page of a club fits, has targets that can be hit, is drawn in both
// schemes and in print, and runs no script; go test -artifacts keeps the
// pictures. OSIER_AXE is as for the bankside page.
func TestPagesClubLooks(t *testing.T) {
	axe := readAxe(t)
	pictures := t.ArtifactDir()
	site := newPublishedClub(t)
	p := site.newReader(t)
	site.signIn(p, "/clubs/hobbin-row/office", 390)
	for name, path := range map[string]string{
		"club": "/clubs/hobbin-row", "outlook": "/clubs/hobbin-row/outlooks/" + site.published, "draft": "/clubs/hobbin-row/outlooks/" + site.draft,
		"water-outlook": "/waters/quillmarsh-pit/outlook", "office": "/clubs/hobbin-row/office", "track-record": "/track-record", "findings": "/findings",
	} {
		for _, widthPx := range []int64{320, 390, 1280} {
			p.reads(path, widthPx)
			if over := value[float64](p, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
				t.Errorf("%s: at %d px it is %g px too wide: %s", name, widthPx, over, value[string](p, tooWide))
			}
			for _, small := range value[[]string](p, smallTargetsOfPages) {
				t.Errorf("%s: at %d px a target is small: %s", name, widthPx, small)
			}
			if n := value[int](p, `document.scripts.length`); n != 0 {
				t.Errorf("%s: %d scripts", name, n)
			}
			for _, look := range []struct{ scheme, medium string }{{"light", "screen"}, {"dark", "screen"}, {"light", "print"}} {
				if widthPx == 320 && look.scheme+look.medium != "lightscreen" || widthPx == 1280 && look.medium == "print" {
					continue // they differ from the others in width alone
				}
				if testing.Short() && (widthPx != 390 || look.scheme+look.medium != "lightscreen") {
					continue // drawing takes most of the time
				}
				p.seen(look.scheme, look.medium)
				kept := name + "-" + look.scheme + "-" + look.medium + map[int64]string{320: "-narrow", 390: "", 1280: "-desk"}[widthPx] + ".png"
				picture, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
				fatal(t, err)
				fatal(t, os.WriteFile(filepath.Join(pictures, kept), picture, 0o600))
				if axe != "" && look.medium == "screen" {
					value[bool](p, axe+"; true")
					for _, wrong := range value[[]string](p, axeFindings) {
						t.Errorf("%s, %s, %d px: %s", name, look.scheme, widthPx, wrong)
					}
				}
			}
			p.seen("light", "screen")
		}
	}
}

// The officer's whole way by keyboard and with no script: sign in, write a note,
// publish, close a water; then a member reads it on a phone of their own.
func TestPagesClubOfficerPublishesAndAMemberReads(t *testing.T) {
	site := newPublishedClub(t)
	p := site.newReader(t)
	p.withoutScripts()
	const office = "/clubs/hobbin-row/office"
	site.signIn(p, office, 1280)
	p.tabTo("note")
	p.do(chromedp.KeyEvent("Mind the gate."))
	p.tabTo("Keep the notes")
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`location.search === "?done=notes"`)
	if shown := p.shown(); !strings.Contains(shown, "The notes are kept in the draft.") {
		t.Errorf("the office shows:\n%s", shown)
	}
	p.tabTo("Publish this outlook")
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`location.search === "?done=publish"`)

	p.tabTo("Decide this") // no reason is given yet
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`document.querySelector("[name=reason]").getAttribute("aria-invalid") === "true"`)
	p.tabTo("reason")
	p.do(chromedp.KeyEvent("fish in distress"))
	p.tabTo("Decide this")
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`location.search === "?done=restrict"`)

	member := site.newReader(t)
	member.withoutScripts()
	member.reads("/clubs/hobbin-row", 390)
	shown := member.shown()
	for _, want := range []string{"INVENTED", "Closed: fish in distress", "decided by secretary", "Closed today"} {
		if !strings.Contains(shown, want) {
			t.Errorf("the member does not read %q but\n%s", want, shown)
		}
	}
	feeds := value[[]string](member, `[...document.querySelectorAll("link[rel=alternate]")].map((e) => e.type)`)
	if got := strings.Join(feeds, " "); got != "application/atom+xml application/feed+json text/calendar" {
		t.Errorf("feeds offered: %s", got)
	}
	member.do(chromedp.Tap(chromedp.CSS(`a[href="/clubs/hobbin-row/outlooks/`+site.draft+`"]`), chromedp.NodeVisible))
	member.comes(`location.pathname.endsWith("` + site.draft + `")`)
	shown = member.shown()
	for _, want := range []string{"by secretary", "Mind the gate.", "Since this was published:", "fish in distress", "is withdrawn"} {
		if !strings.Contains(shown, want) {
			t.Errorf("the member does not read %q but\n%s", want, shown)
		}
	}
	member.reads(office, 390)
	member.comes(`location.pathname === "/sign-in"`)
}
