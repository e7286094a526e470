package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/wording"
)

// The twenty tests: what goes wrong with bots of this kind, as people have
// reported it, each over real HTTP against the platform's stand-in. The number is
// that of the row in testdata/failures.md, which names the threads it comes from.

// R1: a handler that is slow, or an answer that is lost, brings the same update
// again, up to five times and all at once. Everything still happens once.
func TestR01TheSameUpdateAgainDoublesNothing(t *testing.T) {
	t.Parallel()
	play := func(d standin.Disorder) (mia, owner []string, f *front) {
		f = newFront(t, standin.Config{}, nil)
		f.say(f.owner(), "/start")
		f.standin.SetDisorder(d)
		m := f.standin.Person(101, "Mia")
		f.books(m)
		return told(m), told(f.owner()), f
	}
	mia, owner, _ := play(standin.Disorder{})
	again, ownerAgain, f := play(standin.Disorder{Copies: 5, Together: true})
	if d := cmp.Diff(mia, again); d != "" {
		t.Errorf("Mia reads, once (-) and with copies (+):\n%s", d)
	}
	if d := cmp.Diff(owner, ownerAgain); d != "" {
		t.Errorf("the owner reads, once (-) and with copies (+):\n%s", d)
	}
	if n := f.standin.Deliveries(); n.Requests < 5*len(journey()) {
		t.Errorf("only %d requests: nothing came again", n.Requests)
	}

	// The platform waits 60 seconds and brings an update again while the first
	// copy is still being worked on.
	stuck, release := make(chan struct{}), make(chan struct{})
	var begun atomic.Bool
	slow := newFront(t, standin.Config{}, func(name, _ string) {
		if name == "commit:before" && begun.CompareAndSwap(false, true) {
			close(stuck)
			<-release
		}
	})
	zoe := slow.standin.Person(102, "Zoe")
	zoe.Say("Ford Fiesta")
	<-stuck
	slow.clock.Advance(61 * time.Second)
	slow.settle()
	close(release)
	slow.settle()
	if n := slow.standin.Deliveries(); n.Requests < 2 || len(told(zoe)) != 1 {
		t.Errorf("%d requests, and Zoe reads %q", n.Requests, told(zoe))
	}
}

// R2: acknowledged, and then the process is killed. A bot that is a process of its
// own is killed with -9 at every named point between an update's arrival and the
// end of its answer; what was acknowledged takes effect, and once.
func TestR02KilledAfterTheAcknowledgementLosesNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	t.Parallel()
	const rarely = "1000000007" // at the first of each point alone
	k := newKilled(t, rarely)
	mia := k.standin.Person(101, "Mia")
	for _, a := range journey()[:5] {
		if a.say != "" {
			mia.Say(a.say)
		} else if err := mia.Tap(0, a.tap); err != nil {
			t.Fatal(err)
		}
		if err := k.until(t.Context(), k.clock.Now().Add(10*time.Minute)); err != nil {
			t.Fatal(err)
		}
	}
	if n := times(mia, "Guide price for your Ford Fiesta"); n == 0 {
		t.Errorf("no price after all this; Mia reads\n%s", strings.Join(told(mia), "\n---\n"))
	}
	var e conversations.Enquiry
	if err := json.Unmarshal(everything(t, k.ledger)["doc enq:2t-1"].Body, &e); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]string{"heard", "wants", "site", "cond-paintwork"}, e.Trail); d != "" {
		t.Errorf("answers (-given +kept):\n%s", d)
	}
	at := tally(t, k.deaths)
	for _, p := range []string{"load:before", "load:after", "commit:before", "commit:after", "ack:before", "ack:after", "send:claimed", "send:called", "send:settled"} {
		if at[p] == 0 {
			t.Errorf("never killed at %s", p)
		}
	}
}

