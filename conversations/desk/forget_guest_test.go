package desk_test

import (
	"context"
	"strconv"
	"strings"
	"testing"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// Somebody who rang is forgotten like anybody, under their number below zero or
// under that of the chat that took their things over; nobody else is.
func TestForgetSomebodyWhoRang(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		for _, who := range []bot.ChatID{-1, ours} {
			ctx := context.Background()
			l, err := ledger.New(rdb, "guest"+strconv.Itoa(int(-who)))
			if err != nil {
				t.Fatal(err)
			}
			docs := map[string]string{
				"chat:46655":     `{"id":46655,"name":"Zoë","took":[-1],"enquiry":"-1-1"}`,
				"chat:-1":        `{"id":-1,"name":"Sarah","count":1,"moved":46655}`,
				"enq:-1-1":       `{"id":"-1-1","chat":46655,"name":"Sarah"}`,
				"chat:7001":      `{"id":7001,"guest":-1,"guests":2}`,
				"chat:-2":        `{"id":-2,"name":"Bob","count":1}`,
				"enq:-2-1":       `{"id":"-2-1","chat":-2,"name":"Bob","place":{"lat":53.9,"lon":-1.9}}`,
				"day:2027-01-01": `{"entries":[{"id":"-1-1","start":"2027-01-01T09:00:00Z","end":"2027-01-01T10:00:00Z","kind":"hold"},{"id":"-2-1","start":"2027-01-01T11:00:00Z","end":"2027-01-01T12:00:00Z","kind":"hold"}]}`,
			}
			c := ledger.Change{Op: "u1", Now: now, Read: map[string]int64{}}
			for key, body := range docs {
				c.Read[key] = 0
				c.Put = append(c.Put, ledger.Doc{Key: key, Body: []byte(body)})
			}
			for _, id := range []string{"-1-1", "-2-1"} {
				c.Set = append(c.Set, ledger.Due{ID: "job:" + id, At: now, Body: []byte(`{}`)})
				c.Send = append(c.Send, ledger.Out{Chat: 7001, Body: []byte(`{"chat":7001,"text":"x","choices":[[{"label":"y","data":"` + id + `|1|owner|done"}]]}`)})
			}
			if _, err := l.Commit(ctx, c); err != nil {
				t.Fatal(err)
			}
			p, err := desk.FindPerson(ctx, l, who, owner)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := p.Forget(ctx, l, now); err != nil {
				t.Fatal(err)
			}
			var left []string
			err = l.Each(ctx, func(r ledger.Record) error {
				if r.Kind != "op" && r.Kind != "count" {
					left = append(left, r.Key+" "+string(r.Body))
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
			all := strings.Join(left, "\n")
			for _, gone := range []string{"-1-1", "Sarah", "46655", `"guest":-1`} {
				if strings.Contains(all, gone) {
					t.Errorf("forgetting %d leaves %q in\n%s", who, gone, all)
				}
			}
			for _, kept := range []string{"chat:-2", "enq:-2-1", "job:-2-1", "-2-1|1|owner|done", `"lon":-1.9`, `"guests":2`} {
				if !strings.Contains(all, kept) {
					t.Errorf("forgetting %d takes %q from\n%s", who, kept, all)
				}
			}
		}
	})
}
