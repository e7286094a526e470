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
//	429                              any                stays first, again after retry_after; all chats
//	                                                    wait if several are told so at a time
//	403, 400 "chat not found"        any                the conversation told, the chat's queue put aside
//	400 "message is not modified"    edit               done
//	400 "to edit not found" and kin  edit of buttons    dropped
//	                                 edit with words    sent as a new message
//	                                 Cosmetic           dropped
//	any other 400                    any                put aside as impossible
//	401, 404, 409                    any                the token or the address is wrong: all chats wait
//	5xx in the platform's own form   any                surely not sent: again, later and later
//	no connection                    any                surely not sent: all chats wait, longer and longer
//	cut off, timed out, not JSON     Repeatable         sent again, later and later
//	                                 Once               put aside as uncertain, never sent again
//
// Cosmetic changes are dropped at anything but ok and 429. Repeatable messages
// that fail too often in their own right are put aside.
package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot"
)

// Client calls the platform. It knows the bot's token, and keeps it out of
// errors and logs.
type Client struct {
	*tg.Bot
	token  string
	server string
	// calls and files go through the same connections and differ in patience.
	calls, files *http.Client
	// Pictures, if set, brings the pictures of our own that messages name. A message
	// whose picture is unknown is sent without.
	Pictures func(name string) []byte
}

const (
	// answerWithin bounds a call.
	answerWithin = 20 * time.Second
	// fetchWithin bounds a download, and the wait for updates.
	fetchWithin = time.Minute
)

// NewClient makes a client. server is the platform's base address, empty for the
// real one. Nothing is called yet.
func NewClient(token, server string) (*Client, error) {
	if !tokenForm.MatchString(token) {
		return nil, errors.New("telegram: the bot's token is digits, a colon and letters, as the platform hands it out")
	}
	if server == "" {
		server = "https://api.telegram.org"
	}
	if u, err := url.Parse(server); err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, errors.New("telegram: the platform's base address is http:// or https:// and a host")
	}
	c := &Client{token: token, server: strings.TrimRight(server, "/")}
	over := bounded{transport()}
	c.calls = &http.Client{Transport: over, Timeout: answerWithin, CheckRedirect: stay}
	c.files = &http.Client{Transport: over, Timeout: fetchWithin, CheckRedirect: stay}
	var err error
	c.Bot, err = tg.New(token, tg.WithSkipGetMe(), tg.WithServerURL(c.server), tg.WithHTTPClient(answerWithin, c.calls),
		tg.WithErrorsHandler(func(error) {})) // only of pipes that failed to close
	if err != nil {
		return nil, fmt.Errorf("telegram: client: %w", c.scrub(err))
	}
	return c, nil
}

// tokenForm is what can stand in an address without being escaped.
var tokenForm = regexp.MustCompile(`^\d+:[A-Za-z0-9_-]+$`)

// transport makes the connections of a client.
func transport() *http.Transport {
	const dialWithin = 5 * time.Second
	t := http.DefaultTransport.(*http.Transport).Clone()
	t.DialContext = (&net.Dialer{Timeout: dialWithin, KeepAlive: 30 * time.Second}).DialContext
	t.TLSHandshakeTimeout = dialWithin
	// Shorter than the platform's, so that a call seldom meets a connection that
	// is just being closed there: such a send would be uncertain.
	t.IdleConnTimeout = 30 * time.Second
	t.MaxIdleConnsPerHost = 16
	return t
}

// stay follows no redirect: a Referer would carry the token elsewhere.
func stay(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }

// bounded cuts answers off that no honest server gives; the client library reads
// whatever comes. And it sends a message in one piece: the library writes it piece by
// piece, field by field, and each would be a packet of its own.
type bounded struct{ *http.Transport }

// onePiece is how long a body may be to be sent in one piece. A message without a file
// is shorter.
const onePiece = 64 << 10

// RoundTrip does the request and bounds the body of its answer.
func (b bounded) RoundTrip(r *http.Request) (*http.Response, error) {
	r, err := together(r)
	if err != nil {
		return nil, err
	}
	resp, err := b.Transport.RoundTrip(r)
	if err != nil {
		return nil, err
	}
	resp.Body = http.MaxBytesReader(nil, resp.Body, mostBytes+1<<10)
	if called := path.Base(r.URL.Path); strings.HasPrefix(called, "send") || strings.HasPrefix(called, "edit") {
		return withoutMessage(resp)
	}
	return resp, nil
}

