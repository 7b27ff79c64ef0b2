package model

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"
)

// Member is who somebody is that a club's own sign-in service vouches for. The
// administrator writes the table of them: nobody registers themselves.
type Member struct {
	ID      string    `json:"id"`
	Issuer  string    `json:"issuer"` // the service's address, as its tokens name it
	Subject string    `json:"subject,omitempty"`
	Email   string    `json:"email,omitempty"` // where no subject is given: one that the service has verified
	Role    Role      `json:"role"`
	Angler  string    `json:"angler,omitempty"`
	Clubs   []string  `json:"clubs,omitempty"`
	AddedAt time.Time `json:"added_at"`
}

// longestClaim is in bytes: OpenID Connect Core 1.0, section 2, bounds a subject
// by 255 ASCII characters, and no mail address is longer (RFC 5321, section
// 4.5.3.1).
const longestClaim = 255

// Validate refuses a member whom no sign-in could find.
func (m Member) Validate() error {
	if m.Issuer == "" || len(m.Issuer) > longestClaim {
		return Invalidf("issuer", "give the address of the sign-in service, as it calls itself", "it has %d characters", len(m.Issuer))
	}
	if (m.Subject == "") == (m.Email == "") {
		return Invalidf("subject", "give one of subject and email", "both or none are given")
	}
	if len(m.Subject) > longestClaim {
		return Invalidf("subject", "give at most 255 characters", "it has %d", len(m.Subject))
	}
	if m.Email != "" && (len(m.Email) > longestClaim || !strings.Contains(m.Email, "@")) {
		return Invalidf("email", "give a mail address", "%q is none", shorten(m.Email))
	}
	return validateReach(m.Role, m.Angler, m.Clubs)
}

// DerivedID names a member by what the service calls them, so that one added
// twice is changed and not doubled.
func (m Member) DerivedID() string {
	sum := sha256.Sum256([]byte(m.Issuer + "\n" + m.Subject + "\n" + strings.ToLower(m.Email)))
	return "u-" + hex.EncodeToString(sum[:8])
}

// Principal is who asks when signed in as the member.
func (m Member) Principal() Principal {
	return Principal{Role: m.Role, Angler: m.Angler, Clubs: m.Clubs, Token: m.ID}
}

// SignIn is a browser that was let in: its cookie holds a random secret, of
// which the digest is kept. It opens what its token or member does, for as long
// as they do.
type SignIn struct {
	Token     string    `json:"token,omitempty"`  // one of the two
	Member    string    `json:"member,omitempty"` // one of the two
	MadeAt    time.Time `json:"made_at"`
	ExpiresAt time.Time `json:"expires_at"`
}

// PendingSignIn is a sign-in that was sent to the sign-in service and has not
// come back. It is found once, by the digest of its state, and is gone then.
type PendingSignIn struct {
	Nonce     string    `json:"nonce"`
	Verifier  string    `json:"verifier"`       // of RFC 7636
	Next      string    `json:"next,omitempty"` // the page to go on to
	ExpiresAt time.Time `json:"expires_at"`
}
