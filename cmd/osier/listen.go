package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"time"

	"osier/model"
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

// serveUntil serves until the context ends and for the notice after that, in
// which whoever spreads requests may turn to others. Then nobody new is let in,
// and what is under way may finish.
func serveUntil(ctx context.Context, notice time.Duration, server *http.Server, serve func() error) error {
	failed := make(chan error, 1)
	go func() { failed <- serve() }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-time.After(notice):
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	if err := server.Shutdown(last); err != nil && !errors.Is(err, http.ErrServerClosed) {
		return errors.Join(fmt.Errorf("stop serving: %w", err), server.Close())
	}
	return nil
}

// readyUntil says whether to send requests here: not once the context has ended,
// since the process then only finishes what is under way, and else where the
// store answers.
func readyUntil(ended context.Context, answers func(context.Context) error) func(context.Context) error {
	return func(ctx context.Context) error {
		if ended.Err() != nil {
			return &model.Error{Code: model.Unavailable, Wrong: "this process is draining: it finishes what is under way and then ends", Right: "ask another, or try again in a moment"}
		}
		return answers(ctx)
	}
}

// isLoopback says whether only this machine can reach an address.
func isLoopback(address net.Addr) bool {
	tcp, ok := address.(*net.TCPAddr)
	return ok && tcp.IP.IsLoopback()
}
