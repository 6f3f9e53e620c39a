package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"os"
	"strings"
	"time"

	"vinetally/api"
	"vinetally/storage"
)

// listening is where a serving command listens, and the names it answers to.
type listening struct {
	Listen string   `default:"127.0.0.1:8780" placeholder:"HOST:PORT" help:"Where to listen (${default})."`
	Host   []string `placeholder:"NAME" help:"A further name that browsers may write in the address; may be given several times. localhost, addresses in numbers, the name in --listen and this machine's own name (also with .local) are answered anyway; any other is refused, so that no page of another site can pass itself off as this server's."`
}

// Validate makes a name that can't be one a wrong command line.
func (l *listening) Validate() error {
	for _, name := range l.Host {
		if name == "" || strings.ContainsAny(name, "/*@ ") {
			return fmt.Errorf("--host is %q; give the name alone, such as garden-pc.example", name)
		}
	}
	return nil
}

func (l *listening) listen(ctx context.Context) (net.Listener, error) {
	var lc net.ListenConfig
	listener, err := lc.Listen(ctx, "tcp", l.Listen)
	if err != nil {
		return nil, fmt.Errorf("listen at %s: %w; choose another address with --listen", l.Listen, err)
	}
	return listener, nil
}

// names are those that the server answers to.
func (l *listening) names() []string {
	names := append([]string{l.Listen}, l.Host...)
	if own, err := os.Hostname(); err == nil { // without it the others do
		names = append(names, own, own+".local")
	}
	return names
}

func (l *listening) serve(ctx context.Context, db *storage.DB, listener net.Listener, log *slog.Logger, invented string, inventedAt time.Time) error {
	handler := api.New(api.Config{Store: records{db.Site()}, Ping: db.Ping, Logger: log, Hosts: l.names(), Invented: invented, InventedAt: inventedAt})
	return api.Serve(ctx, listener, handler, api.Limits{}, log)
}
