package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"image/png"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// goingLive is that section of the README.
func goingLive(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(page), "\n## Going live\n")
	if !ok {
		t.Fatal("the README does not say how to go live")
	}
	section, _, _ := strings.Cut(rest, "\n## ")
	return section
}

// fenced are the lines of a fenced block.
func fenced(t *testing.T, page, kind string) []string {
	t.Helper()
	_, rest, ok := strings.Cut(page, "```"+kind+"\n")
	block, _, closed := strings.Cut(rest, "```")
	if !ok || !closed {
		t.Fatalf("no block of %s", kind)
	}
	var lines []string
	for line := range strings.Lines(block) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// The README's way to go live, walked line by line, with TLS on loopback, the
// stand-in for the platform, and a real Redis set as it says.
func TestGoingLive(t *testing.T) {
	page, dir := goingLive(t), t.TempDir()

	// 2: Redis.
	var args []string
	for _, line := range fenced(t, page, "redis") {
		name, value, _ := strings.Cut(line, " ")
		args = append(args, "--"+name, value)
	}
	store := ledgertest.NewServer(t, args...)

	// 3: the settings. What stands for something is replaced by what it stands for.
	cert, key, trust := ownCertificate(t, dir)
	trusted(t, trust)
	addr := freeAddr(t)
	secret := make([]byte, 32)
	rand.Read(secret)
	clientOf := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trust}}}
	platform := standin.New(standin.Config{Token: playedToken, Client: clientOf})
	api := httptest.NewServer(platform)
	defer api.Close()
	defer platform.Close()
	rules := filepath.Join(dir, "rules.yaml")
	shipped, err := os.ReadFile("../../pricing/rules.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(rules, []byte(strings.Replace(string(shipped), "rate: £40 ", "rate: £45 ", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	is := map[string]string{
		"DRYHAND_TELEGRAM_TOKEN": playedToken, "DRYHAND_WEBHOOK_SECRET": hex.EncodeToString(secret), "DRYHAND_PUBLIC_URL": "https://" + addr,
		"DRYHAND_TLS_DOMAIN": "", "DRYHAND_LISTEN": addr, "DRYHAND_RULES": rules, "DRYHAND_BACKUP_FOLDER": dir, "DRYHAND_METRICS_LISTEN": "127.0.0.1:0",
	}
	for _, line := range fenced(t, page, "env") {
		name, _, _ := strings.Cut(line, "=")
		value, known := is[name]
		if !known {
			t.Fatalf("the README sets %s, of which this walk knows nothing", name)
		}
		if value != "" {
			t.Setenv(name, value)
		}
		delete(is, name)
	}
	if len(is) > 0 {
		t.Errorf("the README no longer sets %v", is)
	}
	for name, value := range map[string]string{"DRYHAND_TLS_CERT": cert, "DRYHAND_TLS_KEY": key, "DRYHAND_TELEGRAM_API": api.URL, "DRYHAND_REDIS_URL": store.URL()} {
		t.Setenv(name, value) // loopback has no name that a certificate could be fetched for
	}

	// 4: start, and the owner opens the link.
	ctx, stop := context.WithCancel(t.Context())
	s := &served{t: t, platform: platform, api: api, addr: addr, log: &shared{}, end: stop, done: make(chan int, 1)}
	go func() { s.done <- run(ctx, []string{"serve"}, streams{nil, io.Discard, s.log}) }()
	defer s.stop()
	s.logged(`"msg":"ready"`)
	invited := regexp.MustCompile(`https://t\.me/desk_bot\?start=(\S+)`).FindStringSubmatch(s.log.String())
	if invited == nil {
		t.Fatalf("no link for the owner\n%s", s.log)
	}
	s.logged(`"msg":"backup made"`)
	if status, out, errs := dryhand(t, "check"); status != 1 || !strings.Contains(out, "WRONG  owner              nobody yet") || !strings.Contains(out, "1 of ") {
		t.Errorf("check before there is an owner: exit %d\n%s%s", status, out, errs)
	}
	owner := platform.Person(7001, "Owner")
	owner.Say("/start " + invited[1])
	s.heard(owner, "This is your desk")
	ann := platform.Person(5001, "Ann")
	ann.Say("hello")
	s.heard(ann, "Hello Ann")

	// 5: look.
	if status, out, errs := dryhand(t, "backup-now"); status == 0 {
		t.Errorf("a command that is not there: %s%s", out, errs)
	}
	if status, out, errs := dryhand(t, "check"); status != 0 {
		t.Errorf("check: exit %d\n%s%s", status, out, errs)
	}
	card := filepath.Join(dir, "card.png")
	status, out, errs := dryhand(t, "link", "--png", card)
	if status != 0 || !strings.HasPrefix(out, "https://t.me/desk_bot\n") {
		t.Errorf("link: exit %d\n%s%s", status, out, errs)
	}
	f, err := os.Open(card)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if picture, err := png.Decode(f); err != nil || picture.Bounds().Dx() < 300 {
		t.Errorf("the code: %v", err)
	}
	if status := s.stop(); status != 0 {
		t.Errorf("serve: exit %d\n%s", status, s.log)
	}
	if d := platform.Deliveries(); d.Failed > 0 || d.Accepted < 2 {
		t.Errorf("deliveries: %+v", d)
	}
}

