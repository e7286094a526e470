package main

import (
	"context"
	"log/slog"
	"os"
	"slices"
	"sync/atomic"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// lookEvery is how often the owner's files are looked at for a change.
const lookEvery = 5 * time.Second

// kept are the owner's rules, wordings and phrases as they last were in order. A file that
// is changed counts from the next message on; one with a mistake in it is logged,
// and the one before it goes on counting.
type kept struct {
	files business
	log   *slog.Logger
	last  atomic.Pointer[inForce]
	// seen is how the files looked when they were last read.
	seen []look
}

// inForce is what was in the files.
type inForce struct {
	rules  *pricing.Rules
	words  *wording.Words
	reader *reading.Reader
	// languages are the others somebody may choose, for these rules.
	languages []conversations.Language
}

// look is how a file looks from outside.
type look struct {
	size int64
	at   time.Time
}

// newKept keeps what was read of the files at the start.
func newKept(files business, of loaded, log *slog.Logger) (*kept, error) {
	now, err := of.inForce()
	if err != nil {
		return nil, err
	}
	nameMissing(now.languages, log)
	k := &kept{files: files, log: log}
	k.last.Store(now)
	k.seen = k.looks()
	return k, nil
}

// now is what counts.
func (k *kept) now() *inForce { return k.last.Load() }

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
	if slices.Equal(looks, k.seen) {
		return
	}
	k.seen = looks
	// What is wrong in one file keeps the others back, too: they may belong together.
	next, err := k.read()
	if err != nil {
		k.log.Error("the changed files have a mistake; those before it go on counting", "err", err)
		return
	}
	if next.rules.Diary.TimeZone != k.now().rules.Diary.TimeZone {
		k.log.Error("the time zone changed; that needs a restart, so the rules before it go on counting")
		return
	}
	nameMissing(next.languages, k.log)
	k.last.Store(next)
	k.log.Info("files read again", "rules", next.rules.Version())
}

func (k *kept) read() (*inForce, error) {
	of, err := k.files.loadAll()
	if err != nil {
		return nil, err
	}
	return of.inForce()
}

// inForce is what is to count from now on.
func (of loaded) inForce() (*inForce, error) {
	in, err := conversations.Languages(of.rules, of.others)
	if err != nil {
		return nil, err
	}
	return &inForce{of.rules, of.words, of.reader, in}, nil
}

func (k *kept) looks() []look {
	var out []look
	for _, name := range append([]string{k.files.Rules, k.files.Words, k.files.Phrases}, k.files.Language...) {
		var l look
		if info, err := os.Stat(name); err == nil {
			l = look{info.Size(), info.ModTime()}
		}
		out = append(out, l)
	}
	return out
}
