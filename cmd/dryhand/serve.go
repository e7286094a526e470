package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
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

	AcceptDataLoss bool `help:"Start even on a Redis that throws data away or keeps no append-only file."`
	business
}

// Validate refuses settings that do not go together.
func (c *serveCommand) Validate() error {
	switch {
	case c.Poll && c.PublicURL != "":
		return errors.New("--poll and --public-url do not go together: with --poll the platform is asked for updates, with --public-url it brings them")
	case !c.Poll && c.WebhookSecret == "":
		return errors.New("give --webhook-secret, or --poll on a machine without a public address")
	}
	return nil
}

// Run serves until it is told to stop, then finishes what it has in hand.
func (c *serveCommand) Run(ctx context.Context, std streams) error {
	log := logger(std)
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
	rules, words, reader, err := c.load()
	if err != nil {
		return err
	}
	owner, claim, err := c.whose(ctx, rdb)
	if err != nil {
		return err
	}
	files := newKept(c.business, rules, words, reader, log)
	p, err := wire(surroundings{
		redis: rdb, business: c.Business, token: c.TelegramToken, api: c.TelegramAPI, secret: c.WebhookSecret, public: c.PublicURL, owner: owner, claim: claim,
		rules: rules, words: words, reader: reader, files: files, now: time.Now, log: log, parallel: 8,
	})
	if err != nil {
		return err
	}
	if claim != "" {
		if err := p.invite(ctx, std.err, claim); err != nil {
			return err
		}
	}
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("listening on %s: %w", c.Listen, err)
	}
	if c.PublicURL != "" {
		if err := p.client.Register(ctx, c.PublicURL+"/telegram", c.WebhookSecret); err != nil {
			return err
		}
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var fetching sync.WaitGroup
	if c.Poll {
		fetching.Go(func() {
			if err := p.client.Poll(ctx, p.webhook.Take, log); ctx.Err() == nil {
				stop(err) // the token is no good; everything else is tried again
			}
		})
	}
	fetching.Go(func() { files.watch(ctx, time.NewTicker(lookEvery)) })
	fetching.Go(func() { p.watchOwner(ctx, time.NewTicker(lookEvery)) })
	err = serveUntil(ctx, p, listener, log)
	stop(nil)
	fetching.Wait()
	if cause := context.Cause(ctx); err == nil && cause != nil && !errors.Is(cause, context.Canceled) {
		return cause
	}
	return err
}

// serveUntil serves until ctx ends. Updates that have been let in are finished;
// what is committed and not yet sent stays in the ledger for the next start.
func serveUntil(ctx context.Context, p *parts, listener net.Listener, log *slog.Logger) error {
	server := &http.Server{Handler: p.handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second, IdleTimeout: 2 * time.Minute}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	log.Info("ready", "listen", listener.Addr().String())
	loops := make(chan struct{})
	inner, stop := context.WithCancel(context.WithoutCancel(ctx))
	go func() { defer close(loops); p.run(inner) }()
	var err error
	select {
	case <-ctx.Done():
		const patience = 10 * time.Second
		closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
		defer cancel()
		err = server.Shutdown(closing)
	case err = <-failed:
	}
	p.webhook.Wait()
	stop()
	<-loops
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
