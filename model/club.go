package model

import (
	"slices"
	"strings"
	"time"
)

// Club is a body that looks after waters: it may publish outlooks for them and
// restrict what is done there.
type Club struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Zone    string    `json:"zone"`   // IANA name; days of its outlooks begin by it
	Waters  []string  `json:"waters"` // identifiers, in the order the club shows them
	About   string    `json:"about,omitempty"`
	Demo    bool      `json:"demo"`
	AddedAt time.Time `json:"added_at"`
}

// Has says whether a water is one of the club's.
func (c Club) Has(water string) bool { return slices.Contains(c.Waters, water) }

// Location loads the club's zone.
func (c Club) Location() (*time.Location, error) { return Water{Zone: c.Zone}.Location() }

// Most waters and characters of a club. Our choice.
const (
	mostClubWaters = 200
	longestAbout   = 1000
)

// Validate refuses a club that the rest of the program could not work with.
func (c Club) Validate() error {
	if err := ValidateID("id", c.ID); err != nil {
		return err
	}
	if strings.TrimSpace(c.Name) == "" || len(c.Name) > 200 {
		return Invalidf("name", "give a name of 1 to 200 characters", "the name has %d characters", len(c.Name))
	}
	if len(c.About) > longestAbout {
		return Invalidf("about", "say it in at most 1000 characters", "it has %d characters", len(c.About))
	}
	if _, err := c.Location(); err != nil {
		return err
	}
	if len(c.Waters) > mostClubWaters {
		return Invalidf("waters", "name at most 200 waters", "there are %d", len(c.Waters))
	}
	for i, w := range c.Waters {
		if err := ValidateID("waters", w); err != nil {
			return err
		}
		if slices.Contains(c.Waters[:i], w) {
			return Invalidf("waters", "name each water once", "%s is named twice", w)
		}
	}
	return nil
}
