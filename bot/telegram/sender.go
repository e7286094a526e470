package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/ledger"
)

// Sender delivers what has been committed: in order within a chat, chats beside
// each other, within the platform's rates. It holds nothing that a restart would
// lose.
type Sender struct {
	Ledger *ledger.Ledger
	Client *Client
	Now    func() time.Time
	// Pace is the least time between two sends to one chat, a second if zero.
	Pace time.Duration
	// Parallel is how many chats are sent to at once; 1 sends in one fixed order.
	Parallel int
	// Blocked tells the conversation that a person has shut us out. op names the
	// happening, so that it is told once.
	Blocked func(ctx context.Context, chat bot.ChatID, op string) error
	Log     *slog.Logger
	// Point, if set, is told the named moments "send:claimed", "send:begun",
	// "send:called" and "send:settled".
	Point func(name, op string)
}

const (
	// lease is how long a claimed message is left alone before somebody else may
	// try; longer than a call can take.
	lease = 60 * time.Second
	// attempts bounds how often one message is tried, lest a queue be blocked
	// for ever.
	attempts = 20
	// laterMost bounds the growing pause between two tries.
	laterMost = 5 * time.Minute
	// longestText is the platform's limit for a message, in UTF-16 units.
	longestText = 4096
	// longestData is the platform's limit for a button's data, in bytes.
	longestData = 64
)

// Work sends everything that may be sent now and returns how many messages it
// settled.
func (s *Sender) Work(ctx context.Context) (settled int, err error) {
	parallel := max(1, s.Parallel)
	for ctx.Err() == nil {
		claimed, err := s.Ledger.ClaimOut(ctx, s.Now(), lease, parallel)
		if err != nil {
			return settled, err
		}
		if len(claimed) == 0 {
			return settled, nil
		}
		errs := make([]error, len(claimed))
		var wg sync.WaitGroup
		for i, c := range claimed {
			if parallel == 1 {
				errs[i] = s.deliver(ctx, c)
				continue
			}
			wg.Go(func() { errs[i] = s.deliver(ctx, c) })
		}
		wg.Wait()
		if err := errors.Join(errs...); err != nil {
			return settled, err
		}
		settled += len(claimed)
	}
	return settled, ctx.Err()
}

// Run works whenever woken and whenever a queued message's time has come, until
// ctx ends; what is under way is finished first.
func (s *Sender) Run(ctx context.Context, woken <-chan struct{}) {
	for ctx.Err() == nil {
		if _, err := s.Work(context.WithoutCancel(ctx)); err != nil {
			s.Log.Warn("sending interrupted", "err", s.Client.scrub(err))
		}
		timer := time.NewTimer(s.until(ctx))
		select {
		case <-ctx.Done():
		case <-woken:
		case <-timer.C:
		}
		timer.Stop()
	}
}

// until is how long to wait for the next message that is queued, and at most a
// second, because another process may queue one.
func (s *Sender) until(ctx context.Context) time.Duration {
	const least, most = 5 * time.Millisecond, time.Second
	at, ok, err := s.Ledger.NextOut(ctx)
	if err != nil || !ok {
		return most
	}
	return min(most, max(least, at.Sub(s.Now())))
}

// deliver sends one claimed message and settles it. An error is the store's.
func (s *Sender) deliver(ctx context.Context, c ledger.Sending) error {
	s.point("send:claimed", c.Member)
	var m bot.Message
	now := s.Now()
	if err := json.Unmarshal(c.Body, &m); err != nil {
		return s.aside(ctx, c, "impossible: not a message")
	}
	m.Chat = bot.ChatID(c.Chat)
	switch {
	case !c.NotAfter.IsZero() && now.After(c.NotAfter):
		return s.aside(ctx, c, "too late")
	case c.Once && c.Began:
		return s.aside(ctx, c, "uncertain")
	case c.Attempt > attempts:
		return s.aside(ctx, c, "tried too often")
	}
	if why := unsendable(m); why != "" {
		s.Log.Error("message cannot be sent", "kind", m.Kind, "why", why)
		return s.aside(ctx, c, "impossible: "+why)
	}
	if c.Once {
		if err := s.Ledger.Begin(ctx, c); errors.Is(err, ledger.ErrClaimLost) {
			return nil
		} else if err != nil {
			return err
		}
		s.point("send:begun", c.Member)
	}
	err := s.call(ctx, m)
	v, wait := judge(err)
	if v == lostTarget && m.Text != "" {
		m.Edit = 0
		err = s.call(ctx, m)
		v, wait = judge(err)
	}
	s.point("send:called", c.Member)
	if serr := s.settle(ctx, c, m, v, wait, err); serr != nil {
		return serr
	}
	s.point("send:settled", c.Member)
	return nil
}

