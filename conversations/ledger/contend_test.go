package ledger_test

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// BenchmarkOneSlot has 64 customers press the same button: one gets the slot and
// the others see that it is gone. Beside the commit stands the same thing by
// WATCH, MULTI and EXEC, with a key for every document, in turn with it so that
// whatever else the machine does slows down both. One op is all 64.
//
// "slot" touches nothing but the slot; "event" brings the chat, the enquiry and
// two weeks of the diary, as an event does. On one machine the calls cost what
// they take to work out; "away" puts the server a millisecond off, there and back,
// so that they cost how many there are.
func BenchmarkOneSlot(b *testing.B) {
	for _, bm := range []struct {
		name string
		days int
		away time.Duration
	}{{"slot", 0, 0}, {"event", 14, 0}, {"slot away", 0, time.Millisecond}, {"event away", 14, time.Millisecond}} {
		b.Run(bm.name, func(b *testing.B) {
			rdb := distant(b, ledgertest.NewServer(b).URL(), bm.away)
			c := contest{b: b, l: open(b, rdb, "contend"), rdb: rdb}
			c.prepare(bm.days)
			var spent [2]time.Duration
			round := 0
			for b.Loop() {
				round++
				spent[0] += c.time(func(me int) (bool, error) { return c.pressed(me, round) })
				spent[1] += c.time(func(me int) (bool, error) { return c.pressedWatched(me, round) })
			}
			b.ReportMetric(spent[0].Seconds()*1000/float64(b.N), "commit-ms")
			b.ReportMetric(spent[1].Seconds()*1000/float64(b.N), "watch-ms")
			b.ReportMetric(spent[1].Seconds()/spent[0].Seconds(), "times-as-fast")
		})
	}
}

// distant is a client whose replies take their time.
func distant(b *testing.B, url string, away time.Duration) redis.UniversalClient {
	o, err := ledger.Options(url)
	if err != nil {
		b.Fatal(err)
	}
	o.Dialer = func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := (&net.Dialer{Timeout: 2 * time.Second}).DialContext(ctx, network, addr)
		return &distance{Conn: c, away: away}, err
	}
	rdb := redis.NewUniversalClient(o)
	b.Cleanup(func() { rdb.Close() })
	return rdb
}

// distance is a connection on which the answer to what was written comes late.
type distance struct {
	net.Conn
	away  time.Duration
	asked atomic.Bool
}

func (d *distance) Write(p []byte) (int, error) {
	d.asked.Store(true)
	return d.Conn.Write(p)
}

func (d *distance) Read(p []byte) (int, error) {
	if d.asked.Swap(false) && d.away > 0 {
		time.Sleep(d.away)
	}
	return d.Conn.Read(p)
}

// contest is a store with everything twice: as the ledger keeps it, and a key for
// each document.
type contest struct {
	b   *testing.B
	l   bench
	rdb redis.UniversalClient
	// root is what an event asks for first, by the number of its customer.
	root func(me int) string
	// enquiries tells that each customer has one, to be written in any case.
	enquiries bool
}

// slotDoc is the document that holds the slot.
const slotDoc = "day:0"

func (c *contest) prepare(days int) {
	docs := []ledger.Doc{{Key: slotDoc, Body: make([]byte, 400)}}
	links := []string{slotDoc}
	for day := 1; day < days; day++ {
		links = append(links, fmt.Sprint("day:", day))
		docs = append(docs, ledger.Doc{Key: links[day], Body: make([]byte, 400)})
	}
	c.root = func(int) string { return slotDoc }
	if c.enquiries = days > 0; c.enquiries {
		c.root = func(me int) string { return fmt.Sprint("chat:", me) }
		for me := range bookers {
			docs = append(docs, ledger.Doc{Key: c.root(me), Links: []string{fmt.Sprint("enq:", me)}, Body: make([]byte, 200)},
				ledger.Doc{Key: fmt.Sprint("enq:", me), Links: links, Body: make([]byte, 2000)})
		}
	}
	c.l.put("u:0", docs...)
	for _, d := range docs {
		c.l.ok(c.rdb.Set(context.Background(), watchKey(d.Key), plain(d), 0).Err())
	}
}

