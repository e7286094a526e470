package main

import (
	"context"
	"encoding/base64"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/page"
)

// Whoever uses the page by keyboard or has it read out finds their way: axe-core
// (github.com/dequelabs/axe-core, MPL-2.0, run as a program of its own and not
// shipped) finds nothing serious, wide and narrow, light and dark, on each side.
func TestPageIsWithinReach(t *testing.T) {
	axe, err := os.ReadFile(os.Getenv("DRYHAND_AXE"))
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("axe-core is missing, and CI is set:", err)
		}
		t.Skip("NOT RUN: DRYHAND_AXE does not say where axe.min.js is (.ci/run fetches it)")
	}
	_, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	for _, name := range []string{"4-photos", "5-due", "2-figure"} {
		post(t, address+"/situation", url.Values{"name": {name}})
	}
	b := browse(t, address)
	for _, width := range []int64{390, 1000, 1280} {
		for _, scheme := range []string{"light", "dark"} {
			for _, show := range []string{"customer", "owner", "behind"} {
				if width > 832 && show != "customer" {
					continue // all three are side by side
				}
				media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
				if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, media); err != nil {
					t.Fatal(err)
				}
				b.do(chromedp.EmulateViewport(width, 900), chromedp.Navigate(fmt.Sprintf("%s/?with=%d&show=%s", address, int64(playedOwner)+4, show)))
				// The page lets no script in but its own; the tool comes in beside it.
				if _, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](string(axe)+"; true")); err != nil {
					t.Fatal(err)
				}
				found, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]string](`axe.run().then((r) => r.violations.filter((v) => v.impact === "serious" || v.impact === "critical").map((v) => v.id + ": " + v.help + " " + v.nodes.map((n) => n.target.join(" ")).slice(0, 3).join(", ")))`, chromedp.EvalAwaitPromise))
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range found {
					t.Errorf("%d px, %s, %s: %s", width, scheme, show, f)
				}
				if wide := read[int64](b, `document.documentElement.scrollWidth`); wide > width {
					t.Errorf("the page is %d pixels wide on a screen of %d", wide, width)
				}
			}
		}
	}
}

// Photos that are dropped or pasted are sent like chosen ones.
func TestPhotosDroppedAndPasted(t *testing.T) {
	trial, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	b := browse(t, address)
	photo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "photos", "red_car.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	for i, how := range []string{
		`side.dispatchEvent(new DragEvent("drop", {dataTransfer: data, bubbles: true, cancelable: true}))`,
		`side.querySelector("textarea").dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}))`,
	} {
		b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(() => {
			const bytes = Uint8Array.from(atob(%q), (c) => c.charCodeAt(0));
			const data = new DataTransfer();
			data.items.add(new File([bytes], "car.jpg", {type: "image/jpeg"}));
			data.items.add(new File(["x"], "notes.txt", {type: "text/plain"}));
			const side = document.querySelector(".side.customer");
			%s;
		})()`, base64.StdEncoding.EncodeToString(photo), how)))
		b.wait(`document.querySelector(".customer .picked canvas").height === 72`)
		if got := b.text(".customer .picked"); strings.TrimSpace(got) != "car.jpg" {
			t.Errorf("about to be sent: %q", got)
		}
		b.picture(fmt.Sprint("picked", i), 1280, 900)
		b.after(chromedp.Click(chromedp.CSS(".customer .send")))
		if n := read[int](b, `document.querySelectorAll(".customer .picked li").length`); n != 0 {
			t.Errorf("%d photos still wait after being sent", n)
		}
		if got := read[string](b, `[...document.querySelectorAll(".customer img")].pop().alt`); got != fmt.Sprintf("Photo %d from Ellie: car.jpg", i+1) {
			t.Errorf("the photo is read as %q", got)
		}
		if n := read[int](b, `document.querySelectorAll(".customer img").length`); n != i+1 {
			t.Errorf("%d photos stand in the chat after %d", n, i+1)
		}
	}
	for _, l := range trial.standin.Person(int64(playedOwner)+1, "Ellie").Chat() {
		if l.What == "document" || strings.Contains(l.Text, "notes") {
			t.Errorf("what was no picture was sent: %+v", l)
		}
	}
	b.quiet()
}

// A reload changes nothing, wherever the job stands; two customers keep their
// chats apart; the situations are a click away and the page turns to them.
func TestReloadsAndSituations(t *testing.T) {
	_, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	b := browse(t, address)
	b.turned("Imran", chromedp.Click(chromedp.CSS(`.try button[value="2-figure"]`)))
	if price := b.text("#price"); !strings.Contains(price, "the Nissan Qashqai") || !strings.Contains(price, "at most £120") {
		t.Errorf("behind the desk: %q", price)
	}
	for _, key := range []string{"Find a day ›", "Nothing like that ›", "No photo"} {
		b.after(chromedp.Click(fmt.Sprintf(`(//section[contains(@class, "customer")]//button[@name="label" and @value=%q])[last()]`, key)))
		before := b.text("#log-customer")
		b.do(chromedp.Reload())
		if after := b.text("#log-customer"); after != before {
			t.Errorf("after %q a reload shows\n%s\nand before it\n%s", key, after, before)
		}
	}
	b.turned("Ellie", chromedp.Click(chromedp.CSS(`.people a:first-child`)))
	if log := b.text("#log-customer"); strings.Contains(log, "Qashqai") {
		t.Errorf("Ellie reads what Imran was told\n%s", log)
	}
	if diary := b.text("#diary"); strings.Contains(diary, "Imran") {
		t.Errorf("nobody has chosen a time, and the diary says %q", diary)
	}
	b.quiet()
}

