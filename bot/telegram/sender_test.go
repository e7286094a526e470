package telegram_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// numbered are n messages to a chat, named by their place.
func numbered(chat int64, n int) (messages []bot.Message, texts []string) {
	for i := range n {
		text := fmt.Sprintf("%d of %d", i+1, chat)
		messages = append(messages, bot.Message{Chat: bot.ChatID(chat), Text: text})
		texts = append(texts, text)
	}
	return messages, texts
}

func TestOrderWithinAChat(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.sender.Parallel = 8
	const chats, each = 6, 50
	want := map[int64][]string{}
	var queues [chats][]bot.Message
	for i := range queues {
		chat := int64(i + 1)
		w.customer(chat)
		queues[i], want[chat] = numbered(chat, each)
	}
	for k := range each { // interleaved
		for i := range queues {
			w.queue(queues[i][k])
		}
	}
	// A few things go wrong on the way; none of them may change the order.
	w.Fault("sendMessage", standin.Fault{Times: 3, Status: 500})
	w.Fault("sendMessage", standin.Fault{Times: 2, Chat: 4, Status: 429, RetryAfter: 7})
	w.Fault("sendMessage", standin.Fault{Times: 3, Chat: 5, DropBefore: true})
	w.drain()
	for chat, texts := range want {
		if diff := cmp.Diff(texts, said(w.Person(chat, ""))); diff != "" {
			t.Errorf("chat %d (-want +got):\n%s", chat, diff)
		}
	}
}

// The stand-in's strict rates are those of core.telegram.org/bots/faq, without
// the bursts it lets pass.
func TestWithinTheRates(t *testing.T) {
	w := newWorld(t, standin.Config{Strict: true})
	w.sender.Parallel = 8
	for chat := int64(1); chat <= 20; chat++ {
		w.customer(chat)
		messages, _ := numbered(chat, 10)
		w.queue(messages...)
	}
	w.drain()
	if got := w.Calls()["sendMessage"]; got != (standin.Count{Calls: 200}) {
		t.Errorf("calls: %+v, want 200 and none refused", got)
	}
	if took := w.clock.Now().Sub(start); took > 10*time.Second {
		t.Errorf("took %v, want 10s: a message a second in each chat", took)
	}
}

func TestOneSlowedChatDoesNotDelayAnother(t *testing.T) {
	w := newWorld(t, standin.Config{})
	one, two := w.customer(1), w.customer(2)
	w.Fault("sendMessage", standin.Fault{Times: 1, Chat: 1, Status: 429, RetryAfter: 300})
	first, _ := numbered(1, 2)
	second, _ := numbered(2, 2)
	w.queue(append(first, second...)...)
	w.drain()
	if diff := cmp.Diff([]string{"300 1 of 1", "301 2 of 1"}, w.heard(one)); diff != "" {
		t.Errorf("the slowed chat (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{"0 1 of 2", "1 2 of 2"}, w.heard(two)); diff != "" {
		t.Errorf("the other (-want +got):\n%s", diff)
	}
	if got := w.Calls()["sendMessage"]; got != (standin.Count{Calls: 5, Refused: 1}) {
		t.Errorf("calls: %+v, want no call to the slowed chat before its time", got)
	}
}

// Two chats slowed at a time mean that the bot is too fast, and the third is not
// tried either.
func TestSeveralSlowedChatsSlowAll(t *testing.T) {
	w := newWorld(t, standin.Config{})
	for chat := int64(1); chat <= 3; chat++ {
		w.customer(chat)
		w.queue(bot.Message{Chat: bot.ChatID(chat), Text: "one"})
	}
	w.Fault("sendMessage", standin.Fault{Times: 1, Chat: 1, Status: 429, RetryAfter: 60})
	w.Fault("sendMessage", standin.Fault{Times: 1, Chat: 2, Status: 429, RetryAfter: 40})
	w.drain()
	for chat, want := range map[int64]string{1: "60 one", 2: "40 one", 3: "40 one"} {
		if diff := cmp.Diff([]string{want}, w.heard(w.Person(chat, ""))); diff != "" {
			t.Errorf("chat %d (-want +got):\n%s", chat, diff)
		}
	}
}

func TestPaceOfAChat(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.sender.Pace = 3 * time.Second
	p := w.customer(mia)
	messages, _ := numbered(mia, 3)
	w.queue(messages...)
	w.drain()
	if diff := cmp.Diff([]string{"0 1 of 101", "3 2 of 101", "6 3 of 101"}, w.heard(p)); diff != "" {
		t.Errorf("heard (-want +got):\n%s", diff)
	}
}

// A sender that is stopped finishes what it has begun, and another goes on.
func TestRestartInTheMiddle(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	messages, want := numbered(mia, 10)
	w.queue(messages...)
	for range want {
		ctx, stop := context.WithCancel(context.Background())
		s := w.newSender()
		s.Point = func(name, _ string) {
			if name == "send:claimed" {
				stop()
			}
		}
		n, err := s.Work(ctx)
		if n != 1 || !errors.Is(err, context.Canceled) {
			t.Fatalf("settled %d, %v: want the one under way", n, err)
		}
		w.clock.Advance(time.Second)
	}
	if diff := cmp.Diff(want, said(p)); diff != "" {
		t.Errorf("heard (-want +got):\n%s", diff)
	}
}

// run starts a sender and returns what stops it and waits for its end.
func (w *world) run(woken <-chan struct{}) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		w.sender.Run(ctx, woken)
	}()
	return func() {
		cancel()
		select {
		case <-ended:
		case <-time.After(patience):
			w.t.Error("the sender does not stop")
		}
	}
}

