package main

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// scraped are the values of the series on a page of metrics.
func scraped(t *testing.T, page string) map[string]float64 {
	t.Helper()
	values := map[string]float64{}
	for line := range strings.Lines(page) {
		name, value, ok := strings.Cut(strings.TrimSpace(line), "} ")
		if !ok {
			name, value, ok = strings.Cut(strings.TrimSpace(line), " ")
		} else {
			name += "}"
		}
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		n, err := strconv.ParseFloat(value, 64)
		if err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		values[name] = n
	}
	return values
}

// words are a page of metrics without the values: what is counted, under which labels,
// and what it means. Seconds and bytes have any digits in them, a customer's number too.
func words(page string) string {
	var b strings.Builder
	for line := range strings.Lines(page) {
		if line = strings.TrimSpace(line); !strings.HasPrefix(line, "#") {
			line = line[:strings.LastIndexByte(line, ' ')+1]
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

// fetched is a page over HTTP.
func fetched(t *testing.T, url string) string {
	t.Helper()
	resp, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		t.Fatalf("%s, %v", resp.Status, err)
	}
	return string(b)
}

// A whole job leaves its trace in the numbers, and nobody's name or number.
func TestMetricsOfAWholeJob(t *testing.T) {
	m := newMetrics()
	storyWith(t, storyBegins+storyHeld+storyAsked+storyBooked+storyDone, slog.New(slog.DiscardHandler), func(w *world) { w.count(m) })
	server := httptest.NewServer(m.handler())
	defer server.Close()
	page := fetched(t, server.URL+"/metrics")
	got := scraped(t, page)
	for name, least := range map[string]float64{
		`dryhand_updates_total{kind="text",result="taken"}`:   3,
		`dryhand_updates_total{kind="tap",result="taken"}`:    5,
		`dryhand_updates_total{kind="photo",result="taken"}`:  1,
		`dryhand_update_seconds_count`:                        9,
		`dryhand_commits_total{outcome="committed"}`:          15,
		`dryhand_commit_seconds_count`:                        15,
		`dryhand_enquiries_total{stage="held"}`:               1,
		`dryhand_enquiries_total{stage="asked"}`:              1,
		`dryhand_enquiries_total{stage="booked"}`:             1,
		`dryhand_enquiries_total{stage="done"}`:               1,
		`dryhand_sends_total{kind="question",result="sent"}`:  3,
		`dryhand_send_wait_seconds_count`:                     10,
		`dryhand_photos_total{outcome="usable"}`:              1,
		`dryhand_reminders_total{kind="photo",result="done"}`: 1,
		`dryhand_reminder_late_seconds_count`:                 1,
		`dryhand_store_up`:                                    1,
		`dryhand_reminders_waiting`:                           1,
		`dryhand_ledger_events_total{what="commits"}`:         15,
		`dryhand_ledger_events_total{what="sent"}`:            10,
		`go_goroutines`:              1,
		`process_start_time_seconds`: 1,
	} {
		if got[name] < least {
			t.Errorf("%s is %v, want at least %v", name, got[name], least)
		}
	}
	if t.Failed() {
		t.Log(page)
	}
	if n := got[`dryhand_enquiries_total{stage="booked"}`]; n != 1 {
		t.Errorf("%v bookings, want 1", n)
	}
	said := words(page)
	if !strings.Contains(said, `dryhand_updates_total{kind="text"`) {
		t.Fatalf("the page without its numbers is %q", said)
	}
	for _, private := range []string{"Zuleika", "Balthazar", "7002", "7003", enquiryOf(zuleika), playedToken, playedSecret, "V60"} {
		if strings.Contains(said, private) {
			t.Errorf("the metrics say %q", private)
		}
	}
	if problems, err := testutil.GatherAndLint(m.registry); err != nil || len(problems) > 0 {
		t.Errorf("names and words that Prometheus would have otherwise: %v, %v", problems, err)
	}
}

// While the store is away the page still comes, and says so.
func TestMetricsWithoutAStore(t *testing.T) {
	store := ledgertest.NewServer(t)
	s := newServed(t, store.URL(), "--metrics-listen", "127.0.0.1:0")
	addr := regexp.MustCompile(`"listen":"([^"]+)"`).FindStringSubmatch(s.logged(`"msg":"metrics"`))[1]
	up := func() float64 {
		return scraped(t, fetched(t, "http://"+addr+"/metrics"))["dryhand_store_up"]
	}
	if up() != 1 {
		t.Error("the store is there, and store_up is 0")
	}
	store.Kill()
	if up() != 0 {
		t.Error("the store is gone, and store_up is 1")
	}
	if resp, err := http.Get("http://" + s.addr + "/metrics"); err != nil || resp.StatusCode != http.StatusNotFound {
		t.Errorf("the public address answers %v for metrics, %v", resp.Status, err)
	}
}

// A message of a release that did not write down when it was said has no age.
func TestAgeOfAMessage(t *testing.T) {
	now := time.Date(2027, 1, 2, 3, 4, 5, 0, time.UTC)
	for body, want := range map[string]float64{
		`{"text":"x","said":"2027-01-02T03:03:05Z"}`: 60,
		`{"text":"x","said":"2027-01-02T03:05:05Z"}`: 0,
		`{"text":"x"}`: 0, `not a message`: 0, ``: 0,
	} {
		if got := age([]byte(body), now); got != want {
			t.Errorf("age of %s is %v, want %v", body, got, want)
		}
	}
}