// What is behind the desk is drawn as it stands in the store.
func TestBehindTheDesk(t *testing.T) {
	trial, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	post(t, address+"/situation", url.Values{"name": {"2-figure"}})
	imran := int64(playedOwner) + 2
	for _, label := range []string{"Find a day ›", "Nothing like that ›", "No photo"} {
		if err := trial.standin.Person(imran, "Imran").Tap(0, label); err != nil {
			t.Fatal(err)
		}
		if err := trial.settle(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	chat := trial.standin.Person(imran, "Imran").Chat()
	slot := chat[len(chat)-1].Buttons[0][0].Text
	if err := trial.standin.Person(imran, "Imran").Tap(0, slot); err != nil {
		t.Fatal(err)
	}
	if err := trial.settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	behind, err := trial.behind(context.Background(), imran)
	if err != nil {
		t.Fatal(err)
	}
	kept := 0
	for _, day := range behind.Days {
		for _, s := range day.Taken {
			if s.Kind == "hold" && s.Words == "kept for Imran" && strings.HasPrefix(slot, s.From.In(trial.zone).Format("Mon 2 Jan, 15:04")) {
				kept++
			}
		}
	}
	if kept != 1 {
		t.Errorf("%s is kept for Imran %d times in the drawn diary: %+v", slot, kept, behind.Days)
	}
	if !slices.ContainsFunc(behind.Next, func(d page.Due) bool { return d.What == "the time kept for Imran goes back" }) {
		t.Errorf("what will happen: %+v", behind.Next)
	}
	if behind.Price == nil || len(behind.Price.Spread.Steps) < 5 || behind.Price.Spread.High <= behind.Price.Spread.Likely {
		t.Errorf("the price is not drawn with its steps: %+v", behind.Price)
	}
}

// What is booked is in nobody's way any more: neither a question about its price nor
// its clearing out is announced.
func TestWhatComesToNothingIsNotAnnounced(t *testing.T) {
	trial, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	announced := func() (all []string) {
		t.Helper()
		behind, err := trial.behind(context.Background(), int64(playedOwner)+2)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range behind.Next {
			all = append(all, n.What)
		}
		return all
	}
	post(t, address+"/situation", url.Values{"name": {"2-figure"}})
	before := strings.Join(announced(), "\n")
	if !strings.Contains(before, "asked once about the price") || !strings.Contains(before, "cleared out") {
		t.Fatalf("announced is %q", before)
	}
	imran := trial.standin.Person(int64(playedOwner)+2, "Imran")
	tap := func(label string) {
		t.Helper()
		if label == "" {
			chat := imran.Chat()
			label = chat[len(chat)-1].Buttons[0][0].Text
		}
		if err := imran.Tap(0, label); err != nil {
			t.Fatal(err)
		}
		if err := trial.settle(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	for _, label := range []string{"Find a day ›", "Nothing like that ›", "No photo", "", "No, thank you", "Yes, ask for it"} {
		tap(label)
	}
	if asked := strings.Join(announced(), "\n"); strings.Contains(asked, "about the price") {
		t.Errorf("once a time is asked for, announced is %q", asked)
	}
	owner := trial.standin.Person(int64(playedOwner), "Owner")
	if err := owner.Tap(0, "Yes, book it"); err != nil {
		t.Fatal(err)
	}
	if err := trial.settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	after := strings.Join(announced(), "\n")
	if strings.Contains(after, "about the price") || strings.Contains(after, "cleared out") || !strings.Contains(after, "job begins") {
		t.Errorf("announced is %q", after)
	}
}

// After one's own act the answer is in view: all of it and its keys, or, where that is
// too much, its beginning.
func TestAnswersComeIntoView(t *testing.T) {
	_, address := opened(t, standin.NewClock(time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)))
	b := browse(t, address)
	b.do(chromedp.EmulateViewport(390, 640))
	say := func(text string) {
		b.after(chromedp.SendKeys(chromedp.CSS("section.customer textarea"), text), chromedp.Click(chromedp.CSS("section.customer .send")))
	}
	const inView = `(() => { const box = document.querySelector("section.customer .scroll").getBoundingClientRect();
		const last = document.querySelector("#log-customer > li:last-child").getBoundingClientRect();
		return last.top >= box.top - 1 && last.bottom <= box.bottom + 1 ? "all" : Math.abs(last.top - box.top) <= 1 ? "beginning" : "no: " + [last.top, box.top].join(" ") })()`
	say("Hi, how much for my Ford Fiesta?")
	if got := read[string](b, inView); got != "beginning" {
		t.Errorf("of the greeting, which is long, %s is in view", got)
	}
	b.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector("section.customer .scroll").scrollTop = -10000)`))
	say("inside")
	if got := read[string](b, inView); got != "all" {
		t.Errorf("of a short question, %s is in view", got)
	}
}
