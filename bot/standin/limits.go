package standin

import (
	"math"
	"strings"
	"time"

	"golang.org/x/time/rate"
)

// The rates of core.telegram.org/bots/faq: about 30 messages a second over all
// chats, one a second in one chat.
const (
	overallRate = 30
	chatRate    = 1
)

// limits say when the platform has had enough of the bot.
type limits struct {
	strict bool
	all    *rate.Limiter
	hook   *rate.Limiter
	chats  map[int64]*rate.Limiter
	// held are chats with a 429 still running.
	held map[int64]time.Time
}

func newLimits(strict bool) limits {
	return limits{strict: strict, all: rate.NewLimiter(overallRate, overallRate), hook: rate.NewLimiter(1, 1),
		chats: map[int64]*rate.Limiter{}, held: map[int64]time.Time{}}
}

// take counts a call against the limits and refuses it if it comes too soon. A
// refused call does not count.
func (s *Standin) take(method string, chat int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.clock.Now()
	if method == "setWebhook" && s.limits.strict && !s.limits.hook.AllowN(now, 1) {
		return tooMany(1)
	}
	if !paced(method) {
		return nil
	}
	if left := s.limits.held[chat].Sub(now); left > 0 {
		no := tooMany(seconds(left))
		no.fault = true
		return no
	}
	if wait := s.limits.wait(now, chat); wait > 0 {
		return tooMany(seconds(wait))
	}
	return nil
}

// paced tells whether a method counts as a message: sends and edits do, answers
// to taps do not (github.com/tdlib/telegram-bot-api/issues/648).
func paced(method string) bool {
	return method != "sendChatAction" && (strings.HasPrefix(method, "send") || strings.HasPrefix(method, "edit"))
}

// wait takes one message's worth from both limits, or says how long to wait.
func (l *limits) wait(now time.Time, chat int64) time.Duration {
	if !l.strict {
		return 0
	}
	one := l.chats[chat]
	if one == nil {
		one = rate.NewLimiter(chatRate, 1)
		l.chats[chat] = one
	}
	first := one.ReserveN(now, 1)
	if wait := first.DelayFrom(now); wait > 0 {
		first.CancelAt(now)
		return wait
	}
	second := l.all.ReserveN(now, 1)
	if wait := second.DelayFrom(now); wait > 0 {
		second.CancelAt(now)
		first.CancelAt(now)
		return wait
	}
	return 0
}

// seconds rounds up, as the platform only tells whole seconds.
func seconds(d time.Duration) int { return int(math.Ceil(d.Seconds())) }
