package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/bits"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"
)

// ordinary is what people write to whom an ordinary update is an answer that leads to
// the next question: what to look at, and one step back.
var ordinary = script{before: "Ford Fiesta", texts: []string{"outside", "back"}}

// whole is a whole enquiry over and over, from the car to the guide price of a bad
// one: the third text has the next question chosen by what it moves the price by, the
// fourth brings the price.
var whole = script{before: "hello", texts: []string{"Ford Fiesta", "outside", "bring it", "3", "start again"}}

// script is what everybody writes: one text first, then others in turn. Each gets one
// answer.
type script struct {
	before string
	texts  []string
}

// crowd is people who write to the bot, some of them at once. Nobody writes before
// their last message was taken, as the platform brings them.
type crowd struct {
	script
	client *http.Client
	// written is how much each person has written, and turn whose turn it is.
	written []int
	turn    int
	// row is how much one person writes in a row, so that a spell has some of every text.
	row int
	// first is the number of the first of them.
	first int
	id    func() int64
}

// people is how many are in a crowd: so many that nobody writes faster than anybody
// can, which the bot would not have.
const people = 4096

// newCrowd makes the n-th crowd of a bot.
func (l *lab) newCrowd(s script, n int) *crowd {
	const connections = 128
	return &crowd{script: s, client: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: connections}},
		written: make([]int, pick(l, people, 64)), row: len(s.texts), first: n * people, id: l.nextUpdate}
}

// body is a text as the platform sends it.
func body(id, chat int64, at time.Time, text string) []byte {
	b := make([]byte, 0, 320)
	b = append(b, `{"update_id":`...)
	b = strconv.AppendInt(b, id, 10)
	b = append(b, `,"message":{"message_id":`...)
	b = strconv.AppendInt(b, id, 10)
	b = append(b, `,"from":{"id":`...)
	b = strconv.AppendInt(b, chat, 10)
	b = append(b, `,"is_bot":false,"first_name":"Ann","language_code":"en"},"chat":{"id":`...)
	b = strconv.AppendInt(b, chat, 10)
	b = append(b, `,"first_name":"Ann","type":"private"},"date":`...)
	b = strconv.AppendInt(b, at.Unix(), 10)
	b = append(b, `,"text":`...)
	b = strconv.AppendQuote(b, text)
	return append(b, "}}"...)
}

// chatOf is the chat of the n-th person there is. The numbers are strewn, as the
// platform's are: people who write at once have nothing in common.
func chatOf(n int) int64 {
	const odd = 2654435761 // so that no number comes twice
	return 10_000 + int64(bits.Reverse32(uint32(n+1)*odd))
}

// next is what a person writes next.
func (c *crowd) next(person int) []byte {
	text := c.before
	if n := c.written[person]; n > 0 {
		text = c.texts[(n-1)%len(c.texts)]
	}
	c.written[person]++
	return body(c.id(), chatOf(c.first+person), time.Now(), text)
}

// post brings one update.
func (c *crowd) post(ctx context.Context, hook string, raw []byte) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, hook, bytes.NewReader(raw))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
	resp, err := c.client.Do(r)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	if _, err := io.Copy(io.Discard, resp.Body); err != nil {
		return err
	}
	if resp.StatusCode != http.StatusOK {
		return fmt.Errorf("an update was answered %d", resp.StatusCode)
	}
	return nil
}

// spell is what came of people writing for a while.
type spell struct {
	updates int
	took    time.Duration
	cpu     time.Duration
	waits   []time.Duration
}

func (s spell) rate() float64 { return float64(s.updates) / s.took.Seconds() }

// micros is the CPU time of an update.
func (s spell) micros() float64 { return float64(s.cpu.Microseconds()) / float64(max(1, s.updates)) }

// p99 is the time within which 99 of 100 updates were taken, in microseconds.
func (s spell) p99() float64 {
	if len(s.waits) == 0 {
		return 0
	}
	slices.Sort(s.waits)
	return float64(s.waits[len(s.waits)*99/100].Microseconds())
}

// write has people write to hooks, so many at once, until time is over or enough is
// written. Those at once share the people out among themselves, and the hooks.
func (c *crowd) write(ctx context.Context, at int, limit time.Duration, most int, hooks ...string) (spell, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	waits := make([][]time.Duration, at)
	errs := make([]error, at)
	began := time.Now()
	var all sync.WaitGroup
	for w := range at {
		mine := len(c.written) / at
		all.Go(func() {
			for n := 0; n < most/at && time.Since(began) < limit; n++ {
				raw := c.next(w*mine + (c.turn+n)/c.row%mine)
				sent := time.Now()
				if err := c.post(ctx, hooks[w%len(hooks)], raw); err != nil {
					if ctx.Err() == nil { // else it is because of somebody else's
						errs[w] = err
					}
					cancel()
					return
				}
				waits[w] = append(waits[w], time.Since(sent))
			}
		})
	}
	all.Wait()
	s := spell{took: time.Since(began)}
	for _, w := range waits {
		s.waits = append(s.waits, w...)
	}
	s.updates = len(s.waits)
	c.turn += s.updates / at
	return s, errors.Join(errs...)
}

// endless is more updates than any spell has.
const endless = 1 << 30

// everybody has everybody write once.
func (c *crowd) everybody(ctx context.Context, hook string) error {
	row := c.row
	defer func() { c.row, c.turn = row, 0 }()
	c.row = 1
	_, err := c.write(ctx, 16, time.Minute, len(c.written), hook)
	return err
}

// timed is write for a time, with the CPU that servers used for it.
func (c *crowd) timed(ctx context.Context, at int, limit time.Duration, servers ...*server) (spell, error) {
	before, err := used(servers)
	if err != nil {
		return spell{}, err
	}
	var hooks []string
	for _, s := range servers {
		hooks = append(hooks, s.hook)
	}
	s, err := c.write(ctx, at, limit, endless, hooks...)
	if err != nil {
		return s, err
	}
	after, err := used(servers)
	s.cpu = after - before
	return s, err
}

// used is the CPU that servers have used together.
func used(servers []*server) (sum time.Duration, err error) {
	for _, s := range servers {
		one, err := s.cpu()
		if err != nil {
			return 0, err
		}
		sum += one
	}
	return sum, nil
}
