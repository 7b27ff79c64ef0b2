package api

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// Provider is a club's own sign-in service.
type Provider interface {
	// Address is where a browser asks to be let in.
	Address(ctx context.Context, state, nonce, verifier string) (string, error)
	// Identity is whom the service vouches for, by the code it sent back.
	Identity(ctx context.Context, code, nonce, verifier string) (auth.Identity, error)
}

// toService answers GET /sign-in/service: sends a browser to the sign-in service
// with a state that only this browser can bring back, and only once.
func (s *Server) toService(c *gin.Context) (answer, error) {
	state, nonce, verifier := rand.Text(), rand.Text(), rand.Text()+rand.Text()
	address, err := s.Provider.Address(c.Request.Context(), state, nonce, verifier)
	if err != nil {
		return answer{}, serviceDown(err)
	}
	pending := model.PendingSignIn{Nonce: nonce, Verifier: verifier, Next: ownPath(c.Query("next")), ExpiresAt: s.Now().Add(auth.StateFor)}
	if err := s.Credentials.AddPendingSignIn(c.Request.Context(), model.SecretDigest(state), pending, s.Now()); err != nil {
		return answer{}, err
	}
	http.SetCookie(c.Writer, auth.StateCookie(state, s.secure(c)))
	return onTo(address), nil
}

func serviceDown(err error) error {
	return &model.Error{Code: model.Unavailable, Field: "sign-in service", Wrong: "it does not answer", Right: "try again in a few minutes, or sign in with a token", Err: err}
}

// fromService answers GET /sign-in/return: lets in whom the service vouches for,
// if the administrator wrote them down as a member.
func (s *Server) fromService(c *gin.Context) (answer, error) {
	ctx, secure := c.Request.Context(), s.secure(c)
	state := c.Query("state")
	own := auth.StateOf(c.Request, secure)
	http.SetCookie(c.Writer, auth.StateCookie("", secure))
	if own == "" || subtle.ConstantTimeCompare([]byte(own), []byte(state)) != 1 {
		return s.notLetIn(c, "This sign-in was not begun in this browser, or took too long.")
	}
	pending, err := s.Credentials.TakePendingSignIn(ctx, model.SecretDigest(state))
	switch {
	case err != nil && model.CodeOf(err) == model.NotFound, err == nil && !s.Now().Before(pending.ExpiresAt):
		return s.notLetIn(c, "This sign-in is over: it took too long, or was used before.")
	case err != nil:
		return answer{}, err
	}
	if c.Query("code") == "" {
		return s.notLetIn(c, "The sign-in service did not let you in.")
	}
	who, err := s.Provider.Identity(ctx, c.Query("code"), pending.Nonce, pending.Verifier)
	if errors.Is(err, auth.ErrNotVouched) {
		s.logOf(c).Warn("a sign-in was refused", "error", err)
		return s.notLetIn(c, "What the sign-in service sent back cannot be trusted.")
	}
	if err != nil {
		return answer{}, serviceDown(err)
	}
	m, err := s.memberOf(ctx, who)
	if model.CodeOf(err) == model.NotFound {
		s.logOf(c).Warn("somebody who is no member signed in", "subject", who.Subject)
		return s.notLetIn(c, "The sign-in service knows you, and here you are no member yet. Ask your club's administrator to add you.")
	}
	if err != nil {
		return answer{}, err
	}
	return s.letIn(c, model.SignIn{Member: m.ID, MadeAt: s.Now(), ExpiresAt: s.Now().Add(auth.SignInFor)}, pending.Next)
}

// notLetIn shows the form again, and why.
func (s *Server) notLetIn(c *gin.Context, wrong string) (answer, error) {
	return s.signInPage(c, http.StatusForbidden, "/", wrong+" Begin again here.")
}

// memberOf finds who a vouched-for person is here: by what the service calls
// them, or by an address that it has verified. The subject comes first, since an
// address may pass to somebody else.
func (s *Server) memberOf(ctx context.Context, who auth.Identity) (model.Member, error) {
	members, err := s.Credentials.Members(ctx)
	if err != nil {
		return model.Member{}, err
	}
	for _, m := range members {
		if m.Issuer == who.Issuer && m.Subject != "" && m.Subject == who.Subject {
			return m, nil
		}
	}
	for _, m := range members {
		if m.Issuer == who.Issuer && m.Email != "" && strings.EqualFold(m.Email, who.Email) {
			return m, nil
		}
	}
	return model.Member{}, model.NotFoundf("member", "", "nobody of that name is a member here")
}
