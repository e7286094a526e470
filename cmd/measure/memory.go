package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
)

// towardsADay is an enquiry from the first word until days are offered.
var towardsADay = script{before: "hello", texts: []string{"Ford Fiesta", "outside", "bring it", "3", "find a day", "nothing like that"}}

// memory has some people write to a real bot until they are somewhere in an enquiry,
// copies what Redis then holds of them under very many other numbers, and looks what
// that takes. Beside it stand the same bodies, JSON as it is, in a hash of their own.
func (l *lab) memory(ctx context.Context) ([]figure, error) {
	const business = "sample"
	s, p, err := l.surroundings(ctx)
	if err != nil {
		return nil, err
	}
	b, err := l.startBot(s, p, "sample", business, "DRYHAND_SEND_EVERY=24h")
	if err != nil {
		return nil, err
	}
	p.know(len(towardsADay.texts) + 1)
	samples := []sample{}
	c := l.newCrowd(towardsADay, 0)
	for person := range len(towardsADay.texts) + 1 { // each one text further than the one before
		for range person + 1 {
			if err := c.post(ctx, b.hook, c.next(person)); err != nil {
				return nil, err
			}
		}
		samples = append(samples, sample{chat: chatOf(person)})
	}
	b.stop()
	from, err := ledger.New(s.rdb, business)
	if err != nil {
		return nil, err
	}
	if err := from.Each(ctx, func(r ledger.Record) error {
		for i := range samples {
			samples[i].take(r)
		}
		return nil
	}); err != nil {
		return nil, err
	}
	n := pick(l, 100_000, 500)
	many, err := ledger.New(s.rdb, "many")
	if err != nil {
		return nil, err
	}
	var took [3]float64
	if took[0], err = s.memoryUsed(ctx); err != nil {
		return nil, err
	}
	size := 0
	if size, err = copies(ctx, samples, n, many); err != nil {
		return nil, err
	}
	if took[1], err = s.memoryUsed(ctx); err != nil {
		return nil, err
	}
	if err := raw(ctx, s.rdb, samples, n); err != nil {
		return nil, err
	}
	if took[2], err = s.memoryUsed(ctx); err != nil {
		return nil, err
	}
	ours, plain := took[1]-took[0], took[2]-took[1]
	each := func(bytes float64) string { return thousands(int64(bytes/float64(n))) + " bytes" }
	return []figure{
		figure{What: "Redis memory of " + thousands(int64(n)) + " open conversations", Measured: each(ours) + " each", Anchor: "raw JSON in Redis " + each(plain), Unit: "x",
			Value: ours / plain, Note: "the JSON itself has " + each(float64(size)) + "; counted with it are versions, moments to come and the names of the last updates"}.atMost(1.3),
	}, nil
}

// sample is what Redis holds of one person.
type sample struct {
	chat int64
	docs []ledger.Doc
	due  []ledger.Due
}

// take keeps a record if it is about the person.
func (m *sample) take(r ledger.Record) {
	decimal, short := strconv.FormatInt(m.chat, 10), strconv.FormatInt(m.chat, 36)
	if !strings.Contains(r.Key, decimal) && !strings.Contains(r.Key, short) {
		return
	}
	switch r.Kind {
	case "doc":
		m.docs = append(m.docs, ledger.Doc{Key: r.Key, Links: r.Links, Body: r.Body})
	case "due":
		m.due = append(m.due, ledger.Due{ID: r.Key, At: r.At, Body: r.Body})
	}
}

// as is the sample of somebody with another number, as long as this one.
func (m sample) as(chat int64) sample {
	names := strings.NewReplacer(strconv.FormatInt(m.chat, 10), strconv.FormatInt(chat, 10), strconv.FormatInt(m.chat, 36), strconv.FormatInt(chat, 36))
	other := sample{chat: chat}
	for _, d := range m.docs {
		links := make([]string, len(d.Links))
		for i, link := range d.Links {
			links[i] = names.Replace(link)
		}
		other.docs = append(other.docs, ledger.Doc{Key: names.Replace(d.Key), Links: links, Body: []byte(names.Replace(string(d.Body)))})
	}
	for _, d := range m.due {
		other.due = append(other.due, ledger.Due{ID: names.Replace(d.ID), At: d.At, Body: []byte(names.Replace(string(d.Body)))})
	}
	return other
}

// copies commits n copies of samples, one to a commit as people come, and tells how
// long all bodies together are.
func copies(ctx context.Context, samples []sample, n int, to *ledger.Ledger) (size int, err error) {
	const at = 16
	now := time.Now()
	sizes, errs := make([]int, at), make([]error, at)
	var all sync.WaitGroup
	for w := range at {
		all.Go(func() {
			for i := w; i < n && errs[w] == nil; i += at {
				s := samples[i%len(samples)].as(copyOf(i))
				c := ledger.Change{Op: "u" + strconv.Itoa(700_000_000+i), Now: now, Read: map[string]int64{}, Put: s.docs, Set: s.due}
				for _, d := range s.docs {
					c.Read[d.Key] = 0
					sizes[w] += len(d.Body)
				}
				for _, d := range s.due {
					sizes[w] += len(d.Body)
				}
				var outcome ledger.Outcome
				if outcome, errs[w] = to.Commit(ctx, c); outcome != ledger.Committed {
					errs[w] = fmt.Errorf("copying conversations: %v, %w", outcome, errs[w])
				}
			}
		})
	}
	all.Wait()
	for _, one := range sizes {
		size += one
	}
	return size, errors.Join(errs...)
}

// raw puts the bodies of n copies into one hash.
func raw(ctx context.Context, rdb redis.UniversalClient, samples []sample, n int) error {
	const together = 500
	for begin := 0; begin < n; begin += together {
		var fields []any
		for i := begin; i < min(n, begin+together); i++ {
			s := samples[i%len(samples)].as(copyOf(i))
			for _, d := range s.docs {
				fields = append(fields, d.Key, d.Body)
			}
			for _, d := range s.due {
				fields = append(fields, d.ID, d.Body)
			}
		}
		if err := rdb.HSet(ctx, "raw", fields...).Err(); err != nil {
			return err
		}
	}
	return nil
}

// copyOf is the number of the i-th copied person: ten digits, as those of new people
// have.
func copyOf(i int) int64 { return 5_000_000_000 + int64(i)*7 }
