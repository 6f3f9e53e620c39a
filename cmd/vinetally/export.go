package main

import (
	"context"
	"fmt"
	"path/filepath"

	"vinetally/api/csvfile"
	"vinetally/storage"
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
	var written csvfile.Exported
	err = db.Site().Snapshot(ctx, func(view *storage.Site) (err error) {
		written, err = csvfile.Export(ctx, records{view}, c.Dir)
		return err
	})
	if err != nil {
		return err
	}
	for _, f := range written.Files {
		rows := "rows"
		if f.Rows == 1 {
			rows = "row"
		}
		fmt.Fprintf(s.out, "%s: %d %s\n", filepath.Join(written.Dir, f.File), f.Rows, rows)
	}
	return nil
}
