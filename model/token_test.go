package model_test

import (
	"bytes"
	"crypto/rand"
	"regexp"
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestSecretsAreOf256BitsAndRecognisable(t *testing.T) {
	form := regexp.MustCompile(`^osier_[a-z2-7]{52}$`)
	seen := map[string]bool{}
	for range 100 {
		secret, err := model.NewSecret(rand.Reader)
		if err != nil || !form.MatchString(secret) || !model.LooksLikeSecret(secret) || seen[secret] {
			t.Fatalf("secret %q, error %v, seen before: %v", secret, err, seen[secret])
		}
		seen[secret] = true
	}
	// From bits that are known: 32 bytes of 0 and of 255, by RFC 4648, section 6,
	// in small letters.
	for bits, want := range map[byte]string{0: strings.Repeat("a", 52), 255: strings.Repeat("7", 51) + "q"} {
		got, err := model.NewSecret(bytes.NewReader(bytes.Repeat([]byte{bits}, 32)))
		if err != nil || got != "osier_"+want {
			t.Errorf("bits of %d make %q, want %q (%v)", bits, got, "osier_"+want, err)
		}
	}
	if _, err := model.NewSecret(bytes.NewReader(make([]byte, 31))); err == nil {
		t.Error("a source that runs out makes a secret")
	}
	// FIPS 180-4's own example, "abc".
	if got := model.SecretDigest("abc"); got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Errorf("the digest is %s", got)
	}
}

func TestWhatLooksLikeNoSecret(t *testing.T) {
	good := "osier_" + strings.Repeat("a", 52)
	for _, text := range []string{"", "osier_", good[:57], good + "a", strings.ToUpper(good), " " + good, strings.Replace(good, "a", "1", 1), "ghost_" + strings.Repeat("a", 52)} {
		if model.LooksLikeSecret(text) {
			t.Errorf("%q looks like one", text)
		}
	}
}

func TestTokensThatReachNothingOrTooFarAreRefused(t *testing.T) {
	at := time.Date(2026, 11, 25, 9, 20, 0, 500, time.UTC)
	secret := "osier_" + strings.Repeat("a", 52)
	for _, c := range []struct {
		name  string
		token model.Token
		field string // empty where it is good
	}{
		{"an angler's", model.Token{Role: model.AnglerRole, Angler: "rush"}, ""},
		{"an officer's", model.Token{Role: model.Officer, Clubs: []string{"quill-club", "other-club"}, ReadOnly: true}, ""},
		{"an officer's with a handle", model.Token{Role: model.Officer, Angler: "rush", Clubs: []string{"quill-club"}}, ""},
		{"an administrator's", model.Token{Role: model.Administrator, ExpiresAt: model.Known(at.Add(time.Hour))}, ""},
		{"an angler's for a calendar", model.Token{Role: model.AnglerRole, Angler: "rush", Calendar: true}, ""},
		{"an officer's for a calendar", model.Token{Role: model.Officer, Angler: "rush", Clubs: []string{"quill-club"}, Calendar: true}, "calendar"},
		{"nobody's", model.Token{}, "role"},
		{"the public's", model.Token{Role: model.Public}, "role"},
		{"of an unknown role", model.Token{Role: "bailiff"}, "role"},
		{"an angler's without a handle", model.Token{Role: model.AnglerRole}, "angler"},
		{"of a name that is no handle", model.Token{Role: model.AnglerRole, Angler: "rush hour"}, "angler"},
		{"an officer's of no club", model.Token{Role: model.Officer}, "clubs"},
		{"an officer's of one club twice", model.Token{Role: model.Officer, Clubs: []string{"quill-club", "quill-club"}}, "clubs"},
		{"an officer's of what is no club", model.Token{Role: model.Officer, Clubs: []string{"Quill Club"}}, "clubs"},
		{"an angler's with a club", model.Token{Role: model.AnglerRole, Angler: "rush", Clubs: []string{"quill-club"}}, "clubs"},
		{"one that has expired", model.Token{Role: model.Administrator, ExpiresAt: model.Known(at)}, "expires_at"},
		{"with a label of two lines", model.Token{Role: model.Administrator, Label: "a\nb"}, "label"},
		{"with a label of 81 characters", model.Token{Role: model.Administrator, Label: strings.Repeat("é", 81)}, "label"},
	} {
		made, err := c.token.Made(secret, at)
		if got := fieldOf(err); got != c.field || err != nil && model.CodeOf(err) != model.Invalid {
			t.Errorf("%s: error %v about %q, want %q", c.name, err, got, c.field)
		}
		if err == nil && (!regexp.MustCompile(`^t-[0-9a-f]{16}$`).MatchString(made.ID) || !made.MadeAt.Equal(at.Truncate(time.Second)) || made.RevokedAt.Known || made.ReadOnly != (c.token.ReadOnly || c.token.Calendar)) {
			t.Errorf("%s: made is %+v", c.name, made)
		}
	}
}

