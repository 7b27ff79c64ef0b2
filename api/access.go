package api

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/cache"
	"osier/model"
)

// Credentials keeps what people show to be let in.
type Credentials interface {
	AnyCredential(ctx context.Context) (bool, error)
	AddToken(ctx context.Context, t model.Token, digest string) error
	TokenByDigest(ctx context.Context, digest string) (model.Token, error)
	Token(ctx context.Context, id string) (model.Token, error)
	Tokens(ctx context.Context, angler, after string, limit int) ([]model.Token, error)
	TouchToken(ctx context.Context, id string, at time.Time) error
	RevokeToken(ctx context.Context, id string, at time.Time) error
	Member(ctx context.Context, id string) (model.Member, error)
	Members(ctx context.Context) ([]model.Member, error)
	AddSignIn(ctx context.Context, digest string, in model.SignIn) error
	SignIn(ctx context.Context, digest string) (model.SignIn, error)
	EndSignIn(ctx context.Context, digest string) error
	AddPendingSignIn(ctx context.Context, digest string, p model.PendingSignIn, at time.Time) error
	TakePendingSignIn(ctx context.Context, digest string) (model.PendingSignIn, error)
}

// Where a request carries who asks, and why that could not be found out.
const (
	whoKey    = "osier.who"
	unsureKey = "osier.unsure"
)

// who is who asks: somebody public when no credential came.
func (s *Server) who(c *gin.Context) model.Principal {
	if p, ok := c.Value(whoKey).(model.Principal); ok {
		return p
	}
	return model.Principal{Role: model.Public}
}

// identify finds out who asks, and holds them to their limit. A credential that
// opens nothing is refused even where none is needed: whoever sent it means to be
// somebody. While the store does not answer, one that cannot be looked up counts
// as none, and what takes one is refused until it can be.
func (s *Server) identify(c *gin.Context) {
	address := auth.Neighbourhood(c.ClientIP())
	p, kind, err := s.principal(c, address)
	switch {
	case model.CodeOf(err) == model.Unavailable && err != nil:
		c.Set(unsureKey, err)
	case err != nil:
		s.refuse(c, err)
		return
	}
	c.Set(whoKey, p)
	name, limit := address, auth.PerAddress
	switch kind {
	case byCredential:
		name, limit = p.Token, auth.PerToken
	case byOpenHouse:
		limit = auth.PerOpenHouse
	case byNothing:
	}
	if wait := s.Limits.Take(string(kind), name, limit, time.Now()); wait > 0 {
		s.refuse(c, tooMany(c, wait, "requests"))
	}
}

// refuse answers with a problem, as a page to who reads pages, and ends the
// request.
func (s *Server) refuse(c *gin.Context, err error) {
	if wantsPage(c.Request) {
		s.writeRefusal(c, err)
	} else {
		s.writeProblem(c, err)
	}
	c.Abort()
}

// tooMany refuses one request more than is taken, and says when to come again.
func tooMany(c *gin.Context, wait time.Duration, what string) error {
	seconds := int(wait.Seconds()) + 1
	c.Header("Retry-After", strconv.Itoa(seconds))
	return &model.Error{Code: model.TooMany, Field: what, Wrong: "there were too many in a short time", Right: "try again in " + strconv.Itoa(seconds) + " s"}
}

// identified is by what somebody was found to be who they are.
type identified string

const (
	byNothing    identified = "address"
	byCredential identified = "credential"
	byOpenHouse  identified = "open house"
)

// principal reads the credential of a request: a token, else the browser's
// cookie, else the open house.
func (s *Server) principal(c *gin.Context, address string) (model.Principal, identified, error) {
	public := model.Principal{Role: model.Public}
	secret, sent, err := auth.Bearer(c.GetHeader("Authorization"))
	if sent {
		// One that was good lately passes: who tries others behind the same router
		// keeps nobody else out.
		wait := s.Limits.Spent("failed", address, auth.PerFailure, time.Now())
		if wait > 0 && !s.Limits.Seen("good", model.SecretDigest(secret)) {
			return public, byNothing, tooMany(c, wait, "credentials that open nothing")
		}
		if err == nil {
			var t model.Token
			if t, err = s.goodToken(c, secret); err == nil {
				return t.Principal(), byCredential, nil
			}
		}
		if model.CodeOf(err) == model.NoCredential {
			s.Limits.Take("failed", address, auth.PerFailure, time.Now())
		}
		return public, byNothing, err
	}
	p, ok, err := s.signedIn(c)
	if err != nil {
		return public, byNothing, err
	}
	if ok {
		return p, byCredential, nil
	}
	open, err := s.openHouse(c)
	if err != nil || !open {
		return public, byNothing, err
	}
	return model.Principal{Role: model.Administrator}, byOpenHouse, nil
}

// goodToken finds the token of a secret that lets somebody in, and notes that it
// is used. One for a calendar program lets nobody in: its address is kept in more
// places than a credential is.
func (s *Server) goodToken(c *gin.Context, secret string) (model.Token, error) {
	return s.tokenOf(c, secret, false)
}

// tokenOf finds the token of a secret, which must be one for a calendar program,
// or must be none.
func (s *Server) tokenOf(c *gin.Context, secret string, calendar bool) (model.Token, error) {
	ctx, now := c.Request.Context(), s.Now()
	t, err := s.Credentials.TokenByDigest(ctx, model.SecretDigest(secret))
	switch {
	case model.CodeOf(err) == model.NotFound && err != nil, err == nil && (!t.Good(now) || t.Calendar != calendar):
		return t, auth.BadCredential()
	case err != nil:
		return t, err
	}
	s.Limits.Take("good", model.SecretDigest(secret), touched, time.Now())
	s.touch(c, t)
	return t, nil
}

