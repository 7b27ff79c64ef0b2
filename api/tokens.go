package api

import (
	"crypto/rand"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// tokenAsked is what may be said of a token that is to be made.
type tokenAsked struct {
	Label     string                 `json:"label"`
	Role      model.Role             `json:"role"`
	Angler    string                 `json:"angler"`
	Clubs     []string               `json:"clubs"`
	ReadOnly  bool                   `json:"read_only"`
	Calendar  bool                   `json:"calendar"`
	ExpiresAt model.Maybe[time.Time] `json:"expires_at"`
}

// tokenMade answers with a token and, this once, its secret.
type tokenMade struct {
	Token  model.Token `json:"token"`
	Secret string      `json:"secret"`
	Demo   bool        `json:"demo"`
}

// postToken answers POST /v1/tokens: makes a credential. An administrator makes
// any, and an angler their own. The answer is the one place where the secret
// stands, so it is not kept under an idempotency key.
func (s *Server) postToken(c *gin.Context) (answer, error) {
	defer s.tokensMade.Add(1) // whatever came of it
	asked := tokenAsked{ExpiresAt: model.Known(s.Now().Add(model.UsualTokenLife))}
	if _, err := readJSON(c, &asked); err != nil {
		return answer{}, err
	}
	t, secret, err := s.makeToken(c, asked)
	if err != nil {
		return answer{}, err
	}
	return answer{
		status: http.StatusCreated, body: tokenMade{t, secret, s.Demo},
		header: http.Header{"Location": {"/v1/tokens/" + t.ID}},
	}, s.Credentials.AddToken(c.Request.Context(), t, model.SecretDigest(secret))
}

// makeToken draws the secret of a token that the asker may make.
func (s *Server) makeToken(c *gin.Context, asked tokenAsked) (t model.Token, secret string, err error) {
	if secret, err = model.NewSecret(rand.Reader); err != nil {
		return t, "", err
	}
	t = model.Token{Label: asked.Label, Role: asked.Role, Angler: asked.Angler, Clubs: asked.Clubs, ReadOnly: asked.ReadOnly, Calendar: asked.Calendar, ExpiresAt: asked.ExpiresAt}
	if p := s.who(c); p.Role != model.Administrator {
		t.MadeBy = p.Token
		with, err := s.ownToken(c)
		if err != nil {
			return t, "", err
		}
		if err := auth.MayMake(p, with, t); err != nil {
			return t, "", err
		}
	}
	t, err = t.Made(secret, s.Now())
	return t, secret, err
}

// ownToken is the token that the asker sent; none where a member is signed in.
func (s *Server) ownToken(c *gin.Context) (model.Token, error) {
	t, err := s.Credentials.Token(c.Request.Context(), s.who(c).Token)
	if model.CodeOf(err) == model.NotFound {
		return model.Token{}, nil
	}
	return t, err
}

type tokenPage struct {
	Tokens []model.Token `json:"tokens"`
	Next   *string       `json:"next"`
	Demo   bool          `json:"demo"`
}

// listTokens answers GET /v1/tokens: all of them to an administrator, their own
// to an angler; never a secret.
func (s *Server) listTokens(c *gin.Context) (answer, error) {
	if err := onlyQuery(c, "after", "limit"); err != nil {
		return answer{}, err
	}
	limit, err := pageSize(c)
	if err != nil {
		return answer{}, err
	}
	tokens, err := s.Credentials.Tokens(c.Request.Context(), s.whoseTokens(c), c.Query("after"), limit+1)
	page := tokenPage{Tokens: append([]model.Token{}, tokens...), Demo: s.Demo}
	if len(tokens) > limit {
		page.Tokens = tokens[:limit]
		page.Next = &page.Tokens[limit-1].ID
	}
	return answer{body: page, cacheControl: "private, no-cache"}, err
}

// whoseTokens is the angler whose tokens the asker sees, empty for everybody's.
func (s *Server) whoseTokens(c *gin.Context) string {
	if p := s.who(c); p.Role != model.Administrator {
		return p.Angler
	}
	return ""
}

// deleteToken answers DELETE /v1/tokens/{token}: ends a credential at once and
// for good, and those that were made with it.
func (s *Server) deleteToken(c *gin.Context) (answer, error) {
	ctx, id := c.Request.Context(), c.Param("token")
	t, err := s.Credentials.Token(ctx, id)
	if model.CodeOf(err) == model.NotFound || err == nil && !s.who(c).IsAngler(t.Angler) {
		return answer{}, s.notThere(c, "token", id)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusNoContent}, s.Credentials.RevokeToken(ctx, id, s.Now())
}
