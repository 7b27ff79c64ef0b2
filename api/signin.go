package api

import (
	"crypto/rand"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/page"
	"osier/model"
)

// maxFormBytes is the largest form that is taken.
const maxFormBytes = 16 << 10

// signIns adds the routes by which browsers are let in and out.
func (s *Server) signIns() {
	s.page(page.SignInPath, auth.Public, s.showSignIn)
	s.engine.POST(page.SignInPath, s.admit(auth.Public, false), s.servePage(s.postSignIn))
	s.engine.POST("/sign-out", s.admit(auth.Public, false), s.servePage(s.postSignOut))
	if s.Provider != nil {
		s.page(page.SignInServicePath, auth.Public, s.toService)
		s.page("/sign-in/return", auth.Public, s.fromService)
	}
}

// showSignIn answers GET /sign-in: the form, or who is signed in.
func (s *Server) showSignIn(c *gin.Context) (answer, error) {
	return s.signInPage(c, http.StatusOK, ownPath(c.Query("next")), "")
}

func (s *Server) signInPage(c *gin.Context, status int, next, wrong string) (answer, error) {
	shown := page.SignIn{Wrong: wrong, Next: next, ByService: s.Provider != nil, Demo: s.Demo}
	if p := s.who(c); p.Token != "" {
		shown.Who = inWords(p)
	}
	body, err := page.SignInPage(shown)
	a := framed(body, "no-store")
	a.status = status
	return a, err
}

// inWords says who somebody is.
func inWords(p model.Principal) string {
	said := map[model.Role]string{model.AnglerRole: "angler", model.Officer: "officer of " + strings.Join(p.Clubs, ", "), model.Administrator: "administrator"}[p.Role]
	if p.Angler != "" {
		said += " " + p.Angler
	}
	return said
}

// ownPath is a page of our own to go on to: never an address elsewhere, whoever
// wrote the link.
func ownPath(next string) string {
	u, err := url.Parse(next)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\r\n\t") {
		return page.FrontPath
	}
	return next
}

// postSignIn answers POST /sign-in: lets a browser in with a token.
func (s *Server) postSignIn(c *gin.Context) (answer, error) {
	body, err := readBody(c, maxFormBytes, "application/x-www-form-urlencoded")
	if err != nil {
		return answer{}, err
	}
	form, err := url.ParseQuery(string(body))
	if err != nil {
		return answer{}, model.Invalidf("body", "send the form as the page does", "it is no form")
	}
	next, secret := ownPath(form.Get("next")), strings.TrimSpace(form.Get("token"))
	t, err := s.tried(c, secret)
	switch code := model.CodeOf(err); {
	case err == nil:
	case code == model.NoCredential:
		return s.signInPage(c, http.StatusUnauthorized, next, "That token opens nothing: it is not known here, has expired or was revoked.")
	default:
		return answer{}, err
	}
	in := model.SignIn{Token: t.ID, MadeAt: s.Now(), ExpiresAt: s.Now().Add(auth.SignInFor)}
	if t.ExpiresAt.Known && t.ExpiresAt.Value.Before(in.ExpiresAt) {
		in.ExpiresAt = t.ExpiresAt.Value
	}
	return s.letIn(c, in, next)
}

// tried finds the token that somebody typed, and counts those that open nothing.
func (s *Server) tried(c *gin.Context, secret string) (model.Token, error) {
	address := auth.Neighbourhood(c.ClientIP())
	if wait := s.Limits.Spent("failed", address, auth.PerFailure, time.Now()); wait > 0 {
		return model.Token{}, tooMany(c, wait, "credentials that open nothing")
	}
	t, err := model.Token{}, auth.BadCredential()
	if model.LooksLikeSecret(secret) {
		t, err = s.goodToken(c, secret)
	}
	if err != nil && model.CodeOf(err) == model.NoCredential {
		s.Limits.Take("failed", address, auth.PerFailure, time.Now())
	}
	return t, err
}

// letIn gives a browser a cookie of its own, new at every sign-in, and sends it on.
func (s *Server) letIn(c *gin.Context, in model.SignIn, next string) (answer, error) {
	secret, err := model.NewSecret(rand.Reader)
	if err != nil {
		return answer{}, err
	}
	if err := s.Credentials.AddSignIn(c.Request.Context(), model.SecretDigest(secret), in); err != nil {
		return answer{}, err
	}
	http.SetCookie(c.Writer, auth.SignedInCookie(secret, in.ExpiresAt.Sub(in.MadeAt), s.secure(c)))
	return onTo(next), nil
}

// postSignOut answers POST /sign-out: the cookie opens nothing any more.
func (s *Server) postSignOut(c *gin.Context) (answer, error) {
	secure := s.secure(c)
	if secret := auth.SignInOf(c.Request, secure); secret != "" {
		if err := s.Credentials.EndSignIn(c.Request.Context(), model.SecretDigest(secret)); err != nil {
			return answer{}, err
		}
	}
	http.SetCookie(c.Writer, auth.SignedInCookie("", 0, secure))
	return onTo(page.FrontPath), nil
}

// onTo sends a browser to another page.
func onTo(next string) answer {
	return answer{status: http.StatusSeeOther, header: http.Header{"Location": {next}, "Referrer-Policy": {"no-referrer"}}}
}
