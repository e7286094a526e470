package ledger

import (
	"context"
	"sync"

	"github.com/redis/go-redis/v9"
)

// mostTogether bounds how many calls make one round trip.
const mostTogether = 64

// trips lets calls that meet share a round trip. A call that finds nobody on the
// way goes at once and alone, as if there were no trips. Those made while others
// are on the way wait for them to be back and then go together: on a busy line
// most of what a call costs, both here and at the server, is sending and waking,
// not the script. No call waits for more than one round trip that is not its own.
//
// A script needs no connection to itself, which is what makes this possible;
// WATCH does.
type trips struct {
	mu      sync.Mutex
	away    bool
	waiting []*call
}

// call is a script to run, and what came of it.
type call struct {
	script *redis.Script
	keys   []string
	args   []any
	// gone tells that whoever made the call has stopped waiting for it.
	gone  bool
	done  chan struct{}
	reply *redis.Cmd
}

// run is [redis.Script.Run].
func (l *Ledger) run(ctx context.Context, script *redis.Script, keys []string, args ...any) *redis.Cmd {
	t := &l.trips
	t.mu.Lock()
	if !t.away {
		t.away = true
		t.mu.Unlock()
		defer l.back(ctx)
		return script.Run(ctx, l.rdb, keys, args...)
	}
	c := &call{script: script, keys: keys, args: args, done: make(chan struct{})}
	t.waiting = append(t.waiting, c)
	t.mu.Unlock()
	select {
	case <-c.done:
		return c.reply
	case <-ctx.Done():
		t.mu.Lock()
		c.gone = true
		t.mu.Unlock()
		reply := redis.NewCmd(ctx)
		reply.SetErr(ctx.Err())
		return reply
	}
}

// back ends a round trip. Those who waited for it set out, and nobody else waits
// for them here.
func (l *Ledger) back(ctx context.Context) {
	if batch := l.next(); len(batch) > 0 {
		ctx = context.WithoutCancel(ctx) // each has a deadline of its own
		go func() {
			for ; len(batch) > 0; batch = l.next() {
				l.send(ctx, batch)
			}
		}()
	}
}

// next takes those who wait, or notes that nobody is on the way.
func (l *Ledger) next() []*call {
	t := &l.trips
	t.mu.Lock()
	defer t.mu.Unlock()
	var batch []*call
	n := 0
	for _, c := range t.waiting {
		if len(batch) == mostTogether {
			break
		}
		n++
		if !c.gone {
			batch = append(batch, c)
		}
	}
	t.waiting = t.waiting[n:]
	t.away = len(batch) > 0
	return batch
}

// send makes one round trip of calls. A script the server does not know was not
// run, and is sent whole.
func (l *Ledger) send(ctx context.Context, batch []*call) {
	// Each call has its own error, and one of all of them is among those.
	_, _ = l.rdb.Pipelined(ctx, func(p redis.Pipeliner) error {
		for _, c := range batch {
			c.reply = c.script.EvalSha(ctx, p, c.keys, c.args...)
		}
		return nil
	})
	for _, c := range batch {
		if redis.HasErrorPrefix(c.reply.Err(), "NOSCRIPT") {
			c.reply = c.script.Eval(ctx, l.rdb, c.keys, c.args...)
		}
		close(c.done)
	}
}
