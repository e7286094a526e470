package ledgertest

import (
	"context"
	"io"
	"net"
	"sync/atomic"
	"time"

	"github.com/redis/go-redis/v9"
)

// Line is the wire to a server, which can lose replies: the server has done what
// was asked, and the client hears of nothing but a closed connection.
type Line struct{ lose atomic.Int64 }

// NewLine makes the options' client talk over a line.
func NewLine(o *redis.UniversalOptions) *Line {
	l := new(Line)
	o.Dialer = func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := (&net.Dialer{Timeout: 2 * time.Second}).DialContext(ctx, network, addr)
		if err != nil {
			return nil, err
		}
		return &wire{Conn: c, line: l}, nil
	}
	return l
}

// Lose makes the next n requests lose their replies.
func (l *Line) Lose(n int) { l.lose.Store(int64(n)) }

// Left is how many replies are still to be lost.
func (l *Line) Left() int { return int(l.lose.Load()) }

// wire is one connection of a line.
type wire struct {
	net.Conn
	line *Line
	// doomed: a request has gone out whose reply is to be lost.
	doomed atomic.Bool
}

func (w *wire) Write(p []byte) (int, error) {
	if left := w.line.lose.Load(); left > 0 && w.line.lose.CompareAndSwap(left, left-1) {
		w.doomed.Store(true)
	}
	return w.Conn.Write(p)
}

// Read waits for the reply of a doomed request, so that the server has carried it
// out, and throws it away.
func (w *wire) Read(p []byte) (int, error) {
	n, err := w.Conn.Read(p)
	if err == nil && w.doomed.Load() {
		w.Close()
		return 0, io.EOF
	}
	return n, err
}
