package standin

import (
	"context"
	"encoding/json"
	"net/netip"
	"net/url"
	"regexp"
	"slices"
	"time"
)

// webhook is where updates are brought.
type webhook struct {
	url       string
	secret    string
	max       int64
	allowed   []string // empty is everything
	lastError string
	lastAt    time.Time
	goneSince time.Time // of answers 410 without another in between
}

func (h *webhook) wants(kind string) bool {
	return len(h.allowed) == 0 || slices.Contains(h.allowed, kind)
}

var secretAlphabet = regexp.MustCompile(`^[A-Za-z0-9_-]*$`)

// checkURL refuses what the platform would refuse (core.telegram.org/bots/webhooks):
// HTTPS only, four ports. An address of this machine is let through as it is,
// because that is where the stand-in's bots live.
func checkURL(address string) error {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" {
		return badRequest("bad webhook: invalid URL specified")
	}
	if ip, err := netip.ParseAddr(u.Hostname()); u.Hostname() == "localhost" || err == nil && ip.IsLoopback() {
		return nil
	}
	if u.Scheme != "https" {
		return badRequest("bad webhook: An HTTPS URL must be provided for webhook")
	}
	if !slices.Contains([]string{"", "443", "80", "88", "8443"}, u.Port()) {
		return badRequest("bad webhook: Webhook can be set up only on ports 80, 88, 443 or 8443")
	}
	return nil
}

func (s *Standin) setWebhook(p params) (any, error) {
	if p.text["url"] == "" {
		return s.deleteWebhook(p)
	}
	h := webhook{url: p.text["url"], secret: p.text["secret_token"], max: p.integer("max_connections")}
	if !p.has("max_connections") {
		h.max = 40
	}
	switch err := checkURL(h.url); {
	case err != nil:
		return nil, err
	case h.max < 1 || h.max > 100:
		return nil, badRequest("max_connections must be between 1 and 100") // own wording
	case len(h.secret) > 256:
		return nil, badRequest("secret token is too long")
	case !secretAlphabet.MatchString(h.secret):
		return nil, badRequest("secret token contains unallowed characters")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.setAllowed(p); err != nil {
		return nil, err
	}
	h.allowed = s.hook.allowed
	if p.boolean("drop_pending_updates") {
		s.drop(func(*update) bool { return true })
	}
	words := "Webhook was set"
	if s.hook.url == h.url && s.hook.secret == h.secret && s.hook.max == h.max {
		words = "Webhook is already set"
	} else {
		s.hook = h
	}
	s.note()
	return describedAnswer{true, words}, nil
}

// setAllowed changes which kinds of updates are wanted; left out, they stay as
// they were. What is waiting stays. The caller holds mu.
func (s *Standin) setAllowed(p params) error {
	var kinds []string
	there, err := p.object("allowed_updates", &kinds)
	if there && err == nil {
		s.hook.allowed = kinds
	}
	return err
}

func (s *Standin) deleteWebhook(p params) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if p.boolean("drop_pending_updates") {
		s.drop(func(*update) bool { return true })
	}
	words := "Webhook was deleted"
	if s.hook.url == "" {
		words = "Webhook is already deleted"
	}
	s.hook = webhook{allowed: s.hook.allowed}
	s.note()
	return describedAnswer{true, words}, nil
}

func (s *Standin) getWebhookInfo(params) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.expire(s.clock.Now())
	info := struct {
		URL         string   `json:"url"`
		Certificate bool     `json:"has_custom_certificate"`
		Pending     int      `json:"pending_update_count"`
		ErrorDate   int64    `json:"last_error_date,omitempty"`
		Error       string   `json:"last_error_message,omitempty"`
		Max         int64    `json:"max_connections,omitempty"`
		Allowed     []string `json:"allowed_updates,omitempty"`
	}{URL: s.hook.url, Pending: len(s.pending), Error: s.hook.lastError, Max: s.hook.max, Allowed: s.hook.allowed}
	if s.hook.lastError != "" {
		info.ErrorDate = s.hook.lastAt.Unix()
	}
	return info, nil
}

// getUpdates hands out what waits, oldest first, and waits for something as long
// as it is asked to, by the clock. An offset confirms everything before it. A
// second poll ends the first.
func (s *Standin) getUpdates(ctx context.Context, p params) (any, error) {
	if err := p.check(s.described, "getupdates"); err != nil {
		return nil, err
	}
	mine, err := s.beginPoll(p)
	if err != nil {
		return nil, err
	}
	limit := int(p.integer("limit"))
	if limit < 1 || limit > 100 {
		limit = 100
	}
	ended, stop := s.clock.wait(s.clock.Now().Add(time.Duration(p.integer("timeout")) * time.Second))
	defer stop()
	for {
		batch, changed, over := s.peek(limit, mine)
		if over {
			return nil, conflict("terminated by other getUpdates request; make sure that only one bot instance is running")
		}
		if len(batch) > 0 {
			return batch, nil
		}
		select {
		case <-changed:
		case <-ended:
			return batch, nil
		case <-ctx.Done():
			return batch, nil
		case <-s.closed:
			return batch, nil
		}
	}
}

// beginPoll confirms what came before the offset and takes the place of a poll
// that is still waiting.
func (s *Standin) beginPoll(p params) (mine chan struct{}, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.hook.url != "" {
		return nil, conflict("can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first")
	}
	if err := s.setAllowed(p); err != nil {
		return nil, err
	}
	if offset := p.integer("offset"); offset > 0 {
		s.drop(func(u *update) bool { return u.id < offset })
	} else if offset < 0 {
		first := max(len(s.pending)+int(offset), 0)
		for _, u := range s.pending[:first] {
			u.confirmed = true
		}
		s.drop(func(u *update) bool { return u.confirmed })
	}
	s.poll = make(chan struct{})
	s.note()
	return s.poll, nil
}

// peek returns the oldest updates, and whether another poll has taken over.
func (s *Standin) peek(limit int, mine chan struct{}) (batch []json.RawMessage, changed <-chan struct{}, over bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.expire(s.clock.Now())
	batch = []json.RawMessage{}
	for _, u := range s.pending[:min(limit, len(s.pending))] {
		batch = append(batch, u.body)
	}
	return batch, s.changed, s.poll != mine
}

func conflict(words string) error {
	return &refusal{Code: 409, Description: "Conflict: " + words}
}
