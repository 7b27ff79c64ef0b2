package storetest

import (
	"context"
	"testing"
	"time"

	"osier/model"
)

// token is an invented officer's credential with everything set that may be when
// it is made.
func token(id string) model.Token {
	return model.Token{
		ID: id, Label: "the hut's tablet", Role: model.Officer, Angler: "VP", Clubs: []string{"quill-club"}, ReadOnly: true,
		MadeAt: noon, ExpiresAt: model.Known(noon.Add(time.Hour)),
	}
}

func tokens(t *testing.T, s Store) {
	ctx := t.Context()
	any, err := s.AnyCredential(ctx)
	if got(t, any, err) {
		t.Error("a new store says that it has a credential")
	}
	first, own, other := token("t-1"), token("t-2"), token("t-3")
	own.Role, own.Clubs, own.MadeBy, own.ExpiresAt = model.AnglerRole, nil, "t-1", model.Maybe[time.Time]{}
	other.Angler = "RJ"
	for digest, made := range map[string]model.Token{"d-1": first, "d-2": own, "d-3": other} {
		done(t, s.AddToken(ctx, made, digest))
	}
	if err := s.AddToken(ctx, token("t-4"), "d-1"); err == nil {
		t.Error("two tokens have one secret")
	}
	any, err = s.AnyCredential(ctx)
	if !got(t, any, err) {
		t.Error("a store with tokens says that it has no credential")
	}
	found, err := s.TokenByDigest(ctx, "d-2")
	wantSame(t, "by its digest", own, got(t, found, err))
	found, err = s.Token(ctx, "t-1")
	wantSame(t, "by its identifier", first, got(t, found, err))
	_, err = s.TokenByDigest(ctx, "d-9")
	wantError(t, err, model.NotFound, "no token")
	_, err = s.Token(ctx, "t-9")
	wantError(t, err, model.NotFound, "t-9")

	for _, c := range []struct {
		name, angler, after string
		limit               int
		want                []model.Token
	}{
		{"all", "", "", 9, []model.Token{first, own, other}},
		{"an angler's", "VP", "", 9, []model.Token{first, own}},
		{"a page of one", "", "", 1, []model.Token{first}},
		{"the page after it", "", "t-1", 1, []model.Token{own}},
		{"the end", "", "t-3", 1, nil},
	} {
		list, err := s.Tokens(ctx, c.angler, c.after, c.limit)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
}

func tokenEnds(t *testing.T, s Store) {
	ctx := t.Context()
	own := token("t-2")
	own.MadeBy = "t-1"
	done(t, s.AddToken(ctx, token("t-1"), "d-1"))
	done(t, s.AddToken(ctx, own, "d-2"))
	done(t, s.AddToken(ctx, token("t-3"), "d-3"))
	wantError(t, s.RevokeToken(ctx, "t-9", noon), model.NotFound, "t-9")
	done(t, s.RevokeToken(ctx, "t-1", noon.Add(time.Minute)))
	done(t, s.RevokeToken(ctx, "t-1", noon.Add(time.Hour))) // the first time stays
	for id, revoked := range map[string]model.Maybe[time.Time]{
		"t-1": model.Known(noon.Add(time.Minute)),
		"t-2": model.Known(noon.Add(time.Minute)), // made with it
		"t-3": {},
	} {
		found, err := s.Token(ctx, id)
		wantSame(t, "end of "+id, revoked, got(t, found, err).RevokedAt)
	}
	any, err := s.AnyCredential(ctx)
	if !got(t, any, err) {
		t.Error("tokens that are revoked count as never made")
	}
}

// The last use is written once a minute at most, and is no change to anything
// that a plan rests on.
func tokenUse(t *testing.T, s Store) {
	ctx := t.Context()
	done(t, s.AddToken(ctx, token("t-1"), "d-1"))
	before := revision(t, s)
	for _, c := range []struct{ at, want time.Duration }{
		{0, 0}, {59 * time.Second, 0}, {time.Minute, time.Minute}, {30 * time.Second, time.Minute}, {2 * time.Minute, 2 * time.Minute},
	} {
		done(t, s.TouchToken(ctx, "t-1", noon.Add(c.at)))
		found, err := s.Token(ctx, "t-1")
		wantSame(t, "last use after one at "+c.at.String(), model.Known(noon.Add(c.want)), got(t, found, err).LastUsedAt)
	}
	wantSame(t, "the revision", before, revision(t, s))
}

func members(t *testing.T, s Store) {
	ctx := t.Context()
	m := model.Member{ID: "u-1", Issuer: "https://login.example", Subject: "248289", Role: model.Officer, Clubs: []string{"quill-club"}, AddedAt: noon}
	done(t, s.PutMember(ctx, m))
	m.Angler = "VP"
	done(t, s.PutMember(ctx, m))
	other := m
	other.ID, other.Subject, other.Email = "u-2", "", "post@quill.example"
	done(t, s.PutMember(ctx, other))
	list, err := s.Members(ctx)
	wantSame(t, "members", []model.Member{m, other}, got(t, list, err))
	found, err := s.Member(ctx, "u-1")
	wantSame(t, "a member", m, got(t, found, err))

	own := token("t-1")
	own.MadeBy = "u-1"
	done(t, s.AddToken(ctx, own, "d-1"))
	done(t, s.AddSignIn(ctx, "cookie-1", model.SignIn{Member: "u-1", MadeAt: noon, ExpiresAt: noon.AddDate(0, 0, 14)}))
	done(t, s.AddSignIn(ctx, "cookie-2", model.SignIn{Member: "u-2", MadeAt: noon, ExpiresAt: noon.AddDate(0, 0, 14)}))
	done(t, s.RemoveMember(ctx, "u-1", noon))
	_, err = s.SignIn(ctx, "cookie-1") // also when the member is added again
	wantError(t, err, model.NotFound)
	_, err = s.SignIn(ctx, "cookie-2")
	done(t, err)
	wantError(t, s.RemoveMember(ctx, "u-1", noon), model.NotFound, "u-1")
	_, err = s.Member(ctx, "u-1")
	wantError(t, err, model.NotFound, "u-1")
	list, err = s.Members(ctx)
	wantSame(t, "members once one was removed", []model.Member{other}, got(t, list, err))
	made, err := s.Token(ctx, "t-1")
	wantSame(t, "the end of the token that the removed one made", model.Known(noon), got(t, made, err).RevokedAt)
	done(t, s.PutMember(ctx, m))
	found, err = s.Member(ctx, "u-1")
	wantSame(t, "one that was added again", m, got(t, found, err))
}

func signIns(t *testing.T, s Store) {
	ctx := t.Context()
	in := model.SignIn{Token: "t-1", MadeAt: noon, ExpiresAt: noon.Add(time.Hour)}
	done(t, s.AddSignIn(ctx, "d-1", in))
	found, err := s.SignIn(ctx, "d-1")
	wantSame(t, "a sign-in", in, got(t, found, err))
	later := model.SignIn{Member: "u-1", MadeAt: noon.Add(time.Hour), ExpiresAt: noon.Add(2 * time.Hour)}
	done(t, s.AddSignIn(ctx, "d-2", later)) // those that are over go
	_, err = s.SignIn(ctx, "d-1")
	wantError(t, err, model.NotFound, "sign-in")
	done(t, s.EndSignIn(ctx, "d-2"))
	done(t, s.EndSignIn(ctx, "d-2"))
	_, err = s.SignIn(ctx, "d-2")
	wantError(t, err, model.NotFound, "sign-in")
}

// A sign-in under way is found once.
func pendingSignIns(t *testing.T, s Store) {
	ctx := t.Context()
	p := model.PendingSignIn{Nonce: "n", Verifier: "v", Next: "/clubs/quill-club", ExpiresAt: noon.Add(time.Minute)}
	done(t, s.AddPendingSignIn(ctx, "d-1", p, noon))
	found, err := s.TakePendingSignIn(ctx, "d-1")
	wantSame(t, "one that comes back", p, got(t, found, err))
	_, err = s.TakePendingSignIn(ctx, "d-1")
	wantError(t, err, model.NotFound, "state")
	done(t, s.AddPendingSignIn(ctx, "d-2", p, noon))
	done(t, s.AddPendingSignIn(ctx, "d-3", p, noon.Add(time.Minute))) // the one before never came back
	_, err = s.TakePendingSignIn(ctx, "d-2")
	wantError(t, err, model.NotFound, "state")
}

func sharedSessions(t *testing.T, s Store) {
	ctx := t.Context()
	shared := func(i int, clubs ...string) model.Session {
		v := session(i)
		v.SharedWith = clubs
		return v
	}
	first, second, private := shared(1, "quill-club"), shared(2, "quill-club", "other-club"), shared(3)
	for _, v := range []model.Session{first, second, private} {
		done(t, s.AddSession(ctx, v))
	}
	for _, c := range []struct {
		name, club  string
		beforeStart time.Time
		before      string
		limit       int
		want        []model.Session
	}{
		{"a club's, the newest first", "quill-club", time.Time{}, "", 9, []model.Session{second, first}},
		{"one a page", "quill-club", time.Time{}, "", 1, []model.Session{second}},
		{"the page after it", "quill-club", second.Start, second.ID, 1, []model.Session{first}},
		{"the end", "quill-club", first.Start, first.ID, 1, nil},
		{"another club's", "other-club", time.Time{}, "", 9, []model.Session{second}},
		{"of a club that nobody shares with", "no-club", time.Time{}, "", 9, nil},
	} {
		list, err := s.SharedSessions(ctx, c.club, c.beforeStart, c.before, c.limit)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
	done(t, s.PutJoined(ctx, []model.JoinedSession{joinedOf(second)}))
	ended := shared(2, "other-club")
	done(t, s.ReplaceSession(ctx, ended, 1))
	joined, err := s.Joined(ctx)
	wantSame(t, "what was joined, once sharing was ended", []model.JoinedSession{joinedOf(second)}, got(t, joined, err))
	done(t, s.DeleteSession(ctx, first.ID))
	list, err := s.SharedSessions(ctx, "quill-club", time.Time{}, "", 9)
	wantSame(t, "once sharing one was ended and the other deleted", []model.Session(nil), got(t, list, err))
	list, err = s.SharedSessions(ctx, "other-club", time.Time{}, "", 9)
	wantSame(t, "the club that it is still shared with", []model.Session{ended}, got(t, list, err))
}

func sessionClaims(t *testing.T, s Store) {
	ctx := t.Context()
	angler, err := s.SessionClaim(ctx, "s-live")
	wantSame(t, "of a session that nobody began", "", got(t, angler, err))
	for _, c := range []struct{ by, want string }{{"VP", "VP"}, {"RJ", "VP"}, {"VP", "VP"}} {
		owner, err := s.ClaimSession(ctx, "s-live", c.by)
		wantSame(t, "claimed by "+c.by, c.want, got(t, owner, err))
	}
	angler, err = s.SessionClaim(ctx, "s-live")
	wantSame(t, "its angler", "VP", got(t, angler, err))
}

// credentialStore is the part of a store that keeps who may do what.
type credentialStore interface {
	AddToken(ctx context.Context, t model.Token, digest string) error
	TokenByDigest(ctx context.Context, digest string) (model.Token, error)
	Token(ctx context.Context, id string) (model.Token, error)
	Tokens(ctx context.Context, angler, after string, limit int) ([]model.Token, error)
	TouchToken(ctx context.Context, id string, at time.Time) error
	RevokeToken(ctx context.Context, id string, at time.Time) error
	AnyCredential(ctx context.Context) (bool, error)
	PutMember(ctx context.Context, m model.Member) error
	Member(ctx context.Context, id string) (model.Member, error)
	Members(ctx context.Context) ([]model.Member, error)
	RemoveMember(ctx context.Context, id string, at time.Time) error
	AddSignIn(ctx context.Context, digest string, in model.SignIn) error
	SignIn(ctx context.Context, digest string) (model.SignIn, error)
	EndSignIn(ctx context.Context, digest string) error
	AddPendingSignIn(ctx context.Context, digest string, p model.PendingSignIn, at time.Time) error
	TakePendingSignIn(ctx context.Context, digest string) (model.PendingSignIn, error)
	SharedSessions(ctx context.Context, club string, beforeStart time.Time, beforeID string, limit int) ([]model.Session, error)
	ClaimSession(ctx context.Context, session, angler string) (owner string, err error)
	SessionClaim(ctx context.Context, session string) (angler string, err error)
}
