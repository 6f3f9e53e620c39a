package main

import (
	"context"
	"fmt"
	"strings"

	"vinetally/storage"
)

// checkCommand is `vinetally check`.
type checkCommand struct {
	database
}

// Run looks through the whole database and changes nothing.
func (c *checkCommand) Run(ctx context.Context, s streams) error {
	checked, err := storage.Check(ctx, c.DB, storage.CheckOptions{Plant: ledgerFaults})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Checked %s: %s of the file, tables of version %d\n", checked.Path, count(int(checked.Pages), "page", "pages"), checked.Version)
	if !checked.Older() {
		fmt.Fprint(s.out, checkedWords(checked))
	}
	for _, d := range checked.Damage {
		fmt.Fprintln(s.err, d)
	}
	if checked.Untold > 0 {
		fmt.Fprintf(s.err, "and %d more\n", checked.Untold)
	}
	switch n := len(checked.Damage) + checked.Untold; {
	case n > 0:
		return fmt.Errorf("%s wrong with %s; nothing was changed. Copy the file before you mend it, and mend what is listed or put a backup in its place",
			count(n, "thing is", "things are"), checked.Path)
	case checked.Older():
		return fmt.Errorf("the tables of %s are of version %d and this program's of %d, so only SQLite's own checks were made; "+
			"any command that opens the database brings it up to date, vinetally export for one; then check again", checked.Path, checked.Version, checked.Newest)
	}
	fmt.Fprintln(s.out, "Nothing is wrong.")
	return nil
}

// checkedWords tell what was checked, in numbers.
func checkedWords(c *storage.Checked) string {
	var kinds []string
	for _, k := range c.Kinds {
		if k.Records > 0 {
			kinds = append(kinds, k.Words)
		}
	}
	of := ""
	if len(kinds) > 0 {
		of = " (" + strings.Join(kinds, ", ") + ")"
	}
	return fmt.Sprintf("  %s at change %d%s\n  %s in the history\n  the ledgers of %s\n",
		count(c.Records(), "record", "records"), c.Change, of, count(c.Earlier, "earlier version", "earlier versions"), count(c.Plants, "plant", "plants"))
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
