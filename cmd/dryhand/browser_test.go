package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"example.org/dryhand/bot/standin/script"
)

// browser is a page in Chromium, and what its console said.
type browser struct {
	t    *testing.T
	ctx  context.Context
	mu   sync.Mutex
	said []chromedp.ConsoleMessage
}

// browserPatience is how long Chromium may take to start, and a page to change: on a
// machine that has other work to do far longer than by itself.
const browserPatience = 3 * time.Minute

// browse opens the page. Without Chromium the test is skipped, under CI it fails.
func browse(t *testing.T, address string) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("Chromium is missing, and CI is set")
		}
		t.Skip("NOT RUN: no Chromium here (Debian: apt-get install chromium)")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()), chromedp.WindowSize(1280, 900),
		chromedp.WSURLReadTimeout(browserPatience))
	allocated, closeBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, closeTab := chromedp.NewContext(allocated)
	ctx, cancel := context.WithTimeout(ctx, 3*browserPatience)
	b := &browser{t: t, ctx: ctx}
	console := chromedp.Console(ctx)
	var listening sync.WaitGroup
	listening.Go(func() {
		for m, err := range console {
			if err != nil {
				return
			}
			b.mu.Lock()
			b.said = append(b.said, m)
			b.mu.Unlock()
		}
	})
	t.Cleanup(func() {
		chromedp.Cancel(ctx)
		cancel()
		closeTab()
		closeBrowser()
		listening.Wait()
	})
	b.do(chromedp.EmulateViewport(1280, 900), chromedp.Navigate(address))
	return b
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func read[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// stands is a sign of what the page shows: how much has happened, and when it is.
const stands = `document.body.dataset.seen + " " + document.querySelector("#now time").dateTime`

// after does steps and waits until the page shows what came of them.
func (b *browser) after(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	before := read[string](b, stands)
	b.do(steps...)
	_, err := chromedp.Run(b.ctx, chromedp.Poll[bool](fmt.Sprintf(`!document.body.hasAttribute("aria-busy") && %s !== %q`, stands, before), chromedp.WithPollingTimeout(browserPatience)))
	if err != nil {
		b.t.Fatalf("the page does not change: %v; it says %q", err, read[string](b, `document.querySelector("#problem").textContent`))
	}
}

// turned does steps that lead to another page and waits until that is there, with a
// name in a heading. In between there is none, and whoever asks of it is told that the
// one before is gone.
func (b *browser) turned(name string, steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	b.do(steps...)
	there := fmt.Sprintf(`document.readyState === "complete" && [...document.querySelectorAll("h2")].some((h) => h.innerText.includes(%q))`, name)
	var err error
	for began := time.Now(); time.Since(began) < browserPatience; time.Sleep(20 * time.Millisecond) {
		var ok bool
		if ok, err = chromedp.Run(b.ctx, chromedp.Evaluate[bool](there)); ok {
			return
		}
	}
	b.t.Fatalf("the page does not turn to %s: %v", name, err)
}

func (b *browser) text(selector string) string {
	b.t.Helper()
	return read[string](b, fmt.Sprintf("document.querySelector(%q).innerText", selector))
}

// sideOf is where a person of a script sits on the page.
func sideOf(who string) string {
	if who == script.Owner {
		return "owner"
	}
	return "customer"
}

// line does with mouse and keyboard what a line of a script says.
func (b *browser) line(l script.Line) {
	b.t.Helper()
	side := "section." + sideOf(l.Who)
	send := chromedp.Click(chromedp.CSS(side + " .send"))
	switch l.Kind {
	case script.Says:
		b.after(chromedp.SendKeys(chromedp.CSS(side+" textarea"), l.What), send)
	case script.Taps:
		b.after(chromedp.Click(fmt.Sprintf(`(//section[contains(@class, "%s")]//button[@name="label" and @value="%s"])[last()]`, sideOf(l.Who), l.What)))
	case script.Sends:
		var paths []string
		for _, f := range l.Files {
			path, err := filepath.Abs(filepath.Join("..", "..", "testdata", "photos", f))
			if err != nil {
				b.t.Fatal(err)
			}
			paths = append(paths, path)
		}
		b.after(chromedp.SetUploadFiles(chromedp.CSS(side+" input[type=file]"), paths), send)
	case script.Clock:
		b.push(l.At)
	}
}

// moment reads a time on the page, zero if it is not there.
func (b *browser) moment(id string) time.Time {
	b.t.Helper()
	t, _ := time.Parse(time.RFC3339, read[string](b, fmt.Sprintf(`document.querySelector("#%s time")?.dateTime ?? ""`, id)))
	return t
}

// push goes on to the last moment not after to that the clock's keys reach.
func (b *browser) push(to time.Time) {
	b.t.Helper()
	for {
		now, due := b.moment("now").In(to.Location()), b.moment("due")
		morning := time.Date(now.Year(), now.Month(), now.Day()+1, 9, 0, 0, 0, to.Location())
		key := ""
		switch {
		case !due.IsZero() && !due.After(to):
			key = "due"
		case !now.AddDate(0, 1, 0).After(to):
			key = "month"
		case !morning.After(to):
			key = "morning"
		case !now.Add(time.Hour).After(to):
			key = "hour"
		default:
			return
		}
		b.after(chromedp.Click(chromedp.CSS(`.clock button[value="` + key + `"]`)))
	}
}

// picture saves what the page looks like, light and dark, where
// DRYHAND_SCREENSHOTS says.
func (b *browser) picture(name string, width, height int64) {
	b.t.Helper()
	dir := os.Getenv("DRYHAND_SCREENSHOTS")
	if dir == "" {
		return
	}
	for _, scheme := range []string{"light", "dark"} {
		media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
		if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, media); err != nil {
			b.t.Fatal(err)
		}
		b.do(chromedp.EmulateViewport(width, height))
		data, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
		if err != nil {
			b.t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%d-%s.png", name, width, scheme)), data, 0o644); err != nil {
			b.t.Fatal(err)
		}
	}
	b.do(chromedp.EmulateViewport(1280, 900))
}

// quiet fails the test if the console has said anything.
func (b *browser) quiet() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, m := range b.said {
		b.t.Errorf("console: %v", m)
	}
}
