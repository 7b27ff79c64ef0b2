package main

import (
	"fmt"
	"io"
	"strings"

	"osier/model"
)

type memberCmd struct {
	Add    memberAddCmd    `cmd:"" help:"Say who somebody is that the sign-in service vouches for, or change it."`
	List   memberListCmd   `cmd:"" help:"List the members."`
	Remove memberRemoveCmd `cmd:"" help:"End what a member may do, at once."`
}

type memberAddCmd struct {
	Issuer     string   `required:"" help:"The sign-in service's address, as it calls itself." env:"OSIER_OIDC_ISSUER" placeholder:"URL"`
	Subject    string   `help:"What the service calls them (the claim sub)." placeholder:"SUB"`
	EmailClaim string   `help:"Or their mail address, if the service verifies it (the claim email)." placeholder:"MAIL"`
	Role       string   `required:"" help:"angler, officer or administrator."`
	Angler     string   `help:"Their handle." placeholder:"HANDLE"`
	Club       []string `help:"A club that an officer decides for; may be repeated." placeholder:"ID"`
}

func (c *memberAddCmd) Run(a *app) error {
	m := model.Member{
		Issuer: c.Issuer, Subject: c.Subject, Email: c.EmailClaim, Role: model.Role(c.Role), Angler: c.Angler, Clubs: c.Club, AddedAt: a.now(),
	}
	if err := m.Validate(); err != nil {
		return err
	}
	m.ID = m.DerivedID()
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if err := db.PutMember(a.ctx, m); err != nil {
		return err
	}
	a.print(m, func(out io.Writer) { fmt.Fprintf(out, "Added: %s.\n", memberText(m)) })
	return nil
}

type memberListCmd struct{}

func (c *memberListCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	members, err := db.Members(a.ctx)
	if err != nil {
		return err
	}
	a.print(map[string]any{"members": append([]model.Member{}, members...)}, func(out io.Writer) {
		if len(members) == 0 {
			fmt.Fprintln(out, "There are no members.")
		}
		for _, m := range members {
			fmt.Fprintln(out, memberText(m)+".")
		}
	})
	return nil
}

type memberRemoveCmd struct {
	ID string `arg:"" help:"The member's identifier, as the list shows it."`
}

func (c *memberRemoveCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if err := db.RemoveMember(a.ctx, c.ID, a.now()); err != nil {
		return err
	}
	a.print(map[string]string{"removed": c.ID}, func(out io.Writer) {
		fmt.Fprintf(out, "Removed: %s opens nothing any more, nor do tokens they made.\n", c.ID)
	})
	return nil
}

func memberText(m model.Member) string {
	said := m.ID + ", " + string(m.Role)
	if m.Angler != "" {
		said += " " + m.Angler
	}
	if len(m.Clubs) > 0 {
		said += " of " + strings.Join(m.Clubs, ", ")
	}
	return said + ", " + m.Subject + m.Email + " at " + m.Issuer
}
