package model

import (
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Token is a credential as it is kept: what it may do and for how long, never
// its secret. It is never changed once made, only used and revoked.
type Token struct {
	ID         string           `json:"id"`
	Label      string           `json:"label,omitempty"` // the holder's own words
	Role       Role             `json:"role"`
	Angler     string           `json:"angler,omitempty"`
	Clubs      []string         `json:"clubs,omitempty"`
	ReadOnly   bool             `json:"read_only"`
	Calendar   bool             `json:"calendar,omitempty"` // it opens the address of the angler's calendar and nothing else
	MadeAt     time.Time        `json:"made_at"`
	MadeBy     string           `json:"made_by,omitempty"` // the credential it was made with, and goes with
	ExpiresAt  Maybe[time.Time] `json:"expires_at"`        // not known: it does not expire
	RevokedAt  Maybe[time.Time] `json:"revoked_at"`
	LastUsedAt Maybe[time.Time] `json:"last_used_at"` // to the minute or so
}

// secretPrefix begins every secret, so that one that leaked into a file or a log
// is recognised for what it is.
const secretPrefix = "osier_"

// secretBytes is 256 bits: nobody guesses it, so that a fast digest is enough to
// keep it by. Slow ones are for what people choose.
const secretBytes = 32

var secretText = base32.NewEncoding("abcdefghijklmnopqrstuvwxyz234567").WithPadding(base32.NoPadding)

// NewSecret makes the secret of a credential from 256 bits of a source that must
// be a cryptographic one. It is shown once and kept only as its digest.
func NewSecret(random io.Reader) (string, error) {
	bits := make([]byte, secretBytes)
	if _, err := io.ReadFull(random, bits); err != nil {
		return "", fmt.Errorf("draw a secret: %w", err)
	}
	return secretPrefix + secretText.EncodeToString(bits), nil
}

// SecretDigest is what is kept of a secret: its SHA-256 in hexadecimal.
func SecretDigest(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// LooksLikeSecret says whether a text has the form of a secret made here.
func LooksLikeSecret(text string) bool {
	rest, ok := strings.CutPrefix(text, secretPrefix)
	if !ok {
		return false
	}
	bits, err := secretText.DecodeString(rest)
	return err == nil && len(bits) == secretBytes
}

// TokenID names a credential by its secret's digest, without telling of it more
// than a quarter.
func TokenID(digest string) string { return "t-" + digest[:8] + digest[24:32] }

// UsualTokenLife is how long a credential lasts when nobody says. Our choice: a
// season, after which a forgotten one is closed.
const UsualTokenLife = 90 * 24 * time.Hour

// Made is the credential as it is to be kept with a secret, from an instant on:
// named, in whole seconds, not used and not revoked.
func (t Token) Made(secret string, at time.Time) (Token, error) {
	t.ID, t.MadeAt = TokenID(SecretDigest(secret)), wholeSecond(at)
	t.RevokedAt, t.LastUsedAt = Maybe[time.Time]{}, Maybe[time.Time]{}
	t.Label, t.ReadOnly = strings.TrimSpace(t.Label), t.ReadOnly || t.Calendar
	if t.ExpiresAt.Known {
		t.ExpiresAt = Known(wholeSecond(t.ExpiresAt.Value))
	}
	return t, t.Validate()
}

// Validate refuses a credential that would reach nothing, or more than its role.
func (t Token) Validate() error {
	if err := validateReach(t.Role, t.Angler, t.Clubs); err != nil {
		return err
	}
	if t.Calendar && t.Role != AnglerRole {
		return Invalidf("calendar", "leave it out, or give the role angler", "only an angler has a calendar of sessions")
	}
	if t.ExpiresAt.Known && !t.ExpiresAt.Value.After(t.MadeAt) {
		return Invalidf("expires_at", "give a time that lies ahead, or leave it out", "%s is past", t.ExpiresAt.Value.Format(time.RFC3339))
	}
	return validateLabel("label", t.Label)
}

// validateReach holds what somebody is against what they are given.
func validateReach(role Role, angler string, clubs []string) error {
	switch role {
	case AnglerRole:
		if angler == "" {
			return Invalidf("angler", "name the angler whose records it opens", "no angler is named")
		}
	case Officer:
		if len(clubs) == 0 {
			return Invalidf("clubs", "name a club that the officer decides for", "no club is named")
		}
	case Administrator:
	case Public:
		return Invalidf("role", "give angler, officer or administrator", "the public needs no credential")
	default:
		return Invalidf("role", "give angler, officer or administrator", "%q is no role", shorten(string(role)))
	}
	if angler != "" {
		if err := ValidateHandle("angler", angler); err != nil {
			return err
		}
	}
	if role != Officer && len(clubs) > 0 {
		return Invalidf("clubs", "leave them out, or give the role officer", "only an officer decides for a club")
	}
	return validateClubs("clubs", clubs)
}

// mostNamedClubs bounds a list of clubs. Our choice.
const mostNamedClubs = 20

// validateClubs refuses a list of clubs that names none, or one twice.
func validateClubs(field string, clubs []string) error {
	if len(clubs) > mostNamedClubs {
		return Invalidf(field, "name at most 20 clubs", "there are %d", len(clubs))
	}
	for i, club := range clubs {
		if err := ValidateID(field, club); err != nil {
			return err
		}
		if slices.Contains(clubs[:i], club) {
			return Invalidf(field, "name each club once", "%s is named twice", club)
		}
	}
	return nil
}

// longestLabel is in characters. Our choice.
const longestLabel = 80

func validateLabel(field, label string) error {
	if n := utf8.RuneCountInString(label); n > longestLabel {
		return Invalidf(field, "say what it is for in at most 80 characters", "it has %d", n)
	}
	for _, c := range label {
		if unicode.IsControl(c) || c == utf8.RuneError {
			return Invalidf(field, "say what it is for on one line", "%q cannot stand in it", c)
		}
	}
	return nil
}

// Good says whether the credential opens anything at an instant.
func (t Token) Good(at time.Time) bool {
	return !t.RevokedAt.Known && (!t.ExpiresAt.Known || at.Before(t.ExpiresAt.Value))
}

// Principal is who asks with it.
func (t Token) Principal() Principal {
	return Principal{Role: t.Role, Angler: t.Angler, Clubs: t.Clubs, ReadOnly: t.ReadOnly, Token: t.ID}
}
