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
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// BenchmarkOneSlot has customers press the same button at the same moment: one gets
// the slot and the others see that it is gone. Beside the commit stands the same
// thing by WATCH, MULTI and EXEC, with a key for every document, in turn with it so
// that whatever else the machine does slows down all alike: "watch" call after
// call, as one writes it, "piped" with all calls in one that need not wait for each
// other, which is the best it can be. Per event all of them remember its name, and
// queue a message if anything is written.
//
// "slot" touches nothing but the slot, and who comes too late writes nothing;
// "event" brings the chat, the enquiry and two weeks of the diary and writes the
// enquiry in any case, as an event does. On one machine the calls cost what they
// take to work out; "away" puts the server a millisecond off, there and back, so
// that they cost how many there are.
//
// "x" is how many times as long the others took, by the clock; and "x-cpu" how many
// times the work it was for both the processors, ours and the server's, which is
// the measure where others use the machine as well.
func BenchmarkOneSlot(b *testing.B) {
	for _, bm := range []struct {
		name string
		days int
		away time.Duration
	}{{"slot", 0, 0}, {"event", 14, 0}, {"slot away", 0, time.Millisecond}, {"event away", 14, time.Millisecond}} {
		for _, bookers := range []int{2, 8, 64} {
			b.Run(fmt.Sprint(bm.name, "/", bookers), func(b *testing.B) { contend(b, bm.days, bm.away, bookers) })
		}
	}
}

func contend(b *testing.B, days int, away time.Duration, bookers int) {
	line := &line{away: away}
	rdb := line.client(b, ledgertest.NewServer(b).URL(), bookers)
	c := contest{b: b, l: open(b, rdb, "contend"), rdb: rdb, line: line, bookers: bookers}
	c.prepare(days)
	ways := []*way{{name: "commit", book: c.pressed}, {name: "watch", book: c.watched(c.follow)}, {name: "piped", book: c.watched(c.followPiped)}}
	round := 0
	for b.Loop() {
		for _, w := range ways {
			round++
			c.time(w, round)
		}
	}
	b.ReportMetric(0, "ns/op") // of no meaning: it is all of them together
	for _, w := range ways {
		resolved := float64(b.N * bookers)
		b.ReportMetric(resolved/w.spent.Seconds(), w.name+"/s")
		b.ReportMetric(float64(w.trips)/resolved, w.name+"-trips")
		b.ReportMetric(float64(w.cpu.Microseconds())/resolved, w.name+"-cpu-µs")
		if w.name != "commit" {
			b.ReportMetric(w.spent.Seconds()/ways[0].spent.Seconds(), "x-"+w.name)
			b.ReportMetric(w.cpu.Seconds()/ways[0].cpu.Seconds(), "x-cpu-"+w.name)
		}
	}
}

// way is one of the ways to book, what it has taken, and how many round trips.
type way struct {
	name  string
	book  func(me, round int) (won bool, err error)
	spent time.Duration
	cpu   time.Duration
	trips int64
}

// line is the way to the server: it counts the round trips, and makes them take
// their time.
type line struct {
	away  time.Duration
	trips atomic.Int64
}

func (l *line) client(b *testing.B, url string, connections int) redis.UniversalClient {
	o, err := ledger.Options(url)
	if err != nil {
		b.Fatal(err)
	}
	o.PoolSize = connections // nobody waits for one
	o.Dialer = func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := (&net.Dialer{Timeout: 2 * time.Second}).DialContext(ctx, network, addr)
		return &distant{Conn: c, line: l}, err
	}
	rdb := redis.NewUniversalClient(o)
	b.Cleanup(func() { rdb.Close() })
	return rdb
}

// distant is a connection on which the answer to what was written comes late.
type distant struct {
	net.Conn
	line  *line
	asked atomic.Bool
}

func (d *distant) Write(p []byte) (int, error) {
	d.asked.Store(true)
	return d.Conn.Write(p)
}

func (d *distant) Read(p []byte) (int, error) {
	if d.asked.Swap(false) {
		d.line.trips.Add(1)
		time.Sleep(d.line.away)
	}
	return d.Conn.Read(p)
}

