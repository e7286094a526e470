package main

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"regexp"
	"runtime/debug"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
)

// serveCommand answers real customers.
type serveCommand struct {
	TelegramToken string `help:"The bot's token." required:"" placeholder:"TOKEN"`
	TelegramAPI   string `name:"telegram-api" help:"Base address of the platform, for a stand-in." placeholder:"URL"`
	WebhookSecret string `help:"What the platform must show on every update: 1 to 256 of A-Z a-z 0-9 _ -. Needed unless --poll." placeholder:"SECRET"`
	PublicURL     string `help:"Address under which the platform reaches us; /telegram is added. Left out, the webhook is not registered." placeholder:"URL"`
	Poll          bool   `help:"Fetch updates instead of being called: for a machine without a public address."`
	Listen        string `help:"Address to listen on." default:"127.0.0.1:8080"`
	RedisURL      string `help:"Where Redis is: redis://host:6379/0, several addresses for a Cluster." default:"redis://127.0.0.1:6379/0"`
	Business      string `help:"Name of the business in the store: a-z 0-9 -." default:"desk"`
	Owner         int64  `help:"Chat id of the owner. Without it, the first start prints a link that makes whoever opens it the owner, once." placeholder:"ID"`

	AcceptDataLoss bool          `help:"Start even on a Redis that throws data away or keeps no append-only file."`
	StopWithin     time.Duration `help:"How long stopping may take. What is in hand is finished and what is ready is sent; the rest waits in Redis for the next start." default:"25s"`
	LogLevel       slog.Level    `help:"debug, info, warn or error." default:"info"`
	SendEvery      time.Duration `help:"Time between two messages, over all chats; 0 sets no bound. For measuring against a stand-in: the platform allows no more than 30 a second." default:"34ms" hidden:""`
	noticed
	secured
	backup
	business
}

// secretForm is what the platform takes (core.telegram.org/bots/api#setwebhook).
var secretForm = regexp.MustCompile(`^[A-Za-z0-9_-]{1,256}$`)

// Validate refuses settings that do not go together.
func (c *serveCommand) Validate() error {
	switch {
	case c.Poll && c.PublicURL != "":
		return errors.New("--poll and --public-url do not go together: with --poll the platform is asked for updates, with --public-url it brings them")
	case !c.Poll && c.WebhookSecret == "":
		return errors.New("give --webhook-secret, or --poll on a machine without a public address")
	case c.WebhookSecret != "" && !secretForm.MatchString(c.WebhookSecret):
		return errors.New("--webhook-secret: want 1 to 256 of A-Z a-z 0-9 _ -; openssl rand -hex 32 makes a good one")
	}
	return nil
}

