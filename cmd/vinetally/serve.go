package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"

	"vinetally/api"
	"vinetally/storage"
)

// serveCommand is `vinetally serve`.
type serveCommand struct {
	database
	Listen string `default:"127.0.0.1:8780" placeholder:"HOST:PORT" help:"Where to listen (${default})."`
}

// Run serves until the context ends.
func (c *serveCommand) Run(ctx context.Context, s streams) error {
	listener, err := listen(ctx, c.Listen) // first, so that an address that can't be had makes no database
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
	return serve(ctx, db, listener, slog.New(slog.NewJSONHandler(s.err, nil)), "")
}

func listen(ctx context.Context, address string) (net.Listener, error) {
	var lc net.ListenConfig
	listener, err := lc.Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen at %s: %w; choose another address with --listen", address, err)
	}
	return listener, nil
}

func serve(ctx context.Context, db *storage.DB, listener net.Listener, log *slog.Logger, invented string) error {
	handler := api.New(api.Config{Store: records{db.Site()}, Ping: db.Ping, Logger: log, Invented: invented})
	return api.Serve(ctx, listener, handler, api.Limits{}, log)
}
