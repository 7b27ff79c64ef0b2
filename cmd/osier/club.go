package main

import (
	"fmt"
	"io"
	"strings"

	"osier/jobs"
	"osier/model"
)

type clubCmd struct {
	Add  clubAddCmd  `cmd:"" help:"Register a club, or change one: what is not given stays as it was."`
	List clubListCmd `cmd:"" help:"List the clubs."`
	Show clubShowCmd `cmd:"" help:"Show one club."`
}

type clubAddCmd struct {
	ID    string   `required:"" help:"Short name in addresses, such as home-club."`
	Name  string   `help:"Name for people; needed for a new club."`
	Zone  string   `help:"IANA time zone, by which the days of its outlooks begin (Europe/London for a new club)."`
	Water []string `help:"The waters it looks after, in the order in which it shows them; in place of those it had." placeholder:"ID"`
	About string   `help:"What it says of itself."`
}

func (c *clubAddCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	club, err := db.Club(a.ctx, c.ID)
	switch {
	case model.CodeOf(err) == model.NotFound:
		club = model.Club{ID: c.ID, Zone: "Europe/London"}
	case err != nil:
		return err
	}
	setText(&club.Name, c.Name)
	setText(&club.Zone, c.Zone)
	setText(&club.About, c.About)
	if len(c.Water) > 0 {
		club.Waters = c.Water
	}
	register := jobs.ClubRegister{Store: db, Now: a.now}
	stored, _, err := register.PutClub(a.ctx, club)
	if err != nil {
		return err
	}
	a.print(stored, func(out io.Writer) { fmt.Fprintf(out, "Registered %s (%s).\n", stored.Name, stored.ID) })
	return nil
}

type clubListCmd struct{}

func (c *clubListCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	clubs, err := db.Clubs(a.ctx, "", 10000)
	if err != nil {
		return err
	}
	a.print(map[string]any{"clubs": append([]model.Club{}, clubs...)}, func(out io.Writer) {
		if len(clubs) == 0 {
			fmt.Fprintln(out, "No club is registered. Register one with: osier club add --id ID --name NAME --water ID")
		}
		for _, one := range clubs {
			fmt.Fprintf(out, "%-24s %s\n", one.ID, one.Name)
		}
	})
	return nil
}

type clubShowCmd struct {
	ID string `arg:"" help:"The club."`
}

func (c *clubShowCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	club, err := db.Club(a.ctx, c.ID)
	if err != nil {
		return err
	}
	a.print(club, func(out io.Writer) {
		fmt.Fprintf(out, "%s (%s)\n", club.Name, club.ID)
		inventedText(out, club.Demo)
		line(out, "zone", "%s", club.Zone)
		line(out, "waters", "%s", strings.Join(club.Waters, ", "))
		if club.About != "" {
			line(out, "about", "%s", club.About)
		}
	})
	return nil
}
