package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"encoding/base64"
	"encoding/json"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"golang.org/x/crypto/acme"
)

// authority gives out certificates as RFC 8555 has it, to whoever proves over the
// secured port itself, by RFC 8737, that the name is theirs. It looks at no signature:
// that is the library's affair.
type authority struct {
	t      *testing.T
	server *httptest.Server
	key    *ecdsa.PrivateKey
	cert   *x509.Certificate
	// proveAt is where the name would point to.
	proveAt string

	mu      sync.Mutex
	account string // thumbprint of its key
	name    string
	proven  bool
	issued  []byte
	orders  int
}

// challengeToken is what is to be proven with.
const challengeToken = "to-be-shown-on-the-port-itself"

func newAuthority(t *testing.T) *authority {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "authority of a test"}, NotBefore: time.Now().Add(-time.Hour),
		NotAfter: time.Now().AddDate(1, 0, 0), IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}
	der, err := x509.CreateCertificate(rand.Reader, form, form, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	a := &authority{t: t, key: key}
	if a.cert, err = x509.ParseCertificate(der); err != nil {
		t.Fatal(err)
	}
	a.server = httptest.NewServer(a)
	t.Cleanup(a.server.Close)
	return a
}

// ServeHTTP answers the one account, order, proof and certificate there are.
func (a *authority) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	a.mu.Lock()
	defer a.mu.Unlock()
	w.Header().Set("Replay-Nonce", fmt.Sprint("nonce-", time.Now().UnixNano()))
	var signed struct{ Protected, Payload string }
	if r.Method == http.MethodPost {
		if err := json.NewDecoder(r.Body).Decode(&signed); err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
	}
	payload, _ := base64.RawURLEncoding.DecodeString(signed.Payload)
	at := func(path string) string { return a.server.URL + path }
	answer := func(status int, v any) {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(status)
		_ = json.NewEncoder(w).Encode(v)
	}
	type object = map[string]any
	challenge := func() object {
		return object{"type": "tls-alpn-01", "url": at("/proof"), "token": challengeToken, "status": map[bool]string{false: "pending", true: "valid"}[a.proven]}
	}
	order := func() object {
		o := object{"status": "pending", "authorizations": []string{at("/proofs")}, "finalize": at("/finalize"), "identifiers": []object{{"type": "dns", "value": a.name}}}
		switch {
		case a.issued != nil:
			o["status"], o["certificate"] = "valid", at("/certificate")
		case a.proven:
			o["status"] = "ready"
		}
		return o
	}
	switch r.URL.Path {
	case "/directory":
		answer(200, object{"newNonce": at("/nonce"), "newAccount": at("/account"), "newOrder": at("/new"), "revokeCert": at("/no"), "keyChange": at("/no")})
	case "/nonce":
	case "/account":
		a.account = thumbprint(a.t, signed.Protected)
		w.Header().Set("Location", at("/account/1"))
		answer(201, object{"status": "valid"})
	case "/new":
		var want struct{ Identifiers []struct{ Value string } }
		if err := json.Unmarshal(payload, &want); err != nil || len(want.Identifiers) != 1 {
			answer(400, object{"type": "urn:ietf:params:acme:error:malformed"})
			return
		}
		a.name, a.proven, a.issued = want.Identifiers[0].Value, false, nil
		a.orders++
		w.Header().Set("Location", at("/order"))
		answer(201, order())
	case "/order":
		answer(200, order())
	case "/proofs":
		answer(200, object{"status": challenge()["status"], "identifier": object{"type": "dns", "value": a.name}, "challenges": []object{challenge()}})
	case "/proof":
		if err := a.prove(); err != nil {
			a.t.Errorf("the name was not proven: %v", err)
		} else {
			a.proven = true
		}
		answer(200, challenge())
	case "/finalize":
		var request struct{ CSR string }
		if err := json.Unmarshal(payload, &request); err != nil {
			a.t.Error(err)
		}
		a.issue(request.CSR)
		w.Header().Set("Location", at("/order"))
		answer(200, order())
	case "/certificate":
		w.Header().Set("Content-Type", "application/pem-certificate-chain")
		_, _ = w.Write(a.issued)
	default:
		answer(404, object{"type": "urn:ietf:params:acme:error:malformed"})
	}
}

