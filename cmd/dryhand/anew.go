package main

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"
)

// anew has Redis write its append-only file anew whenever it was started.
//
// A server that was killed, or lost its power, while it wrote a commit leaves the
// beginning of it in the file. When it starts it takes that off, but too little of it
// where the last command is not whole (seen in 7.0.15; mended in Valkey in August 2026:
// github.com/valkey-io/valkey/pull/4342): nothing of the commit counts, yet its first
// commands stay in the file, and the next time Redis starts they come to life: a message
// goes out that was replaced long ago, an update counts as done of which half is done.
// And redis-check-aof --fix, run on such a file, takes off all that came later. A file
// written anew is made of what is in memory, and has nothing of it.
type anew struct {
	redis    redis.UniversalClient
	business string
	log      *slog.Logger

	// seen is the run of the server whose file needs nothing more, asked that of the one
	// that was asked to write it.
	seen, asked string
	// rest is until when it is left alone, after it could not.
	rest time.Time
}

const (
	// anewEvery is how often it is looked whether Redis was started: until its file is
	// written anew it must not go down a second time.
	anewEvery = time.Second
	// anewAgain is how long a server that could not write it, its disk being full, say,
	// is left alone.
	anewAgain = time.Minute
)

// watch looks at every tick until ctx ends.
func (a *anew) watch(ctx context.Context, ticks *time.Ticker) {
	defer ticks.Stop()
	for {
		a.look(ctx)
		select {
		case <-ctx.Done():
			return
		case <-ticks.C:
		}
	}
}

// look asks for the file if the server was started since, and sees whether it came. A
// server that is away, or does not tell which run it is, is asked again the next time.
func (a *anew) look(ctx context.Context) {
	one, _, err := holder(ctx, a.redis, a.business)
	if err != nil {
		return
	}
	info := infoOf(ctx, one, "server", "persistence")
	run := info["run_id"]
	switch {
	case run == "" || run == a.seen || info["loading"] == "1":
	case info["aof_enabled"] == "0":
		a.seen = run
	case info["aof_rewrite_in_progress"] == "1" || info["aof_rewrite_scheduled"] == "1" || time.Now().Before(a.rest):
	case run == a.asked && info["aof_last_bgrewrite_status"] == "ok":
		a.seen = run
		a.log.Info("Redis was started, and has written its file anew", "run", run)
	case run == a.asked:
		a.log.Warn("Redis cannot write its file anew; is its disk full?")
		a.asked, a.rest = "", time.Now().Add(anewAgain)
	default:
		a.ask(ctx, one, run)
	}
}

func (a *anew) ask(ctx context.Context, one redis.Cmdable, run string) {
	err := one.BgRewriteAOF(ctx).Err()
	var refused redis.Error
	switch {
	case err == nil || strings.Contains(err.Error(), "in progress"):
		a.asked = run
	case errors.As(err, &refused):
		a.seen = run
		a.log.Warn("Redis will not write its file anew: after it was killed, what it was writing may come back when it is started once more; "+
			"the user in --redis-url needs BGREWRITEAOF", "err", err)
	}
}
