// Package sweep brings moments that have come to the desk: reminders, lapsed
// holds, quiet albums, photos to be fetched and looked at.
//
// What is due lives in the ledger. A sweep claims it in batches under a lease,
// so that two processes do not do the same thing at once and a killed one's
// claims come back by themselves, and hands each to the desk, which commits its
// effects and the end of the item together.
package sweep

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
	"time"

	"github.com/robfig/cron/v3"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/photos"
)

// Sweep works through what is due.
type Sweep struct {
	Ledger *ledger.Ledger
	Desk   *desk.Desk
	// Fetch brings a photo's bytes. They are measured and forgotten.
	Fetch func(ctx context.Context, id bot.FileID) ([]byte, error)
	// TooBig tells whether Fetch failed because the file is larger than it may be.
	TooBig func(error) bool
	Now    func() time.Time
	// Done, if set, is told of each thing done or tried: what it was, how long after
	// its moment, and whether it failed and will be tried again. Measured, if set, is
	// told what came of each photo: "usable", a fault of the picture, or why it could
	// not be looked at.
	Done     func(what conversations.Came, late time.Duration, failed bool)
	Measured func(outcome string)
	// Schedule is when to look without having been woken.
	Schedule cron.Schedule
	Log      *slog.Logger
	// Point, if set, is told the named moment "due:claimed", with the item's id, for
	// tests that kill the process there.
	Point func(name, op string)
	// Woken, with room for one, is how Wake reaches Run.
	Woken chan struct{}
	// asleep is until when Run does nothing unless woken, zero while it works.
	asleep atomic.Pointer[time.Time]
}

const (
	// lease is how long a claimed item is left alone before somebody else may
	// try. A photo's download is the longest thing done under it.
	lease = 90 * time.Second
	batch = 16
	// again is how long an item that could not be done waits.
	again = 5 * time.Second
	// fetches bounds how often one photo is fetched; after that the customer is
	// asked to send it again.
	fetches = 3
)

// ParseSchedule reads a cron line. The parser of the library accepts lines that
// can never come, and panics on a bare time zone; both are refused here.
func ParseSchedule(line string, now time.Time) (cron.Schedule, error) {
	if strings.Contains(line, "TZ=") {
		return nil, fmt.Errorf("sweep: cron line %q: leave the time zone out, the business's own is used", line)
	}
	s, err := cron.ParseStandard(line)
	if err != nil {
		return nil, fmt.Errorf("sweep: cron line %q: %w", line, err)
	}
	if s.Next(now).IsZero() {
		return nil, fmt.Errorf("sweep: cron line %q never comes", line)
	}
	return s, nil
}

// Work does everything that is due now and returns how many things that were.
// What fails is left for later and does not stop the rest; the error tells of it.
func (s *Sweep) Work(ctx context.Context) (done int, err error) {
	for {
		items, cerr := s.Ledger.ClaimDue(ctx, s.Now(), lease, batch)
		if cerr != nil {
			return done, errors.Join(err, fmt.Errorf("sweep: claim: %w", cerr))
		}
		if len(items) == 0 {
			return done, err
		}
		for _, item := range items {
			if s.Point != nil {
				s.Point("due:claimed", item.ID)
			}
			if ierr := s.do(ctx, item); ierr != nil {
				err = errors.Join(err, ierr)
				if derr := s.Ledger.DeferDue(ctx, item, s.Now().Add(again)); derr != nil {
					return done, errors.Join(err, derr)
				}
				continue
			}
			done++
		}
	}
}

func (s *Sweep) do(ctx context.Context, item ledger.Due) error {
	var w conversations.Came
	if err := json.Unmarshal(item.Body, &w); err != nil {
		// Of a newer release, or damaged: the desk knows no such kind, and sets it aside
		// with all that is written in it.
		s.Log.Error("due item not understood", "op", desk.Ref(desk.CameOp(item)))
		return s.Desk.Came(ctx, item, conversations.Came{Kind: string(item.Body)})
	}
	err := s.come(ctx, item, w)
	late := s.Now().Sub(item.At)
	if s.Done != nil {
		s.Done(w, late, err != nil)
	}
	if err == nil {
		s.Log.Info("moment came", "op", desk.Ref(desk.CameOp(item)), "kind", w.Kind, "late", late.Round(time.Millisecond).Seconds())
	}
	return err
}

