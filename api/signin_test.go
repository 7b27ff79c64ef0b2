package api_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"osier/api"
	"osier/model"
)

func escape(value string) string { return url.QueryEscape(value) }

// cookies are what an answer sets.
func cookies(w *httptest.ResponseRecorder) []*http.Cookie { return w.Result().Cookies() }

func TestABrowserIsLetInWithAToken(t *testing.T) {
	m := newManned(t)
	w := m.form("/sign-in", map[string]string{"token": " " + secretOf(7) + " ", "next": "/plan"})
	if w.Code != 303 || w.Header().Get("Location") != "/plan" {
		t.Fatalf("answered %d to %q: %s", w.Code, w.Header().Get("Location"), w.Body)
	}
	set := cookies(w)[0]
	if set.Name != "osier-sign-in" || !set.HttpOnly || set.SameSite != http.SameSiteLaxMode || set.Secure || set.Path != "/" || set.MaxAge != 14*24*3600 || set.Value == secretOf(7) {
		t.Errorf("the cookie is %+v", set)
	}
	if strings.Contains(m.log.String(), "osier_") {
		t.Error("a secret stands in the log")
	}
	signedIn := header{"Cookie", set.Name + "=" + set.Value}
	m.wants(m.send("GET", "/v1/sessions/s-private", "", signedIn), 200)
	m.wants(m.send("GET", "/v1/jobs", "", signedIn), 403)
	// A page of another origin writes nothing, whatever the browser sends along.
	m.wants(m.send("PATCH", "/v1/sessions/s-private", `{"notes":"x"}`, signedIn, header{"Sec-Fetch-Site", "cross-site"}), 403)
	m.wants(m.send("PATCH", "/v1/sessions/s-private", `{"notes":"x"}`, signedIn, header{"Sec-Fetch-Site", "same-origin"}), 200)

	out := m.form("/sign-out", nil, signedIn)
	if gone := cookies(out)[0]; out.Code != 303 || gone.MaxAge >= 0 || gone.Value != "" {
		t.Errorf("signing out answers %d and sets %+v", out.Code, gone)
	}
	m.wants(m.send("GET", "/v1/sessions/s-private", "", signedIn), 401)
}

func TestASignInEndsWithItsToken(t *testing.T) {
	m := newManned(t)
	set := cookies(m.form("/sign-in", map[string]string{"token": secretOf(7)}))[0]
	signedIn := header{"Cookie", set.Name + "=" + set.Value}
	m.wants(m.send("GET", "/v1/sessions/s-private", "", signedIn), 200)
	must(t, m.db.RevokeToken(t.Context(), "t-rush", now))
	m.wants(m.send("GET", "/v1/sessions/s-private", "", signedIn), 401)
	m.wants(m.send("GET", "/v1/waters", "", signedIn), 200) // nobody typed it: as if it were not sent

	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-short", Role: model.AnglerRole, Angler: "rush", MadeAt: now, ExpiresAt: model.Known(now.Add(time.Hour))}, model.SecretDigest(secretOf(21))))
	if set := cookies(m.form("/sign-in", map[string]string{"token": secretOf(21)}))[0]; set.MaxAge != 3600 {
		t.Errorf("the sign-in of a token that lasts an hour lasts %d s", set.MaxAge)
	}
}

func TestATokenThatOpensNothingLetsNobodyIn(t *testing.T) {
	m := newManned(t)
	for _, sent := range []string{"", "rush", secretOf(0), secretOf(1), secretOf(20)} {
		w := m.form("/sign-in", map[string]string{"token": sent})
		if w.Code != 401 || len(cookies(w)) != 0 || !strings.Contains(w.Body.String(), "opens nothing") || sent != "" && strings.Contains(w.Body.String(), `value="`+sent) {
			t.Errorf("%q: answered %d, %s", sent, w.Code, w.Body)
		}
	}
	w := formOf(m.api, "/sign-in", map[string]string{"token": secretOf(7)}, header{"Sec-Fetch-Site", "cross-site"})
	if w.Code != 403 {
		t.Errorf("a form of another origin: %d", w.Code)
	}
}

// Over https no neighbour can set the cookie, and it never goes out without.
func TestTheCookieOverHTTPS(t *testing.T) {
	m := &manned{house: newHouse(t, func(o *api.Options) { o.PublicURL = "https://club.example" })}
	must(t, m.db.AddToken(t.Context(), model.Token{ID: "t-1", Role: model.Administrator, MadeAt: now}, model.SecretDigest(secretOf(8))))
	set := cookies(m.form("/sign-in", map[string]string{"token": secretOf(8)}))[0]
	if set.Name != "__Host-osier-sign-in" || !set.Secure || !set.HttpOnly || set.Domain != "" {
		t.Errorf("the cookie is %+v", set)
	}
	m.wants(m.send("GET", "/v1/jobs", "", header{"Cookie", set.Name + "=" + set.Value}), 200)
	m.wants(m.send("GET", "/v1/jobs", "", header{"Cookie", "osier-sign-in=" + set.Value}), 401) // one that a neighbour could set
}

func TestWhoReadsAPageIsSentToSignIn(t *testing.T) {
	m := newManned(t)
	r := httptest.NewRequest("GET", "/sessions/s-private?x=1", nil)
	r.Header.Set("Accept", "text/html,application/xhtml+xml")
	w := httptest.NewRecorder()
	m.api.ServeHTTP(w, r)
	if want := "/sign-in?next=%2Fsessions%2Fs-private%3Fx%3D1"; w.Code != 303 || w.Header().Get("Location") != want {
		t.Fatalf("answered %d to %q, want %q", w.Code, w.Header().Get("Location"), want)
	}
	page := httptest.NewRecorder()
	m.api.ServeHTTP(page, httptest.NewRequest("GET", w.Header().Get("Location"), nil))
	if page.Code != 200 || !strings.Contains(page.Body.String(), `value="/sessions/s-private?x=1"`) || page.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("the page is %d %v: %s", page.Code, page.Header(), page.Body)
	}
}
