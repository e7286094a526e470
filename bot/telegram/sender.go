package telegram

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/ledger"
)

// Sender delivers what has been committed: in order within a chat, chats beside
// each other, within the platform's rates. It holds nothing that a restart may
// not lose.
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
	// Undelivered, if set, tells the conversation of a message about something that
	// did not arrive, or of which nobody knows. op names the happening, so that it is
	// told once.
	Undelivered func(ctx context.Context, chat bot.ChatID, what bot.Undelivered, op string) error
	// Settled, if set, is told what became of each message that was claimed: a
	// verdict's name ("sent", "slower" …), or why it was put aside without a call.
	// Took is how long the call took, zero if there was none.
	Settled func(m bot.Message, what string, took time.Duration)
	Log     *slog.Logger
	// Point, if set, is told the named moments "send:claimed", "send:begun",
	// "send:called" and "send:settled".
	Point func(name, op string)

	brake brake
	tries tries
}

// lease is how long a claimed message is left alone before somebody else may
// try: longer than its calls can take, at most two.
const lease = 3 * answerWithin

// crew is the sends under way.
type crew struct {
	seats chan struct{}
	// settled is told, without waiting, that a seat has become free.
	settled chan struct{}
	wg      sync.WaitGroup // of the sends
	// jobs are for hands, of which there are no more than seats. They stay, because the
	// stack of one that has sent a message once need not grow again.
	jobs  chan func() error
	hands int

	mu   sync.Mutex
	done int
	errs []error
}

func (s *Sender) crew() *crew {
	n := max(1, s.Parallel)
	return &crew{seats: make(chan struct{}, n), settled: make(chan struct{}, 1), jobs: make(chan func() error, n)}
}

// start has a send done by one of the hands. It does not wait: whoever calls it has a
// seat.
func (k *crew) start(send func() error) {
	k.wg.Add(1)
	k.jobs <- send
	if k.hands < cap(k.seats) {
		k.hands++
		go func() {
			for send := range k.jobs {
				k.leave(send())
			}
		}()
	}
}

// disband waits for the sends under way, and lets the hands go.
func (k *crew) disband() {
	k.wg.Wait()
	close(k.jobs)
}

// seat takes a free seat, and whatever others are free at that moment. It returns how
// many, none if ctx has ended.
func (k *crew) seat(ctx context.Context) (taken int) {
	select {
	case <-ctx.Done():
		return 0
	case k.seats <- struct{}{}:
	}
	for taken = 1; ; taken++ {
		select {
		case k.seats <- struct{}{}:
		default:
			return taken
		}
	}
}

// unseat gives up seats that are not needed.
func (k *crew) unseat(n int) {
	for range n {
		<-k.seats
	}
}

// leave ends one send.
func (k *crew) leave(err error) {
	k.mu.Lock()
	if err != nil {
		k.errs = append(k.errs, err)
	} else {
		k.done++
	}
	k.mu.Unlock()
	<-k.seats
	k.wg.Done()
	select {
	case k.settled <- struct{}{}:
	default:
	}
}

// account is what was settled, and what failed since it was last asked.
func (k *crew) account() (done int, err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	err, k.errs = errors.Join(k.errs...), nil
	return k.done, err
}

// Work sends everything that may be sent now and returns how many messages it
// settled: sent, put aside, or left for later. The error is the store's.
func (s *Sender) Work(ctx context.Context) (settled int, err error) {
	k := s.crew()
	defer k.disband()
	for {
		started, err := s.dispatch(ctx, k)
		k.wg.Wait()
		settled, failed := k.account()
		if err = errors.Join(err, failed, ctx.Err()); err != nil || started == 0 {
			return settled, err
		}
	}
}

// Run works whenever woken and whenever a queued message's time has come, until
// ctx ends; what is under way is finished first. A slow call holds up its own
// chat and no other.
func (s *Sender) Run(ctx context.Context, woken <-chan struct{}) {
	k := s.crew()
	defer k.disband()
	for ctx.Err() == nil {
		_, err := s.dispatch(ctx, k)
		if _, failed := k.account(); err != nil || failed != nil {
			s.Log.Warn("sending interrupted", "err", s.Client.scrub(errors.Join(err, failed)))
		}
		select { // who is woken already need not ask when
		case <-woken:
			continue
		case <-k.settled:
			continue
		default:
		}
		timer := time.NewTimer(s.until(ctx))
		select {
		case <-ctx.Done():
		case <-woken:
		case <-k.settled:
		case <-timer.C:
		}
		timer.Stop()
	}
}

// dispatch starts sending what may be sent now, one message of a chat at a time,
// on seats as they become free, claiming for all that are. It returns once nothing
// more may be started.
func (s *Sender) dispatch(ctx context.Context, k *crew) (started int, err error) {
	// What is claimed is carried through, even if ctx ends meanwhile.
	through := context.WithoutCancel(ctx)
	for {
		free := k.seat(ctx)
		if free == 0 {
			return started, nil
		}
		claimed, err := s.Ledger.ClaimOut(through, s.Now(), lease, free)
		k.unseat(free - len(claimed))
		for _, c := range claimed {
			k.start(func() error { return s.deliver(through, c) })
		}
		started += len(claimed)
		if err != nil || len(claimed) < free {
			return started, err
		}
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

func (s *Sender) tell(m bot.Message, what string, took time.Duration) {
	if s.Settled != nil {
		s.Settled(m, what, took)
	}
}

func (s *Sender) pace() time.Duration {
	if s.Pace > 0 {
		return s.Pace
	}
	return time.Second
}

func (s *Sender) point(name, op string) {
	if s.Point != nil {
		s.Point(name, op)
	}
}
