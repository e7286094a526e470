package ledger_test

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"sync"
	"testing"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// bookers want the same slot at the same moment.
const bookers = 64

// raceRounds is how often they do: a few times, or as often as the environment's
// DRYHAND_RACE_ROUNDS says.
func raceRounds(t *testing.T) int {
	t.Helper()
	s := os.Getenv("DRYHAND_RACE_ROUNDS")
	if s == "" {
		return 10
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		t.Fatalf("DRYHAND_RACE_ROUNDS is %q, want a number", s)
	}
	return n
}

// race lets every booker look at the slot before the first of them writes, which
// is the worst that can happen, and returns those who believe that they have it.
func race(t *testing.T, book func(me int, looked func()) (won bool, err error)) (winners []int) {
	t.Helper()
	var looking, done sync.WaitGroup
	looking.Add(bookers)
	won, errs := make([]bool, bookers), make([]error, bookers)
	for me := range bookers {
		done.Go(func() {
			var once sync.Once
			looked := func() {
				once.Do(looking.Done)
				looking.Wait()
			}
			defer once.Do(looking.Done) // who failed keeps nobody waiting
			won[me], errs[me] = book(me, looked)
		})
	}
	done.Wait()
	for me := range bookers {
		if errs[me] != nil {
			t.Fatal(errs[me])
		}
		if won[me] {
			winners = append(winners, me)
		}
	}
	return winners
}

// book takes a slot as the desk does: look, decide, commit what rests on what was
// seen, and look again if it moved meanwhile.
func book(l *ledger.Ledger, slot string, me int, looked func()) (won bool, err error) {
	ctx := context.Background()
	for {
		loaded, err := l.Load(ctx, "", slot)
		if err != nil {
			return false, err
		}
		looked()
		seen := loaded.Docs[slot]
		if seen.Version != 0 {
			return false, nil
		}
		outcome, err := l.Commit(ctx, ledger.Change{
			Op: fmt.Sprint(slot, ":", me), Now: noon, Read: map[string]int64{slot: seen.Version},
			Put: []ledger.Doc{{Key: slot, Body: []byte(strconv.Itoa(me))}},
		})
		if err != nil || outcome == ledger.Committed {
			return err == nil, err
		}
	}
}

// bookCarelessly looks whether the slot is free and then writes.
func bookCarelessly(rdb redis.UniversalClient, slot string, me int, looked func()) (won bool, err error) {
	ctx := context.Background()
	n, err := rdb.Exists(ctx, slot).Result()
	if err != nil {
		return false, err
	}
	looked()
	if n > 0 {
		return false, nil
	}
	return true, rdb.Set(ctx, slot, me, 0).Err()
}

// One slot, 64 who want it, through two ledgers on connections of their own: one
// has it, and the slot says who. Who looks and then writes, as a control, has 64
// winners in every round. On real servers only: what the embedded one shows of a
// race says nothing about Redis.
func TestOneWinner(t *testing.T) {
	t.Run("redis", func(t *testing.T) { raceOn(t, ledgertest.NewServer(t).URL()) })
	t.Run("cluster", func(t *testing.T) { raceOn(t, ledgertest.NewCluster(t).URL()) })
}

func raceOn(t *testing.T, url string) {
	var ledgers [2]bench
	for i := range ledgers {
		ledgers[i] = open(t, ledgertest.Client(t, url), "race")
	}
	rounds, careless := raceRounds(t), 0
	for round := range rounds {
		slot := fmt.Sprint("slot:", round)
		winners := race(t, func(me int, looked func()) (bool, error) {
			return book(ledgers[me%2].Ledger, slot, me, looked)
		})
		if len(winners) != 1 {
			t.Fatalf("round %d: the slot was given to %v", round, winners)
		}
		if holder := string(ledgers[0].load("", slot).Docs[slot].Body); holder != strconv.Itoa(winners[0]) {
			t.Fatalf("round %d: %d won, but the slot is %s's", round, winners[0], holder)
		}
		careless += len(race(t, func(me int, looked func()) (bool, error) {
			return bookCarelessly(ledgers[me%2].rdb, "careless:"+slot, me, looked)
		}))
	}
	if careless != rounds*bookers {
		t.Errorf("looking and then writing had %d winners in %d rounds, want %d: the race is none", careless, rounds, rounds*bookers)
	}
}
