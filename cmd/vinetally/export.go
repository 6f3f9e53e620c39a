package main

import (
	"context"
	"fmt"
	"path/filepath"

	"vinetally/api/csvfile"
)

// exportCommand is `vinetally export`.
type exportCommand struct {
	database
	Dir string `arg:"" help:"The folder to write; it is made, or must be empty."`
}

// Run writes every record.
func (c *exportCommand) Run(ctx context.Context, s streams) error {
	db, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	written, err := csvfile.Export(ctx, records{db.Site()}, c.Dir)
	if err != nil {
		return err
	}
	for _, f := range written.Files {
		fmt.Fprintf(s.out, "%s: %d rows\n", filepath.Join(written.Dir, f.File), f.Rows)
	}
	return nil
}
