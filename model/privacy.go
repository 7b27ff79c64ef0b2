package model

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"
)

// AnglerRecords is everything that is stored of one angler.
type AnglerRecords struct {
	Angler   string         `json:"angler"`
	At       time.Time      `json:"at"` // when it was gathered
	Sessions []Session      `json:"sessions"`
	Events   []SessionEvent `json:"events"`
	Plans    []Plan         `json:"plans"`
	Kit      *Kit           `json:"kit"`
	Readings []MeterReading `json:"readings"`
	Reports  []Report       `json:"reports"`
	Imports  []Import       `json:"imports"` // the rows that are theirs
	Scores   []Score        `json:"scores"`
	Tokens   []Token        `json:"tokens"` // never a secret
	Members  []Member       `json:"members"`
	// Fits are their own fits, without the figures: those hold other anglers too.
	Fits []FitRecord `json:"fits"`
}

// SessionEvent is an event and the session it was logged in.
type SessionEvent struct {
	Session string `json:"session"`
	LoggedEvent
}

// Empty says whether nothing is stored of the angler.
func (r AnglerRecords) Empty() bool {
	return len(r.Sessions)+len(r.Events)+len(r.Plans)+len(r.Readings)+len(r.Reports)+len(r.Imports)+len(r.Tokens)+len(r.Members)+len(r.Fits) == 0 && r.Kit == nil
}

// Erasure is the receipt for an angler who was forgotten. It does not name them:
// who knows the handle can show by the digest that it is theirs.
type Erasure struct {
	At time.Time `json:"at"`
	// Deleted are the rows that are gone, Nameless those that stay without the
	// angler: what was seen at a water, credentials that were ended, files of
	// several people's records, runs that named them.
	Deleted  map[string]int `json:"deleted"`
	Nameless map[string]int `json:"nameless"`
	// Fits are those that had read the angler's sessions, and are gone;
	// PublicFit is the one in force since, made without them.
	Fits      []string `json:"fits_deleted"`
	PublicFit string   `json:"public_fit"`
	// Left are the rows that still hold the handle, by table, found by a search of
	// the store afterwards: words in other people's records, and what was decided
	// or published for a club under that name.
	Left   map[string]int `json:"left"`
	Digest string         `json:"digest"`
	Demo   bool           `json:"demo"`
}

// Sealed is the receipt with its digest: the SHA-256, in hexadecimal, of the
// handle, a line break, and the receipt as JSON with an empty digest.
func (e Erasure) Sealed(angler string) (Erasure, error) {
	e.Digest = ""
	body, err := json.Marshal(e)
	if err != nil {
		return e, fmt.Errorf("seal the receipt: %w", err)
	}
	sum := sha256.Sum256(append([]byte(angler+"\n"), body...))
	e.Digest = hex.EncodeToString(sum[:])
	return e, nil
}
