package standin_test

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync/atomic"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"example.org/dryhand/bot/standin"
)

func TestCopies(t *testing.T) {
	for _, together := range []bool{false, true} {
		w := newWorld(t, standin.Config{})
		var now, most atomic.Int64
		all := make(chan struct{})
		h := w.listen(func(models.Update, http.ResponseWriter) {
			if n := now.Add(1); together && n == 3 {
				close(all)
			}
			if together {
				<-all // only ends if three are here at once
			}
			most.Store(max(most.Load(), now.Load()))
			if !together {
				now.Add(-1)
			}
		})
		w.SetDisorder(standin.Disorder{Copies: 3, Together: together})
		w.customer(101, "Mia")
		w.quiet()
		got := h.updates()
		if len(got) != 3 || got[0].ID != got[1].ID || got[1].ID != got[2].ID {
			t.Errorf("together %v: %d deliveries", together, len(got))
		}
		if !together && most.Load() != 1 {
			t.Errorf("one after the other, but %d at once", most.Load())
		}
		if d := w.Deliveries(); d.Accepted != 1 || d.Requests != 3 {
			t.Errorf("%+v", d)
		}
	}
}

func TestDelay(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := w.listen(nil)
	w.SetDisorder(standin.Disorder{Delay: 10 * time.Second})
	w.customer(101, "Mia")
	w.clock.Advance(9 * time.Second)
	if n := w.Waiting(); n != 1 {
		t.Errorf("%d are waiting", n)
	}
	w.clock.Advance(time.Second)
	w.quiet()
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.at[0].Equal(start.Add(10 * time.Second)) {
		t.Errorf("came at %v", h.at[0])
	}
}

// With the same source of chance the queues go in the same, other order.
func TestShuffle(t *testing.T) {
	order := func(seed uint64) (chats []int64) {
		w := newWorld(t, standin.Config{Rand: rand.New(rand.NewPCG(seed, 0))})
		for i := range int64(8) {
			w.customer(i, "Somebody")
		}
		w.SetDisorder(standin.Disorder{Shuffle: true})
		h := w.listen(nil, func(p *tg.SetWebhookParams) { p.MaxConnections = 1 })
		w.quiet()
		for _, u := range h.updates() {
			chats = append(chats, u.Message.Chat.ID)
		}
		return chats
	}
	one, again, other := order(1), order(1), order(2)
	if diff := cmp.Diff(one, again); diff != "" {
		t.Error(diff)
	}
	if cmp.Equal(one, other) || cmp.Equal(one, []int64{0, 1, 2, 3, 4, 5, 6, 7}) {
		t.Errorf("%v and %v", one, other)
	}
}

// Whatever the bot answers and however the platform misbehaves, every message
// arrives, and those of one chat in the order in which they were written.
func TestEveryMessageInOrder(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(t, standin.Config{Rand: rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "chance"), 0))})
		fails := rapid.SliceOfN(rapid.SampledFrom([]int{200, 200, 200, 500, 503, 302}), 1, 30).Draw(rt, "answers")
		var n atomic.Int64
		accepted := make(chan models.Update, 1000)
		w.listen(func(u models.Update, rw http.ResponseWriter) {
			i := n.Add(1) - 1
			if i < int64(len(fails)) && fails[i] != 200 {
				rw.WriteHeader(fails[i])
				return
			}
			accepted <- u
		})
		w.SetDisorder(standin.Disorder{
			Copies: rapid.IntRange(0, 3).Draw(rt, "copies"), Together: rapid.Bool().Draw(rt, "together"),
			Delay: time.Duration(rapid.IntRange(0, 5).Draw(rt, "delay")) * time.Second, Shuffle: rapid.Bool().Draw(rt, "shuffle"),
		})
		want := map[int64][]string{}
		for i, chat := range rapid.SliceOfN(rapid.Int64Range(101, 104), 0, 20).Draw(rt, "who writes") {
			want[chat] = append(want[chat], fmt.Sprint(i))
			w.Person(chat, "Somebody").Say(fmt.Sprint(i))
		}
		w.pushUntilQuiet()
		close(accepted)
		got := map[int64][]string{}
		for u := range accepted {
			chat, text := u.Message.Chat.ID, u.Message.Text
			if so := got[chat]; len(so) == 0 || so[len(so)-1] != text { // copies of the latest may come
				got[chat] = append(so, text)
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			rt.Fatal(diff)
		}
		if len(w.Lost()) > 0 {
			rt.Fatalf("lost %v", w.Lost())
		}
	})
}

// pushUntilQuiet pushes the clock to the next try, and the next, until nothing
// is left to deliver. It leaves the clock alone while an update is under way.
func (w *world) pushUntilQuiet() {
	w.t.Helper()
	w.until("quiet", func() bool {
		at, waiting := w.Due()
		if waiting && at.After(w.clock.Now()) {
			w.clock.Set(at)
		}
		return !waiting
	})
}