// settle does with a message what its answer means.
func (s *Sender) settle(ctx context.Context, c ledger.Sending, m bot.Message, v verdict, wait time.Duration, err error) error {
	now := s.Now()
	log := s.Log.With("kind", m.Kind, "attempt", c.Attempt)
	cosmetic := m.Delivery == bot.Cosmetic
	switch {
	case v == sent, v == lostTarget:
		return s.Ledger.Sent(ctx, c, now.Add(s.pace()))
	case v == slower:
		log.Warn("platform asks to wait", "seconds", wait.Seconds())
		return s.Ledger.Later(ctx, c, now.Add(wait))
	case v == shut:
		log.Info("chat cannot be reached")
		if err := s.Blocked(ctx, m.Chat, "blocked:"+c.Member); err != nil {
			return fmt.Errorf("telegram: telling of a blocked chat: %w", err)
		}
		_, err := s.Ledger.DropChat(ctx, c.Chat, "blocked", now)
		return err
	case cosmetic:
		return s.Ledger.Sent(ctx, c, now.Add(s.pace()))
	case v == unsent, v == uncertain && m.Delivery == bot.Repeatable:
		log.Warn("message not sent yet", "err", s.Client.scrub(err), "uncertain", v == uncertain)
		return s.Ledger.Later(ctx, c, now.Add(backoff(c.Attempt)))
	case v == uncertain:
		log.Warn("message may have arrived", "err", s.Client.scrub(err))
		return s.aside(ctx, c, "uncertain")
	}
	log.Error("message refused", "err", s.Client.scrub(err))
	return s.aside(ctx, c, "impossible: "+s.Client.scrub(err).Error())
}

func (s *Sender) aside(ctx context.Context, c ledger.Sending, reason string) error {
	now := s.Now()
	return s.Ledger.SetAside(ctx, c, reason, now, now)
}

func (s *Sender) pace() time.Duration {
	if s.Pace > 0 {
		return s.Pace
	}
	return time.Second
}

// backoff is the pause after the n-th try: 1, 2, 4 … seconds.
func backoff(n int) time.Duration {
	d := time.Second
	for ; n > 1 && d < laterMost; n-- {
		d *= 2
	}
	return min(d, laterMost)
}

// unsendable finds what the platform would refuse for ever.
func unsendable(m bot.Message) string {
	for _, row := range m.Choices {
		for _, c := range row {
			if c.Label == "" || len(c.Data) == 0 || len(c.Data) > longestData {
				return "a button without label, or with data of other than 1 to 64 bytes"
			}
		}
	}
	if m.Text == "" && m.Edit == 0 && m.Photo == "" {
		return "no text"
	}
	return ""
}

// call makes the one call a message is.
func (s *Sender) call(ctx context.Context, m bot.Message) (err error) {
	var markup models.ReplyMarkup
	if len(m.Choices) > 0 {
		markup = keyboard(m.Choices)
	}
	text, off := cut(m.Text, longestText), true
	switch {
	case m.Edit != 0 && m.Text == "":
		_, err = s.Client.EditMessageReplyMarkup(ctx, &tg.EditMessageReplyMarkupParams{ChatID: int64(m.Chat), MessageID: int(m.Edit), ReplyMarkup: markup})
	case m.Edit != 0:
		_, err = s.Client.EditMessageText(ctx, &tg.EditMessageTextParams{ChatID: int64(m.Chat), MessageID: int(m.Edit), Text: text, ReplyMarkup: markup,
			LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: &off}})
	case m.Photo != "":
		const longestCaption = 1024
		_, err = s.Client.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: int64(m.Chat), Photo: &models.InputFileString{Data: string(m.Photo)},
			Caption: cut(m.Text, longestCaption), ReplyMarkup: markup})
	default:
		_, err = s.Client.SendMessage(ctx, &tg.SendMessageParams{ChatID: int64(m.Chat), Text: text, ReplyMarkup: markup,
			LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: &off}})
	}
	return err
}

func keyboard(rows [][]bot.Choice) *models.InlineKeyboardMarkup {
	k := &models.InlineKeyboardMarkup{}
	for _, row := range rows {
		var line []models.InlineKeyboardButton
		for _, c := range row {
			line = append(line, models.InlineKeyboardButton{Text: c.Label, CallbackData: c.Data})
		}
		k.InlineKeyboard = append(k.InlineKeyboard, line)
	}
	return k
}

// cut shortens text to at most n UTF-16 units, the strictest reading of the
// platform's "characters", at a space where there is one near.
func cut(text string, n int) string {
	units := 0
	for i, r := range text {
		if units++; r > 0xFFFF {
			units++
		}
		if units <= n {
			continue
		}
		// Room for the ellipsis.
		short := []rune(text[:i])
		short = short[:len(short)-1]
		if sp := strings.LastIndexByte(string(short), ' '); sp > len(string(short))-40 && sp > 0 {
			return string(short)[:sp] + "…"
		}
		return string(short) + "…"
	}
	return text
}

func (s *Sender) point(name, op string) {
	if s.Point != nil {
		s.Point(name, op)
	}
}
