package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/robfig/cron/v3"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/pictures"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders/sweep"
)

// surroundings is what differs between try, play, serve and the tests: the
// store, the platform's address and the clock. Everything else is wired once,
// by wire.
type surroundings struct {
	redis redis.UniversalClient
	// business names the business in the store.
	business string
	token    string
	// api is the platform's base URL, empty for the real one.
	api    string
	secret string
	// public is the address under which others reach us, empty if they do not.
	public string
	owner  bot.ChatID
	// claim, if set and there is no owner, is the code that makes one.
	claim string
	rules *pricing.Rules
	words *wording.Words
	// others are the wordings of other languages; nil are the shipped ones.
	others []*wording.Words
	// reader reads what people write; nil is one that knows the shipped phrases.
	reader *reading.Reader
	// files, if set, keeps rules, words and languages up to date with the owner's files.
	files *kept
	now   func() time.Time
	log   *slog.Logger
	// parallel is how many chats are sent to at once; 1 makes a played
	// conversation print the same every time.
	parallel int
	// metrics, if set, counts what happens.
	metrics *metrics
	// point, if set, is told the named moments of an update's path, for the
	// tests that kill the process there.
	point func(name, op string)
}

// parts is the running front desk.
type parts struct {
	ledger  *ledger.Ledger
	desk    *desk.Desk
	sender  *telegram.Sender
	sweep   *sweep.Sweep
	webhook *telegram.Webhook
	client  *telegram.Client
	// handler serves /telegram, the owner's calendar, /healthz and /readyz.
	handler  http.Handler
	schedule cron.Schedule
	log      *slog.Logger
	business string
	now      func() time.Time
	talk     func() conversations.Talk

	// counts, if not nil, is where what happens is counted.
	counts *metrics
	ready  *readiness

	// send wakes the sender.
	send chan struct{}
	// name is the bot's at the platform, empty until it has been asked for.
	name atomic.Pointer[string]
	// owner is the owner's chat, 0 while nobody has claimed the business.
	owner atomic.Int64
}

// sendPace keeps all sends together below the platform's 30 a second
// (core.telegram.org/bots/faq#my-bot-is-hitting-limits): 29.4, and after a rest some
// at once.
var sendPace = ledger.Pace{Every: 34 * time.Millisecond, Burst: 20}

// wire puts the parts together: the store, what the conversation knows, the desk, and the
// platform on both sides of it.
func wire(s surroundings) (*parts, error) {
	p := &parts{log: s.log, business: s.business, now: s.now, send: make(chan struct{}, 1)}
	var err error
	if p.ledger, err = ledger.New(s.redis, s.business); err != nil {
		return nil, err
	}
	p.ledger.OutPace = sendPace
	p.ready = &readiness{check: p.ledger.Ready, now: s.now}
	talk, err := s.talk()
	if err != nil {
		return nil, err
	}
	p.owner.Store(int64(s.owner))
	p.name.Store(new(string))
	p.talk = p.knows(s, talk)
	p.desk = &desk.Desk{Ledger: p.ledger, Talk: p.talk, Now: s.now, Log: s.log, Woken: p.wake, Point: s.point,
		Claimed: func(c bot.ChatID) { p.owner.Store(int64(c)); s.log.Info("the business has an owner") }}
	if p.client, err = telegram.NewClient(s.token, s.api); err != nil {
		return nil, err
	}
	p.client.Pictures = pictures.Get
	if p.schedule, err = sweepSchedule(s.rules, s.now()); err != nil {
		return nil, err
	}
	p.sendsAndTakes(s)
	if m := s.metrics; m != nil {
		p.count(m)
	}
	p.handler = p.routes(s.token)
	return p, nil
}

// talk is what the conversation knows besides its state when the process starts. What s
// leaves open is what comes along.
func (s *surroundings) talk() (conversations.Talk, error) {
	zone, err := time.LoadLocation(s.rules.Diary.TimeZone)
	if err != nil {
		return conversations.Talk{}, fmt.Errorf("time zone of the business: %w", err)
	}
	if s.reader == nil {
		if s.reader, err = reading.Default(s.rules); err != nil {
			return conversations.Talk{}, err
		}
	}
	sheet, err := jobsheet.Default()
	if err != nil {
		return conversations.Talk{}, err
	}
	talk := conversations.Talk{Rules: s.rules, Words: s.words, Reader: s.reader, Sheet: sheet, Owner: s.owner, Zone: zone, Secret: linkSecret(s.token)}
	if s.public != "" {
		talk.Feed = s.public + feedPath(s.token)
	}
	if s.others == nil {
		if s.others, err = (business{}).otherWords(s.words); err != nil {
			return talk, err
		}
	}
	if s.files == nil {
		if talk.Languages, err = conversations.Languages(s.rules, s.others); err != nil {
			return talk, err
		}
		nameMissing(talk.Languages, s.log)
	}
	return talk, nil
}