// withoutMessage leaves out of an answer the message that the platform gives back with
// its consent: nobody looks at it, and the library would decode all of it.
func withoutMessage(resp *http.Response) (*http.Response, error) {
	defer resp.Body.Close()
	whole, err := io.ReadAll(resp.Body)
	if err != nil {
		return nil, err // as if cut off before it began: what became of the call is as unknown
	}
	if done := []byte(`{"ok":true,"result":{`); bytes.HasPrefix(whole, done) && json.Valid(whole) {
		whole = append(done, "}}"...)
	}
	resp.Body = io.NopCloser(bytes.NewReader(whole))
	return resp, nil
}

// together is a request whose body, if it is short, is in one piece.
func together(r *http.Request) (*http.Request, error) {
	if r.Body == nil || r.ContentLength > 0 {
		return r, nil
	}
	begin, err := io.ReadAll(io.LimitReader(r.Body, onePiece))
	if err != nil {
		r.Body.Close() // as a RoundTripper must, also after an error
		return nil, err
	}
	whole := r.WithContext(r.Context()) // the request itself must not be changed
	if len(begin) < onePiece {
		whole.ContentLength = int64(len(begin))
	}
	whole.Body = &joined{io.MultiReader(bytes.NewReader(begin), r.Body), r.Body}
	return whole, nil
}

// joined is a body whose beginning has been read already.
type joined struct {
	io.Reader
	io.Closer
}

// Close lets go of idle connections.
func (c *Client) Close() { c.calls.CloseIdleConnections() }

// scrubbed is an error whose words do not contain the token, nor a whole page
// that a proxy answered with.
type scrubbed struct {
	err   error
	token string
}

func (s *scrubbed) Error() string {
	const most = 300
	words := strings.ReplaceAll(s.err.Error(), s.token, "***")
	words = strings.ReplaceAll(words, url.QueryEscape(s.token), "***")
	if len(words) > most {
		words = strings.ToValidUTF8(words[:most], "") + "…"
	}
	return words
}

func (s *scrubbed) Unwrap() error { return s.err }

// scrub takes the token out of an error's words.
func (c *Client) scrub(err error) error {
	if err == nil {
		return nil
	}
	return &scrubbed{err: err, token: c.token}
}

// Name is the name under which people find the bot, without the @.
func (c *Client) Name(ctx context.Context) (string, error) {
	me, err := c.GetMe(ctx)
	if err != nil {
		return "", fmt.Errorf("asking the platform for the bot's name: %w", c.scrub(err))
	}
	return me.Username, nil
}

// updateKinds are the only kinds of updates asked for.
var updateKinds = []string{"message", "edited_message", "callback_query", "my_chat_member"}

// UpdateKinds are the only kinds of updates asked for, by the platform's names.
func UpdateKinds() []string { return slices.Clone(updateKinds) }

// Time is the time at the platform, to a second, as its answers say it. No token is
// shown for it.
func (c *Client) Time(ctx context.Context) (time.Time, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodHead, c.server+"/", nil)
	if err != nil {
		return time.Time{}, fmt.Errorf("telegram: time: %w", err)
	}
	resp, err := c.calls.Do(req)
	if err != nil {
		return time.Time{}, fmt.Errorf("telegram: time: %w", err)
	}
	resp.Body.Close()
	at, err := http.ParseTime(resp.Header.Get("Date"))
	if err != nil {
		return time.Time{}, fmt.Errorf("telegram: time: %w", err)
	}
	return at, nil
}

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

// Menu sets the commands offered in one private chat, and in all that have no
// menu of their own if chat is 0.
func (c *Client) Menu(ctx context.Context, chat bot.ChatID, commands ...Command) error {
	p := &tg.SetMyCommandsParams{Scope: &models.BotCommandScopeAllPrivateChats{}}
	if chat != 0 {
		p.Scope = &models.BotCommandScopeChat{ChatID: int64(chat)}
	}
	for _, m := range commands {
		p.Commands = append(p.Commands, models.BotCommand{Command: m.Name, Description: m.Words})
	}
	if _, err := c.SetMyCommands(ctx, p); err != nil {
		return fmt.Errorf("telegram: setting the menu: %w", c.scrub(err))
	}
	return nil
}
