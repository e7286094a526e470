package desk_test

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// docs are the keys of the documents of a kind and whose, in a ledger.
func docs(t *testing.T, l *ledger.Ledger, prefix string) (keys map[string]bool) {
	t.Helper()
	keys = map[string]bool{}
	err := l.Each(context.Background(), func(r ledger.Record) error {
		if r.Kind == "doc" && strings.HasPrefix(r.Key, prefix) {
			keys[r.Key] = true
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return keys
}

// What earlier releases kept is given its months and then goes, in one commit with
// all that leads to it; what is booked or done stays, and so does what somebody came
// back to.
func TestSeeUnbookedClearsOut(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		ctx := context.Background()
		d, l := newDesk(t, rdb, nil)
		at := now
		d.Now = func() time.Time { return at }
		change := ledger.Change{Op: "old", Now: at, Read: map[string]int64{}}
		put := func(key, body string, links ...string) {
			change.Read[key] = 0
			change.Put = append(change.Put, ledger.Doc{Key: key, Links: links, Body: []byte(body)})
		}
		for chat, stage := range map[int]string{101: "", 102: "closed", 103: "done", 104: "asked", 105: ""} {
			id := fmt.Sprintf("%s-1", strconv.FormatInt(int64(chat), 36))
			put(fmt.Sprintf("chat:%d", chat), fmt.Sprintf(`{"id":%d,"name":"Mia","enquiry":%q,"count":1}`, chat, id), "enq:"+id)
			more := ""
			if stage == "asked" {
				more = `,"slot":{"start":"2028-01-10T09:00:00Z","end":"2028-01-10T11:00:00Z"}`
			}
			put("enq:"+id, fmt.Sprintf(`{"form":2,"id":%q,"chat":%d,"name":"Mia","rev":0,"stage":%q%s}`, id, chat, stage, more), fmt.Sprintf("chat:%d", chat))
		}
		if _, err := l.Commit(ctx, change); err != nil {
			t.Fatal(err)
		}
		sees := func(want int, left ...int) {
			t.Helper()
			if n, err := d.SeeUnbooked(ctx); n != want || err != nil {
				t.Fatalf("%s: saw %d, %v, want %d", at.Format(time.DateOnly), n, err, want)
			}
			want36 := map[string]bool{}
			for _, chat := range left {
				want36["enq:"+strconv.FormatInt(int64(chat), 36)+"-1"] = true
			}
			if d := cmp.Diff(want36, docs(t, l, "enq:")); d != "" {
				t.Errorf("%s: enquiries (-want +got):\n%s", at.Format(time.DateOnly), d)
			}
		}
		sees(3, 101, 102, 103, 104, 105)
		sees(0, 101, 102, 103, 104, 105)
		at = now.AddDate(0, 4, 0)
		if _, err := d.Handle(ctx, text("back", 105, "2 Golf")); err != nil {
			t.Fatal(err)
		}
		at = now.AddDate(0, 6, 2)
		sees(2, 103, 104, 105)
		if keys := docs(t, l, "chat:"); len(keys) != 5 {
			t.Errorf("chats: %v", keys)
		}
		loaded, err := l.Load(ctx, "", "chat:101", "chat:103")
		if err != nil {
			t.Fatal(err)
		}
		if got := string(loaded.Docs["chat:101"].Body); got != `{"id":101,"count":1}` {
			t.Errorf("the chat still knows %s", got)
		}
		if got := string(loaded.Docs["chat:103"].Body); !strings.Contains(got, `"enquiry":"2v-1"`) {
			t.Errorf("the chat of a finished job: %s", got)
		}
	})
}
