package main

import (
	"context"
	"log/slog"
	"os"
	"sync/atomic"
	"time"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// lookEvery is how often the owner's files are looked at for a change.
const lookEvery = 5 * time.Second

// kept are the owner's rules, wording and phrases as they last were in order. A file that
// is changed counts from the next message on; one with a mistake in it is logged,
// and the one before it goes on counting.
type kept struct {
	files business
	log   *slog.Logger
	last  atomic.Pointer[inForce]
	// seen is how the files looked when they were last read.
	seen [3]look
}

// inForce is what was in the files.
type inForce struct {
	rules  *pricing.Rules
	words  *wording.Words
	reader *reading.Reader
}

// look is how a file looks from outside.
type look struct {
	size int64
	at   time.Time
}

func newKept(files business, rules *pricing.Rules, words *wording.Words, reader *reading.Reader, log *slog.Logger) *kept {
	k := &kept{files: files, log: log}
	k.last.Store(&inForce{rules, words, reader})
	k.seen = k.looks()
	return k
}

// now are the rules, the wording and the reader that count.
func (k *kept) now() (*pricing.Rules, *wording.Words, *reading.Reader) {
	r := k.last.Load()
	return r.rules, r.words, r.reader
}

// watch looks at the files at every tick until ctx ends.
func (k *kept) watch(ctx context.Context, ticks *time.Ticker) {
	defer ticks.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticks.C:
			k.again()
		}
	}
}

// again reads the files if they look different from last time. The time zone of
// the business stays that of the start: jobs are written down in it.
func (k *kept) again() {
	looks := k.looks()
	if looks == k.seen {
		return
	}
	k.seen = looks
	rules, words, reader, err := k.files.load()
	if err != nil {
		k.log.Error("the changed files have a mistake; those before it go on counting", "err", err)
		return
	}
	was, _, _ := k.now()
	if rules.Diary.TimeZone != was.Diary.TimeZone {
		k.log.Error("the time zone changed; that needs a restart, so the rules before it go on counting")
		return
	}
	k.last.Store(&inForce{rules, words, reader})
	k.log.Info("files read again", "rules", rules.Version())
}

func (k *kept) looks() (out [3]look) {
	for i, name := range []string{k.files.Rules, k.files.Words, k.files.Phrases} {
		if name == "" {
			continue
		}
		if info, err := os.Stat(name); err == nil {
			out[i] = look{info.Size(), info.ModTime()}
		}
	}
	return out
}
