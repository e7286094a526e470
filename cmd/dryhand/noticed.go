package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"
)

// noticed are the ways in which somebody notices that a desk is not well.
type noticed struct {
	MetricsListen string        `help:"Address to serve Prometheus metrics on, at /metrics. Without it there are none." placeholder:"ADDR"`
	HeartbeatURL  string        `help:"Address to fetch as long as all is well, so that whoever is behind it notices when it is not." placeholder:"URL"`
	HeartbeatEach time.Duration `help:"How often to fetch it." default:"1m"`
}

// serveMetrics serves them until ctx ends.
func (w noticed) serveMetrics(ctx context.Context, beside *sync.WaitGroup, counts *metrics, log *slog.Logger) error {
	if w.MetricsListen == "" {
		return nil
	}
	listener, err := net.Listen("tcp", w.MetricsListen)
	if err != nil {
		return fmt.Errorf("listening for metrics on %s: %w", w.MetricsListen, err)
	}
	server := newServer(counts.handler())
	log.Info("metrics", "listen", listener.Addr().String())
	beside.Go(func() {
		if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
			log.Error("metrics are no longer served", "err", err)
		}
	})
	beside.Go(func() { <-ctx.Done(); server.Close() })
	return nil
}

// lateWithin is how late a moment may be before something is wrong with us.
const lateWithin = 10 * time.Minute

// heartbeats fetches the address until ctx ends, each time only if the desk is well.
// Its silence is what is noticed: also when the machine is off, or the network gone.
func (w noticed) heartbeats(ctx context.Context, p *parts, counts *metrics) {
	if w.HeartbeatURL == "" {
		return
	}
	ticks := time.NewTicker(max(time.Millisecond, w.HeartbeatEach))
	defer ticks.Stop()
	for {
		if err := w.beat(ctx, p); ctx.Err() != nil {
			return
		} else if err != nil {
			p.log.Warn("no heartbeat", "err", err)
		} else {
			counts.heartbeatAt.SetToCurrentTime()
		}
		select {
		case <-ctx.Done():
			return
		case <-ticks.C:
		}
	}
}

// beat is one heartbeat, or why there is none.
func (w noticed) beat(ctx context.Context, p *parts) error {
	const patience = 20 * time.Second
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if err := p.ledger.Ready(ctx); err != nil {
		return err
	}
	waiting, err := p.ledger.Backlog(ctx, p.now())
	if err != nil {
		return err
	}
	if since := waiting.LateSince; !since.IsZero() && p.now().Sub(since) > lateWithin {
		return fmt.Errorf("%d moments are late, the first since %v", waiting.Late, since)
	}
	if old := age(waiting.Oldest, p.now()); old > lateWithin.Seconds() {
		return fmt.Errorf("%d messages wait to be sent, the first for %.0f s", waiting.Out, old)
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, w.HeartbeatURL, nil)
	if err != nil {
		return errors.New("--heartbeat-url is no address")
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		// Its words hold the address, and the address may be a secret.
		return errors.New("the heartbeat address cannot be reached")
	}
	defer resp.Body.Close()
	io.Copy(io.Discard, io.LimitReader(resp.Body, 64<<10))
	if resp.StatusCode >= 300 {
		return fmt.Errorf("the heartbeat address answers %d", resp.StatusCode)
	}
	return nil
}
