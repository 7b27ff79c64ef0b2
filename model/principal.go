package model

import "slices"

// Role is what kind of user somebody is.
type Role string

// The roles.
const (
	Public        Role = "public"        // nobody signed in
	AnglerRole    Role = "angler"        // sees and writes their own records
	Officer       Role = "officer"       // decides for their clubs
	Administrator Role = "administrator" // registers waters and clubs, and makes tokens
)

// Principal is who asks.
type Principal struct {
	Role     Role     `json:"role"`
	Angler   string   `json:"angler,omitempty"` // the handle of an angler; an officer may have one too
	Clubs    []string `json:"clubs,omitempty"`  // an officer's
	ReadOnly bool     `json:"read_only"`
	Token    string   `json:"token,omitempty"` // identifier of the credential, never its secret
}

// IsAngler says whether somebody is this angler, or may act for anybody.
func (p Principal) IsAngler(handle string) bool {
	return p.Role == Administrator || handle != "" && p.Angler == handle && p.Role != Public
}

// IsOfficer says whether somebody may decide for a club.
func (p Principal) IsOfficer(club string) bool {
	return p.Role == Administrator || p.Role == Officer && slices.Contains(p.Clubs, club)
}
