package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime/debug"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/ledger"
)

const (
	// attempts bounds how often one message may fail in its own right, lest its
	// chat be blocked for ever; with the pauses between, about an hour.
	attempts = 20
	// laterMost bounds the growing pause between two tries.
	laterMost = 5 * time.Minute
)

// The reasons for which a message is put aside. What follows a colon is for the
// reader; they are counted without.
const (
	asideLate       = "too late"
	asideUncertain  = "uncertain"
	asideOften      = "tried too often"
	asideImpossible = "impossible"
	asideBlocked    = "blocked"
)

// deliver sends one claimed message and settles it. An error is the store's.
func (s *Sender) deliver(ctx context.Context, c ledger.Sending) (err error) {
	defer func() {
		if p := recover(); p != nil {
			// It would do so again, and hold up its chat.
			s.Log.Error("sending panicked", "type", fmt.Sprintf("%T", p), "stack", string(debug.Stack()))
			err = s.aside(ctx, c, asideImpossible+": panicked")
		}
	}()
	s.point("send:claimed", c.Member)
	var m bot.Message
	if err := json.Unmarshal(c.Body, &m); err != nil {
		return s.aside(ctx, c, asideImpossible+": not a message")
	}
	m.Chat = bot.ChatID(c.Chat)
	if why := s.hopeless(c, m); why != "" {
		s.Log.Warn("message not sent", "op", m.Ref, "kind", m.Kind, "why", why)
		s.tell(m, constant(why), 0)
		return s.aside(ctx, c, why)
	}
	if until := s.brake.held(s.Now()); !until.IsZero() {
		return s.Ledger.Later(ctx, c, until)
	}
	if c.Once {
		if err := s.Ledger.Begin(ctx, c); errors.Is(err, ledger.ErrClaimLost) {
			return nil
		} else if err != nil {
			return err
		}
		s.point("send:begun", c.Member)
	}
	began := time.Now() // not Now: how long it took is the machine's matter
	v, wait, err := s.call(ctx, m)
	took := time.Since(began)
	s.point("send:called", c.Member)
	s.tell(m, v.String(), took)
	if err := s.settle(ctx, c, m, v, wait, err); err != nil {
		return err
	}
	s.point("send:settled", c.Member)
	return nil
}

// hopeless tells why a message is put aside without a call, "" if it is not.
func (s *Sender) hopeless(c ledger.Sending, m bot.Message) string {
	switch {
	case !c.NotAfter.IsZero() && s.Now().After(c.NotAfter):
		return asideLate
	case c.Once && c.Began:
		return asideUncertain
	}
	if why := unsendable(m); why != "" {
		return asideImpossible + ": " + why
	}
	return ""
}

// settle does with a message what its answer means.
func (s *Sender) settle(ctx context.Context, c ledger.Sending, m bot.Message, v verdict, wait time.Duration, err error) error {
	now := s.Now()
	if v != away && v != denied && v != uncertain {
		s.brake.reached()
	}
	if v == sent || v == lostTarget {
		s.Log.Info("message sent", "op", m.Ref, "kind", m.Kind, "attempt", c.Attempt, "waited", waited(m, now))
		return s.sent(ctx, c)
	}
	log := s.Log.With("op", m.Ref, "kind", m.Kind, "attempt", c.Attempt)
	switch {
	case v == slower:
		log.Warn("platform asks to wait", "seconds", wait.Seconds())
		s.brake.slower(c.Chat, now, now.Add(wait))
		return s.Ledger.Later(ctx, c, now.Add(wait))
	case v == shut:
		log.Info("chat cannot be reached")
		return s.shut(ctx, c)
	case v == away, v == denied:
		until := s.brake.away(now)
		log.Error("platform cannot be used", "err", s.Client.scrub(err), "denied", v == denied)
		if m.Delivery == bot.Cosmetic {
			return s.sent(ctx, c)
		}
		return s.Ledger.Later(ctx, c, until)
	case m.Delivery == bot.Cosmetic:
		return s.sent(ctx, c)
	case v == uncertain && c.Once:
		log.Warn("message may have arrived", "err", s.Client.scrub(err))
		return s.aside(ctx, c, asideUncertain)
	case v == unsent, v == uncertain:
		log.Warn("message goes again", "err", s.Client.scrub(err), "uncertain", v == uncertain)
		return s.again(ctx, c, now)
	}
	log.Error("message refused", "err", s.Client.scrub(err))
	return s.aside(ctx, c, asideImpossible+": "+s.Client.scrub(err).Error())
}

// waited is how long ago a message was committed, in seconds; zero for one of a
// release that did not write that down.
func waited(m bot.Message, now time.Time) float64 {
	if m.Said.IsZero() {
		return 0
	}
	return now.Sub(m.Said).Round(time.Millisecond).Seconds()
}

// constant is the part of a reason that is counted.
func constant(reason string) string {
	short, _, _ := strings.Cut(reason, ":")
	return short
}

// sent takes a message that is done, or given up without regret, off the queue.
func (s *Sender) sent(ctx context.Context, c ledger.Sending) error {
	s.tries.forget(c.Member)
	return s.Ledger.Sent(ctx, c, s.Now().Add(s.pace()))
}

// again leaves a message first in its chat, for a while that grows.
func (s *Sender) again(ctx context.Context, c ledger.Sending, now time.Time) error {
	n := s.tries.failed(c.Member)
	if n >= attempts {
		return s.aside(ctx, c, asideOften)
	}
	return s.Ledger.Later(ctx, c, now.Add(backoff(n, laterMost)))
}

// aside puts a message aside. The conversation hears first: if the process ends in
// between, it is put aside again and told again, under the same name.
func (s *Sender) aside(ctx context.Context, c ledger.Sending, reason string) error {
	if err := s.undelivered(ctx, c, reason); err != nil {
		return err
	}
	s.tries.forget(c.Member)
	now := s.Now()
	return s.Ledger.SetAside(ctx, c, reason, now, now)
}

// undelivered tells the conversation of a message that says what it is about.
func (s *Sender) undelivered(ctx context.Context, c ledger.Sending, reason string) error {
	var m bot.Message
	if s.Undelivered == nil || json.Unmarshal(c.Body, &m) != nil || m.About == "" {
		return nil
	}
	what := bot.Undelivered{About: m.About, Kind: m.Kind, Uncertain: reason == asideUncertain, Never: strings.HasPrefix(reason, asideImpossible)}
	if err := s.Undelivered(ctx, bot.ChatID(c.Chat), what, "undelivered:"+c.Member); err != nil {
		return fmt.Errorf("telegram: telling of a message that did not arrive: %w", err)
	}
	return nil
}

// shut tells the conversation first: if the process ends in between, the message
// is tried again and tells it again, under the same name.
func (s *Sender) shut(ctx context.Context, c ledger.Sending) error {
	if err := s.Blocked(ctx, bot.ChatID(c.Chat), "blocked:"+c.Member); err != nil {
		return fmt.Errorf("telegram: telling of a blocked chat: %w", err)
	}
	s.tries.forget(c.Member)
	_, err := s.Ledger.DropChat(ctx, c.Chat, asideBlocked, s.Now())
	return err
}
