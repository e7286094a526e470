package ledger

import (
	"context"
	"crypto/tls"
	"net"
	"time"
)

// dialer connects to a server. A connection that cannot be had is handed to the
// client as one that breaks at its first use: after as many failures as it may have
// connections, the client (v9.23.0, internal/pool, tryDial) looks only once a second
// whether the server is back, and all that time refuses everything. So the first call
// after an outage succeeds, and a dead server still fails a call at once.
func dialer(secure *tls.Config, within time.Duration) func(ctx context.Context, network, addr string) (net.Conn, error) {
	plain := &net.Dialer{Timeout: within, KeepAlive: 5 * time.Minute}
	dial := plain.DialContext
	if secure != nil {
		dial = (&tls.Dialer{NetDialer: plain, Config: secure}).DialContext
	}
	return func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := dial(ctx, network, addr)
		if err != nil {
			nowhere, other := net.Pipe()
			nowhere.Close()
			other.Close()
			return &stillborn{nowhere, err}, nil
		}
		return c, nil
	}
}

// stillborn is a connection that never was.
type stillborn struct {
	net.Conn
	err error
}

func (s *stillborn) Read([]byte) (int, error)         { return 0, s.err }
func (s *stillborn) Write([]byte) (int, error)        { return 0, s.err }
func (s *stillborn) SetDeadline(time.Time) error      { return nil }
func (s *stillborn) SetReadDeadline(time.Time) error  { return nil }
func (s *stillborn) SetWriteDeadline(time.Time) error { return nil }
