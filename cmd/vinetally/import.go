package main

import (
	"context"
	"fmt"
	"strings"

	"vinetally/api/csvfile"
)

// importCommand is `vinetally import`.
type importCommand struct {
	database
	Paths   []string `arg:"" name:"path" help:"A folder of CSV files, or single files named as in the guide (plants.csv, counts.csv, …)."`
	Replace bool     `help:"Let a row replace a stored record of the same key that differs; the earlier version stays in its history."`
	DryRun  bool     `help:"Check everything and say what would change, but store nothing."`
}

// Run imports all files or nothing.
func (c *importCommand) Run(ctx context.Context, s streams) error {
	sources, ignored, err := csvfile.Sources(c.Paths...) // first, so that a mistyped path makes no database
	if err != nil {
		return err
	}
	open := c.openOrMake
	if c.DryRun {
		open = c.openToTry
	}
	db, done, err := open(ctx, s)
	if err != nil {
		return err
	}
	defer done()
	if len(ignored) > 0 {
		fmt.Fprintf(s.err, "vinetally: left out, since they are not CSV files: %s\n", strings.Join(ignored, ", "))
	}
	summary, err := csvfile.Import(ctx, records{db.Site()}, sources, csvfile.Options{
		Replace: c.Replace, DryRun: c.DryRun, Actor: "import", Progress: progress(s.err),
	})
	if err != nil {
		return err
	}
	fmt.Fprint(s.out, summary)
	return nil
}
