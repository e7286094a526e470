package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
)

// metrics is what one process tells Prometheus. Labels are words of ours from short
// lists, never anything somebody sent.
type metrics struct {
	registry *prometheus.Registry

	updates, refused, commits, stages, sends, moments, photos *prometheus.CounterVec

	updateSeconds, commitSeconds, sendSeconds, sendWaited, momentLate prometheus.Histogram

	backupAt, heartbeatAt prometheus.Gauge
	backups               *prometheus.CounterVec
}

// The bounds of the histograms, in seconds: what people notice is between a tenth
// and a few; what is late, between a minute and a day.
var (
	quick = []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30}
	slow  = []float64{1, 5, 15, 60, 300, 900, 3600, 6 * 3600, 24 * 3600}
)

func newMetrics() *metrics {
	m := &metrics{registry: prometheus.NewRegistry()}
	counter := func(name, help string, labels ...string) *prometheus.CounterVec {
		c := prometheus.NewCounterVec(prometheus.CounterOpts{Name: "dryhand_" + name, Help: help}, labels)
		m.registry.MustRegister(c)
		return c
	}
	histogram := func(name, help string, bounds []float64) prometheus.Histogram {
		h := prometheus.NewHistogram(prometheus.HistogramOpts{Name: "dryhand_" + name, Help: help, Buckets: bounds})
		m.registry.MustRegister(h)
		return h
	}
	gauge := func(name, help string) prometheus.Gauge {
		g := prometheus.NewGauge(prometheus.GaugeOpts{Name: "dryhand_" + name, Help: help})
		m.registry.MustRegister(g)
		return g
	}
	m.updates = counter("updates_total", "Updates the platform brought, by what was in them and what became of them.", "kind", "result")
	m.refused = counter("requests_refused_total", "Requests to the webhook that were no updates, by the status they were answered.", "status")
	m.updateSeconds = histogram("update_seconds", "From an update's last byte until its effects were safe.", quick)
	m.commits = counter("commits_total", "Commits the store has answered. A conflict is decided anew at once; one that is repeated was applied before.", "outcome")
	m.commitSeconds = histogram("commit_seconds", "How long the store took for a commit.", quick)
	m.stages = counter("enquiries_total", "Enquiries that have come to a stage.", "stage")
	m.sends = counter("sends_total", "Messages by kind and what became of them; anything but sent, shut, impossible, too late or uncertain goes again.", "kind", "result")
	m.sendSeconds = histogram("send_seconds", "How long the platform took for a message.", quick)
	m.sendWaited = histogram("send_wait_seconds", "From the commit of a message until the platform had it.", append(quick[:len(quick):len(quick)], slow[3:]...))
	m.moments = counter("reminders_total", "Moments that came, by kind; a failed one comes again.", "kind", "result")
	m.momentLate = histogram("reminder_late_seconds", "How long after its moment a reminder was done.", slow)
	m.photos = counter("photos_total", "Photos that were looked at, by what came of it.", "outcome")
	m.backups = counter("backups_total", "Backups by what became of them.", "result")
	m.backupAt = gauge("backup_last_success_timestamp_seconds", "When the last backup of this process was whole; 0 for none.")
	m.heartbeatAt = gauge("heartbeat_last_success_timestamp_seconds", "When the heartbeat address last answered; 0 for never.")
	build := prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "dryhand_build_info", Help: "Always 1.", ConstLabels: prometheus.Labels{"version": version()}},
		func() float64 { return 1 })
	m.registry.MustRegister(build, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// version is the module's, or the commit it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return s.Value[:12]
		}
	}
	return info.Main.Version
}

// taken counts an update; see [telegram.Webhook].
func (m *metrics) taken(kind, what string, took time.Duration) {
	m.updates.WithLabelValues(kind, what).Inc()
	m.updateSeconds.Observe(took.Seconds())
}

// tried counts a commit and, if it was applied, the enquiries that have come to
// another stage by it.
func (m *metrics) tried(t desk.Try) {
	m.commits.WithLabelValues(t.Outcome.String()).Inc()
	m.commitSeconds.Observe(t.Took.Seconds())
	if t.Outcome != ledger.Committed {
		return
	}
	for _, now := range t.Decision.Reached {
		if now == conversations.Asking {
			now = "asking"
		}
		m.stages.WithLabelValues(string(now)).Inc()
	}
}

