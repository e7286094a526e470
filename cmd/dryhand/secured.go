package main

import (
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"os"
	"sync"
	"time"

	"golang.org/x/crypto/acme"
	"golang.org/x/crypto/acme/autocert"
)

// secured is how serve speaks HTTPS by itself. Behind a proxy that does, none of it
// is needed.
type secured struct {
	TLSDomain    string `name:"tls-domain" help:"Fetch certificates for this name from Let's Encrypt by itself, and agree to its terms. It must point here, and --listen be :443." placeholder:"NAME"`
	TLSFolder    string `name:"tls-folder" help:"Where those certificates are kept." default:"certificates" placeholder:"DIR"`
	TLSDirectory string `name:"tls-directory" help:"Fetch them from the authority whose ACME directory this is, in place of Let's Encrypt." placeholder:"URL"`
	TLSCert      string `name:"tls-cert" help:"Certificate file, with its chain, to speak HTTPS with." placeholder:"FILE"`
	TLSKey       string `name:"tls-key" help:"Its key." placeholder:"FILE"`
}

// listen opens the address, with TLS if it is asked for.
func (s secured) listen(addr string) (net.Listener, error) {
	settings, err := s.settings()
	if err != nil {
		return nil, err
	}
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("listening on %s: %w", addr, err)
	}
	if settings != nil {
		listener = tls.NewListener(listener, settings)
	}
	return listener, nil
}

// settings are those of TLS, nil for none. The platform wants 1.2 or later
// (core.telegram.org/bots/webhooks).
func (s secured) settings() (*tls.Config, error) {
	switch {
	case s.TLSDomain != "" && s.TLSCert != "":
		return nil, errors.New("--tls-domain and --tls-cert do not go together: the first fetches what the second has")
	case (s.TLSCert == "") != (s.TLSKey == ""):
		return nil, errors.New("--tls-cert and --tls-key go together")
	case s.TLSDomain != "":
		return s.fetched().config(), nil
	case s.TLSCert != "":
		k := &keptPair{cert: s.TLSCert, key: s.TLSKey}
		if _, err := k.pair(); err != nil {
			return nil, fmt.Errorf("certificate: %w", err)
		}
		return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return k.pair() }}, nil
	}
	return nil, nil
}

// fetching fetches certificates when they are first needed and before they expire.
// It proves the name's ownership over the same port, so that no other need be open.
type fetching struct{ *autocert.Manager }

func (s secured) fetched() fetching {
	m := &autocert.Manager{
		Prompt:     autocert.AcceptTOS,
		HostPolicy: autocert.HostWhitelist(s.TLSDomain),
		Cache:      autocert.DirCache(s.TLSFolder),
	}
	if s.TLSDirectory != "" {
		m.Client = &acme.Client{DirectoryURL: s.TLSDirectory}
	}
	return fetching{m}
}

func (f fetching) config() *tls.Config {
	c := f.TLSConfig()
	c.MinVersion = tls.VersionTLS12
	c.NextProtos = []string{"http/1.1", acme.ALPNProto}
	return c
}

// keptPair is a certificate in files that something else renews.
type keptPair struct {
	cert, key string

	mu   sync.Mutex
	at   time.Time
	last *tls.Certificate
}

// pair is the certificate, read again if its file has changed. While the new one
// cannot be read, the one before serves on.
func (k *keptPair) pair() (*tls.Certificate, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	info, err := os.Stat(k.cert)
	if err == nil && (k.last == nil || !info.ModTime().Equal(k.at)) {
		var fresh tls.Certificate
		if fresh, err = tls.LoadX509KeyPair(k.cert, k.key); err == nil {
			k.last, k.at = &fresh, info.ModTime()
		}
	}
	if k.last == nil {
		return nil, err
	}
	return k.last, nil
}