func TestSlowCallHoldsUpItsOwnChatOnly(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.sender.Parallel, w.sender.Pace = 2, time.Nanosecond
	slow, quick := w.customer(1), w.customer(2)
	w.Fault("sendMessage", standin.Fault{Times: 1, Chat: 1, Delay: 5 * time.Second})
	w.queue(bot.Message{Chat: 1, Text: "one"})
	// The chat's pace counts from when its message is settled, not from when it is
	// heard: the clock must not move in between.
	settled := make(chan string, 8)
	w.sender.Point = func(name, op string) {
		if name == "send:settled" {
			settled <- op
		}
	}
	woken := make(chan struct{}, 1)
	stop := w.run(woken)
	w.until("the slow call has been made", func() bool { return len(said(slow)) == 1 })
	for i := range 3 {
		w.queue(bot.Message{Chat: 2, Text: fmt.Sprint("message ", i)})
		woken <- struct{}{}
		w.until("the other chat is served", func() bool { return len(said(quick)) == i+1 })
		if op := <-settled; !strings.HasPrefix(op, "2|") {
			t.Fatalf("settled %s before the other chat's", op)
		}
		w.clock.Advance(time.Second)
	}
	w.clock.Advance(5 * time.Second)
	stop()
	_, left, err := w.ledger.NextOut(context.Background())
	if left || err != nil {
		t.Errorf("something is left in the queue: %v (%v)", left, err)
	}
}

func TestRunFinishesWhatIsUnderWay(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	w.Fault("sendMessage", standin.Fault{Times: 1, Delay: 5 * time.Second})
	w.queue(bot.Message{Chat: mia, Text: "one", Delivery: bot.Once}, bot.Message{Chat: mia, Text: "two"})
	stop := w.run(nil)
	w.until("the call has been made", func() bool { return len(said(p)) == 1 })
	go w.clock.Advance(5 * time.Second)
	stop()
	counts, err := w.ledger.Counts(context.Background())
	if err != nil || counts["sent"] != 1 {
		t.Errorf("sent %d (%v), want the one under way settled", counts["sent"], err)
	}
}

func TestStoreIsAway(t *testing.T) {
	w := newWorld(t, standin.Config{})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := w.sender.Work(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that the context has ended", err)
	}
	store := miniredis.RunT(t)
	l, err := ledger.New(ledgertest.Client(t, "redis://"+store.Addr()), "test")
	if err != nil {
		t.Fatal(err)
	}
	w.sender.Ledger = l
	store.Close()
	if n, err := w.sender.Work(context.Background()); err == nil || n != 0 {
		t.Errorf("settled %d without a store, error %v", n, err)
	}
}

// lineHeard closes is once a line with the words is written to a log.
type lineHeard struct {
	words string
	once  sync.Once
	is    chan struct{}
}

func (h *lineHeard) Write(line []byte) (int, error) {
	if strings.Contains(string(line), h.words) {
		h.once.Do(func() { close(h.is) })
	}
	return len(line), nil
}

func TestRunSurvivesAStoreThatIsAway(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	store := miniredis.RunT(t)
	open := func(address string) *ledger.Ledger {
		l, err := ledger.New(ledgertest.Client(t, "redis://"+address), "test")
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	w.ledger = open(store.Addr())
	w.queue(bot.Message{Chat: mia, Text: "one"})
	// The way to it is what opens later: a port that was given back may be somebody
	// else's by then.
	address, listen := shutPort(t)
	w.sender.Ledger = open(address)
	log := &lineHeard{words: "sending interrupted", is: make(chan struct{})}
	w.sender.Log = slog.New(slog.NewTextHandler(log, nil))
	stop := w.run(nil)
	defer stop()
	select {
	case <-log.is:
	case <-time.After(patience):
		t.Fatal("nobody is told")
	}
	ledgertest.NewProxyOn(t, listen(), store.Addr())
	w.until("the message is heard", func() bool { return len(said(p)) == 1 })
}