// come brings one moment to the desk, after fetching what goes with it.
func (s *Sweep) come(ctx context.Context, item ledger.Due, w conversations.Came) error {
	if w.File == "" {
		return s.Desk.Came(ctx, item, w)
	}
	m, err := s.measure(ctx, item, w)
	if err != nil {
		return err
	}
	if s.Measured != nil {
		s.Measured(outcome(m))
	}
	return s.Desk.Came(ctx, item, m)
}

// outcome is a constant word for what came of a photo: its first fault, if any.
func outcome(m conversations.Measured) string {
	switch {
	case m.Failed != "":
		return m.Failed
	case len(m.Report.Faults) > 0:
		return string(m.Report.Faults[0])
	}
	return "usable"
}

// measure fetches and measures a photo. It fails only on what may pass; what
// will not is a verdict.
func (s *Sweep) measure(ctx context.Context, item ledger.Due, w conversations.Came) (conversations.Measured, error) {
	m := conversations.Measured{Came: w}
	data, err := s.Fetch(ctx, w.File)
	switch {
	case err != nil && s.TooBig(err):
		m.Failed = conversations.FailedTooBig
		return m, nil
	case err != nil:
		n, ferr := s.Ledger.Failed(ctx, "fetch:"+item.ID)
		if ferr != nil || n < fetches {
			return m, errors.Join(fmt.Errorf("sweep: photo %s: %w", desk.Ref(desk.CameOp(item)), err), ferr)
		}
		s.Log.Warn("photo could not be fetched", "op", desk.Ref(desk.CameOp(item)), "err", err)
		m.Failed = conversations.FailedUnread
		return m, nil
	}
	m.Report, err = photos.Measure(ctx, data)
	switch {
	case errors.Is(err, photos.ErrHEIC):
		m.Failed = conversations.FailedHEIC
	case errors.Is(err, photos.ErrTooLarge):
		m.Failed = conversations.FailedTooBig
	case err != nil && ctx.Err() != nil:
		return m, err
	case err != nil:
		m.Failed = conversations.FailedUnread
	}
	return m, nil
}

// Wake tells of a moment that has been set. Run need not hear of one that comes later
// than what it waits for.
func (s *Sweep) Wake(due time.Time) {
	if until := s.asleep.Load(); until != nil && !due.Before(*until) {
		return
	}
	select {
	case s.Woken <- struct{}{}:
	default:
	}
}

// Run sweeps whenever woken, at every moment of the schedule, and when the next
// thing falls due, until ctx ends.
func (s *Sweep) Run(ctx context.Context) {
	for ctx.Err() == nil {
		if _, err := s.Work(ctx); err != nil && ctx.Err() == nil {
			s.Log.Warn("sweep incomplete", "err", err)
		}
		select { // who is woken already need not ask when
		case <-s.Woken:
			continue
		default:
		}
		timer := time.NewTimer(s.until(ctx))
		select {
		case <-ctx.Done():
		case <-s.Woken:
		case <-timer.C:
		}
		timer.Stop()
	}
}

// until is how long to wait for the next thing due or the next moment of the
// schedule, whichever is sooner.
func (s *Sweep) until(ctx context.Context) time.Duration {
	s.asleep.Store(nil) // what is set from here on may be missed below, and wakes us
	now := s.Now()
	next := s.Schedule.Next(now)
	if at, ok, err := s.Ledger.NextDue(ctx); err == nil && ok && at.Before(next) {
		next = at
	}
	s.asleep.Store(&next)
	const least = 50 * time.Millisecond
	return max(least, next.Sub(now))
}
