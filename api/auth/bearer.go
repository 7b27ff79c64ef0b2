package auth

import (
	"strings"

	"osier/model"
)

// Bearer reads the Authorization header of a request (RFC 6750, section 2.1).
// sent says whether there was one; what is no secret of ours is an error, and
// need not be looked up.
func Bearer(header string) (secret string, sent bool, err error) {
	if header == "" {
		return "", false, nil
	}
	scheme, secret, _ := strings.Cut(header, " ")
	secret = strings.TrimSpace(secret)
	if !strings.EqualFold(scheme, "Bearer") || !model.LooksLikeSecret(secret) {
		return "", true, BadCredential()
	}
	return secret, true, nil
}

// BadCredential is answered to a secret that opens nothing: one that is unknown,
// expired or revoked, without saying which.
func BadCredential() error {
	return &model.Error{
		Code: model.NoCredential, Field: "credential", Wrong: "the token that was sent opens nothing: it is not known here, has expired or was revoked",
		Right: "send Authorization: Bearer with a token that is good, or none where none is needed",
	}
}
