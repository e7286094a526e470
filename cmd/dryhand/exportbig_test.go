package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// bigRecord is the n-th of many records, three documents and then a moment, of some
// 2 kB: what it holds follows from n, so that nobody has to remember it.
func bigRecord(n int) ledger.Record {
	at := time.Date(2027, 4, 12, 18, 40, 0, 0, time.UTC)
	body := fmt.Appendf(nil, `{"n":%d,"text":%q}`, n, strings.Repeat(strconv.Itoa(n*7919)+" ", 2000/len(strconv.Itoa(n*7919)+" ")))
	if n%4 == 3 {
		return ledger.Record{Kind: "due", Key: fmt.Sprintf("big:%d", n), At: at.Add(time.Duration(n) * time.Second), Body: body}
	}
	return ledger.Record{Kind: "doc", Key: fmt.Sprintf("big:%d", n), Version: int64(n + 1), Links: []string{"chat:" + strconv.Itoa(n)}, Body: body}
}

// heapPeak is the most that is held on the heap while f runs, over what was before, in
// bytes. Before each look what lies about is collected: how much that is depends on what
// else this process holds, and on who else uses the machine.
func heapPeak(f func()) (peak int64) {
	inUse := func() int64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return int64(m.HeapInuse)
	}
	before := inUse()
	var most atomic.Int64
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for {
			most.Store(max(most.Load(), inUse()))
			select {
			case <-stop:
				return
			case <-time.After(2 * time.Millisecond):
			}
		}
	}()
	f()
	close(stop)
	<-done
	return most.Load() - before
}

// Many keys go out and come in again equal, in memory that does not depend on how
// many they are, while the store is written to. DRYHAND_EXPORT_KEYS=100000 makes it
// the size a business has after years.
func TestExportOfManyKeysInBoundedMemory(t *testing.T) {
	keys := 12_000
	if s := os.Getenv("DRYHAND_EXPORT_KEYS"); s != "" {
		var err error
		if keys, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	const most = 8 << 20 // the small form is 24 MB of bodies
	ctx := t.Context()
	server := ledgertest.NewServer(t)
	rdb := ledgertest.Client(t, server.URL())
	ledgerOf := func(business string) *ledger.Ledger {
		l, err := ledger.New(rdb, business)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	l := ledgerOf("desk")
	for n := 0; n < keys; {
		var batch []ledger.Record
		for ; n < keys && len(batch) < importBatch; n++ {
			batch = append(batch, bigRecord(n))
		}
		if err := l.Restore(ctx, batch...); err != nil {
			t.Fatal(err)
		}
	}
	file := filepath.Join(t.TempDir(), "big")

	// Somebody writes to the desk all the while.
	stop, stopped := make(chan struct{}), make(chan struct{})
	var commits int
	var failed error
	go func() {
		defer close(stopped)
		for version := int64(0); failed == nil; commits++ {
			select {
			case <-stop:
				return
			default:
			}
			loaded, err := l.Load(ctx, "", "chat:busy")
			if err != nil {
				failed = err
				return
			}
			version = loaded.Docs["chat:busy"].Version
			outcome, err := l.Commit(ctx, ledger.Change{Op: fmt.Sprint("busy", commits), Now: time.Now(), Read: map[string]int64{"chat:busy": version},
				Put: []ledger.Doc{{Key: "chat:busy", Body: []byte(`{}`)}}})
			if err != nil || outcome != ledger.Committed {
				failed = fmt.Errorf("commit %d: %v, %w", commits, outcome, err)
			}
		}
	}()
	began := time.Now()
	command := func(args ...string) func() {
		return func() {
			if status, _, errs := dryhand(t, args...); status != 0 {
				t.Errorf("%v: exit %d\n%s", args, status, errs)
			}
		}
	}
	out := heapPeak(command("export", "--redis-url", server.URL(), file))
	exported := time.Since(began)
	close(stop)
	<-stopped
	if failed != nil || commits == 0 {
		t.Errorf("the desk could not go on: %d commits, %v", commits, failed)
	}
	began = time.Now()
	in := heapPeak(command("import", "--redis-url", server.URL(), "--business", "other", file))
	t.Logf("%d keys: export %.1f MB of heap at most, %v, %d commits beside it; import %.1f MB, %v",
		keys, float64(out)/(1<<20), exported.Round(time.Millisecond), commits, float64(in)/(1<<20), time.Since(began).Round(time.Millisecond))
	if out > most || in > most {
		t.Errorf("more than %d bytes of heap: export %d, import %d", most, out, in)
	}

	seen := make([]bool, keys)
	err := ledgerOf("other").Each(ctx, func(r ledger.Record) error {
		number, ours := strings.CutPrefix(r.Key, "big:")
		if !ours {
			return nil
		}
		n, err := strconv.Atoi(number)
		if err != nil || n < 0 || n >= keys {
			return fmt.Errorf("a record nobody wrote: %s", r.Key)
		}
		w := bigRecord(n)
		if seen[n] = true; r.Kind != w.Kind || r.Version != w.Version || !r.At.Equal(w.At) || strings.Join(r.Links, " ") != strings.Join(w.Links, " ") || !bytes.Equal(r.Body, w.Body) {
			return fmt.Errorf("came back as %+v", r)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	missing := 0
	for _, s := range seen {
		if !s {
			missing++
		}
	}
	if missing > 0 {
		t.Errorf("%d of %d did not come back", missing, keys)
	}
}
