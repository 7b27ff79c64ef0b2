package auth

import "osier/model"

// Access says who may use an operation at all. The zero value lets nobody in, so
// that a route whose rule was forgotten is closed.
type Access int

// The rules of routes.
const (
	Nobody         Access = iota
	Public                // anybody; what is somebody's own is weighed in the handler
	SignedIn              // whoever has a credential; the handler weighs the object
	Anglers               // whoever has a handle, and administrators
	Officers              // officers of the club that the path names, and administrators
	Administrators        // they alone
)

// Admit refuses an operation to somebody whom its rule does not reach. club is
// the one that the path names, empty where it names none; writes says whether
// the operation changes anything, which a read-only credential may not.
func (a Access) Admit(p model.Principal, club string, writes bool) error {
	switch {
	case a != Public && !isSomebody(p):
		return noCredential()
	case !a.reaches(p, club):
		return forbidden("credential", a.right(), "it is not one that this operation is for")
	case writes && isSomebody(p) && p.ReadOnly:
		return forbidden("credential", "use one that is not read-only", "it may only read")
	}
	return nil
}

func isSomebody(p model.Principal) bool { return p.Role != model.Public && p.Role != "" }

// reaches says whether a credential is of a kind that the rule lets in.
func (a Access) reaches(p model.Principal, club string) bool {
	switch a {
	case Public, SignedIn:
		return true
	case Anglers:
		return p.Angler != "" || p.Role == model.Administrator
	case Officers:
		return p.IsOfficer(club)
	case Administrators:
		return p.Role == model.Administrator
	case Nobody:
	}
	return false
}

// right says whose credential it takes.
func (a Access) right() string {
	switch a {
	case Anglers:
		return "it takes one that names an angler"
	case Officers:
		return "it takes one of an officer of that club"
	case Nobody, Public, SignedIn, Administrators:
	}
	return "it takes an administrator's"
}

func noCredential() error {
	return &model.Error{
		Code: model.NoCredential, Field: "credential", Wrong: "this takes a credential, and none was sent",
		Right: "send Authorization: Bearer with a token, or sign in at /sign-in",
	}
}

func forbidden(field, right, wrong string) error {
	return &model.Error{Code: model.Forbidden, Field: field, Wrong: wrong, Right: right}
}
