package auth_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"osier/api/auth"
	"osier/model"
)

var (
	nobody  = model.Principal{Role: model.Public}
	rush    = model.Principal{Role: model.AnglerRole, Angler: "rush", Token: "t-1"}
	reader  = model.Principal{Role: model.AnglerRole, Angler: "rush", ReadOnly: true, Token: "t-2"}
	officer = model.Principal{Role: model.Officer, Clubs: []string{"quill-club"}, Token: "t-3"}
	warden  = model.Principal{Role: model.Officer, Angler: "sedge", Clubs: []string{"quill-club"}, Token: "t-4"}
	admin   = model.Principal{Role: model.Administrator, Token: "t-5"}
)

func codeOf(err error) model.Code {
	if err == nil {
		return ""
	}
	return model.CodeOf(err)
}

func TestRules(t *testing.T) {
	const ok, who, no = model.Code(""), model.NoCredential, model.Forbidden
	everybody := []model.Principal{nobody, rush, reader, officer, warden, admin}
	for _, c := range []struct {
		name   string
		access auth.Access
		club   string
		writes bool
		want   []model.Code
	}{
		{"forgotten", auth.Nobody, "", false, []model.Code{who, no, no, no, no, no}},
		{"public read", auth.Public, "", false, []model.Code{ok, ok, ok, ok, ok, ok}},
		{"public write", auth.Public, "", true, []model.Code{ok, ok, no, ok, ok, ok}},
		{"for who is signed in", auth.SignedIn, "", false, []model.Code{who, ok, ok, ok, ok, ok}},
		{"write for who is signed in", auth.SignedIn, "", true, []model.Code{who, ok, no, ok, ok, ok}},
		{"for anglers", auth.Anglers, "", false, []model.Code{who, ok, ok, no, ok, ok}},
		{"write for anglers", auth.Anglers, "", true, []model.Code{who, ok, no, no, ok, ok}},
		{"for officers", auth.Officers, "quill-club", true, []model.Code{who, no, no, ok, ok, ok}},
		{"for officers of another club", auth.Officers, "other-club", true, []model.Code{who, no, no, no, no, ok}},
		{"for officers, and no club named", auth.Officers, "", true, []model.Code{who, no, no, no, no, ok}},
		{"for administrators", auth.Administrators, "", false, []model.Code{who, no, no, no, no, ok}},
	} {
		for i, p := range everybody {
			if got := codeOf(c.access.Admit(p, c.club, c.writes)); got != c.want[i] {
				t.Errorf("%s: %s %s got %q, want %q", c.name, p.Role, p.Angler, got, c.want[i])
			}
		}
	}
	var unknown model.Principal
	if codeOf(auth.SignedIn.Admit(unknown, "", false)) != who {
		t.Error("a principal without a role counts as somebody")
	}
}

func TestWhoseASessionOrPlanIs(t *testing.T) {
	for _, c := range []struct {
		name   string
		p      model.Principal
		angler string
		shared []string
		want   bool
	}{
		{"one's own", rush, "rush", nil, true},
		{"another's", rush, "moss", nil, false},
		{"another's that is shared with a club", rush, "moss", []string{"quill-club"}, false},
		{"not shared", officer, "rush", nil, false},
		{"shared with one's club", officer, "rush", []string{"other-club", "quill-club"}, true},
		{"shared with another club", officer, "rush", []string{"other-club"}, false},
		{"anybody's", admin, "rush", nil, true},
		{"nobody's, so far", rush, "", nil, false},
		{"nobody's, asked by nobody", nobody, "", nil, false},
	} {
		if got := auth.MayReadSession(c.p, c.angler, c.shared); got != c.want {
			t.Errorf("a session that is %s: %v", c.name, got)
		}
	}
	for _, c := range []struct {
		p      model.Principal
		angler string
		want   bool
	}{{nobody, "", true}, {nobody, "rush", false}, {rush, "rush", true}, {rush, "moss", false}, {officer, "rush", false}, {admin, "rush", true}} {
		if got := auth.MayReadPlan(c.p, c.angler); got != c.want {
			t.Errorf("a plan for %q, read by %s: %v", c.angler, c.p.Role, got)
		}
	}
}

