package main

import (
	"fmt"
	"io"

	"osier/jobs"
	"osier/model"
)

type adviseCmd struct {
	Session string `required:"" help:"The session." placeholder:"ID"`
}

func (c *adviseCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	live := &jobs.Live{Store: db, Recorder: &jobs.Recorder{Store: db, Now: a.now}, Now: a.now}
	advisor := jobs.Advisor{Store: db, Planner: &jobs.Planner{Store: db, Now: a.now}, Live: live, Now: a.now, Moves: &jobs.MoveGrids{}}
	advice, err := advisor.Advice(a.ctx, c.Session)
	if err != nil {
		return err
	}
	a.print(advice, func(out io.Writer) { adviceText(out, advice) })
	return nil
}

// adviceText prints cautions, then the one thing to do, then the rest.
func adviceText(out io.Writer, b model.BankAdvice) {
	inventedText(out, b.Demo)
	if len(b.Cautions) > 0 {
		fmt.Fprintln(out, "Cautions")
		cautionsText(out, b.Cautions)
		fmt.Fprintln(out)
	}
	if b.Ended {
		fmt.Fprintln(out, "The session is over.")
	}
	for i, p := range b.Advice {
		if i == 1 {
			fmt.Fprintln(out, "\nBesides")
		}
		fmt.Fprintf(out, "%s %s%s\n", p.Text, p.Why, sureText(p.Sure))
	}
	if b.State != nil {
		fmt.Fprintf(out, "\n%s\n", b.State.Text)
	}
	fmt.Fprintf(out, "\n%s\n\n%s\n", b.Soak.Text, b.Deferral)
}

func sureText(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ".)"
}
