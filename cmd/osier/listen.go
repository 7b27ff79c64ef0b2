package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"
)

// drain is how long requests under way may take to end when the server stops.
const drain = 10 * time.Second

// listen opens the address; port 0 takes a free one.
func listen(ctx context.Context, address string) (net.Listener, error) {
	var config net.ListenConfig
	l, err := config.Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w", address, err)
	}
	return l, nil
}

// serveUntil serves until the context ends, then lets what is under way finish.
func serveUntil(ctx context.Context, server *http.Server, serve func() error) error {
	failed := make(chan error, 1)
	go func() { failed <- serve() }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	if err := server.Shutdown(last); err != nil && !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("stop serving: %w", err)
	}
	return nil
}
