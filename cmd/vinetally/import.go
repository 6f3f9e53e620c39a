package main

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"

	"vinetally/api/csvfile"
)

// importCommand is `vinetally import`.
type importCommand struct {
	database
	Paths   []string `arg:"" name:"path" help:"A folder of CSV files, or single files named as in the guide (plants.csv, counts.csv, …), or - for standard input."`
	As      string   `placeholder:"FILE" help:"Which of these files the one path is, whatever it is called: --as counts.csv. Standard input needs it."`
	Replace bool     `help:"Let a row replace a stored record of the same key that differs; the earlier version stays in its history."`
	DryRun  bool     `help:"Check everything and say what would change, but store nothing."`
}

// Run imports all files or nothing.
func (c *importCommand) Run(ctx context.Context, s streams) error {
	sources, ignored, clean, err := c.sources(ctx, s) // first, so that a mistyped path makes no database
	if err != nil {
		return err
	}
	defer clean()
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
	// An import makes much garbage and keeps little, so collecting it sooner costs little and saves a third of the memory.
	defer debug.SetGCPercent(debug.SetGCPercent(50))
	tell, told := progress(s.err)
	summary, err := csvfile.Import(ctx, records{db.Site()}, sources, csvfile.Options{
		Replace: c.Replace, DryRun: c.DryRun, Actor: "import", Progress: tell,
	})
	told()
	if err != nil {
		return err
	}
	fmt.Fprint(s.out, summary)
	if c.DryRun {
		return nil
	}
	return warnOfPickings(ctx, db.Site(), summary.Taken, s.err)
}

// sources finds the files; clean removes what was copied of standard input.
func (c *importCommand) sources(ctx context.Context, s streams) (sources []csvfile.Source, ignored []string, clean func(), err error) {
	clean = func() {}
	stdin := slices.Contains(c.Paths, "-")
	var source csvfile.Source
	switch {
	case !stdin && c.As == "":
		sources, ignored, err = csvfile.Sources(c.Paths...)
		return sources, ignored, clean, err
	case len(c.Paths) > 1 && c.As != "":
		return nil, nil, nil, errors.New("--as says what one path is; import the others by themselves")
	case len(c.Paths) > 1:
		return nil, nil, nil, errors.New("standard input (-) is imported by itself; leave the other paths for another import")
	case c.As == "":
		return nil, nil, nil, errors.New("say what is on standard input, such as --as counts.csv")
	case stdin:
		source, clean, err = spool(ctx, s.in, c.As)
	default:
		source, err = csvfile.FileAs(c.Paths[0], c.As)
	}
	return []csvfile.Source{source}, nil, clean, err
}
