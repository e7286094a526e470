package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"time"

	"example.org/dryhand/bot/telegram"
)

// child is what this program does when it is its own child.
func child(ctx context.Context, args []string) error {
	if args[0] == "bare" {
		return bare(ctx, args[1])
	}
	return fmt.Errorf("no child is called %s", args[0])
}

// bare is the floor: a server that takes updates, reads and decodes them as the real
// one does, and then does nothing.
func bare(ctx context.Context, addr string) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	server := &http.Server{ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second, WriteTimeout: 45 * time.Second,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10,
		Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			raw, err := io.ReadAll(http.MaxBytesReader(w, r.Body, 1<<20))
			if err == nil {
				_, _, err = telegram.Decode(raw)
			}
			if err != nil {
				http.Error(w, err.Error(), http.StatusBadRequest)
			}
		})}
	go func() { <-ctx.Done(); server.Close() }()
	if err := server.Serve(listener); ctx.Err() == nil {
		return err
	}
	return nil
}

// startBare starts the floor.
func (l *lab) startBare() (*server, error) {
	addr, err := freeAddr()
	if err != nil {
		return nil, err
	}
	p, err := l.startSelf("bare", "bare", addr)
	if err != nil {
		return nil, err
	}
	return &server{process: p, hook: hookAt(addr)}, p.until(func() bool {
		c, err := net.Dial("tcp", addr)
		if err == nil {
			c.Close()
		}
		return err == nil
	})
}