// R3: two hundred messages of one chat, handled in their order although each takes
// its own time; and a chat that is stuck holds up nobody else.
func TestR03OrderWithinAChatIsKept(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	f.say(f.owner(), "/start")
	mia, zoe := f.standin.Person(101, "Mia"), f.standin.Person(102, "Zoe")
	f.say(mia, "person")
	chance, mu := seeded(3), sync.Mutex{}
	f.before(func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			mu.Lock()
			nap := time.Duration(chance.IntN(1500)) * time.Microsecond
			mu.Unlock()
			time.Sleep(nap)
			next.ServeHTTP(w, r)
		})
	})
	const n = 200
	var want []string
	for i := range n {
		mia.Say(fmt.Sprint("number ", i))
		f.clock.Advance(3 * time.Second) // not so fast that she would be asked to slow down
		want = append(want, strconv.Itoa(i))
	}
	f.run(n*time.Second + time.Minute)
	var got []string
	number := regexp.MustCompile(`^Mia writes: number (\d+)`)
	for _, text := range told(f.owner()) {
		if m := number.FindStringSubmatch(text); m != nil {
			got = append(got, m[1])
		}
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("passed on in this order (-want +got):\n%s", d)
	}

	stuck, release := make(chan struct{}), make(chan struct{})
	var begun atomic.Bool
	f.before(func(next http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			body, _ := io.ReadAll(r.Body)
			r.Body = io.NopCloser(bytes.NewReader(body))
			if whose(body) == 101 && begun.CompareAndSwap(false, true) {
				close(stuck)
				<-release
			}
			next.ServeHTTP(w, r)
		})
	})
	mia.Say("the one that is stuck")
	mia.Say("the one behind it")
	<-stuck
	zoe.Say("Ford Fiesta")
	deadline := time.Now().Add(time.Minute)
	for last(zoe) == "" && time.Now().Before(deadline) {
		if _, err := f.work(t.Context()); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Millisecond)
	}
	if !strings.Contains(last(zoe), "What shall we look at?") {
		t.Errorf("while Mia's chat is stuck Zoe reads %q", last(zoe))
	}
	close(release)
	f.settle()
	if n := len(told(f.owner())); !strings.Contains(told(f.owner())[n-1], "the one behind it") {
		t.Errorf("at the end the owner reads %q", told(f.owner())[n-2:])
	}
}

// R4: an update on which the desk panics every time is put aside after a few
// tries, the ones behind it are served, and the owner hears of it once.
func TestR04PoisonBlocksItsChatOnlyAWhile(t *testing.T) {
	t.Parallel()
	var poison, met atomic.Int32
	f := newFront(t, standin.Config{}, func(name, op string) {
		if (name == "load:after" || name == "recalled") && op == fmt.Sprint("u", poison.Load()) {
			met.Add(1)
		}
	})
	talk, tried := f.desk.Talk, int32(0)
	f.desk.Talk = func() conversations.Talk {
		if n := met.Load(); n > tried {
			tried = n
			panic("poison")
		}
		return talk()
	}
	mia := f.standin.Person(101, "Mia")
	f.say(f.owner(), "/start")
	f.say(mia, "Ford Fiesta")
	poison.Store(3) // the third update there is
	mia.Say("outside")
	mia.Say("inside")
	f.run(5 * time.Minute)
	if met.Load() < 2 {
		t.Fatalf("the poison was met %d times", met.Load())
	}
	if d := cmp.Diff([]string{"interior"}, f.enquiry(mia, 1).Answers["wants"]); d != "" {
		t.Errorf("the answer behind it (-want +got):\n%s", d)
	}
	if n := times(f.owner(), "could not be handled and was put aside"); n != 1 {
		t.Errorf("the owner hears of it %d times", n)
	}
	if a := f.asides(); len(a) != 1 || !strings.Contains(a[0], "panicked") {
		t.Errorf("put aside: %q", a)
	}
}