// settled counts a message; see [telegram.Sender].
func (m *metrics) settled(now func() time.Time) func(bot.Message, string, time.Duration) {
	return func(msg bot.Message, what string, took time.Duration) {
		kind := msg.Kind
		if kind == "" {
			kind = "other"
		}
		m.sends.WithLabelValues(kind, what).Inc()
		if took > 0 {
			m.sendSeconds.Observe(took.Seconds())
		}
		if what == "sent" && !msg.Said.IsZero() {
			m.sendWaited.Observe(now().Sub(msg.Said).Seconds())
		}
	}
}

// came counts a moment; see [sweep.Sweep].
func (m *metrics) came(what conversations.Came, late time.Duration, failed bool) {
	result := "done"
	if failed {
		result = "failed"
	}
	m.moments.WithLabelValues(what.Kind, result).Inc()
	if !failed {
		m.momentLate.Observe(late.Seconds())
	}
}

// measured counts a photo.
func (m *metrics) measured(outcome string) { m.photos.WithLabelValues(outcome).Inc() }

// refusals counts what a handler answers with 4xx.
func (m *metrics) refusals(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s := &statusWriter{ResponseWriter: w}
		next.ServeHTTP(s, r)
		if s.status >= 400 && s.status < 500 {
			m.refused.WithLabelValues(fmt.Sprint(s.status)).Inc()
		}
	})
}

// statusWriter remembers the status that is written.
type statusWriter struct {
	http.ResponseWriter
	status int
}

func (s *statusWriter) WriteHeader(status int) {
	s.status = status
	s.ResponseWriter.WriteHeader(status)
}

// Unwrap lets the handler flush and set deadlines.
func (s *statusWriter) Unwrap() http.ResponseWriter { return s.ResponseWriter }

// watch adds what the business's ledger holds, looked up at every scrape. Every
// process of a business tells the same of it.
func (m *metrics) watch(l *ledger.Ledger, now func() time.Time) {
	m.registry.MustRegister(&held{ledger: l, now: now})
}

// held collects what the ledger holds.
type held struct {
	ledger *ledger.Ledger
	now    func() time.Time
}

var (
	describe = func(name, help string, labels ...string) *prometheus.Desc {
		return prometheus.NewDesc("dryhand_"+name, help, labels, nil)
	}
	descUp     = describe("store_up", "Whether the store answered at this scrape.")
	descOut    = describe("outbox_messages", "Messages committed and not yet sent.")
	descOldest = describe("outbox_oldest_seconds", "How long the oldest of them has waited; 0 for none.")
	descDue    = describe("reminders_waiting", "Moments that are still to come or to be done.")
	descLate   = describe("reminders_late", "Moments that could be done now and are not.")
	descSince  = describe("reminders_late_seconds", "How long the longest waiting of them could have been done; 0 for none.")
	descAside  = describe("aside_things", "Things put aside for a person to look at.")
	descCounts = describe("ledger_events_total", "What has happened in this business since its beginning, in all processes.", "what")
)

// Describe is for the registry.
func (h *held) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{descUp, descOut, descOldest, descDue, descLate, descSince, descAside, descCounts} {
		to <- d
	}
}

// Collect asks the store. If it does not answer, only that is told.
func (h *held) Collect(to chan<- prometheus.Metric) {
	const patience = 3 * time.Second
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	gauge := func(d *prometheus.Desc, v float64) { to <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v) }
	now := h.now()
	w, err := h.ledger.Backlog(ctx, now)
	counts, cerr := h.ledger.Counts(ctx)
	if errors.Join(err, cerr) != nil {
		gauge(descUp, 0)
		return
	}
	gauge(descUp, 1)
	gauge(descOut, float64(w.Out))
	gauge(descOldest, age(w.Oldest, now))
	gauge(descDue, float64(w.Due))
	gauge(descLate, float64(w.Late))
	late := 0.0
	if !w.LateSince.IsZero() {
		late = now.Sub(w.LateSince).Seconds()
	}
	gauge(descSince, late)
	gauge(descAside, float64(w.Aside))
	for what, n := range counts {
		to <- prometheus.MustNewConstMetric(descCounts, prometheus.CounterValue, float64(n), what)
	}
}

// age is how long ago a queued message was committed, in seconds; 0 if that was
// not written down.
func age(body []byte, now time.Time) float64 {
	var m bot.Message
	if json.Unmarshal(body, &m) != nil || m.Said.IsZero() {
		return 0
	}
	return max(0, now.Sub(m.Said).Seconds())
}

// handler serves what Prometheus asks for.
func (m *metrics) handler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{ErrorHandling: promhttp.ContinueOnError}))
	return mux
}
