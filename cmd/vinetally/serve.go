package main

import (
	"context"
	"fmt"
	"log/slog"
	"time"
)

// serveCommand is `vinetally serve`.
type serveCommand struct {
	database
	listening
}

// Run serves until the context ends.
func (c *serveCommand) Run(ctx context.Context, s streams) error {
	listener, err := c.listen(ctx) // first, so that an address that can't be had makes no database
	if err != nil {
		return err
	}
	defer listener.Close()
	db, done, err := c.openOrMake(ctx, s)
	if err != nil {
		return err
	}
	defer done()
	fmt.Fprintf(s.out, "vinetally serves %s at http://%s/ (stop with Ctrl-C)\n", c.DB, listener.Addr())
	return c.serve(ctx, db, listener, slog.New(slog.NewJSONHandler(s.err, nil)), "", time.Time{})
}