func TestATokenIsGoodUntilItEnds(t *testing.T) {
	at := time.Date(2026, 11, 25, 9, 20, 0, 0, time.UTC)
	ending := model.Token{ExpiresAt: model.Known(at)}
	for _, c := range []struct {
		name  string
		token model.Token
		at    time.Time
		want  bool
	}{
		{"without an end", model.Token{}, at.AddDate(50, 0, 0), true},
		{"a second before its end", ending, at.Add(-time.Second), true},
		{"at its end", ending, at, false},
		{"once revoked", model.Token{RevokedAt: model.Known(at)}, at.Add(-time.Hour), false},
	} {
		if got := c.token.Good(c.at); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func TestMembersThatNoSignInCouldFindAreRefused(t *testing.T) {
	good := model.Member{Issuer: "https://login.example", Subject: "248289", Role: model.Officer, Clubs: []string{"quill-club"}}
	for _, c := range []struct {
		name  string
		spoil func(m *model.Member)
		field string
	}{
		{"as it should be", func(*model.Member) {}, ""},
		{"by address", func(m *model.Member) { m.Subject, m.Email = "", "post@quill.example" }, ""},
		{"of no service", func(m *model.Member) { m.Issuer = "" }, "issuer"},
		{"by nothing", func(m *model.Member) { m.Subject = "" }, "subject"},
		{"by both", func(m *model.Member) { m.Email = "post@quill.example" }, "subject"},
		{"by an endless subject", func(m *model.Member) { m.Subject = strings.Repeat("1", 256) }, "subject"},
		{"by what is no address", func(m *model.Member) { m.Subject, m.Email = "", "post" }, "email"},
		{"an officer of nothing", func(m *model.Member) { m.Clubs = nil }, "clubs"},
	} {
		m := good
		c.spoil(&m)
		if err := m.Validate(); fieldOf(err) != c.field {
			t.Errorf("%s: error %v, want one about %q", c.name, err, c.field)
		}
	}
	upper, lower := model.Member{Issuer: "i", Email: "Post@quill.example"}, model.Member{Issuer: "i", Email: "post@quill.example"}
	if upper.DerivedID() != lower.DerivedID() || upper.DerivedID() == good.DerivedID() {
		t.Error("members are not told apart by what the service calls them")
	}
}

func TestARecordUnderAnothersNameGetsItsOwn(t *testing.T) {
	mine := model.Session{ID: "s-0123456789abcdef", Water: "quillmarsh-pit", Angler: "moss", Group: model.Bream}
	if got := mine.UnderOwnName(); got.ID != mine.DerivedID() {
		t.Errorf("it is %s, want %s", got.ID, mine.DerivedID())
	}
	for _, id := range []string{"", "s-live", "s-0123456789abcdef0123", "rush-1"} {
		mine.ID = id
		if got := mine.UnderOwnName().ID; got != id {
			t.Errorf("%q became %q", id, got)
		}
	}
}
