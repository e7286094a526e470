package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/testdata"
)

// opened serves a trial until the test ends and returns it with its address.
func opened(t *testing.T, clock *standin.Clock) (*trial, string) {
	t.Helper()
	of, err := business{}.loadAll()
	if err != nil {
		t.Fatal(err)
	}
	trial, err := newTrial(t.Context(), of, clock, slog.New(slog.NewTextHandler(t.Output(), nil)))
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- trial.serve(ctx, listener) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		trial.close()
	})
	return trial, "http://" + listener.Addr().String()
}

// post sends a form and returns the page that comes of it.
func post(t *testing.T, address string, fields url.Values) string {
	t.Helper()
	r, err := http.PostForm(address, fields)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		t.Errorf("%s: %s, %v\n%s", address, r.Status, err, body)
	}
	return string(body)
}

func TestTryPrintsItsAddressAndEndsWhenTold(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	read, write := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"try", "--listen", "127.0.0.1:0"}, streams{in: strings.NewReader(""), out: write, err: t.Output()})
		write.Close()
	}()
	said := make([]byte, 4096)
	n, err := read.Read(said)
	address := regexp.MustCompile(`http://127\.0\.0\.1:\d+/`).FindString(string(said[:n]))
	if err != nil || address == "" {
		t.Fatalf("said %q, %v", said[:n], err)
	}
	go io.Copy(io.Discard, read)
	r, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	page, err := io.ReadAll(r.Body)
	if err != nil || !strings.Contains(string(page), "This is your desk.") {
		t.Errorf("%s, %v: the owner has not been greeted\n%s", r.Status, err, page)
	}
	stop()
	if status := <-ended; status != 0 {
		t.Errorf("exit %d", status)
	}
}

// Time passes, is pushed, and people write, all at once: everybody is answered,
// nobody twice.
func TestPushingWhilePeopleWrite(t *testing.T) {
	trial, address := opened(t, standin.RealClock())
	names := []string{"Asha", "Ben", "Cara", "Dan"}
	for _, name := range names {
		post(t, address+"/customer", url.Values{"name": {name}})
	}
	var all sync.WaitGroup
	for i := range names {
		who := url.Values{"as": {fmt.Sprint(int64(playedOwner) + 2 + int64(i))}}
		all.Go(func() {
			for _, text := range []string{"Hi, how much to clean my Volkswagen Golf Hatchback?", "outside", "that's all"} {
				post(t, address+"/say", url.Values{"as": who["as"], "text": {text}})
			}
		})
	}
	for _, to := range []string{"hour", "morning", "month"} {
		all.Go(func() { post(t, address+"/clock", url.Values{"to": {to}}) })
	}
	all.Wait()
	if err := trial.settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	for i, name := range names {
		greeted, last := 0, standin.Line{}
		for _, l := range trial.standin.Person(int64(playedOwner)+2+int64(i), name).Chat() {
			last = l
			if l.Bot && strings.Contains(l.Text, "Hello "+name) {
				greeted++
			}
		}
		if greeted != 1 || !last.Bot || len(last.Buttons) == 0 {
			t.Errorf("%s was greeted %d times; the last word is %+v", name, greeted, last)
		}
	}
	if lost, refused := trial.standin.Lost(), trial.standin.Refusals(); len(lost)+len(refused) > 0 {
		t.Errorf("lost %v, refused %v", lost, refused)
	}
}