// contest is a store with everything twice: as the ledger keeps it, and a key for
// each document.
type contest struct {
	b       *testing.B
	l       bench
	rdb     redis.UniversalClient
	line    *line
	bookers int
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
		for me := range c.bookers {
			docs = append(docs, ledger.Doc{Key: c.root(me), Links: []string{fmt.Sprint("enq:", me)}, Body: make([]byte, 200)},
				ledger.Doc{Key: fmt.Sprint("enq:", me), Links: links, Body: make([]byte, 2000)})
		}
	}
	c.l.put("u:0", docs...)
	for _, d := range docs {
		c.l.ok(c.rdb.Set(context.Background(), watchKey(d.Key), plain(d), 0).Err())
	}
}

// time has all bookers at it at once; one of them has to win. What they have
// queued is taken away again, or the queues would grow with the benchmark.
func (c *contest) time(w *way, round int) {
	cpu, trips, began := c.cpu(), c.line.trips.Load(), time.Now()
	won := together(c.b, c.bookers, func(me int) (bool, error) { return w.book(me, round) })
	w.spent += time.Since(began)
	w.cpu += c.cpu() - cpu
	w.trips += c.line.trips.Load() - trips
	if won != 1 {
		c.b.Fatalf("%s: %d have the slot", w.name, won)
	}
	queues := []string{watchKey("out"), watchKey("out:body"), watchKey("out:chats")}
	for _, part := range []string{"out", "out:body", "out:chats"} {
		queues = append(queues, c.l.prefix+part)
	}
	c.l.ok(c.rdb.Del(context.Background(), queues...).Err())
}

// cpu is the time that this process and the server have had of the processors.
func (c *contest) cpu() time.Duration {
	var ours syscall.Rusage
	c.l.ok(syscall.Getrusage(syscall.RUSAGE_SELF, &ours))
	info, err := c.rdb.InfoMap(context.Background(), "cpu").Result()
	c.l.ok(err)
	used := time.Duration(ours.Utime.Nano() + ours.Stime.Nano())
	for _, part := range []string{"used_cpu_user", "used_cpu_sys"} {
		seconds, err := strconv.ParseFloat(info["CPU"][part], 64)
		c.l.ok(err)
		used += time.Duration(seconds * float64(time.Second))
	}
	return used
}

