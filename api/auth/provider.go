package auth

import (
	"context"
	"crypto/subtle"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"github.com/coreos/go-oidc/v3/oidc"
	"golang.org/x/oauth2"
)

// Provider is a club's own sign-in service, by OpenID Connect Core 1.0: the code
// flow with PKCE (RFC 7636), state and nonce. What the service says of itself is
// asked for when it is first needed, so that we start without it.
type Provider struct {
	Issuer       string
	ClientID     string
	ClientSecret string
	ReturnTo     string // the address of our own that it sends browsers back to
	Client       *http.Client
	Now          func() time.Time

	mu    sync.Mutex
	found *oidc.Provider
}

// Address is where a browser asks to be let in.
func (p *Provider) Address(_ context.Context, state, nonce, verifier string) (string, error) {
	found, err := p.discover()
	if err != nil {
		return "", err
	}
	return p.flow(found).AuthCodeURL(state, oidc.Nonce(nonce), oauth2.S256ChallengeOption(verifier)), nil
}

// Identity is whom the service vouches for, by the code it sent back: its token
// must be signed by it, for us, good now, and of the sign-in that was begun.
func (p *Provider) Identity(ctx context.Context, code, nonce, verifier string) (Identity, error) {
	found, err := p.discover()
	if err != nil {
		return Identity{}, err
	}
	ctx = oidc.ClientContext(ctx, p.Client)
	tokens, err := p.flow(found).Exchange(ctx, code, oauth2.VerifierOption(verifier))
	var refused *oauth2.RetrieveError
	if errors.As(err, &refused) && refused.Response.StatusCode < http.StatusInternalServerError {
		return Identity{}, fmt.Errorf("%w: it takes back its code: %s", ErrNotVouched, refused.ErrorCode)
	}
	if err != nil {
		return Identity{}, fmt.Errorf("ask the sign-in service for its token: %w", err)
	}
	raw, ok := tokens.Extra("id_token").(string)
	if !ok {
		return Identity{}, fmt.Errorf("%w: it sent no token", ErrNotVouched)
	}
	token, err := found.VerifierContext(p.lasting(), &oidc.Config{ClientID: p.ClientID, Now: p.Now}).Verify(ctx, raw)
	if err != nil {
		return Identity{}, fmt.Errorf("%w: %w", ErrNotVouched, err)
	}
	if subtle.ConstantTimeCompare([]byte(token.Nonce), []byte(nonce)) != 1 {
		return Identity{}, fmt.Errorf("%w: its token is of another sign-in", ErrNotVouched)
	}
	return identityOf(token)
}

func identityOf(token *oidc.IDToken) (Identity, error) {
	var claims struct {
		Email    string `json:"email"`
		Verified bool   `json:"email_verified"`
	}
	if err := token.Claims(&claims); err != nil {
		return Identity{}, fmt.Errorf("%w: %w", ErrNotVouched, err)
	}
	who := Identity{Issuer: token.Issuer, Subject: token.Subject}
	if claims.Verified {
		who.Email = claims.Email
	}
	return who, nil
}

func (p *Provider) flow(found *oidc.Provider) *oauth2.Config {
	return &oauth2.Config{
		ClientID: p.ClientID, ClientSecret: p.ClientSecret, Endpoint: found.Endpoint(), RedirectURL: p.ReturnTo,
		Scopes: []string{oidc.ScopeOpenID, "email"},
	}
}

// discover asks the service what it is, until it answered once.
func (p *Provider) discover() (*oidc.Provider, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.found != nil {
		return p.found, nil
	}
	found, err := oidc.NewProvider(p.lasting(), p.Issuer)
	if err != nil {
		return nil, fmt.Errorf("find the sign-in service: %w", err)
	}
	p.found = found
	return found, nil
}

// lasting is a context that outlives the request: the service's keys are asked for
// anew under it whenever they change. The client has its own deadline.
func (p *Provider) lasting() context.Context {
	return oidc.ClientContext(context.Background(), p.Client)
}
