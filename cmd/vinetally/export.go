package main

import (
	"context"
	"fmt"

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
	if err := csvfile.Export(ctx, records{db.Site()}, c.Dir); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Wrote every record to %s\n", c.Dir)
	return nil
}
