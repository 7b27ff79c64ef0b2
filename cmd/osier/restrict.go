package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

type restrictCmd struct {
	Club   string    `help:"The club that decides." placeholder:"ID"`
	Water  string    `help:"The water." placeholder:"ID"`
	Kind   string    `help:"closed, no_keepnets or feed_limit."`
	From   time.Time `help:"When it begins (now when not given)." placeholder:"RFC3339"`
	Until  time.Time `help:"When it ends (when it is lifted, when not given)." placeholder:"RFC3339"`
	LimitG *float64  `name:"limit-dry-g" help:"Of a feed limit: the most dry feed a day, g." placeholder:"G"`
	Reason string    `help:"Why, on one line."`
	By     string    `help:"Who decided: a role or a handle, no real name." placeholder:"HANDLE"`
	Lift   string    `help:"Lift this restriction: takes --by and --why." placeholder:"ID"`
	Why    string    `help:"Why it is lifted."`
	List   bool      `help:"List what is in force, or begins before --until: takes --club."`
}

// Run makes, lifts or lists restrictions. Nobody is signed in on the command
// line: whoever has the store may restrict.
func (c *restrictCmd) Run(a *app) error {
	if c.List && c.Lift != "" {
		return model.Invalidf("lift, list", "give one of the two", "both were given")
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	restrictor := jobs.Restrictor{Store: db, Now: a.now}
	switch {
	case c.List:
		return c.list(a, db, &restrictor)
	case c.Lift != "":
		r, err := restrictor.Lift(a.ctx, c.Lift, c.By, c.Why)
		if err != nil {
			return err
		}
		a.print(r, func(out io.Writer) {
			fmt.Fprintf(out, "Lifted: %s holds no longer at %s. It stays on record.\n", r.ID, r.Water)
		})
		return nil
	}
	return c.restrict(a, db, &restrictor)
}

func (c *restrictCmd) restrict(a *app, db *store.DB, restrictor *jobs.Restrictor) error {
	from := c.From
	if from.IsZero() {
		from = a.now()
	}
	decided := model.Restriction{
		Club: c.Club, Water: c.Water, Kind: model.RestrictionKind(c.Kind), From: from,
		Until: model.Maybe[time.Time]{Value: c.Until, Known: !c.Until.IsZero()}, Reason: c.Reason, DecidedBy: c.By, FeedLimitDryG: given[model.Grams](c.LimitG),
	}
	r, fresh, err := restrictor.Restrict(a.ctx, decided)
	if err != nil {
		return err
	}
	text, err := restrictionText(a, db, r)
	if err != nil {
		return err
	}
	a.print(r, func(out io.Writer) {
		done := "Restricted"
		if !fresh {
			done = "Stored already"
		}
		fmt.Fprintf(out, "%s: %s.\nEvery plan for those hours says so from now on.\n", done, text)
	})
	return nil
}

// mostListed is the most restrictions that are listed at once; a club with more in
// force has the API's pages.
const mostListed = 200

func (c *restrictCmd) list(a *app, db *store.DB, restrictor *jobs.Restrictor) error {
	from, until := c.From, c.Until
	if from.IsZero() {
		from = a.now()
	}
	if until.IsZero() {
		until = from.Add(time.Second)
	}
	found, _, err := restrictor.Restrictions(a.ctx, c.Club, from, until, "", mostListed)
	if err != nil {
		return err
	}
	var lines []string
	for _, r := range found {
		text, err := restrictionText(a, db, r)
		if err != nil {
			return err
		}
		lines = append(lines, text+".")
	}
	if len(lines) == 0 {
		lines = []string{c.Club + " has no restriction on record for that time."}
	}
	a.print(map[string]any{"restrictions": append([]model.Restriction{}, found...)}, func(out io.Writer) {
		fmt.Fprintln(out, strings.Join(lines, "\n"))
	})
	return nil
}

// restrictionText is one restriction on one line, by the clock at the water.
func restrictionText(a *app, db *store.DB, r model.Restriction) (string, error) {
	w, err := db.Water(a.ctx, r.Water)
	if err != nil {
		return "", err
	}
	zone, err := w.Location()
	if err != nil {
		return "", err
	}
	what := map[model.RestrictionKind]string{model.WaterClosed: "closed", model.NoKeepnets: "no keepnets"}[r.Kind]
	if r.Kind == model.FeedLimit {
		what = fmt.Sprintf("at most %g g of dry feed a day", float64(r.FeedLimitDryG.Value))
	}
	end := "it is lifted"
	if r.Until.Known {
		end = r.Until.Value.In(zone).Format(time.RFC3339)
	}
	return fmt.Sprintf("%s, %s: %s, from %s until %s: %s. Decided by %s of %s", r.ID, w.Name, what, r.From.In(zone).Format(time.RFC3339), end, r.Reason, r.DecidedBy, r.Club), nil
}
