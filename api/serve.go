package api

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
)

// Serve answers on the listener until ctx is done, then takes no new requests, lets those under way end within
// limits.Shutdown, and returns. It returns nil after a clean stop.
func Serve(ctx context.Context, listener net.Listener, handler http.Handler, limits Limits, log *slog.Logger) error {
	limits = limits.orDefault()
	srv := &http.Server{
		Handler: handler, MaxHeaderBytes: limits.HeaderBytes,
		ReadHeaderTimeout: limits.ReadHeader, ReadTimeout: limits.Read, WriteTimeout: limits.Write, IdleTimeout: limits.Idle,
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(listener) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve %s: %w", listener.Addr(), err)
	case <-ctx.Done():
	}
	// The requests under way must not end with the context that said stop.
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), limits.Shutdown)
	defer cancel()
	if err := srv.Shutdown(stop); err != nil {
		_ = srv.Close()
		return fmt.Errorf("stop serving %s: requests under way were cut off after %s: %w", listener.Addr(), limits.Shutdown, err)
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve %s: %w", listener.Addr(), err)
	}
	return nil
}
