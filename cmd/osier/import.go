package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"osier/jobs"
	"osier/model"
)

type importCmd struct {
	File   string `arg:"" help:"A CSV or JSON file of session records."`
	Water  string `help:"Where a record names no water." placeholder:"ID"`
	Angler string `help:"Where a record names no angler." placeholder:"HANDLE"`
}

func (c *importCmd) Run(a *app) error {
	body, err := os.ReadFile(c.File)
	if err != nil {
		return model.Invalidf("file", "give a file of session records that can be read", "%v", err)
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	recorder := jobs.Recorder{Store: db, Now: a.now}
	report, err := recorder.Import(a.ctx, c.File, c.Water, c.Angler, body)
	if err != nil {
		return err
	}
	a.print(report, func(out io.Writer) { importText(out, report) })
	if report.Stored == 0 && report.Refused > 0 {
		return errSaid
	}
	return nil
}

// importText reports every row that is not plainly stored, and counts the rest.
func importText(out io.Writer, r model.Import) {
	inventedText(out, r.Demo)
	for _, row := range r.Rows {
		if row.Status == model.RowStored {
			continue
		}
		fmt.Fprintf(out, "row %d: %s%s\n", row.Row, row.Status, problemsText(row.Problems))
	}
	fmt.Fprintf(out, "%d sessions stored, %d of them with queries; %d duplicates; %d refused.\n", r.Stored, r.Queried, r.Duplicates, r.Refused)
}

func problemsText(problems []string) string {
	if len(problems) == 0 {
		return ""
	}
	return "\n    " + strings.Join(problems, "\n    ")
}
