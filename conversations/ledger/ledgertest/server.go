package ledgertest

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// Server is a real redis-server, a child of the test, on its own port and in its
// own directory, which outlives the process: what was saved is there again after
// Kill and Start.
type Server struct {
	// Addr is host:port, the same after a restart.
	Addr string
	// Dir is where it saves.
	Dir string

	t       testing.TB
	path    string
	args    []string
	env     []string // beside the process's own
	cluster bool
	cmd     *exec.Cmd
	log     *serverLog
	whole   int64 // up to where the append-only file is known to hold whole transactions
}

// patience is how long a server may take to say that it is ready.
const patience = 2 * time.Minute

// NewServer starts a server that saves nothing unless args say so, such as
// "--appendonly", "yes", "--appendfsync", "always". It is killed when the test
// ends.
func NewServer(t testing.TB, args ...string) *Server {
	t.Helper()
	return newServer(t, nil, args...)
}

func newServer(t testing.TB, env []string, args ...string) *Server {
	t.Helper()
	path := needServer(t)
	dir := t.TempDir()
	// A port is free when we look and may be taken when the server does.
	for range 3 {
		port := FreePort(t)
		s := &Server{
			Addr: net.JoinHostPort("127.0.0.1", port), Dir: dir, t: t, path: path, env: env,
			args: append([]string{"--port", port, "--bind", "127.0.0.1", "--dir", dir, "--save", "", "--appendonly", "no"}, args...),
		}
		if s.start() == nil {
			t.Cleanup(s.Kill)
			return s
		}
		t.Logf("ledgertest: redis-server on port %s did not start:\n%s", port, s.log.text())
	}
	t.Fatal("ledgertest: redis-server does not start")
	return nil
}

// NewCluster starts a server that is a Cluster by itself and holds all slots.
func NewCluster(t testing.TB) *Server {
	t.Helper()
	s := NewServer(t, "--cluster-enabled", "yes", "--cluster-port", FreePort(t))
	s.cluster = true
	one := redis.NewClient(&redis.Options{Addr: s.Addr})
	defer one.Close()
	if err := one.ClusterAddSlotsRange(context.Background(), 0, 16383).Err(); err != nil {
		t.Fatal(err)
	}
	if err := s.log.wait("Cluster state changed: ok"); err != nil {
		t.Fatal(err)
	}
	return s
}

// URL is the server's address as ledger.Options reads it.
func (s *Server) URL() string {
	if s.cluster {
		return "redis://" + s.Addr + "?cluster=true"
	}
	return "redis://" + s.Addr
}

// Start starts the server again after Kill, and waits until it is ready.
func (s *Server) Start() {
	s.t.Helper()
	if err := s.start(); err != nil {
		s.t.Fatalf("%v:\n%s", err, s.log.text())
	}
}

func (s *Server) start() error {
	cmd := exec.Command(s.path, s.args...)
	cmd.Env = append(os.Environ(), s.env...)
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	s.cmd, s.log = cmd, follow(stdout)
	if err := s.log.wait("Ready to accept connections"); err != nil {
		s.Kill()
		return err
	}
	return nil
}

// Kill ends the server without warning, as kill -9 does, and waits until it is
// gone. Killing a dead one does nothing.
func (s *Server) Kill() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill()
	<-s.log.ended
	_ = s.cmd.Wait()
	s.cmd = nil
}

// FreePort is a port nobody listens on now. It lies below those that the system gives
// to whoever asks for any (on Linux from 32768 on: ip(7), ip_local_port_range), so that
// nobody is given it before it is listened on, or while a server is away.
func FreePort(t testing.TB) string {
	t.Helper()
	const lowest, many = 20_000, 12_000
	for range 100 {
		port := strconv.Itoa(lowest + rand.IntN(many))
		if l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", port)); err == nil {
			l.Close()
			return port
		}
	}
	t.Fatal("ledgertest: no port is free")
	return ""
}

// serverLog is what a server says. Waiting for a line of it is waiting for the
// event itself.
type serverLog struct {
	lines chan string
	ended chan struct{}
	seen  []string
}

// follow reads to the end of the output. The buffer is larger than what a server
// says in a test; what is beyond it is not kept, so that the server never blocks.
func follow(r io.Reader) *serverLog {
	l := &serverLog{lines: make(chan string, 1000), ended: make(chan struct{})}
	go func() {
		defer close(l.ended)
		defer close(l.lines)
		for s := bufio.NewScanner(r); s.Scan(); {
			select {
			case l.lines <- s.Text():
			default:
			}
		}
	}()
	return l
}

// wait returns when a line has the words.
func (l *serverLog) wait(words string) error {
	timeout := time.NewTimer(patience)
	defer timeout.Stop()
	for {
		select {
		case line, more := <-l.lines:
			if !more {
				return fmt.Errorf("ledgertest: redis-server ended without saying %q", words)
			}
			l.seen = append(l.seen, line)
			if strings.Contains(line, words) {
				return nil
			}
		case <-timeout.C:
			return fmt.Errorf("ledgertest: redis-server has not said %q", words)
		}
	}
}

func (l *serverLog) text() string { return strings.Join(l.seen, "\n") }
