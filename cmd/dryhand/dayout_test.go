package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot/standin"
)

// away is a hook under which a store cannot be reached.
type away struct{ atomic.Bool }

var errAway = errors.New("the store is away")

func (a *away) DialHook(next redis.DialHook) redis.DialHook { return next }

func (a *away) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		if a.Load() {
			cmd.SetErr(errAway)
			return errAway
		}
		return next(ctx, cmd)
	}
}

func (a *away) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return func(ctx context.Context, cmds []redis.Cmder) error {
		if a.Load() {
			for _, cmd := range cmds {
				cmd.SetErr(errAway) // as the client itself does
			}
			return errAway
		}
		return next(ctx, cmds)
	}
}

// retries lets the platform try again, until a moment or until nothing waits. While
// the store is away it would do so every second for each chat; stride makes it less.
func retries(t *testing.T, w *world, until time.Time, stride time.Duration) {
	t.Helper()
	for t.Context().Err() == nil {
		changed := w.standin.Changed()
		at, waiting := w.standin.Due()
		switch {
		case !waiting || at.After(until):
			return
		case at.After(w.clock.Now()):
			if next := w.clock.Now().Add(stride); next.After(at) {
				at = next
			}
			w.clock.Set(at)
		default: // one is under way
			select {
			case <-changed:
			case <-time.After(time.Minute):
				t.Fatal("a delivery does not end")
			}
		}
	}
}

// follow lets everything happen that follows at once. It does not wait until presses
// are answered, as settle does: those the platform has given up never are.
func follow(t *testing.T, w *world) {
	t.Helper()
	for to := w.clock.Now().Add(10 * time.Minute); ; {
		retries(t, w, to, 0)
		n, err := w.work(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if n > 0 {
			continue
		}
		next, ok, err := w.next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if !ok || next.After(to) {
			return
		}
		w.clock.Set(next)
	}
}

// outage lets time pass while the store is away.
func outage(t *testing.T, w *world, until time.Time) {
	t.Helper()
	retries(t, w, until, 10*time.Minute)
	w.clock.Set(until)
}

// The store is away for almost a day. Everything that was written comes in after it,
// once and in order; a time that was kept has gone back and nobody is booked into it;
// a press that the platform has given up by then can be made again.
func TestADaysOutage(t *testing.T) {
	w := story(t, storyBegins+storyHeld)
	begun := w.clock.Now()
	store := &away{}
	w.redis.AddHook(store)
	owner := w.standin.Person(int64(playedOwner), "Owner")
	zuleikaIs, ann := w.standin.Person(int64(zuleika), "Zuleika"), w.standin.Person(5001, "Ann")
	ann.Say("Golf estate")
	settle(t, w)

	store.Store(true)
	press := latest(t, zuleikaIs, "Yes, remind me")
	zuleikaIs.TapData(press.message, press.data)
	pressed := latest(t, ann, "Outside")
	ann.TapData(pressed.message, pressed.data)
	var newcomers []*standin.Person
	for hour := range 23 {
		outage(t, w, begun.Add(time.Duration(hour)*time.Hour+time.Minute))
		p := w.standin.Person(6000+int64(hour), fmt.Sprint("Newcomer ", hour))
		p.Say("hello")
		p.Say("Golf estate")
		newcomers = append(newcomers, p)
		if hour == 12 {
			ann.Say("the inside please")
		}
	}
	outage(t, w, begun.Add(23*time.Hour))
	if lost := w.standin.Lost(); len(lost) != 2 {
		t.Errorf("%d updates were given up by the platform, want the two presses: %+v", len(lost), lost)
	}
	if said(owner, "would like") > 0 && said(owner, "Zuleika") > 0 {
		t.Error("the owner was asked during the outage")
	}

	store.Store(false)
	retries(t, w, w.clock.Now().Add(5*time.Minute), 0) // it comes back within two minutes
	if n := w.standin.Waiting(); n > 0 {
		t.Fatalf("%d updates are still waiting", n)
	}
	follow(t, w)
	for _, p := range newcomers {
		if said(p, "you've reached") != 1 || said(p, "Volkswagen Golf Estate") == 0 {
			t.Errorf("%s: %d greetings, %d answers: %.300q", p.Name(), said(p, "you've reached"), said(p, "Golf Estate"), texts(p))
		}
	}
	if said(ann, "✓ Inside") == 0 && said(ann, "Inside") == 0 {
		t.Error("what Ann wrote at noon was not taken")
	}
	// The kept time lapsed twenty minutes into the outage: pressing on does not book it.
	zuleikaIs.TapData(press.message, press.data)
	follow(t, w)
	if said(zuleikaIs, "went back") == 0 {
		t.Errorf("Zuleika was not told that her time has gone back: %v", texts(zuleikaIs))
	}
	if said(owner, "Zuleika") > 0 {
		t.Errorf("the owner is asked for a time that went back: %v", texts(owner))
	}
	if asides, err := w.ledger.Asides(t.Context(), 10); err != nil || len(asides) > 0 {
		t.Errorf("put aside: %v, %v", asides, err)
	}
}

// pressable is a button of a message.
type pressable struct {
	message int64
	data    string
}

// latest is the latest button whose label begins so.
func latest(t *testing.T, p *standin.Person, label string) pressable {
	t.Helper()
	for _, l := range slices.Backward(p.Chat()) {
		for _, row := range l.Buttons {
			for _, b := range row {
				if strings.HasPrefix(b.Text, label) {
					return pressable{l.ID, b.Data}
				}
			}
		}
	}
	t.Fatalf("no button %q: %v", label, texts(p))
	return pressable{}
}

// said is how many messages of the bot have these words.
func said(p *standin.Person, words string) (n int) {
	for _, l := range p.Chat() {
		if l.Bot && strings.Contains(l.Text, words) {
			n++
		}
	}
	return n
}

func texts(p *standin.Person) (out []string) {
	for _, l := range p.Chat() {
		out = append(out, l.Text)
	}
	return out
}