// touched is how often the use of a token is written down at most. Our choice.
var touched = auth.Limit{Burst: 1, PerSecs: 1.0 / 60}

// touch notes the last use of a token, now and then. That it cannot is no reason
// to refuse a reader.
func (s *Server) touch(c *gin.Context, t model.Token) {
	if s.Limits.Take("touch", t.ID, touched, time.Now()) > 0 {
		return
	}
	if err := s.Credentials.TouchToken(c.Request.Context(), t.ID, s.Now()); err != nil {
		s.logOf(c).Warn("note the use of a token", "error", err)
	}
}

// signedIn finds whose browser asks. A cookie that is over is as none: nobody
// typed it.
func (s *Server) signedIn(c *gin.Context) (p model.Principal, ok bool, err error) {
	secret := auth.SignInOf(c.Request, s.secure(c))
	if !model.LooksLikeSecret(secret) {
		return model.Principal{Role: model.Public}, false, nil
	}
	ctx, now := c.Request.Context(), s.Now()
	in, err := s.Credentials.SignIn(ctx, model.SecretDigest(secret))
	switch {
	case err != nil:
	case !now.Before(in.ExpiresAt):
		return model.Principal{Role: model.Public}, false, nil
	case in.Member != "":
		var m model.Member
		if m, err = s.Credentials.Member(ctx, in.Member); err == nil {
			return m.Principal(), true, nil
		}
	default:
		var t model.Token
		if t, err = s.Credentials.Token(ctx, in.Token); err == nil && t.Good(now) {
			s.touch(c, t)
			return t.Principal(), true, nil
		}
	}
	if model.CodeOf(err) == model.NotFound {
		err = nil
	}
	return model.Principal{Role: model.Public}, false, err
}

// secure says whether the browser reached us over https, by ourselves or by what
// stands in front of us.
func (s *Server) secure(c *gin.Context) bool {
	return c.Request.TLS != nil || strings.HasPrefix(s.PublicURL, "https://")
}

// openHouse says whether whoever asks counts as the administrator: only who sits
// at this machine can reach it, and no credential was ever made here.
func (s *Server) openHouse(c *gin.Context) (bool, error) {
	if !s.Loopback || !fromHere(c.Request) {
		return false, nil
	}
	pointer := "credentials/" + strconv.FormatInt(s.tokensMade.Load(), 10)
	e, err := s.Pointers.LoadCurrent(c.Request.Context(), pointer, func(ctx context.Context) (cache.Entry, error) {
		made, err := s.Credentials.AnyCredential(ctx)
		return cache.NewEntry(strconv.AppendBool(nil, made), s.Pointers.Now(), revisionFresh, revisionStale), err
	})
	return string(e.Value) == "false", err
}

// fromHere says whether a request names this machine and came straight from it.
// A page elsewhere may point a name of its own at 127.0.0.1, and a proxy on this
// machine passes on what strangers ask: neither is the person who sits here.
func fromHere(r *http.Request) bool {
	for _, passedOn := range []string{"Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-Ip", "Via"} {
		if r.Header.Get(passedOn) != "" {
			return false
		}
	}
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = strings.Trim(r.Host, "[]")
	}
	ip, err := netip.ParseAddr(host)
	return strings.EqualFold(host, "localhost") || err == nil && ip.IsLoopback()
}

// surely is why somebody is refused: that a credential could not be looked up
// comes before that it does not reach.
func (s *Server) surely(c *gin.Context, refusal error) error {
	if unsure, ok := c.Value(unsureKey).(error); ok {
		return unsure
	}
	return refusal
}

// admit asks the rule of a route before its handler runs.
func (s *Server) admit(a auth.Access, writes bool) gin.HandlerFunc {
	return func(c *gin.Context) {
		err := a.Admit(s.who(c), c.Param("club"), writes)
		if err == nil && a == auth.Officers {
			err = s.mayDecideFor(c)
		}
		if err == nil {
			return
		}
		err = s.surely(c, err)
		if model.CodeOf(err) == model.NoCredential && isRead(c.Request.Method) && wantsPage(c.Request) {
			c.Redirect(http.StatusSeeOther, "/sign-in?next="+url.QueryEscape(c.Request.URL.RequestURI()))
			c.Abort()
			return
		}
		s.refuse(c, err)
	}
}

// mayDecideFor refuses an officer of a club that nobody registered: what waters
// such a club looks after is not known, so it would decide about all of them.
func (s *Server) mayDecideFor(c *gin.Context) error {
	if s.who(c).Role == model.Administrator {
		return nil
	}
	_, err := s.Clubs.Club(c.Request.Context(), c.Param("club"))
	if err != nil && model.CodeOf(err) == model.NotFound {
		return &model.Error{Code: model.Forbidden, Field: "club", Wrong: "the club is not registered here", Right: "ask the administrator to register it with its waters"}
	}
	return err
}

// wantsPage says whether somebody uses a page in a browser, who is better told by
// a page than by a problem document.
func wantsPage(r *http.Request) bool {
	return !strings.HasPrefix(r.URL.Path, "/v1/") && strings.Contains(r.Header.Get("Accept"), "text/html")
}
