// Package standin is the messaging platform, played locally over real HTTP.
//
// It answers the bot's calls under /bot<token>/<method> and its downloads under
// /file/bot<token>/<path>, and it brings updates to the bot's webhook by the
// platform's rules: a queue per chat for messages and one per person for taps,
// only the head of a queue under way, again after anything but a 2xx, given up
// when an update is too old. Persons are played from Go:
//
//	clock := standin.NewClock(start)
//	s := standin.New(standin.Config{Token: "1000:token", Clock: clock})
//	defer s.Close()
//	server := httptest.NewServer(s)           // the bot's client is told this address
//	mia := s.Person(101, "Mia")
//	mia.Say("How much for a clean?")
//	err := s.Quiet(ctx)                       // the bot has answered 200 to everything
//	err = mia.Tap(0, "Outside")
//	for _, line := range mia.Chat() { … }
//
// Every call is checked against the platform's description (interface.txt) and
// its documented limits, and refused in its error shape. Where the stand-in is
// stricter than the platform (a parameter nobody knows, more than one action on
// a button), the refusal begins with "stand-in:". Refusals' wordings are the
// platform's where bots depend on them, from its public source or, as marked
// beside them, from memory; the rest are our own.
//
// Nothing is random unless [Config.Rand] is given, and the time is the
// [Clock]'s. It keeps everything in memory.
package standin

import (
	"log/slog"
	"math/rand/v2"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Config is what the stand-in is told at the start.
type Config struct {
	// Token is the bot's; the digits before the colon are its id. It must be set.
	Token string
	// Clock is the time everybody lives in. Left out, [RealClock].
	Clock *Clock
	// Client posts updates to the webhook. Left out, one of its own. It never
	// follows a redirect.
	Client *http.Client
	// Log is told of deliveries that failed. Left out, nobody is.
	Log *slog.Logger
	// Strict limits the rate of sends and edits: 30 a second over all chats, in
	// bursts of at most 30, and 1 a second in one chat without any burst. What
	// exceeds it is refused with 429 and retry_after. An album counts as one.
	// The platform says "avoid more than one a second, short bursts pass"
	// (core.telegram.org/bots/faq), so this is stricter than it is. setWebhook
	// is limited to 1 a second.
	Strict bool
	// FirstUpdate is the update_id of the first update; left out, 1.
	FirstUpdate int64
	// Rand, if set, chooses the cap of retry delays (60 to 120 s; 60 without)
	// and what [Disorder] leaves to chance.
	Rand *rand.Rand
}

// Standin plays the platform to one bot. Its methods may be used by several
// goroutines.
type Standin struct {
	token     string
	bot       wireUser
	clock     *Clock
	client    *http.Client
	ownClient bool
	log       *slog.Logger
	described *described
	methods   map[string]method

	closed chan struct{}
	kick   chan struct{} // wakes the delivery loop
	work   sync.WaitGroup

	mu       sync.Mutex // guards everything below
	changed  chan struct{}
	stopped  bool
	rand     *rand.Rand
	persons  map[int64]*Person
	queries  map[string]*query
	files    files
	commands map[string][]command
	last     counters
	hook     webhook
	pending  []*update
	lost     []Lost
	disorder Disorder
	poll     chan struct{} // of the getUpdates under way
	journal  journal
	faults   []*Fault
	limits   limits
}

// counters hold the number last used of each kind.
type counters struct{ update, message, query, album int64 }

// New starts a stand-in; [Standin.Close] ends it.
func New(c Config) *Standin {
	if c.Clock == nil {
		c.Clock = RealClock()
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	id, _, _ := strings.Cut(c.Token, ":")
	number, _ := strconv.ParseInt(id, 10, 64)
	s := &Standin{
		token: c.Token, clock: c.Clock, log: c.Log, rand: c.Rand,
		bot:       wireUser{ID: number, IsBot: true, FirstName: "Desk", Username: "desk_bot"},
		described: readInterface(interfaceText), methods: methods(),
		closed: make(chan struct{}), kick: make(chan struct{}, 1), changed: make(chan struct{}),
		persons: map[int64]*Person{}, queries: map[string]*query{}, commands: map[string][]command{},
		files: newFiles(), limits: newLimits(c.Strict), journal: newJournal(),
	}
	s.last.update = max(c.FirstUpdate, 1) - 1
	s.ownClient = c.Client == nil
	s.client = deliveryClient(c.Client)
	s.work.Go(s.deliver)
	return s
}

// deliveryClient is the given client, or a new one, with redirects off: the
// platform counts a redirect as a failure.
func deliveryClient(given *http.Client) *http.Client {
	client := &http.Client{}
	if given != nil {
		*client = *given
	} else {
		client.Transport = &http.Transport{IdleConnTimeout: 30 * time.Second, MaxIdleConnsPerHost: 100}
	}
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return client
}

// Close stops delivering, lets go of polls and slow answers, and waits for the
// stand-in's goroutines. What was not delivered stays undelivered.
func (s *Standin) Close() {
	s.mu.Lock()
	if !s.stopped {
		s.stopped = true
		close(s.closed)
	}
	s.mu.Unlock()
	s.work.Wait()
	if s.ownClient {
		s.client.CloseIdleConnections()
	}
}

// Clock is the clock the stand-in lives by.
func (s *Standin) Clock() *Clock { return s.clock }

// note wakes everybody who waits for the stand-in's state to change. The caller
// holds mu.
func (s *Standin) note() {
	close(s.changed)
	s.changed = make(chan struct{})
	select {
	case s.kick <- struct{}{}:
	default:
	}
}

// Changed returns a channel that is closed at the next change: a message, a
// delivery, a tap answered.
func (s *Standin) Changed() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.changed
}
