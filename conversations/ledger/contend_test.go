package ledger_test

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// BenchmarkOneSlot has 64 customers press the same button: each event brings its
// chat, its enquiry and two weeks of the diary, one gets the slot and the others
// see that it is gone. Beside the commit stands the same thing by WATCH, MULTI
// and EXEC, with a key for every document, in the same run. One op is all 64.
func BenchmarkOneSlot(b *testing.B) {
	rdb := ledgertest.Client(b, ledgertest.NewServer(b).URL())
	l := open(b, rdb, "contend")
	var docs []ledger.Doc
	var days []string
	for day := range 14 {
		days = append(days, fmt.Sprint("day:", day))
		docs = append(docs, ledger.Doc{Key: days[day], Body: make([]byte, 400)})
	}
	for me := range bookers {
		chat, enq := fmt.Sprint("chat:", me), fmt.Sprint("enq:", me)
		docs = append(docs, ledger.Doc{Key: chat, Links: []string{enq}, Body: make([]byte, 200)},
			ledger.Doc{Key: enq, Links: append([]string{chat}, days...), Body: make([]byte, 2000)})
	}
	l.put("u:0", docs...)
	w := watched{rdb}
	for _, d := range docs {
		l.ok(rdb.Set(context.Background(), w.key(d.Key), strings.Join(d.Links, " ")+"|"+string(d.Body), 0).Err())
	}
	round := 0
	for _, bm := range []struct {
		name string
		book func(me, round int) (bool, error)
	}{
		{"Commit", func(me, round int) (bool, error) { return pressed(l.Ledger, me, round) }},
		{"WatchMultiExec", w.pressed},
	} {
		b.Run(bm.name, func(b *testing.B) {
			for b.Loop() {
				round++
				if won := together(b, func(me int) (bool, error) { return bm.book(me, round) }); won != 1 {
					b.Fatalf("%d have the slot", won)
				}
			}
		})
	}
}

// together has all bookers at it at once, and counts those who won.
func together(b *testing.B, book func(me int) (bool, error)) (winners int) {
	won, errs := make([]bool, bookers), make([]error, bookers)
	var done sync.WaitGroup
	for me := range bookers {
		done.Go(func() { won[me], errs[me] = book(me) })
	}
	done.Wait()
	for me := range bookers {
		if errs[me] != nil {
			b.Fatal(errs[me])
		}
		if won[me] {
			winners++
		}
	}
	return winners
}

// taken tells whether the slot of a round is gone, from what its day holds.
func taken(day string, round int) bool { return strings.HasPrefix(day, strconv.Itoa(round)+" ") }

func held(day string, round int) string {
	return strconv.Itoa(round) + " " + strings.Repeat("x", max(0, len(day)-8))
}

// pressed is one customer's event. Everybody's enquiry is written, with the slot
// or with the next offer.
func pressed(l *ledger.Ledger, me, round int) (won bool, err error) {
	ctx, op := context.Background(), fmt.Sprintf("u:%d:%d", round, me)
	for {
		loaded, err := l.Load(ctx, op, fmt.Sprint("chat:", me))
		if err != nil {
			return false, err
		}
		c := ledger.Change{Op: op, Now: noon, Read: map[string]int64{}}
		for key, d := range loaded.Docs {
			c.Read[key] = d.Version
		}
		day := loaded.Docs["day:7"]
		c.Put = []ledger.Doc{loaded.Docs[fmt.Sprint("enq:", me)]}
		if won = !taken(string(day.Body), round); won {
			day.Body = []byte(held(string(day.Body), round))
			c.Put = append(c.Put, day)
		}
		outcome, err := l.Commit(ctx, c)
		if err != nil || outcome == ledger.Committed {
			return won && err == nil, err
		}
	}
}

// watched does by optimistic locking what the ledger does in two scripts.
type watched struct{ rdb redis.UniversalClient }

func (watched) key(doc string) string { return "w:{contend}:" + doc }

func (w watched) pressed(me, round int) (won bool, err error) {
	op := fmt.Sprintf("u:%d:%d", round, me)
	for {
		err := w.rdb.Watch(context.Background(), func(tx *redis.Tx) error { return w.try(tx, op, me, round, &won) }, w.key("op:"+op))
		if !errors.Is(err, redis.TxFailedErr) {
			return won && err == nil, err
		}
	}
}

// try follows the links from the chat as a load does, watching what it reads
// before it reads it, and writes all or nothing.
func (w watched) try(tx *redis.Tx, op string, me, round int, won *bool) error {
	ctx, docs := context.Background(), map[string]string{}
	if n, err := tx.Exists(ctx, w.key("op:"+op)).Result(); err != nil || n > 0 {
		return err
	}
	for next := []string{fmt.Sprint("chat:", me)}; len(next) > 0; {
		var keys, links []string
		for _, doc := range next {
			keys = append(keys, w.key(doc))
		}
		if err := tx.Watch(ctx, keys...).Err(); err != nil {
			return err
		}
		found, err := tx.MGet(ctx, keys...).Result()
		if err != nil {
			return err
		}
		for i, doc := range next {
			linked, body, _ := strings.Cut(found[i].(string), "|")
			docs[doc] = body
			for _, link := range strings.Fields(linked) {
				if _, have := docs[link]; !have {
					links = append(links, link)
				}
			}
		}
		next = links
	}
	enq, day := fmt.Sprint("enq:", me), docs["day:7"]
	*won = !taken(day, round)
	_, err := tx.TxPipelined(ctx, func(p redis.Pipeliner) error {
		p.Set(ctx, w.key("op:"+op), 1, 0)
		p.Set(ctx, w.key(enq), fmt.Sprint("chat:", me, " day:", strings.Join(dayNumbers(), " day:"), "|", docs[enq]), 0)
		if *won {
			p.Set(ctx, w.key("day:7"), "|"+held(day, round), 0)
		}
		return nil
	})
	return err
}

func dayNumbers() (all []string) {
	for day := range 14 {
		all = append(all, strconv.Itoa(day))
	}
	return all
}
