//go:build linux

package ledgertest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// PowerCuts pulls the plug of a server that syncs as told, again and again, while eight
// write to it. It returns how many commits were confirmed, how many of these were gone
// afterwards, and how many bytes the disk had not been told to keep. A commit of which
// half is there fails the test.
func PowerCuts(t testing.TB, cuts int, fsync string) (confirmed, lost int, bytes int64) {
	t.Helper()
	d := NewDisk(t, "--appendonly", "yes", "--appendfsync", fsync)
	l, err := ledger.New(Client(t, d.URL()), "desk")
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, uint64(len(fsync))))
	at := time.Date(2026, 10, 25, 12, 0, 0, 0, time.UTC)
	for cut := range cuts {
		ctx, stop := context.WithCancel(context.Background())
		var mu sync.Mutex
		var said []string
		var writers sync.WaitGroup
		for w := range 8 {
			writers.Go(func() {
				for i := 0; ctx.Err() == nil; i++ {
					op := fmt.Sprintf("u:%d-%d-%d", cut, w, i)
					outcome, err := l.Commit(ctx, ledger.Change{
						Op: op, Now: at, Read: map[string]int64{"doc:" + op: 0}, Put: []ledger.Doc{{Key: "doc:" + op, Body: []byte(op)}},
						Set: []ledger.Due{{ID: op, At: at}}, Send: []ledger.Out{{Chat: 5, Body: []byte(op)}},
					})
					if err == nil && outcome == ledger.Committed {
						mu.Lock()
						said = append(said, op)
						mu.Unlock()
					}
				}
			})
		}
		time.Sleep(time.Duration(150+rng.IntN(400)) * time.Millisecond)
		for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(time.Millisecond) {
			mu.Lock()
			enough := len(said) >= 20 // whatever the disk and the machine are up to
			mu.Unlock()
			if enough {
				break
			}
		}
		bytes += d.CutPower()
		stop()
		writers.Wait()
		d.Start()
		t.Logf("the first success came %v after the server was back", Back(t, l))
		for _, op := range said {
			loaded, err := l.Load(context.Background(), op, "doc:"+op)
			if err != nil {
				t.Fatal(err)
			}
			there := string(loaded.Docs["doc:"+op].Body) == op
			if there != loaded.Seen {
				t.Errorf("%s is half there", op)
			}
			if !there {
				lost++
			}
		}
		confirmed += len(said)
	}
	return confirmed, lost, bytes
}