// Run serves until it is told to stop, then finishes what it has in hand.
func (c *serveCommand) Run(ctx context.Context, std streams) error {
	log := logger(std, c.LogLevel, c.TelegramToken, c.WebhookSecret, c.HeartbeatURL)
	options, err := ledger.Options(c.RedisURL)
	if err != nil {
		return err
	}
	rdb := redis.NewUniversalClient(options)
	defer rdb.Close()
	if !c.AcceptDataLoss {
		if err := mustKeepData(checkRedis(ctx, rdb, c.Business, options.Addrs[0]), std); err != nil {
			return err
		}
	}
	of, err := c.loadAll()
	if err != nil {
		return err
	}
	if err := c.backup.check(of.rules.Diary.TimeZone, time.Now()); err != nil {
		return err
	}
	owner, claim, err := c.whose(ctx, rdb)
	if err != nil {
		return err
	}
	files, err := newKept(c.business, of, log)
	if err != nil {
		return err
	}
	counts := newMetrics()
	p, err := wire(surroundings{
		redis: rdb, business: c.Business, token: c.TelegramToken, api: c.TelegramAPI, secret: c.WebhookSecret, public: c.PublicURL, owner: owner, claim: claim,
		rules: of.rules, words: of.words, others: of.others, reader: of.reader, files: files, now: time.Now, log: log, parallel: 8, metrics: counts,
	})
	if err != nil {
		return err
	}
	p.ledger.OutPace.Every = c.SendEvery
	if claim != "" {
		if err := p.invite(ctx, std.err, claim); err != nil {
			return err
		}
	}
	listener, err := c.secured.listen(c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	if c.PublicURL != "" {
		if err := p.client.Register(ctx, c.PublicURL+"/telegram", c.WebhookSecret); err != nil {
			return err
		}
	}
	if err := p.learnName(ctx); err != nil {
		log.Warn("no links for people who ring, until the next start", "err", err)
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var beside sync.WaitGroup
	c.startBeside(ctx, stop, &beside, p, files)
	file := &anew{redis: rdb, business: c.Business, log: log}
	beside.Go(func() { file.watch(ctx, time.NewTicker(anewEvery)) })
	if err := c.noticed.serveMetrics(ctx, &beside, counts, log); err != nil {
		return err
	}
	err = serveUntil(ctx, p, listener, c.StopWithin, log)
	stop(nil)
	beside.Wait()
	if cause := context.Cause(ctx); err == nil && cause != nil && !errors.Is(cause, context.Canceled) {
		return cause
	}
	return err
}

// startBeside starts what goes on beside the updates, until ctx ends.
func (c *serveCommand) startBeside(ctx context.Context, stop context.CancelCauseFunc, beside *sync.WaitGroup, p *parts, files *kept) {
	if c.Poll {
		beside.Go(func() {
			if err := p.client.Poll(ctx, p.webhook.Take, p.log); ctx.Err() == nil {
				stop(err) // the token is no good; everything else is tried again
			}
		})
	}
	beside.Go(func() { files.watch(ctx, time.NewTicker(lookEvery)) })
	beside.Go(func() { p.watchOwner(ctx, time.NewTicker(lookEvery)) })
	beside.Go(func() { p.tidies(ctx) })
	beside.Go(func() { c.noticed.heartbeats(ctx, p, p.counts) })
	beside.Go(func() { c.backup.nightly(ctx, p, p.counts) })
}

// newServer makes a server that nobody can keep busy for long.
func newServer(handler http.Handler) *http.Server {
	return &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second,
		WriteTimeout: 45 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10}
}

// errStoppedShort tells that not everything in hand was finished.
var errStoppedShort = errors.New("stopping took too long, so something in hand was left; nothing is lost, the next start takes it up")

// serveUntil serves until ctx ends. Updates that have been let in are finished and
// what may be sent now is; all else stays in the ledger for the next start. It
// returns within the time given after ctx has ended, whatever is still under way.
func serveUntil(ctx context.Context, p *parts, listener net.Listener, within time.Duration, log *slog.Logger) error {
	server := newServer(p.handler)
	server.ErrorLog = slog.NewLogLogger(log.Handler(), slog.LevelDebug) // of those who hang up
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	log.Info("ready", "listen", listener.Addr().String())
	defer time.AfterFunc(time.Second, debug.FreeOSMemory).Stop() // what reading the files has left
	loops := make(chan struct{})
	inner, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	go func() { defer close(loops); p.run(inner) }()
	select {
	case err := <-failed:
		stop()
		<-loops
		return err
	case <-ctx.Done():
	}
	log.Info("stopping")
	closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), within)
	defer cancel()
	done := make(chan error, 1)
	go func() {
		if err := server.Shutdown(closing); err != nil {
			done <- err
			return
		}
		p.webhook.Wait()
		stop()
		<-loops
		_, err := p.sender.Work(closing) // what the last updates have brought
		done <- err
	}()
	select {
	case <-closing.Done():
		return errStoppedShort
	case err := <-done:
		if errors.Is(err, context.DeadlineExceeded) {
			return errStoppedShort
		}
		if err != nil {
			log.Warn("the last messages could not be sent and wait for the next start", "err", err)
		}
		log.Info("stopped")
		return nil
	}
}