// knows returns what the conversation knows as of now: files may have been read again, the
// business been claimed, and the bot's name learnt.
func (p *parts) knows(s surroundings, talk conversations.Talk) func() conversations.Talk {
	digest := conversations.ClaimDigest(s.claim)
	return func() conversations.Talk {
		now := talk
		if s.files != nil {
			f := s.files.now()
			now.Rules, now.Words, now.Reader, now.Languages = f.rules, f.words, f.reader, f.languages
		}
		now.Owner = bot.ChatID(p.owner.Load())
		now.Bot = *p.name.Load()
		if now.Owner == 0 && s.claim != "" {
			now.Claim = &digest
		}
		return now
	}
}

// sendsAndTakes puts the sender, the sweep and the webhook around the desk.
func (p *parts) sendsAndTakes(s surroundings) {
	p.sender = &telegram.Sender{
		Ledger: p.ledger, Client: p.client, Now: s.now, Parallel: s.parallel, Log: s.log,
		Blocked: func(ctx context.Context, chat bot.ChatID, op string) error {
			_, err := p.desk.Handle(ctx, bot.Event{Op: op, Chat: chat, At: s.now(), What: bot.Membership{Blocked: true}})
			return err
		},
		Undelivered: func(ctx context.Context, chat bot.ChatID, what bot.Undelivered, op string) error {
			_, err := p.desk.Handle(ctx, bot.Event{Op: op, Chat: chat, At: s.now(), What: what})
			return err
		},
		Point: s.point,
	}
	p.sweep = &sweep.Sweep{
		Ledger: p.ledger, Desk: p.desk, Now: s.now, Schedule: p.schedule, Log: s.log, Point: s.point,
		Woken:  make(chan struct{}, 1),
		Fetch:  p.client.Fetch,
		TooBig: func(err error) bool { return errors.Is(err, telegram.ErrTooBig) },
	}
	p.webhook = &telegram.Webhook{Secret: s.secret, Log: s.log, Handle: p.desk.Handle, Client: p.client, Point: s.point,
		Undecodable: func(ctx context.Context, op string, raw []byte, cause error) error {
			return p.ledger.Poison(ctx, op, raw, cause.Error(), s.now())
		}}
	p.webhook.TooFast, p.webhook.Now = p.desk.TooFast, s.now
	p.webhook.Exempt = func(c bot.ChatID) bool { return c == bot.ChatID(p.owner.Load()) }
}

// count has everything that happens counted.
func (p *parts) count(m *metrics) {
	p.desk.Tried, p.webhook.Taken, p.sender.Settled = m.tried, m.taken, m.settled(p.now)
	p.sweep.Done, p.sweep.Measured = m.came, m.measured
	m.watch(p.ledger, p.now)
	p.counts = m
}

// routes are what the process answers over HTTP.
func (p *parts) routes(token string) http.Handler {
	mux := http.NewServeMux()
	var hook http.Handler = p.webhook
	if p.counts != nil {
		hook = p.counts.refusals(hook)
	}
	mux.Handle("/telegram", hook)
	mux.HandleFunc("GET "+feedPath(token), p.serveFeed)
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "alive") })
	mux.HandleFunc("GET /readyz", p.serveReady)
	return mux
}

// wake tells the loops that there is something to send, or to be reminded of.
func (p *parts) wake(send bool, due time.Time) {
	if !due.IsZero() {
		p.sweep.Wake(due)
	}
	if send {
		select {
		case p.send <- struct{}{}:
		default:
		}
	}
}

// run keeps sending and sweeping until ctx ends, and returns when both have
// finished what they had in hand.
func (p *parts) run(ctx context.Context) {
	var wg sync.WaitGroup
	wg.Go(func() { p.sender.Run(ctx, p.send) })
	wg.Go(func() { p.sweep.Run(ctx) })
	wg.Wait()
}

// work does once everything that is ready now, and tells how much that was. It
// is what run does, for those who keep the clock themselves.
func (p *parts) work(ctx context.Context) (int, error) {
	sent, err := p.sender.Work(ctx)
	if err != nil {
		return sent, err
	}
	done, err := p.sweep.Work(ctx)
	return sent + done, err
}

// next is the next moment at which there will be something to do.
func (p *parts) next(ctx context.Context) (at time.Time, ok bool, err error) {
	out, haveOut, err := p.ledger.NextOut(ctx)
	if err != nil {
		return at, false, err
	}
	due, haveDue, err := p.ledger.NextDue(ctx)
	switch {
	case err != nil:
		return at, false, err
	case haveOut && (!haveDue || out.Before(due)):
		return out, true, nil
	}
	return due, haveDue, nil
}
