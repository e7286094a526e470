package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// faultsSite is where schedules take place: a store that writes its own journal,
// a second one for the oracle, bots that listen, and the clock all live by.
type faultsSite struct {
	t      testing.TB
	server *ledgertest.Server
	// direct reaches the store past every fault; oracle is the other store.
	direct, oracle redis.UniversalClient
	// clock is the time everybody lives in; each schedule has its own.
	clock atomic.Pointer[standin.Clock]
	// whole is held while the store must not be broken: before and after a play.
	whole sync.Mutex
	// bots are the addresses updates may be handed to.
	bots []string
	// patience is how long the platform waits for an answer before it brings an
	// update again. The real one waits 60 seconds; nothing here needs as much.
	patience time.Duration
	client   *http.Client
	count    int
	// taken is how many updates have been answered 200.
	taken atomic.Int64
}

// schedule is one play: who is in it, what they have done and what came of it.
type schedule struct {
	*faultsSite
	business string
	ledger   *ledger.Ledger
	hand     *hand
	people   []*somebody
	from     int64 // where the store's journal stood at the start

	updates   map[int64]update
	posted    []int64
	requests  atomic.Int64
	spoken    map[string]string // message by chat|sequence
	booked    map[string]conversations.Span
	straggler sync.WaitGroup
}

// now is what the clock shows.
func (x *faultsSite) now() time.Time { return x.clock.Load().Now() }

// begin starts a schedule from a scene.
func (x *faultsSite) begin(ctx context.Context, seed uint64, from scene) (*schedule, error) {
	x.count++
	x.clock.Store(standin.NewClock(from.at))
	business := fmt.Sprint("s", x.count)
	l, err := ledger.New(x.direct, business)
	if err != nil {
		return nil, err
	}
	if err := l.Restore(ctx, from.records...); err != nil {
		return nil, err
	}
	offset, err := journalSize(x.server)
	if err != nil {
		return nil, err
	}
	s := &schedule{faultsSite: x, business: business, ledger: l, from: offset, updates: map[int64]update{},
		spoken: map[string]string{}, booked: map[string]conversations.Span{}}
	s.hand = &hand{rng: rand.New(rand.NewPCG(seed, 1)), now: x.now(), update: 1000, message: from.last + 1000}
	for _, p := range from.people {
		s.people = append(s.people, p.clone())
	}
	return s, nil
}

// play lets everybody act for some rounds, with time passing between them.
func (s *schedule) play(ctx context.Context, rounds int) error {
	naps := []time.Duration{0, time.Second, 5 * time.Second, time.Minute, 21 * time.Minute, 3 * time.Hour, 13 * time.Hour}
	for range rounds {
		var acts []update
		for _, p := range s.people {
			acts = append(acts, s.hand.acts(p)...)
		}
		if err := s.round(ctx, acts); err != nil {
			return err
		}
		s.clock.Load().Advance(naps[s.hand.rng.IntN(len(naps))])
		s.hand.now = s.now()
	}
	s.straggler.Wait()
	s.clock.Load().Advance(time.Second) // a claim that never came back
	return s.read(ctx)
}

// round hands updates over, each queue by itself and all at once, while every
// bot may sweep; then people read what they were sent.
func (s *schedule) round(ctx context.Context, acts []update) error {
	queues := map[string][]update{}
	for _, u := range acts {
		u.at = s.now()
		queues[u.queue] = append(queues[u.queue], u)
		s.updates[u.id] = u
		s.posted = append(s.posted, u.id)
	}
	var all sync.WaitGroup
	errs := make(chan error, len(queues))
	for _, name := range slices.Sorted(maps.Keys(queues)) {
		rng := rand.New(rand.NewPCG(s.hand.rng.Uint64(), 2))
		all.Go(func() { errs <- s.deliver(ctx, rng, queues[name]) })
	}
	for _, b := range s.bots {
		if pause := s.hand.rng.IntN(8); pause < 4 {
			all.Go(func() {
				time.Sleep(time.Duration(pause) * time.Millisecond)
				s.post(ctx, b+"/"+s.business+"/sweep", nil, s.patience)
			})
		}
	}
	if s.hand.rng.IntN(4) == 0 { // an update of long ago arrives once more
		old := s.updates[s.posted[s.hand.rng.IntN(len(s.posted)-len(acts)+1)]]
		// The platform keeps an update for a day at most
		// (core.telegram.org/bots/api#getting-updates), the ledger knows it for two.
		if s.now().Sub(old.at) < 24*time.Hour && !slices.ContainsFunc(acts, func(u update) bool { return u.id == old.id }) {
			s.copy(ctx, old, s.hand.rng.IntN(4), s.bots[0])
		}
	}
	all.Wait()
	close(errs)
	for err := range errs {
		if err != nil {
			return err
		}
	}
	return s.read(ctx)
}