// time is how long all bookers at once take; one of them has to win.
func (c *contest) time(book func(me int) (bool, error)) time.Duration {
	began := time.Now()
	if won := together(c.b, book); won != 1 {
		c.b.Fatalf("%d have the slot", won)
	}
	return time.Since(began)
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

// written is what an event of a customer writes: the slot if it is free, and the
// enquiry in any case.
func (c *contest) written(docs map[string]ledger.Doc, me, round int) (put []ledger.Doc, won bool) {
	if c.enquiries {
		put = append(put, docs[fmt.Sprint("enq:", me)])
	}
	day := docs[slotDoc]
	if won = !taken(string(day.Body), round); won {
		day.Body = []byte(held(string(day.Body), round))
		put = append(put, day)
	}
	return put, won
}

// pressed is one customer's event. One that changes nothing is not committed.
func (c *contest) pressed(me, round int) (won bool, err error) {
	ctx, op := context.Background(), fmt.Sprintf("u:%d:%d", round, me)
	for {
		loaded, err := c.l.Load(ctx, op, c.root(me))
		if err != nil {
			return false, err
		}
		change := ledger.Change{Op: op, Now: noon, Read: map[string]int64{}}
		for key, d := range loaded.Docs {
			change.Read[key] = d.Version
		}
		if change.Put, won = c.written(loaded.Docs, me, round); len(change.Put) == 0 {
			return false, nil
		}
		outcome, err := c.l.Commit(ctx, change)
		if err != nil || outcome == ledger.Committed {
			return won && err == nil, err
		}
	}
}

func watchKey(doc string) string { return "w:{contend}:" + doc }

func plain(d ledger.Doc) string { return strings.Join(d.Links, " ") + "|" + string(d.Body) }

// pressedWatched does by optimistic locking what pressed does in two scripts.
func (c *contest) pressedWatched(me, round int) (won bool, err error) {
	op := watchKey(fmt.Sprintf("u:%d:%d", round, me))
	for {
		err := c.rdb.Watch(context.Background(), func(tx *redis.Tx) (err error) {
			won, err = c.try(tx, op, me, round)
			return err
		}, op)
		if !errors.Is(err, redis.TxFailedErr) {
			return won && err == nil, err
		}
	}
}

// try follows the links as a load does, watching what it reads before it reads
// it, and writes all or nothing.
func (c *contest) try(tx *redis.Tx, op string, me, round int) (won bool, err error) {
	ctx := context.Background()
	if n, err := tx.Exists(ctx, op).Result(); err != nil || n > 0 {
		return false, err
	}
	docs := map[string]ledger.Doc{}
	for next := []string{c.root(me)}; len(next) > 0; {
		if next, err = follow(ctx, tx, next, docs); err != nil {
			return false, err
		}
	}
	put, won := c.written(docs, me, round)
	if len(put) == 0 {
		return false, nil
	}
	_, err = tx.TxPipelined(ctx, func(p redis.Pipeliner) error {
		p.Set(ctx, op, 1, 0)
		for _, d := range put {
			p.Set(ctx, watchKey(d.Key), plain(d), 0)
		}
		return nil
	})
	return won, err
}

// follow reads documents and returns which of those they link to are still to be
// read.
func follow(ctx context.Context, tx *redis.Tx, names []string, docs map[string]ledger.Doc) (next []string, err error) {
	var keys []string
	for _, name := range names {
		keys = append(keys, watchKey(name))
	}
	if err := tx.Watch(ctx, keys...).Err(); err != nil {
		return nil, err
	}
	found, err := tx.MGet(ctx, keys...).Result()
	if err != nil {
		return nil, err
	}
	for i, name := range names {
		links, body, _ := strings.Cut(found[i].(string), "|")
		docs[name] = ledger.Doc{Key: name, Links: strings.Fields(links), Body: []byte(body)}
	}
	for _, name := range names {
		for _, link := range docs[name].Links {
			if _, have := docs[link]; !have {
				next = append(next, link)
			}
		}
	}
	return next, nil
}
