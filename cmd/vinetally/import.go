package main

import (
	"context"
	"fmt"

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
	db, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	sources, ignored, err := csvfile.Sources(c.Paths...)
	if err != nil {
		return err
	}
	for _, path := range ignored {
		fmt.Fprintf(s.err, "vinetally: %s is left out: it is not one of the CSV files\n", path)
	}
	summary, err := csvfile.Import(ctx, records{db.Site()}, sources, csvfile.Options{
		Replace: c.Replace, DryRun: c.DryRun, Actor: "import", Progress: progress(s.err),
	})
	if err != nil {
		return err
	}
	if c.DryRun {
		fmt.Fprintln(s.out, "Nothing was stored; an import would do this:")
	}
	fmt.Fprint(s.out, summary)
	return nil
}