// R5: a text, a picture and a press of one person at the same moment. The platform
// keeps no order between presses and the rest, so what comes of it must be what
// comes of one of the orders, with nothing lost.
func TestR05TextTapAndPhotoAtOnceLoseNothing(t *testing.T) {
	t.Parallel()
	text, tap := "about £150 to spend", label(wording.LabelBring)
	picture := faultsPicture()
	ready := func(f *front, id int64) *standin.Person {
		p := f.standin.Person(id, "Mia")
		f.does(p, journey()[:3]...)
		return p
	}
	acts := map[string]func(*standin.Person) error{
		"text":  func(p *standin.Person) error { p.Say(text); return nil },
		"photo": func(p *standin.Person) error { _, err := p.SendPhoto(picture, ""); return err },
		"tap":   func(p *standin.Person) error { return p.Tap(0, tap) },
	}
	orders := [][]string{{"tap", "text", "photo"}, {"text", "tap", "photo"}, {"text", "photo", "tap"}}
	serial := map[string][]string{}
	for _, order := range orders {
		f := newFront(t, standin.Config{}, nil)
		p := ready(f, 101)
		for _, what := range order {
			if err := acts[what](p); err != nil {
				t.Fatal(err)
			}
			if err := f.standin.Quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
		}
		f.settle()
		serial[outcomeOf(t, f, p)] = order
	}

	f := newFront(t, standin.Config{}, hesitate)
	var all []*standin.Person
	for i := range 12 {
		all = append(all, ready(f, int64(200+i)))
	}
	for _, p := range all {
		for _, what := range []string{"text", "photo", "tap"} {
			if err := acts[what](p); err != nil {
				t.Fatal(err)
			}
		}
	}
	f.run(time.Minute)
	seen := map[string]int{}
	for _, p := range all {
		got := outcomeOf(t, f, p)
		order, ok := serial[got]
		if !ok {
			t.Errorf("%d: none of the three orders comes to this (+); the first comes to (-)\n%s", p.ID(), cmp.Diff(slices.Sorted(maps.Keys(serial))[0], got))
			continue
		}
		seen[strings.Join(order, ", ")]++
		e := f.enquiry(p, 1)
		if len(e.Photos) != 1 || e.Answers["budget"] == nil {
			t.Errorf("%d: %d photos, budget %v", p.ID(), len(e.Photos), e.Answers["budget"])
		}
		if e.Answers["site"] == nil && times(p, "so nothing has changed") == 0 {
			t.Errorf("%d: the press is lost without a word", p.ID())
		}
	}
	t.Logf("orders met: %v", seen)
}

// outcomeOf is what an enquiry came to, without whose it is and when
// it was.
func outcomeOf(t *testing.T, f *front, p *standin.Person) string {
	t.Helper()
	e := f.enquiry(p, 1)
	e.ID, e.Chat = "", 0
	for i := range e.Photos {
		e.Photos[i].File = ""
	}
	e.Spoken, e.Touched = 0, time.Time{}
	if e.Quote != nil {
		e.Quote.Until = time.Time{} // how far the clock has come
	}
	body, err := json.MarshalIndent(e, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// R6: an album is that many updates and has no end. They come in any order, twice,
// with seconds between them, and the bot is replaced in the middle: all pictures
// are kept and the customer hears once.
func TestR06AnAlbumIsAnsweredOnce(t *testing.T) {
	t.Parallel()
	for _, n := range []int{1, 2, 5, 10} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			t.Parallel()
			f := newFront(t, standin.Config{}, nil)
			mia := f.standin.Person(101, "Mia")
			f.say(mia, "Ford Fiesta")
			var mu sync.Mutex
			var caught [][]byte
			f.before(func(http.Handler) http.Handler {
				return http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
					body, _ := io.ReadAll(r.Body)
					mu.Lock()
					caught = append(caught, body)
					mu.Unlock()
				})
			})
			if _, err := mia.SendAlbum(sharpPictures(t, n), ""); err != nil {
				t.Fatal(err)
			}
			if err := f.standin.Quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			f.before(nil)
			chance, before := seeded(uint64(n)), len(told(mia))
			bodies := append(slices.Clone(caught), caught...)
			chance.Shuffle(len(bodies), func(i, j int) { bodies[i], bodies[j] = bodies[j], bodies[i] })
			for i, body := range bodies {
				if status := f.post(playedSecret, body); status != http.StatusOK {
					t.Fatalf("answered %d", status)
				}
				f.run(time.Duration(chance.IntN(5000)) * time.Millisecond)
				if i == len(bodies)/2 {
					f.start()
				}
			}
			f.run(time.Minute)
			e := f.enquiry(mia, 1)
			if len(e.Photos) != n {
				t.Errorf("%d of %d pictures kept", len(e.Photos), n)
			}
			for i, p := range e.Photos {
				if p.Report == nil || !p.Told {
					t.Errorf("picture %d was never looked at: %+v", i, p)
				}
			}
			if heard := told(mia)[before:]; len(heard) != 1 || !strings.Contains(heard[0], "came out well") {
				t.Errorf("Mia reads %d messages: %q", len(heard), heard)
			}
		})
	}
}

