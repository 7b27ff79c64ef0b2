package auth

import "errors"

// Identity is whom a sign-in service vouches for.
type Identity struct {
	Issuer  string
	Subject string
	Email   string // only one that the service has verified
}

// ErrNotVouched says that what came back from a sign-in service vouches for
// nobody: a wrong signature, audience, nonce or time.
var ErrNotVouched = errors.New("the sign-in service's answer vouches for nobody")
