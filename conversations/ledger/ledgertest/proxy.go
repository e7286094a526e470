package ledgertest

import (
	"math/rand/v2"
	"net"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// Proxy is the network between a client and a server, over real TCP. It can
// lose replies after the server has done the work, keep them back, and tear
// connections.
type Proxy struct {
	// Addr is host:port, where clients connect to.
	Addr string

	to       string
	listener net.Listener
	lose     atomic.Int64
	lost     atomic.Int64
	slow     atomic.Int64 // the longest a reply is kept back
	slowed   atomic.Int64
	torn     atomic.Int64
	work     sync.WaitGroup

	mu    sync.Mutex
	pairs map[*pair]struct{}
	shut  bool
}

// pair is one client's connection and the one to the server that belongs to it.
type pair struct{ client, server net.Conn }

// NewProxy listens on a free port and passes everything on to an address. It
// ends with the test.
func NewProxy(t testing.TB, to string) *Proxy {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return NewProxyOn(t, l, to)
}

// NewProxyOn is NewProxy on a port that is listened on already.
func NewProxyOn(t testing.TB, l net.Listener, to string) *Proxy {
	p := &Proxy{Addr: l.Addr().String(), to: to, listener: l, pairs: map[*pair]struct{}{}}
	p.work.Go(p.accept)
	t.Cleanup(p.close)
	return p
}

// Lose makes the next n replies vanish, each with its connection: the server
// has carried the request out, and the client never learns of it.
func (p *Proxy) Lose(n int) { p.lose.Add(int64(n)) }

// Lost is how many replies have vanished.
func (p *Proxy) Lost() int { return int(p.lost.Load()) }

// Slow keeps each reply back for some time up to this, in order; 0 lets them pass. Who
// asked may have given up by then.
func (p *Proxy) Slow(upTo time.Duration) { p.slow.Store(int64(upTo)) }

// Slowed is how many replies have been kept back.
func (p *Proxy) Slowed() int { return int(p.slowed.Load()) }

// Reset tears every connection there is, as a network does that has forgotten
// them: some requests have not arrived yet, some replies not either.
func (p *Proxy) Reset() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for x := range p.pairs {
		p.torn.Add(1)
		x.tear()
	}
}

// Torn is how many connections Reset has met.
func (p *Proxy) Torn() int { return int(p.torn.Load()) }

func (p *Proxy) accept() {
	for {
		client, err := p.listener.Accept()
		if err != nil {
			return
		}
		server, err := net.DialTimeout("tcp", p.to, time.Second)
		if err != nil {
			client.Close()
			continue
		}
		x := &pair{client, server}
		if !p.add(x) {
			x.tear()
			return
		}
		p.work.Go(func() { p.pass(x, x.client, x.server, false) })
		p.work.Go(func() { p.pass(x, x.server, x.client, true) })
	}
}

// pass carries bytes one way until either end is gone.
func (p *Proxy) pass(x *pair, from, to net.Conn, replies bool) {
	defer p.remove(x)
	buf := make([]byte, 32<<10)
	for {
		n, err := from.Read(buf)
		if n > 0 {
			if replies && p.take() {
				p.lost.Add(1)
				return
			}
			if slow := p.slow.Load(); replies && slow > 0 {
				p.slowed.Add(1)
				time.Sleep(time.Duration(rand.Int64N(slow)))
			}
			if _, err := to.Write(buf[:n]); err != nil {
				return
			}
		}
		if err != nil {
			return
		}
	}
}

// take uses up one of the replies that are to vanish.
func (p *Proxy) take() bool {
	for {
		left := p.lose.Load()
		if left <= 0 {
			return false
		}
		if p.lose.CompareAndSwap(left, left-1) {
			return true
		}
	}
}

func (p *Proxy) add(x *pair) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.shut {
		p.pairs[x] = struct{}{}
	}
	return !p.shut
}

func (p *Proxy) remove(x *pair) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.pairs, x)
	x.tear()
}

// tear closes both ends with a reset rather than a farewell.
func (x *pair) tear() {
	for _, c := range []net.Conn{x.client, x.server} {
		if tcp, ok := c.(*net.TCPConn); ok {
			_ = tcp.SetLinger(0)
		}
		c.Close()
	}
}

func (p *Proxy) close() {
	p.listener.Close()
	p.mu.Lock()
	p.shut = true
	for x := range p.pairs {
		x.tear()
	}
	p.mu.Unlock()
	p.work.Wait()
}
