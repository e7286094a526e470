// Package telegram is the edge to the messaging platform: updates in, messages
// out, photographs fetched. Only typed calls and models of the client library
// are used; its webhook handler acknowledges updates before anything is safe and
// loses what it has queued when the process ends, so [Webhook] is our own.
//
// # What becomes of a send
//
// The platform has no idempotency key: a send cut off half-way may have arrived.
//
//	answer                           message            what happens
//	ok                               any                done; the chat's next one after Pace
//	429                              any                stays first, again after retry_after
//	403                              any                the chat's queue is put aside, the conversation told
//	400 "message is not modified"    edit               done
//	400 "to edit not found" and kin  edit of buttons    dropped
//	                                 edit with words    sent as a new message
//	any other 400, 401, 404, 409     any                put aside as impossible
//	5xx in the platform's own form   any                surely not sent: again, later and later
//	no connection                    any                surely not sent: again, later and later
//	cut off, timed out, not JSON     Repeatable         sent again, counted as uncertain
//	                                 Once               put aside as uncertain, never sent again
//	                                 Cosmetic           dropped
package telegram

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"regexp"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

// Client calls the platform. It knows the bot's token, and keeps it out of
// errors and logs.
type Client struct {
	*tg.Bot
	token  string
	server string
	http   *http.Client
}

var tokenForm = regexp.MustCompile(`^\d+:[A-Za-z0-9_-]+$`)

// NewClient makes a client. server is the platform's base address, empty for the
// real one. Nothing is called yet.
func NewClient(token, server string) (*Client, error) {
	if !tokenForm.MatchString(token) {
		return nil, errors.New("telegram: the bot's token is digits, a colon and letters, as the platform hands it out")
	}
	if server == "" {
		server = "https://api.telegram.org"
	}
	c := &Client{token: token, server: strings.TrimRight(server, "/")}
	transport := http.DefaultTransport.(*http.Transport).Clone()
	transport.DialContext = (&net.Dialer{Timeout: 5 * time.Second, KeepAlive: 30 * time.Second}).DialContext
	// Shorter than the platform's, so that a call seldom meets a connection that
	// is just being closed there: such a send would be uncertain.
	transport.IdleConnTimeout = 30 * time.Second
	transport.MaxIdleConnsPerHost = 16
	const answerWithin = 20 * time.Second
	c.http = &http.Client{Transport: transport, Timeout: answerWithin}
	var err error
	c.Bot, err = tg.New(token, tg.WithSkipGetMe(), tg.WithServerURL(c.server), tg.WithHTTPClient(time.Minute, c.http),
		tg.WithErrorsHandler(func(error) {}))
	if err != nil {
		return nil, fmt.Errorf("telegram: client: %w", c.scrub(err))
	}
	return c, nil
}

// Close lets go of idle connections.
func (c *Client) Close() { c.http.CloseIdleConnections() }

// scrubbed is an error whose words do not contain the token.
type scrubbed struct {
	err   error
	token string
}

func (s *scrubbed) Error() string { return strings.ReplaceAll(s.err.Error(), s.token, "***") }
func (s *scrubbed) Unwrap() error { return s.err }

// scrub takes the token out of an error's words.
func (c *Client) scrub(err error) error {
	if err == nil {
		return nil
	}
	return &scrubbed{err: err, token: c.token}
}

// updateKinds are the only kinds of updates asked for.
var updateKinds = []string{"message", "edited_message", "callback_query", "my_chat_member"}

// Register tells the platform where to bring updates. Registering the same
// again changes nothing, and waiting updates are kept.
func (c *Client) Register(ctx context.Context, url, secret string) error {
	const connections = 40
	_, err := c.SetWebhook(ctx, &tg.SetWebhookParams{URL: url, SecretToken: secret, AllowedUpdates: updateKinds, MaxConnections: connections})
	if err != nil {
		return fmt.Errorf("telegram: registering the webhook: %w", c.scrub(err))
	}
	return nil
}

// Command is one entry of the menu the platform shows.
type Command struct{ Name, Words string }

// Menu sets the commands offered in private chats.
func (c *Client) Menu(ctx context.Context, commands []Command) error {
	p := &tg.SetMyCommandsParams{Scope: &models.BotCommandScopeAllPrivateChats{}}
	for _, m := range commands {
		p.Commands = append(p.Commands, models.BotCommand{Command: m.Name, Description: m.Words})
	}
	if _, err := c.SetMyCommands(ctx, p); err != nil {
		return fmt.Errorf("telegram: setting the menu: %w", c.scrub(err))
	}
	return nil
}
