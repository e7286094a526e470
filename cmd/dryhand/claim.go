package main

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
)

// whose is the owner's chat: as set, or as claimed earlier. If there is none yet,
// claim is a fresh code that makes one.
func (c *serveCommand) whose(ctx context.Context, rdb redis.UniversalClient) (owner bot.ChatID, claim string, err error) {
	if c.Owner != 0 {
		return bot.ChatID(c.Owner), "", nil
	}
	l, err := ledger.New(rdb, c.Business)
	if err != nil {
		return 0, "", err
	}
	owner, err = storedOwner(ctx, l)
	if err != nil {
		return 0, "", fmt.Errorf("whose business this is: %w (--owner says it without asking Redis)", err)
	}
	if owner != 0 {
		return owner, "", nil
	}
	return 0, rand.Text(), nil
}

// storedOwner is who has claimed the business, 0 if nobody.
func storedOwner(ctx context.Context, l *ledger.Ledger) (bot.ChatID, error) {
	loaded, err := l.Load(ctx, "", conversations.OwnerKey)
	if err != nil {
		return 0, err
	}
	var o conversations.Ownership
	if doc := loaded.Docs[conversations.OwnerKey]; doc.Version != 0 {
		if err := json.Unmarshal(doc.Body, &o); err != nil {
			return 0, fmt.Errorf("document %s: %w", conversations.OwnerKey, err)
		}
	}
	return o.Chat, nil
}

// invite prints the link that makes whoever opens it first the owner. It is shown
// to who starts the program, and stands in no log.
func (p *parts) invite(ctx context.Context, to io.Writer, code string) error {
	name, err := p.client.Name(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(to, "Nobody owns this desk yet. Open this link on the detailer's phone; it works once:\n  https://t.me/%s?start=%s\n",
		name, conversations.ClaimPayload(code))
	return nil
}

// linkSecret is what the links are signed with that hand things over to a customer.
// It follows from the bot's token, as the calendar's address does.
func linkSecret(token string) []byte {
	mac := hmac.New(sha256.New, []byte(token))
	mac.Write([]byte("links to take over by"))
	return mac.Sum(nil)
}

// learnName asks the platform for the bot's name, which stands in links.
func (p *parts) learnName(ctx context.Context) error {
	name, err := p.client.Name(ctx)
	if err != nil {
		return err
	}
	p.name.Store(&name)
	return nil
}

// watchOwner learns who has claimed the business at another bot.
func (p *parts) watchOwner(ctx context.Context, ticks *time.Ticker) {
	defer ticks.Stop()
	for p.owner.Load() == 0 {
		select {
		case <-ctx.Done():
			return
		case <-ticks.C:
			if owner, err := storedOwner(ctx, p.ledger); err == nil && owner != 0 {
				p.owner.CompareAndSwap(0, int64(owner))
			}
		}
	}
}
