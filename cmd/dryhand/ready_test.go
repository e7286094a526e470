package main

import (
	"io"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// answers is the status of a page of serve's, and the first line of it.
func (s *served) answers(path string) (int, string) {
	s.t.Helper()
	resp, err := http.Get("http://" + s.addr + path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return resp.StatusCode, strings.TrimSpace(string(b))
}

// The process says that it is alive as long as it is, and that it is ready only while
// it can commit: not without the store, nor while the store's memory is full.
func TestAliveAndReady(t *testing.T) {
	store := ledgertest.NewServer(t)
	s := newServed(t, store.URL())
	rdb := ledgertest.Client(t, store.URL())
	memory := func(most string) func() {
		return func() {
			if err := rdb.ConfigSet(t.Context(), "maxmemory", most).Err(); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, step := range []struct {
		name  string
		do    func()
		ready int
		says  string
	}{
		{"at the start", func() {}, 200, "ready"},
		{"memory full", memory("1"), 503, "the store cannot be written"},
		{"memory again", memory("0"), 200, "ready"},
		{"store gone", store.Kill, 503, "the store cannot be written"},
		{"store back", store.Start, 200, "ready"},
	} {
		step.do()
		time.Sleep(readyFor) // the answer before this is no longer told
		if status, says := s.answers("/readyz"); status != step.ready || says != step.says {
			t.Errorf("%s: ready says %d %q, want %d %q", step.name, status, says, step.ready, step.says)
		}
		if status, says := s.answers("/healthz"); status != 200 || says != "alive" {
			t.Errorf("%s: alive says %d %q", step.name, status, says)
		}
	}
}

// To be asked without end costs the store next to nothing.
func TestReadyIsNotAskedForEachAsker(t *testing.T) {
	store := ledgertest.NewServer(t)
	s := newServed(t, store.URL())
	rdb := ledgertest.Client(t, store.URL())
	written := func() int {
		t.Helper()
		info, err := rdb.Info(t.Context(), "commandstats").Result()
		if err != nil {
			t.Fatal(err)
		}
		_, line, _ := strings.Cut(info, "cmdstat_hincrby:calls=")
		text, _, _ := strings.Cut(line, ",")
		n, _ := strconv.Atoi(text) // none before the first
		return n
	}
	before, began := written(), time.Now()
	for range 300 {
		if status, says := s.answers("/readyz"); status != 200 {
			t.Fatal(status, says)
		}
	}
	took := time.Since(began)
	if n, most := written()-before, 1+int(took/readyFor); n < 1 || n > most {
		t.Errorf("%d writes for 300 askers in %v, want 1 to %d", n, took, most)
	}
}
