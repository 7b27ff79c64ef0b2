package main

import (
	"crypto/rand"
	"fmt"
	"io"
	"strings"
	"time"

	"osier/model"
)

type tokenCmd struct {
	New    tokenNewCmd    `cmd:"" help:"Make a token; its secret is printed this once."`
	List   tokenListCmd   `cmd:"" help:"List tokens, those that are over among them."`
	Revoke tokenRevokeCmd `cmd:"" help:"End a token at once, and those made with it."`
}

type tokenNewCmd struct {
	Role     string        `required:"" help:"angler, officer or administrator."`
	Angler   string        `help:"The handle whose records it opens." placeholder:"HANDLE"`
	Club     []string      `help:"A club that an officer decides for; may be repeated." placeholder:"ID"`
	Expires  time.Duration `default:"2160h" help:"How long it lasts; 0 for ever."`
	ReadOnly bool          `help:"It may read and change nothing."`
	Calendar bool          `help:"For a calendar program: it opens the address of the angler's calendar and nothing else."`
	Label    string        `help:"What it is for, in your own words."`
}

// Run makes a token. Whoever has the store may make any.
func (c *tokenNewCmd) Run(a *app) error {
	if c.Expires < 0 {
		return model.Invalidf("expires", "give a time such as 2160h, or 0 for ever", "%s lies in the past", c.Expires)
	}
	secret, err := model.NewSecret(rand.Reader)
	if err != nil {
		return err
	}
	now := a.now()
	t := model.Token{
		Label: c.Label, Role: model.Role(c.Role), Angler: c.Angler, Clubs: c.Club, ReadOnly: c.ReadOnly, Calendar: c.Calendar,
		ExpiresAt: model.Maybe[time.Time]{Value: now.Add(c.Expires), Known: c.Expires > 0},
	}
	if t, err = t.Made(secret, now); err != nil {
		return err
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if err := db.AddToken(a.ctx, t, model.SecretDigest(secret)); err != nil {
		return err
	}
	a.print(map[string]any{"token": t, "secret": secret}, func(out io.Writer) {
		fmt.Fprintf(a.stderr, "%s.\nThe secret is shown this once and cannot be read again:\n", tokenText(t, now))
		fmt.Fprintln(out, secret)
		if t.Calendar {
			fmt.Fprintf(a.stderr, "Its calendar is at /calendars/%s/sessions.ics of your server.\n", secret)
		}
	})
	return nil
}

type tokenListCmd struct{}

// listedAtOnce is how many tokens are read at a time.
const listedAtOnce = 200

func (c *tokenListCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	all, after := []model.Token{}, ""
	for {
		page, err := db.Tokens(a.ctx, "", after, listedAtOnce)
		if err != nil {
			return err
		}
		all = append(all, page...)
		if len(page) < listedAtOnce {
			break
		}
		after = page[len(page)-1].ID
	}
	a.print(map[string]any{"tokens": all}, func(out io.Writer) {
		if len(all) == 0 {
			fmt.Fprintln(out, "There is no token. While nobody made one, whoever sits at this machine is administrator.")
		}
		for _, t := range all {
			fmt.Fprintln(out, tokenText(t, a.now())+".")
		}
	})
	return nil
}

type tokenRevokeCmd struct {
	ID string `arg:"" help:"The token's identifier, as the list shows it."`
}

func (c *tokenRevokeCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if err := db.RevokeToken(a.ctx, c.ID, a.now()); err != nil {
		return err
	}
	t, err := db.Token(a.ctx, c.ID)
	if err != nil {
		return err
	}
	a.print(t, func(out io.Writer) { fmt.Fprintf(out, "Revoked: %s.\n", tokenText(t, a.now())) })
	return nil
}

// tokenText is one token on one line, without its secret.
func tokenText(t model.Token, now time.Time) string {
	said := t.ID + ", " + string(t.Role)
	if t.Angler != "" {
		said += " " + t.Angler
	}
	if len(t.Clubs) > 0 {
		said += " of " + strings.Join(t.Clubs, ", ")
	}
	switch {
	case t.Calendar:
		said += ", for a calendar"
	case t.ReadOnly:
		said += ", read-only"
	}
	if t.Label != "" {
		said += ", " + t.Label
	}
	switch {
	case t.RevokedAt.Known:
		said += ", revoked " + t.RevokedAt.Value.Format(time.RFC3339)
	case t.ExpiresAt.Known && !t.Good(now):
		said += ", expired " + t.ExpiresAt.Value.Format(time.RFC3339)
	case t.ExpiresAt.Known:
		said += ", good until " + t.ExpiresAt.Value.Format(time.RFC3339)
	default:
		said += ", good until it is revoked"
	}
	if t.LastUsedAt.Known {
		return said + ", last used " + t.LastUsedAt.Value.Format(time.RFC3339)
	}
	return said + ", never used"
}
