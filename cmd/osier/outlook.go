package main

import (
	"fmt"
	"io"
	"strings"

	"osier/jobs"
	"osier/model"
)

type outlookCmd struct {
	Build   outlookBuildCmd   `cmd:"" help:"Build a draft of a club's waters, from today on."`
	Show    outlookShowCmd    `cmd:"" help:"Show an outlook, or what is in force for a water."`
	Edit    outlookEditCmd    `cmd:"" help:"Put the club's own words into a draft."`
	Publish outlookPublishCmd `cmd:"" help:"Publish a draft: it never changes from then on."`
	List    outlookListCmd    `cmd:"" help:"List a club's outlooks, the newest first."`
	Scores  outlookScoresCmd  `cmd:"" help:"Score what was published against what was recorded, and list it."`
}

// outlooks runs a command on the outlooks of a store.
func (a *app) outlooks(run func(o *jobs.Outlooker) error) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	return run(&jobs.Outlooker{Store: db, Now: a.now})
}

type outlookBuildCmd struct {
	Club string `required:"" help:"The club." placeholder:"ID"`
	Days int    `default:"4" help:"So many days, 1 to 7."`
}

func (c *outlookBuildCmd) Run(a *app) error {
	return a.outlooks(func(o *jobs.Outlooker) error {
		built, err := o.Build(a.ctx, c.Club, c.Days)
		if err != nil {
			return err
		}
		a.print(built, func(out io.Writer) {
			outlookText(out, built)
			fmt.Fprintf(out, "\nThis is a draft. Publish it with: osier outlook publish %s --club %s --by HANDLE\n", built.ID, built.Club)
		})
		return nil
	})
}

type outlookShowCmd struct {
	ID    string `arg:"" optional:"" help:"The outlook."`
	Club  string `help:"Its club." placeholder:"ID"`
	Water string `help:"Instead: what is in force for this water, built now where nothing is published." placeholder:"ID"`
	Days  int    `default:"4" help:"With --water: so many days, 1 to 7."`
}

func (c *outlookShowCmd) Run(a *app) error {
	if (c.Water == "") == (c.ID == "" || c.Club == "") {
		return model.Invalidf("outlook", "give the outlook and --club, or --water alone", "it is not said what to show")
	}
	return a.outlooks(func(o *jobs.Outlooker) error {
		if c.Water != "" {
			w, err := o.WaterOutlook(a.ctx, c.Water, c.Days)
			if err == nil {
				a.print(w, func(out io.Writer) { waterOutlookText(out, w) })
			}
			return err
		}
		found, err := o.Outlook(a.ctx, c.Club, c.ID)
		if err == nil {
			a.print(found, func(out io.Writer) { outlookText(out, found) })
		}
		return err
	})
}

type outlookEditCmd struct {
	ID    string   `arg:"" help:"The draft."`
	Club  string   `required:"" help:"Its club." placeholder:"ID"`
	By    string   `required:"" help:"Who edits: a role or a handle, no real name." placeholder:"HANDLE"`
	Note  *string  `help:"The club's own words for all its waters, on one line; an empty text takes them out."`
	Water []string `sep:"none" help:"Words for one water, as ID=WORDS; may be given again." placeholder:"ID=WORDS"`
}

func (c *outlookEditCmd) Run(a *app) error {
	change := model.OutlookChange{By: c.By, Note: c.Note, Waters: map[string]string{}}
	for _, w := range c.Water {
		id, words, ok := strings.Cut(w, "=")
		if !ok {
			return model.Invalidf("water", "give ID=WORDS, such as home-pit=Bring a landing mat", "%q has no =", w)
		}
		change.Waters[id] = words
	}
	return a.outlooks(func(o *jobs.Outlooker) error {
		edited, err := o.Edit(a.ctx, c.Club, c.ID, change)
		if err == nil {
			a.print(edited, func(out io.Writer) { outlookText(out, edited) })
		}
		return err
	})
}

type outlookPublishCmd struct {
	ID   string `arg:"" help:"The draft."`
	Club string `required:"" help:"Its club." placeholder:"ID"`
	By   string `required:"" help:"Who publishes: a role or a handle, no real name." placeholder:"HANDLE"`
}

func (c *outlookPublishCmd) Run(a *app) error {
	return a.outlooks(func(o *jobs.Outlooker) error {
		published, fresh, err := o.Publish(a.ctx, c.Club, c.ID, c.By)
		if err != nil {
			return err
		}
		a.print(published, func(out io.Writer) {
			done := "Published"
			if !fresh {
				done = "Published already, and left as it is"
			}
			fmt.Fprintf(out, "%s: %s of %s, %d days from %s.\n", done, published.ID, published.ClubName, published.Days, published.From)
		})
		return nil
	})
}

type outlookListCmd struct {
	Club  string `required:"" help:"The club." placeholder:"ID"`
	State string `help:"draft or published; both when not given."`
	After string `help:"Where the page begins: the next of the page before."`
}

func (c *outlookListCmd) Run(a *app) error {
	state := model.OutlookState(c.State)
	if err := state.Validate(); err != nil {
		return err
	}
	return a.outlooks(func(o *jobs.Outlooker) error {
		found, next, err := o.Outlooks(a.ctx, c.Club, state, c.After, mostListed)
		if err != nil {
			return err
		}
		a.print(map[string]any{"outlooks": append([]model.OutlookEntry{}, found...), "next": next}, func(out io.Writer) {
			if len(found) == 0 {
				fmt.Fprintf(out, "%s has no such outlook. Build one with: osier outlook build --club %s\n", c.Club, c.Club)
			}
			for _, e := range found {
				fmt.Fprintln(out, entryText(e))
			}
		})
		return nil
	})
}

type outlookScoresCmd struct {
	Club string `required:"" help:"The club." placeholder:"ID"`
}

func (c *outlookScoresCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	if _, err := (&jobs.OutlookScorer{Store: db, Now: a.now}).Run(a.ctx); err != nil {
		return err
	}
	found, next, err := (&jobs.Outlooker{Store: db, Now: a.now}).OutlookScores(a.ctx, c.Club, "", mostListed)
	if err != nil {
		return err
	}
	a.print(map[string]any{"scores": append([]model.OutlookScore{}, found...), "next": next}, func(out io.Writer) {
		if len(found) == 0 {
			fmt.Fprintln(out, "Nothing that was published is over yet.")
		}
		for _, s := range found {
			fmt.Fprintln(out, outlookScoreText(s))
		}
	})
	return nil
}