// together has all bookers at it at once, and counts those who won.
func together(b *testing.B, bookers int, book func(me int) (bool, error)) (winners int) {
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

// answer is what an event says.
var answer = make([]byte, 300)

// pressed is one customer's event, carried through as the desk does. One that
// changes nothing is not committed.
func (c *contest) pressed(me, round int) (won bool, err error) {
	ctx, op, root := context.Background(), fmt.Sprintf("u:%d:%d", round, me), c.root(me)
	loaded, recalled := c.l.Recall(root)
	if !recalled {
		if loaded, err = c.l.Load(ctx, op, root); err != nil {
			return false, err
		}
	}
	for err == nil && !loaded.Seen {
		change := ledger.Change{Op: op, Now: noon, Send: []ledger.Out{{Chat: int64(me + 1), Body: answer}}}
		if change.Put, won = c.written(loaded.Docs, me, round); len(change.Put) == 0 {
			if !recalled {
				return false, nil
			}
			// What is only remembered to be taken has to be asked for.
			recalled = false
			loaded, err = c.l.Load(ctx, op, root)
			continue
		}
		var outcome ledger.Outcome
		if outcome, loaded, err = c.l.CommitOrReload(ctx, change, loaded, root); outcome == ledger.Committed {
			return won && err == nil, err
		}
		recalled = false
	}
	return false, err
}

func watchKey(doc string) string { return "w:{contend}:" + doc }

func plain(d ledger.Doc) string { return strings.Join(d.Links, " ") + "|" + string(d.Body) }

// follower brings an event's documents, watched before they are read, and tells
// whether the event has been seen.
type follower func(tx *redis.Tx, op, root string) (docs map[string]ledger.Doc, seen bool, err error)

// watched does by optimistic locking what pressed does in two scripts.
func (c *contest) watched(follow follower) func(me, round int) (won bool, err error) {
	ctx := context.Background()
	return func(me, round int) (won bool, err error) {
		op := watchKey(fmt.Sprintf("u:%d:%d", round, me))
		for {
			err := c.rdb.Watch(ctx, func(tx *redis.Tx) error {
				docs, seen, err := follow(tx, op, c.root(me))
				if err != nil || seen {
					return err
				}
				var put []ledger.Doc
				if put, won = c.written(docs, me, round); len(put) == 0 {
					return tx.Unwatch(ctx).Err()
				}
				_, err = tx.TxPipelined(ctx, func(p redis.Pipeliner) error { write(p, op, me, put); return nil })
				return err
			})
			if !errors.Is(err, redis.TxFailedErr) {
				return won && err == nil, err
			}
		}
	}
}

// write writes documents and a message, and the event's name. The message's place
// in the queue is its event's; the ledger has to count.
func write(p redis.Pipeliner, op string, me int, put []ledger.Doc) {
	ctx := context.Background()
	p.Set(ctx, op, 1, 48*time.Hour)
	for _, d := range put {
		p.Set(ctx, watchKey(d.Key), plain(d), 0)
	}
	member := fmt.Sprint(me+1, "|", op)
	p.ZAdd(ctx, watchKey("out"), redis.Z{Member: member})
	p.HSet(ctx, watchKey("out:body"), member, answer)
	p.ZAddNX(ctx, watchKey("out:chats"), redis.Z{Score: float64(noon.UnixMilli()), Member: me + 1})
	p.HIncrBy(ctx, watchKey("counts"), "commits", 1)
	p.HIncrBy(ctx, watchKey("counts"), "queued", 1)
}

// follow goes along the links, call after call.
func (c *contest) follow(tx *redis.Tx, op, root string) (map[string]ledger.Doc, bool, error) {
	ctx, docs := context.Background(), map[string]ledger.Doc{}
	if err := tx.Watch(ctx, op).Err(); err != nil {
		return nil, false, err
	}
	if n, err := tx.Exists(ctx, op).Result(); err != nil || n > 0 {
		return nil, n > 0, err
	}
	for next := []string{root}; len(next) > 0; {
		keys := watchKeys(next)
		if err := tx.Watch(ctx, keys...).Err(); err != nil {
			return nil, false, err
		}
		found, err := tx.MGet(ctx, keys...).Result()
		if err != nil {
			return nil, false, err
		}
		next = linked(next, found, docs)
	}
	return docs, false, nil
}

// followPiped is follow with one call for all documents that are equally far.
func (c *contest) followPiped(tx *redis.Tx, op, root string) (map[string]ledger.Doc, bool, error) {
	ctx, docs := context.Background(), map[string]ledger.Doc{}
	for next := []string{root}; len(next) > 0; {
		var seen *redis.IntCmd
		var found *redis.SliceCmd
		_, err := tx.Pipelined(ctx, func(p redis.Pipeliner) error {
			keys := watchKeys(next)
			if len(docs) == 0 {
				p.Do(ctx, "watch", op)
				seen = p.Exists(ctx, op)
			}
			watch := []any{"watch"}
			for _, k := range keys {
				watch = append(watch, k)
			}
			p.Do(ctx, watch...)
			found = p.MGet(ctx, keys...)
			return nil
		})
		if err != nil || seen != nil && seen.Val() > 0 {
			return nil, err == nil, errors.Join(err, tx.Unwatch(ctx).Err())
		}
		next = linked(next, found.Val(), docs)
	}
	return docs, false, nil
}

func watchKeys(docs []string) []string {
	var keys []string
	for _, d := range docs {
		keys = append(keys, watchKey(d))
	}
	return keys
}

// linked takes in documents and returns which of those they link to are still to
// be read.
func linked(names []string, found []any, docs map[string]ledger.Doc) (next []string) {
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
	return next
}
