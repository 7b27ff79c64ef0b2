package auth

import (
	"slices"

	"osier/model"
)

// MayReadSession says whether somebody may read a session: its angler, officers
// of the clubs it is shared with, and administrators. To anybody else it must be
// as if it were not there.
func MayReadSession(p model.Principal, angler string, sharedWith []string) bool {
	return p.IsAngler(angler) || slices.ContainsFunc(sharedWith, p.IsOfficer)
}

// MayReadPlan says whether somebody may read a plan: one for an angler is the
// angler's, one for nobody is everybody's.
func MayReadPlan(p model.Principal, angler string) bool { return angler == "" || p.IsAngler(angler) }

// Handle is the angler that somebody acts for: their own where they name none. A
// credential with a handle cannot name another, one without none at all, and an
// administrator may name anybody.
func Handle(p model.Principal, field, named string) (string, error) {
	switch {
	case p.Role == model.Administrator:
		return named, nil
	case named == "" || named == p.Angler && isSomebody(p):
		return p.Angler, nil
	case !isSomebody(p):
		return "", noCredential()
	case p.Angler == "":
		return "", forbidden(field, "leave it out, or use a credential that names the angler", "this credential names no angler")
	}
	return "", forbidden(field, "leave it out: it is then "+p.Angler, "another angler than the credential's is named")
}

// Author is who decided something for a club: the officer's own handle where the
// credential has one, which nobody can write another over; else what they call
// themselves, or the role.
func Author(p model.Principal, field, named string) (string, error) {
	switch {
	case p.Angler == "" && p.Role == model.Officer && named == "":
		return string(model.Officer), nil
	case p.Angler == "" || p.Role == model.Administrator && named != "":
		return named, nil
	case named == "" || named == p.Angler:
		return p.Angler, nil
	}
	return "", forbidden(field, "leave it out: it is then "+p.Angler, "somebody else than the credential's holder is named")
}

// MayMake refuses a token that reaches further than whoever makes it: an angler
// may make one for their own records that lasts no longer than what it was made
// with, and tokens made so make no others.
func MayMake(p model.Principal, with, made model.Token) error {
	switch {
	case p.Role == model.Administrator:
		return nil
	case made.Role != model.AnglerRole || made.Angler != p.Angler:
		return forbidden("role", "ask an administrator for it; your own are of role angler with your handle", "it would reach further than your own credential")
	case with.MadeBy != "":
		return forbidden("credential", "use the one it was made with", "a token that was made with another makes none")
	case with.ExpiresAt.Known && (!made.ExpiresAt.Known || made.ExpiresAt.Value.After(with.ExpiresAt.Value)):
		return forbidden("expires_at", "let it expire no later than your own credential", "it would outlast what it is made with")
	}
	return nil
}