// ownCertificate makes a certificate for loopback, and what trusts it.
func ownCertificate(t *testing.T, dir string) (cert, key string, trust *x509.CertPool) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	form := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().AddDate(0, 3, 0),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign}
	der, err := x509.CreateCertificate(rand.Reader, form, form, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for name, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: secret}} {
		if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	trust = x509.NewCertPool()
	parsed, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	trust.AddCert(parsed)
	return cert, key, trust
}

// What the page tells people to run is there.
func TestGoingLiveNamesRealCommands(t *testing.T) {
	page := goingLive(t)
	for _, m := range regexp.MustCompile("dryhand ([a-z]+)[^a-z.]").FindAllStringSubmatch(page, -1) {
		if status, _, errs := dryhand(t, m[1], "--help"); status != 0 {
			t.Errorf("dryhand %s: %s", m[1], errs)
		}
	}
	for _, m := range regexp.MustCompile("(?:cmd|pricing|conversations)/[a-zA-Z/.-]+[a-zA-Z]").FindAllString(page, -1) {
		if _, err := os.Stat("../../" + m); err != nil {
			t.Errorf("%s is named and not there", m)
		}
	}
}

// systemd finds nothing wrong with the unit, where it is installed.
func TestTheUnitIsRight(t *testing.T) {
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("systemd-analyze is not installed")
	}
	unit, err := os.ReadFile("dryhand.service")
	if err != nil {
		t.Fatal(err)
	}
	// The programme is not installed here.
	copied := filepath.Join(t.TempDir(), "dryhand.service")
	if err := os.WriteFile(copied, []byte(strings.Replace(string(unit), "/usr/local/bin/dryhand", "/bin/true", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), "systemd-analyze", "verify", "--man=no", copied).CombinedOutput()
	for line := range strings.Lines(string(out)) {
		if strings.Contains(line, "dryhand") {
			t.Errorf("%s", line)
		}
	}
	t.Log(err)
}

// A certificate that something else renews is taken without a restart, and one that
// cannot be read leaves the one before at work.
func TestARenewedCertificateIsTaken(t *testing.T) {
	dir := t.TempDir()
	cert, key, _ := ownCertificate(t, dir)
	k := &keptPair{cert: cert, key: key}
	first, err := k.pair()
	if err != nil {
		t.Fatal(err)
	}
	later := time.Now().Add(time.Minute)
	ownCertificate(t, dir)
	if err := os.Chtimes(cert, later, later); err != nil {
		t.Fatal(err)
	}
	second, err := k.pair()
	if err != nil || string(second.Certificate[0]) == string(first.Certificate[0]) {
		t.Errorf("the renewed one was not taken: %v", err)
	}
	if err := os.WriteFile(cert, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if third, err := k.pair(); err != nil || third != second {
		t.Errorf("a broken file: %v", err)
	}
}

// Certificates are fetched for the one name that was given, and for no other that
// somebody makes up.
func TestCertificatesAreFetchedForOneName(t *testing.T) {
	m := secured{TLSDomain: "desk.example.org", TLSFolder: t.TempDir()}.fetched()
	if err := m.HostPolicy(t.Context(), "desk.example.org"); err != nil {
		t.Error(err)
	}
	if err := m.HostPolicy(t.Context(), "other.example.org"); err == nil {
		t.Error("any name will do")
	}
	if c := m.config(); c.MinVersion < tls.VersionTLS12 {
		t.Errorf("TLS from version %x", c.MinVersion)
	}
	for want, s := range map[string]secured{"go together": {TLSCert: "x"}, "do not go together": {TLSCert: "x", TLSKey: "y", TLSDomain: "z"}, "certificate": {TLSCert: "none", TLSKey: "none"}} {
		if _, err := s.settings(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %q", s, err, want)
		}
	}
}