// prove looks at the port the name points to as RFC 8737 section 3 says: the protocol
// acme-tls/1, and a certificate for the name that holds a digest of the account's key.
func (a *authority) prove() error {
	c, err := tls.Dial("tcp", a.proveAt, &tls.Config{ServerName: a.name, NextProtos: []string{"acme-tls/1"}, InsecureSkipVerify: true})
	if err != nil {
		return err
	}
	defer c.Close()
	state := c.ConnectionState()
	if state.NegotiatedProtocol != "acme-tls/1" {
		return fmt.Errorf("spoken was %q", state.NegotiatedProtocol)
	}
	shown := state.PeerCertificates[0]
	digest := sha256.Sum256([]byte(challengeToken + "." + a.account))
	want, err := asn1.Marshal(digest[:])
	if err != nil {
		return err
	}
	for _, x := range shown.Extensions {
		if x.Id.Equal(asn1.ObjectIdentifier{1, 3, 6, 1, 5, 5, 7, 1, 31}) && bytes.Equal(x.Value, want) {
			return shown.VerifyHostname(a.name)
		}
	}
	return errors.New("nothing was shown that only the account's holder knows")
}

// issue makes a certificate for what is asked.
func (a *authority) issue(encoded string) {
	der, err := base64.RawURLEncoding.DecodeString(encoded)
	if err != nil {
		a.t.Fatal(err)
	}
	asked, err := x509.ParseCertificateRequest(der)
	if err != nil {
		a.t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(2), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().AddDate(0, 3, 0), DNSNames: asked.DNSNames,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	cert, err := x509.CreateCertificate(rand.Reader, form, a.cert, asked.PublicKey, a.key)
	if err != nil {
		a.t.Fatal(err)
	}
	a.issued = pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert})
}

// thumbprint is of the key a request's header shows.
func thumbprint(t *testing.T, protected string) string {
	header, err := base64.RawURLEncoding.DecodeString(protected)
	if err != nil {
		t.Fatal(err)
	}
	var shown struct{ JWK struct{ X, Y string } }
	if err := json.Unmarshal(header, &shown); err != nil {
		t.Fatal(err)
	}
	point := []byte{4} // uncompressed, as RFC 7518 has both numbers at full length
	for _, n := range []string{shown.JWK.X, shown.JWK.Y} {
		b, err := base64.RawURLEncoding.DecodeString(n)
		if err != nil {
			t.Fatal(err)
		}
		point = append(point, b...)
	}
	key, err := ecdsa.ParseUncompressedPublicKey(elliptic.P256(), point)
	if err != nil {
		t.Fatal(err)
	}
	print, err := acme.JWKThumbprint(key)
	if err != nil {
		t.Fatal(err)
	}
	return print
}

// A certificate is fetched at the first visit, over the port that is to be secured
// and no other; a restart finds it where it was kept, readable by nobody else; and
// visitors who make up names have none fetched.
func TestACertificateIsFetched(t *testing.T) {
	const name = "desk.example.org"
	a := newAuthority(t)
	s := secured{TLSDomain: name, TLSFolder: filepath.Join(t.TempDir(), "certificates"), TLSDirectory: a.server.URL + "/directory"}
	trust := x509.NewCertPool()
	trust.AddCert(a.cert)
	start := func() (visit func(name string) (string, error)) {
		listener, err := s.listen("127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		server := newServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, r.Proto) }))
		server.ErrorLog = log.New(io.Discard, "", 0) // handshakes that fail on purpose
		go server.Serve(listener)
		t.Cleanup(func() { server.Close() })
		a.mu.Lock()
		a.proveAt = listener.Addr().String()
		a.mu.Unlock()
		return func(name string) (string, error) {
			c := &http.Client{Timeout: 2 * time.Minute, Transport: &http.Transport{DisableKeepAlives: true,
				DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) { // every name points here
					return new(net.Dialer).DialContext(ctx, network, listener.Addr().String())
				},
				TLSClientConfig: &tls.Config{RootCAs: trust, ServerName: name}}}
			resp, err := c.Get("https://" + name + "/")
			if err != nil {
				return "", err
			}
			defer resp.Body.Close()
			b, err := io.ReadAll(resp.Body)
			return string(b), err
		}
	}
	orders := func() int { a.mu.Lock(); defer a.mu.Unlock(); return a.orders }

	visit := start()
	if _, err := visit("other.example.org"); err == nil || orders() != 0 {
		t.Errorf("a made-up name: %v, %d orders", err, orders())
	}
	for range 3 {
		if said, err := visit(name); err != nil || said != "HTTP/1.1" {
			t.Fatalf("%q, %v", said, err)
		}
	}
	if said, err := start()(name); err != nil || said != "HTTP/1.1" {
		t.Errorf("after a restart: %q, %v", said, err)
	}
	if orders() != 1 {
		t.Errorf("%d certificates were ordered, want 1", orders())
	}
	err := filepath.WalkDir(s.TLSFolder, func(path string, _ os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil // what was shown as the proof is put away behind one's back
		}
		if err == nil && info.Mode().Perm()&0o077 != 0 {
			t.Errorf("others may read %s: %v", path, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}