func TestForWhomAndByWhom(t *testing.T) {
	const who, no = model.NoCredential, model.Forbidden
	for _, c := range []struct {
		name        string
		p           model.Principal
		named       string
		handle      string
		handleError model.Code
		author      string
		authorError model.Code
	}{
		{"nobody", nobody, "", "", "", "", ""},
		{"nobody, who names somebody", nobody, "rush", "", who, "rush", ""}, // no route for authors lets them in
		{"an angler", rush, "", "rush", "", "rush", ""},
		{"an angler by name", rush, "rush", "rush", "", "rush", ""},
		{"an angler, who names another", rush, "moss", "", no, "", no},
		{"an officer without a handle", officer, "", "", "", "officer", ""},
		{"an officer without a handle, who names somebody", officer, "water-officer", "", no, "water-officer", ""},
		{"an officer with a handle", warden, "", "sedge", "", "sedge", ""},
		{"an officer with a handle, who names another", warden, "rush", "", no, "", no},
		{"an administrator", admin, "", "", "", "", ""},
		{"an administrator for another", admin, "rush", "rush", "", "rush", ""},
	} {
		if got, err := auth.Handle(c.p, "angler", c.named); got != c.handle || codeOf(err) != c.handleError {
			t.Errorf("%s acts for %q (%v)", c.name, got, err)
		}
		if got, err := auth.Author(c.p, "by", c.named); got != c.author || codeOf(err) != c.authorError {
			t.Errorf("%s decides as %q (%v)", c.name, got, err)
		}
	}
}