// R7: the platform says to wait, on any call, for one second, thirty or three
// hundred. Nothing goes to that chat before, nothing is lost, and nobody else
// waits; and five hundred reminders due at one moment are spread out.
func TestR07SlowedDownLosesNothing(t *testing.T) {
	t.Parallel()
	for _, wait := range []int{1, 30, 300} {
		for _, method := range []string{"sendMessage", "editMessageReplyMarkup"} {
			t.Run(fmt.Sprint(method, " ", wait), func(t *testing.T) {
				t.Parallel()
				f := newFront(t, standin.Config{}, nil)
				mia, zoe := f.standin.Person(101, "Mia"), f.standin.Person(102, "Zoe")
				f.does(mia, journey()[:3]...)
				f.does(zoe, journey()[:1]...)
				f.standin.Fault(method, standin.Fault{Status: http.StatusTooManyRequests, RetryAfter: wait, Times: 1, Chat: 101})
				began := f.clock.Now()
				if err := mia.Tap(0, label(wording.LabelBring)); err != nil { // an edit and a question
					t.Fatal(err)
				}
				zoe.Say("outside")
				f.run(time.Duration(wait)*time.Second + 10*time.Second)
				var slowed []standin.Refusal
				for _, r := range f.standin.Refusals() {
					if r.Code == http.StatusTooManyRequests {
						slowed = append(slowed, r)
					}
				}
				if len(slowed) != 1 || slowed[0].Method != method {
					t.Errorf("told to wait %d times, want once: %+v", len(slowed), slowed)
				}
				arrived := func(p *standin.Person) time.Duration { chat := p.Chat(); return chat[len(chat)-1].At.Sub(began) }
				if !strings.Contains(last(mia), "run a hand over the bonnet") || method == "sendMessage" && arrived(mia) < time.Duration(wait)*time.Second {
					t.Errorf("after %s Mia reads %q", arrived(mia), last(mia))
				}
				if !strings.Contains(last(zoe), "Where would we do it?") || arrived(zoe) > 3*time.Second {
					t.Errorf("Zoe, who has nothing to do with it, reads after %s %q", arrived(zoe), last(zoe))
				}
			})
		}
	}
	t.Run("500 at once", func(t *testing.T) {
		t.Parallel()
		fiveHundredAtOnce(t)
	})
}

// fiveHundredAtOnce lets one customer's unanswered price be reminded of, five
// hundred times over.
func fiveHundredAtOnce(t *testing.T) {
	f := newFront(t, standin.Config{Strict: true}, nil)
	mia := f.standin.Person(101, "Mia")
	f.does(mia, journey()[:5]...)
	const many, first = 500, 10_000
	var crowd []*standin.Person
	f.before(func(http.Handler) http.Handler { return http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}) })
	for i := range many {
		p := f.standin.Person(int64(first+i), "Mia")
		p.Say("hello") // the platform lets nobody be written to who has not written
		crowd = append(crowd, p)
	}
	if err := f.standin.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	f.before(nil)
	var records []ledger.Record
	for _, r := range everything(t, f.ledger) {
		if r.Kind != "doc" && r.Kind != "due" {
			continue
		}
		for _, p := range crowd {
			as := strings.NewReplacer("chat:101", fmt.Sprint("chat:", p.ID()), "2t-", base36(p.ID())+"-", `"id":101`, fmt.Sprint(`"id":`, p.ID()), `"chat":101`, fmt.Sprint(`"chat":`, p.ID()))
			c := r
			c.Key, c.Body = as.Replace(r.Key), []byte(as.Replace(string(r.Body)))
			for i := range c.Links {
				c.Links = slices.Clone(c.Links)
				c.Links[i] = as.Replace(r.Links[i])
			}
			records = append(records, c)
		}
	}
	if err := f.ledger.Restore(t.Context(), records...); err != nil {
		t.Fatal(err)
	}
	due, ok, err := f.ledger.NextDue(t.Context())
	if err != nil || !ok {
		t.Fatal("nothing falls due", err)
	}
	f.clock.Set(due)
	f.run(2 * time.Minute)
	early, late, n := time.Time{}, time.Time{}, 0
	for _, p := range crowd {
		if times(p, "price stands until") != 1 {
			t.Errorf("%d reads %q", p.ID(), told(p))
			continue
		}
		n++
		chat := p.Chat()
		if at := chat[len(chat)-1].At; early.IsZero() || at.Before(early) {
			early = at
		} else if at.After(late) {
			late = at
		}
	}
	if spread := late.Sub(early); n == many && spread < 15*time.Second {
		t.Errorf("all of them within %s", spread)
	}
	if r := len(f.standin.Refusals()); r > many/5 {
		t.Errorf("the platform had to say %d times that it is too fast", r)
	}
	t.Logf("%d reminders within %s, %d times too fast", n, late.Sub(early), len(f.standin.Refusals()))
}
