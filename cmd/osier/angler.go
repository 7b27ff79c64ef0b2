package main

import (
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

type anglerCmd struct {
	Export anglerExportCmd `cmd:"" help:"Write everything that is stored of an angler into one archive."`
	Forget anglerForgetCmd `cmd:"" help:"Delete everything of an angler, make the fits anew without them, and give a receipt."`
}

type anglerExportCmd struct {
	Angler string `arg:"" help:"The handle."`
	To     string `required:"" help:"The zip archive to write; one that is there already is left alone." placeholder:"FILE"`
}

type anglerForgetCmd struct {
	Angler string `arg:"" help:"The handle."`
	Yes    bool   `help:"Do it. There is no way back but a backup."`
}

// privacy puts together what hands anglers their records, and forgets them.
func (a *app) privacy(db *store.DB, demo bool) *jobs.Privacy {
	return &jobs.Privacy{
		Store: db, Now: a.now, Fit: &jobs.Fitter{Store: db, Now: a.now}, Demo: demo,
	}
}

func (c *anglerExportCmd) Run(a *app) error {
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	archive, err := a.privacy(db, false).Export(a.ctx, c.Angler)
	if err != nil {
		return err
	}
	if err := writeNew(c.To, archive); err != nil {
		return err
	}
	a.print(map[string]any{"angler": c.Angler, "file": c.To, "bytes": len(archive)}, func(out io.Writer) {
		fmt.Fprintf(out, "Everything stored of %s is in %s; README.txt in it says what each file is.\n", c.Angler, c.To)
	})
	return nil
}

// writeNew writes a file that only this user may read, and overwrites none.
func writeNew(path string, body []byte) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("write the archive: %w", err)
	}
	if _, err := file.Write(body); err != nil {
		file.Close()
		return fmt.Errorf("write the archive: %w", err)
	}
	if err := file.Close(); err != nil {
		return fmt.Errorf("write the archive: %w", err)
	}
	return nil
}

func (c *anglerForgetCmd) Run(a *app) error {
	if !c.Yes {
		return model.Invalidf("yes", "export them first (osier angler export), and give --yes", "everything stored of %s would be deleted for good", c.Angler)
	}
	db, err := a.open()
	if err != nil {
		return err
	}
	defer db.Close()
	receipt, err := a.privacy(db, false).Forget(a.ctx, c.Angler)
	if err != nil {
		return err
	}
	a.print(receipt, func(out io.Writer) { erasureText(out, receipt) })
	return nil
}

// erasureText is the receipt in words. It does not name the angler either.
func erasureText(out io.Writer, e model.Erasure) {
	fmt.Fprintf(out, "Deleted: %s.\n", countsText(e.Deleted))
	fmt.Fprintf(out, "Kept without the name: %s.\n", countsText(e.Nameless))
	fmt.Fprintf(out, "Fits that had read the sessions, deleted: %d. The public fit is %s now.\n", len(e.Fits), e.PublicFit)
	fmt.Fprintf(out, "Rows that still hold the handle: %s.\n", countsText(e.Left))
	if len(e.Left) > 0 {
		fmt.Fprintln(out, "These are words in other people's records, or what was decided or published for a club under that name.")
	}
	fmt.Fprintln(out, "Backups made before still hold everything: delete them, or forget again after restoring one.")
	fmt.Fprintf(out, "Receipt %s of %s: the SHA-256 of the handle, a line break, and the receipt (--json) with an empty digest.\n", e.Digest, e.At.Format("2006-01-02 15:04:05 MST"))
}

func countsText(counts map[string]int) string {
	if len(counts) == 0 {
		return "none"
	}
	var parts []string
	for _, table := range slices.Sorted(maps.Keys(counts)) {
		parts = append(parts, fmt.Sprintf("%d of %s", counts[table], table))
	}
	return strings.Join(parts, ", ")
}