// deliver hands over one queue as the platform does: only its head is under way,
// until it is answered 200. Copies go at the same time or come late; the line
// is cut while the bot works; queues run at different speeds.
func (s *schedule) deliver(ctx context.Context, rng *rand.Rand, queue []update) error {
	for _, u := range queue {
		time.Sleep(time.Duration(rng.IntN(3)) * 500 * time.Microsecond)
		for range max(0, rng.IntN(5)-2) {
			s.copy(ctx, u, rng.IntN(5), s.bots[rng.IntN(len(s.bots))])
		}
		patience := s.patience
		if rng.IntN(8) == 0 {
			patience = time.Duration(1+rng.IntN(4)) * 500 * time.Microsecond
		}
		for !s.post(ctx, s.bots[rng.IntN(len(s.bots))]+"/"+s.business+"/telegram", u.raw, patience) {
			if ctx.Err() != nil {
				return fmt.Errorf("update %d was never taken: %w", u.id, ctx.Err())
			}
			time.Sleep(2 * time.Millisecond)
			// Twice as long each time: on a slow machine no update would be done within a
			// patience made for a fast one, and a request given up is work given up.
			patience = max(2*patience, s.patience)
		}
	}
	return nil
}

// copy hands an update over once more, some milliseconds from now.
func (s *schedule) copy(ctx context.Context, u update, ms int, to string) {
	s.straggler.Go(func() {
		time.Sleep(time.Duration(ms) * time.Millisecond)
		s.post(ctx, to+"/"+s.business+"/telegram", u.raw, s.patience)
	})
}

// post makes one request and tells whether it was answered 200.
func (s *schedule) post(ctx context.Context, url string, body []byte, patience time.Duration) bool {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return false
	}
	r.Header.Set("X-Telegram-Bot-Api-Secret-Token", playedSecret)
	resp, err := s.client.Do(r)
	if body != nil && !errors.Is(err, syscall.ECONNREFUSED) { // nobody was there
		s.requests.Add(1)
	}
	if err != nil {
		return false
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return false
	}
	s.taken.Add(1)
	return true
}

// read brings everybody what was said to them, and notes what is booked.
func (s *schedule) read(ctx context.Context) error {
	for {
		var claimed []ledger.Sending
		err := insist(ctx, func() (err error) {
			claimed, err = s.ledger.ClaimOut(ctx, s.now(), time.Millisecond, 64)
			return err
		})
		if err != nil {
			return err
		}
		for _, c := range claimed {
			if err := s.reads(c); err != nil {
				return err
			}
			if err := insist(ctx, func() error { return s.ledger.Sent(ctx, c, s.now()) }); err != nil {
				return err
			}
		}
		if len(claimed) == 0 {
			return s.watch(ctx)
		}
	}
}

func (s *schedule) reads(c ledger.Sending) error {
	var m bot.Message
	if err := json.Unmarshal(c.Body, &m); err != nil {
		return err
	}
	if _, again := s.spoken[c.Member]; again {
		return nil
	}
	s.spoken[c.Member] = string(c.Body)
	s.hand.message++
	for _, p := range s.people {
		if p.ID == c.Chat {
			p.received(s.hand.message, m)
		}
	}
	return nil
}

// watch notes every agreed booking, for it must still be there at the end.
func (s *schedule) watch(ctx context.Context) error {
	return insist(ctx, func() error {
		return s.ledger.Each(ctx, func(r ledger.Record) error {
			var e conversations.Enquiry
			if r.Kind != "doc" || !strings.HasPrefix(r.Key, "enq:") {
				return nil
			}
			if err := json.Unmarshal(r.Body, &e); err != nil {
				return err
			}
			if e.Stage == conversations.Booked {
				s.booked[e.ID] = *e.Slot
			}
			return nil
		})
	})
}

// insist tries until a store that comes and goes has done it.
func insist(ctx context.Context, f func() error) error {
	for {
		err := f()
		if err == nil || ctx.Err() != nil {
			return err
		}
		time.Sleep(2 * time.Millisecond)
	}
}
