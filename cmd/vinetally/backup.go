package main

import (
	"context"
	"fmt"

	"vinetally/storage"
)

// backupCommand is `vinetally backup`.
type backupCommand struct {
	database
	File      string `arg:"" help:"The file to write; it must not be there yet."`
	Overwrite bool   `help:"Replace the file if it is there; it stays whole until the new copy is."`
}

// Run writes a copy of the database, also while a server writes to it.
func (c *backupCommand) Run(ctx context.Context, s streams) error {
	copied, err := storage.Backup(ctx, c.DB, c.File, storage.BackupOptions{Overwrite: c.Overwrite})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Wrote %s: %d bytes\n", copied.Path, copied.Bytes)
	if copied.Checked.Older() {
		fmt.Fprintf(s.out, "  tables of version %d, as in the database; SQLite finds nothing wrong with the copy\n", copied.Checked.Version)
		return nil
	}
	fmt.Fprintf(s.out, "  %s and %s at change %d; read again and checked, nothing is wrong\n", count(copied.Checked.Records(), "record", "records"),
		count(copied.Checked.Earlier, "earlier version", "earlier versions"), copied.Checked.Change)
	return nil
}
