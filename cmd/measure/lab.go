package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger"
)

// What the played platform and the bots have agreed on.
const (
	token   = "7000:measured"
	secret  = "measured-secret"
	ownerID = 7001
)

// lab is where things are measured: a folder that goes away, and what was started.
type lab struct {
	settings
	dir      string
	progress io.Writer
	closers  []func()
	updateID atomic.Int64
	built    map[string]bool // programs of benchmarks
}

func newLab(ctx context.Context, s settings, progress io.Writer) (*lab, error) {
	dir, err := os.MkdirTemp("", "dryhand-measure-")
	if err != nil {
		return nil, err
	}
	l := &lab{settings: s, dir: dir, progress: progress}
	l.closers = append(l.closers, func() { os.RemoveAll(dir) })
	if l.dryhand == "" {
		l.dryhand = filepath.Join(dir, "dryhand")
		l.say("building dryhand")
		build := exec.CommandContext(ctx, "go", "build", "-o", l.dryhand, "example.org/dryhand/cmd/dryhand")
		if out, err := build.CombinedOutput(); err != nil {
			l.close()
			return nil, fmt.Errorf("building dryhand: %w\n%s", err, out)
		}
	}
	return l, nil
}

// close ends everything, the latest first.
func (l *lab) close() {
	for i := len(l.closers) - 1; i >= 0; i-- {
		l.closers[i]()
	}
	l.closers = nil
}

// apart is a lab for one thing: what is started in it ends with it.
func (l *lab) apart() *lab {
	return &lab{settings: l.settings, dir: l.dir, progress: l.progress, built: map[string]bool{}}
}

func (l *lab) say(format string, args ...any) {
	fmt.Fprintf(l.progress, "%s  %s\n", time.Now().Format("15:04:05"), fmt.Sprintf(format, args...))
}

// pick is much, or little if all is to be tiny.
func pick[T any](l *lab, much, little T) T {
	if l.tiny {
		return little
	}
	return much
}

// measure measures groups one after the other.
func (l *lab) measure(ctx context.Context, wanted []group) (table, error) {
	began := time.Now()
	t := table{Machine: machine(), Rounds: l.rounds, At: began.UTC().Truncate(time.Second)}
	for _, g := range wanted {
		l.say("%s: %s", g.name, g.what)
		apart := l.apart()
		figures, err := g.measure(apart, ctx)
		apart.close()
		if err != nil {
			return t, fmt.Errorf("%s: %w%s", g.name, err, l.complaints())
		}
		t.Figures = append(t.Figures, figures...)
	}
	t.Took = time.Since(began).Round(time.Second).String()
	return t, nil
}

// complaints are the last warnings of what was started.
func (l *lab) complaints() (words string) {
	logs, _ := filepath.Glob(filepath.Join(l.dir, "*.log"))
	for _, name := range logs {
		text, _ := os.ReadFile(name)
		last := ""
		for line := range strings.Lines(string(text)) {
			if strings.Contains(line, `"level":"WARN"`) || strings.Contains(line, `"level":"ERROR"`) {
				last = line
			}
		}
		if last != "" {
			words += "\n" + filepath.Base(name) + ": " + strings.TrimSpace(last)
		}
	}
	return words
}

// store is a real redis-server of our own.
type store struct {
	*process
	url string
	rdb redis.UniversalClient
}

// surroundings are a store and a platform that holds nobody to its limits.
func (l *lab) surroundings(ctx context.Context) (*store, *platform, error) {
	s, err := l.startStore(ctx)
	if err != nil {
		return nil, nil, err
	}
	p, err := l.startPlatform(false)
	if err != nil {
		return nil, nil, err
	}
	return s, p, nil
}

// startStore starts a redis-server as one goes live, but for how often it syncs.
func (l *lab) startStore(ctx context.Context) (*store, error) {
	path, err := exec.LookPath("redis-server")
	if err != nil {
		return nil, fmt.Errorf("redis-server is needed: %w", err)
	}
	addr, err := freeAddr()
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp(l.dir, "redis-")
	if err != nil {
		return nil, err
	}
	_, port, _ := net.SplitHostPort(addr)
	p, err := startProcess(dir, "redis", nil, path, "--port", port, "--bind", "127.0.0.1", "--dir", dir,
		"--save", "", "--appendonly", "yes", "--appendfsync", "everysec", "--maxmemory-policy", "noeviction")
	if err != nil {
		return nil, err
	}
	l.closers = append(l.closers, p.stop)
	s := &store{process: p, url: "redis://" + addr}
	options, err := ledger.Options(s.url)
	if err != nil {
		return nil, err
	}
	s.rdb = redis.NewUniversalClient(options)
	l.closers = append(l.closers, func() { s.rdb.Close() })
	return s, p.until(func() bool { return s.rdb.Ping(ctx).Err() == nil })
}

// platform is the stand-in, and how often somebody has connected to it.
type platform struct {
	*standin.Standin
	url   string
	conns atomic.Int64
}

func (l *lab) startPlatform(strict bool) (*platform, error) {
	p := &platform{Standin: standin.New(standin.Config{Token: token, Strict: strict})}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	p.url = "http://" + listener.Addr().String()
	server := &http.Server{Handler: p, ReadHeaderTimeout: 5 * time.Second, ConnState: func(_ net.Conn, s http.ConnState) {
		if s == http.StateNew {
			p.conns.Add(1)
		}
	}}
	go func() { _ = server.Serve(listener) }()
	l.closers = append(l.closers, func() { server.Close(); p.Close() })
	return p, nil
}

// server is a process that takes updates.
type server struct {
	*process
	hook string
	// ready is how long it took from its start until it could commit.
	ready time.Duration
}

// calls is how often the platform was called.
func (p *platform) calls() (n int64) {
	for _, c := range p.Calls() {
		n += int64(c.Calls)
	}
	return n
}

// know lets the bot write to the first n people there are.
func (p *platform) know(n int) {
	for i := range n {
		p.Person(chatOf(i), "Ann").Start()
	}
}

// startBot starts a real dryhand, with settings beside those it needs.
func (l *lab) startBot(s *store, p *platform, name, business string, env ...string) (*server, error) {
	addr, err := freeAddr()
	if err != nil {
		return nil, err
	}
	env = append([]string{"DRYHAND_TELEGRAM_TOKEN=" + token, "DRYHAND_TELEGRAM_API=" + p.url, "DRYHAND_WEBHOOK_SECRET=" + secret,
		"DRYHAND_LISTEN=" + addr, "DRYHAND_REDIS_URL=" + s.url, "DRYHAND_BUSINESS=" + business, fmt.Sprint("DRYHAND_OWNER=", ownerID)}, env...)
	began := time.Now()
	child, err := startProcess(l.dir, name, env, l.dryhand, "serve")
	if err != nil {
		return nil, err
	}
	l.closers = append(l.closers, child.stop)
	b := &server{process: child, hook: hookAt(addr)}
	err = child.until(func() bool {
		resp, err := http.Get("http://" + addr + "/readyz")
		if err != nil {
			return false
		}
		resp.Body.Close()
		return resp.StatusCode == http.StatusOK
	})
	b.ready = time.Since(began)
	return b, err
}

// hookAt is where a bot that listens on an address takes updates.
func hookAt(addr string) string { return "http://" + addr + "/telegram" }

// startSelf starts this program as one of its children.
func (l *lab) startSelf(name string, args ...string) (*process, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	child, err := startProcess(l.dir, name, []string{"DRYHAND_MEASURE_CHILD=1"}, self, append([]string{"child"}, args...)...)
	if err == nil {
		l.closers = append(l.closers, child.stop)
	}
	return child, err
}