// The whole job by clicks, as the built-in script tells it, up to the nudge.
func TestWholeJobInTheBrowser(t *testing.T) {
	src, err := fs.ReadFile(testdata.Files, builtIn)
	if err != nil {
		t.Fatal(err)
	}
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	lines, err := script.Parse(builtIn, string(src), zone)
	if err != nil {
		t.Fatal(err)
	}
	start, err := script.Start(lines)
	if err != nil {
		t.Fatal(err)
	}
	_, address := opened(t, standin.NewClock(start))
	b := browse(t, address)
	b.picture("empty", 1280, 900)
	said := map[string]string{}
	for _, l := range lines {
		if l.Kind == script.Says && l.Who == script.Owner && l.What == "/start" {
			continue // said already when the page opens
		}
		b.line(l)
		for _, side := range []string{"customer", "owner"} {
			said[side] += b.text("#log-" + side)
		}
		if l.Kind == script.Taps && strings.HasPrefix(l.What, "Find a day") {
			b.picture("slots", 390, 844)
		}
		if l.Kind == script.Taps && strings.HasPrefix(l.What, "Yes, ask") {
			b.picture("asked", 1280, 900)
		}
	}
	for _, l := range lines {
		who, first, ok := strings.Cut(strings.TrimPrefix(l.Text, "→ "), ": ")
		if l.Kind != script.Expected || !ok || !strings.HasPrefix(l.Text, "→ ") || strings.Contains(who, ",") {
			continue
		}
		if !strings.Contains(said[sideOf(who)], strings.TrimPrefix(strings.TrimSpace(strings.TrimPrefix(first, "(photo)")), "(visit.ics) ")) {
			t.Errorf("%s never read %q", who, first)
		}
	}
	sent := 0
	for _, l := range lines {
		sent += len(l.Files)
	}
	if n := read[int](b, `document.querySelectorAll(".customer .person img").length`); n != sent {
		t.Errorf("%d photographs in the customer's log, sent were %d", n, sent)
	}
	if broken := read[int](b, `[...document.images].filter((i) => !i.complete || !i.naturalWidth).length`); broken != 0 {
		t.Errorf("%d pictures are not shown", broken)
	}
	b.picture("nudge", 1280, 900)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Click(chromedp.CSS("#to-owner")), chromedp.WaitVisible(chromedp.CSS("#log-owner")))
	b.picture("owner", 390, 844)
	b.quiet()
}

// A key that is pressed keeps the keyboard, although the desk changes it.
func TestKeyboardStaysOnTheKey(t *testing.T) {
	_, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	b := browse(t, address)
	b.after(chromedp.SendKeys(chromedp.CSS(".customer textarea"), "How much to clean my Fiat 500C?\r"))
	b.after(chromedp.Focus(chromedp.CSS(`button[value="Inside"]`)), chromedp.KeyEvent("\r"))
	if got := read[string](b, `document.activeElement.value`); got != "✓ Inside" {
		t.Errorf("the keyboard is on %q after a press on Inside", got)
	}
	b.quiet()
}

// Without a script, reading, writing and pressing work by reloads.
func TestPageWithoutScript(t *testing.T) {
	_, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	b := browse(t, address)
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.Navigate(address), chromedp.SendKeys(chromedp.CSS(".customer textarea"), "How much to clean my Fiat 500C?"))
	for _, click := range []string{".customer .send", `button[value="Outside"]`, `button[value="hour"]`} {
		if r, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(click))); err != nil || r.Status != http.StatusOK {
			t.Fatalf("%s: %+v, %v", click, r, err)
		}
	}
	page, err := chromedp.Run(b.ctx, chromedp.Text(chromedp.CSS("body")))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Hello Ellie", "✓ Outside", "now: Mon 12 Apr 19:4"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q:\n%s", want, page)
		}
	}
}

// On a phone one side is shown at a time; another customer has a chat of their
// own; what is typed is never taken for markup.
func TestNarrowPageAndSecondCustomer(t *testing.T) {
	_, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	b := browse(t, address)
	b.do(chromedp.EmulateViewport(390, 844))
	shown := func() []string {
		return read[[]string](b, `[...document.querySelectorAll("section.side")].filter((s) => s.offsetParent).map((s) => s.classList[1])`)
	}
	if got := shown(); !slices.Equal(got, []string{"customer"}) {
		t.Errorf("shown first: %v", got)
	}
	b.turned("Mia", chromedp.Click(chromedp.CSS("#top .unfold")), chromedp.SendKeys(chromedp.CSS(".add input"), "Mia"), chromedp.Click(chromedp.CSS(".add button")))
	if people := b.text(".people"); !strings.Contains(people, "Ellie") {
		t.Errorf("beside Mia: %q", people)
	}
	b.after(chromedp.SendKeys(chromedp.CSS(".customer textarea"), "<b>Hello</b> & how much?\r"))
	if log := b.text("#log-customer"); !strings.Contains(log, "<b>Hello</b> & how much?") || !strings.Contains(log, "Hello Mia") {
		t.Errorf("Mia reads\n%s", log)
	}
	if wide := read[int](b, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the page is %d pixels wide on a screen of 390", wide)
	}
	b.picture("mia", 390, 844)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Click(chromedp.CSS("#to-owner")), chromedp.WaitVisible(chromedp.CSS("section.owner")))
	if got := shown(); !slices.Equal(got, []string{"owner"}) {
		t.Errorf("shown then: %v", got)
	}
	b.quiet()
}