func TestTokensThatMayBeMade(t *testing.T) {
	at := time.Date(2026, 11, 25, 9, 20, 0, 0, time.UTC)
	own := model.Token{Role: model.AnglerRole, Angler: "rush", ExpiresAt: model.Known(at)}
	for _, c := range []struct {
		name string
		p    model.Principal
		with model.Token
		made model.Token
		want model.Code
	}{
		{"one's own", rush, model.Token{}, own, ""},
		{"one's own as long as what it is made with", rush, model.Token{ID: "t-1", ExpiresAt: model.Known(at)}, own, ""},
		{"one's own that outlasts it", rush, model.Token{ID: "t-1", ExpiresAt: model.Known(at.Add(-time.Second))}, own, model.Forbidden},
		{"one's own for ever", rush, model.Token{ID: "t-1", ExpiresAt: model.Known(at)}, model.Token{Role: model.AnglerRole, Angler: "rush"}, model.Forbidden},
		{"with one that was made so", rush, model.Token{ID: "t-9", MadeBy: "t-1"}, own, model.Forbidden},
		{"another's", rush, model.Token{}, model.Token{Role: model.AnglerRole, Angler: "moss"}, model.Forbidden},
		{"a higher one", warden, model.Token{}, model.Token{Role: model.Officer, Angler: "sedge", Clubs: []string{"quill-club"}}, model.Forbidden},
		{"by an administrator", admin, model.Token{}, model.Token{Role: model.Administrator}, ""},
	} {
		if got := codeOf(auth.MayMake(c.p, c.with, c.made)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestBearer(t *testing.T) {
	secret := "osier_" + strings.Repeat("a", 52)
	for _, c := range []struct {
		header, secret string
		sent, good     bool
	}{
		{"", "", false, true},
		{"Bearer " + secret, secret, true, true},
		{"bearer  " + secret + " ", secret, true, true},
		{"Bearer", "", true, false},
		{"Basic " + secret, "", true, false},
		{secret, "", true, false},
		{"Bearer " + secret + ", Bearer " + secret, "", true, false},
	} {
		got, sent, err := auth.Bearer(c.header)
		if got != c.secret || sent != c.sent || (err == nil) != c.good {
			t.Errorf("%q gives %q, %v, %v", c.header, got, sent, err)
		}
	}
}

func FuzzBearer(f *testing.F) {
	f.Add("Bearer osier_" + strings.Repeat("a", 52))
	f.Add("Basic x")
	f.Fuzz(func(t *testing.T, sent string) {
		secret, was, err := auth.Bearer(sent)
		if (secret != "") != (was && err == nil) || secret != "" && !model.LooksLikeSecret(secret) {
			t.Errorf("%q gives %q, %v, %v", sent, secret, was, err)
		}
	})
}

func TestCookies(t *testing.T) {
	for _, c := range []struct {
		secure bool
		name   string
	}{{false, "osier-sign-in"}, {true, "__Host-osier-sign-in"}} {
		made := auth.SignedInCookie("secret", time.Hour, c.secure)
		if made.Name != c.name || made.MaxAge != 3600 || !made.HttpOnly || made.Secure != c.secure || made.SameSite != http.SameSiteLaxMode || made.Path != "/" || made.Domain != "" {
			t.Errorf("the cookie is %+v", made)
		}
		r := httptest.NewRequest("GET", "/", nil)
		r.AddCookie(&http.Cookie{Name: made.Name, Value: made.Value})
		if got, other := auth.SignInOf(r, c.secure), auth.SignInOf(r, !c.secure); got != "secret" || other != "" {
			t.Errorf("read %q, and %q over the other kind of connection", got, other)
		}
		if gone := auth.SignedInCookie("", time.Hour, c.secure); gone.MaxAge != -1 {
			t.Errorf("forgetting sets %+v", gone)
		}
	}
}

func TestLimits(t *testing.T) {
	limits, err := auth.NewLimiter()
	if err != nil {
		t.Fatal(err)
	}
	defer limits.Close()
	at, limit := time.Date(2026, 11, 25, 9, 20, 0, 0, time.UTC), auth.Limit{Burst: 3, PerSecs: 0.5}
	for i, want := range []time.Duration{0, 0, 0, 2 * time.Second, 2 * time.Second} { // the refused are not counted
		if got := limits.Take("a", "x", limit, at); got != want {
			t.Errorf("request %d waits %s, want %s", i+1, got, want)
		}
	}
	if got := limits.Spent("a", "x", limit, at.Add(time.Second)); got != time.Second {
		t.Errorf("after a second one waits %s more", got)
	}
	if got := limits.Take("a", "x", limit, at.Add(2*time.Second)); got != 0 {
		t.Errorf("after two seconds one waits %s", got)
	}
	if got := limits.Take("a", "y", limit, at) + limits.Take("b", "x", limit, at); got != 0 {
		t.Errorf("another asker, or another kind, waits %s", got)
	}
	if !limits.Seen("a", "x") || limits.Seen("a", "z") {
		t.Error("who was counted is not told from who was not")
	}
}

// Strangers decide what stands in the map: it stays bounded.
func TestLimitersAreBounded(t *testing.T) {
	limits, err := auth.NewLimiter()
	if err != nil {
		t.Fatal(err)
	}
	defer limits.Close()
	const strangers = 150_000
	limit, at := auth.Limit{Burst: 1, PerSecs: 1}, time.Now()
	for i := range strangers {
		limits.Take("a", fmt.Sprint(i), limit, at)
	}
	held := 0
	for until := time.Now().Add(5 * time.Second); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		held = 0
		for i := range strangers {
			if limits.Seen("a", fmt.Sprint(i)) {
				held++
			}
		}
		if held <= 100_000 {
			return
		}
	}
	t.Errorf("%d limiters are held", held)
}

func TestNeighbourhoods(t *testing.T) {
	for address, want := range map[string]string{
		"192.0.2.7": "192.0.2.7", "::ffff:192.0.2.7": "192.0.2.7", "2001:db8:1:2:3:4:5:6": "2001:db8:1:2::/64", "fe80::1%eth0": "fe80::/64", "::1": "::/64", "": "", "x": "x",
	} {
		if got := auth.Neighbourhood(address); got != want {
			t.Errorf("%q is in %q, want %q", address, got, want)
		}
	}
}
