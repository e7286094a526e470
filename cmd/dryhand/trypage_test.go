package main

import (
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/pricing"
)

var tryEvening = time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)

// wait waits until something is so on the page.
func (b *browser) wait(expression string) {
	b.t.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(browserPatience))); err != nil {
		b.t.Fatalf("never so: %s: %v", expression, err)
	}
}

// Whoever types on right after sending loses no letter, however long the answer takes;
// what is sent meanwhile goes too, in its turn.
func TestTypingOnAtOnce(t *testing.T) {
	trial, address := opened(t, standin.NewClock(tryEvening))
	b := browse(t, address)
	box := chromedp.CSS(".owner textarea")
	value := func() string { return read[string](b, `document.querySelector(".owner textarea").value`) }
	read[bool](b, `(() => { const send = XMLHttpRequest.prototype.send; XMLHttpRequest.prototype.send = function (body) { setTimeout(() => send.call(this, body), 700); }; return true; })()`)
	b.do(chromedp.SendKeys(box, "today\rwho owes me\rsett"))
	if got := value(); got != "sett" {
		t.Errorf("typed on at once: %q stands in the box", got)
	}
	b.wait(`!document.body.hasAttribute("aria-busy")`)
	if got := value(); got != "sett" {
		t.Errorf("after the answers %q stands in the box", got)
	}
	var said []string
	for _, l := range trial.standin.Person(int64(playedOwner), "Owner").Chat() {
		if !l.Bot {
			said = append(said, l.Text)
		}
	}
	if got := strings.Join(said, "|"); got != "/start|today|who owes me" {
		t.Errorf("the owner said %q", got)
	}
	b.quiet()
}

// What could not be sent is put back into its box, unless something else stands there.
func TestWhatCouldNotBeSentIsPutBack(t *testing.T) {
	_, address := opened(t, standin.NewClock(tryEvening))
	b := browse(t, address)
	box := chromedp.CSS(".owner textarea")
	value := func() string { return read[string](b, `document.querySelector(".owner textarea").value`) }
	read[bool](b, `(() => { XMLHttpRequest.prototype.send = function () { setTimeout(() => this.onloadend(), 300); }; return true; })()`)
	b.do(chromedp.SendKeys(box, "today\r"))
	b.wait(`!document.body.hasAttribute("aria-busy")`)
	if got := value(); got != "today" {
		t.Errorf("after a failure %q stands in the box", got)
	}
	b.do(chromedp.SendKeys(box, "\rtomorrow"))
	b.wait(`!document.body.hasAttribute("aria-busy")`)
	if got := value(); got != "tomorrow" {
		t.Errorf("after a failure and something else typed %q stands in the box", got)
	}
	if got := b.text("#problem"); !strings.Contains(got, "gone away") {
		t.Errorf("of the failure it says %q", got)
	}
}

// What comes below what is being read is counted there, moves nothing, and a press leads
// to it, by the keyboard too.
func TestWhatComesBelowIsSaid(t *testing.T) {
	trial, address := opened(t, standin.NewClock(tryEvening))
	b := browse(t, address)
	b.do(chromedp.EmulateViewport(1280, 700))
	for i := range 3 {
		b.after(chromedp.SendKeys(chromedp.CSS(".owner textarea"), fmt.Sprintf("settings%s\r", strings.Repeat(" ", i))))
	}
	const reading = `(() => { const box = document.querySelector(".owner .scroll"); box.scrollTop = -box.scrollHeight; return [...document.querySelectorAll("#log-owner li")].map((li) => li.getBoundingClientRect().top).join() })()`
	read[string](b, reading)
	b.wait(`document.querySelector(".owner .below").textContent === "buttons below"`)
	top := func() string {
		return read[string](b, `document.querySelector("#log-owner li").getBoundingClientRect().top.toFixed(0)`)
	}
	before := top()
	for _, words := range []string{"How much to clean my Fiat 500?", "a person please"} {
		b.after(chromedp.SendKeys(chromedp.CSS(".customer textarea"), words+"\r"))
	}
	if err := trial.settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	b.wait(`/^[1-9] newer below$/.test(document.querySelector(".owner .below").textContent)`)
	if got := read[string](b, `document.querySelector(".owner .below").ariaLive`); got != "polite" {
		t.Errorf("the sign is announced %q", got)
	}
	if after := top(); after != before {
		t.Errorf("what was being read moved from %s to %s", before, after)
	}
	b.picture("below", 1280, 700)
	b.do(chromedp.EmulateViewport(1280, 700), chromedp.Focus(chromedp.CSS(".owner .below button")), chromedp.KeyEvent("\r"))
	b.wait(`document.querySelector(".owner .below").textContent === ""`)
	if got := read[bool](b, `document.activeElement.matches(".owner .scroll")`); !got {
		t.Error("the keyboard fell off with the sign")
	}
	b.quiet()
}

// Whoever has brought in a customer writes on in their box.
func TestKeyboardGoesToTheNewCustomer(t *testing.T) {
	_, address := opened(t, standin.NewClock(tryEvening))
	b := browse(t, address)
	b.turned("Mia", chromedp.SendKeys(chromedp.CSS(".add input"), "Mia\r"))
	b.wait(`document.activeElement.id === "say-customer"`)
	heads := read[[]float64](b, `[...document.querySelectorAll(".head")].map((h) => h.getBoundingClientRect().bottom)`)
	for _, at := range heads {
		if at != heads[0] {
			t.Errorf("with two customers the heads end at %v", heads)
		}
	}
	b.picture("two", 1280, 900)
	b.quiet()
}

// On a phone the log has the most of the screen, and what is folded away opens.
func TestNarrowPageLeavesRoom(t *testing.T) {
	_, address := opened(t, standin.NewClock(tryEvening))
	b := browse(t, address)
	b.do(chromedp.EmulateViewport(390, 844))
	b.after(chromedp.SendKeys(chromedp.CSS(".customer textarea"), "How much to clean my Fiat 500C?\r"))
	if got := read[float64](b, `document.querySelector(".customer .scroll").clientHeight`); got < 670 {
		t.Errorf("%v of 844 pixels are left for the log", got)
	}
	if wide := read[int](b, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the page is %d pixels wide on a screen of 390", wide)
	}
	b.picture("folded", 390, 844)
	b.do(chromedp.EmulateViewport(390, 844), chromedp.Click(chromedp.CSS("#top .unfold")), chromedp.WaitVisible(chromedp.CSS(`.clock button[value="month"]`)), chromedp.WaitVisible(chromedp.CSS(".add input")))
	b.do(chromedp.Click(chromedp.CSS("#write-customer .unfold")), chromedp.WaitVisible(chromedp.CSS(".customer input[type=file]")))
	if wide := read[int](b, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("unfolded the page is %d pixels wide on a screen of 390", wide)
	}
	b.picture("unfolded", 390, 844)
	b.quiet()
}

// Pictures are read out as what they show, their words below not twice.
func TestPicturesInWords(t *testing.T) {
	_, address := opened(t, standin.NewClock(tryEvening))
	page := post(t, address+"/situation", url.Values{"name": {"5-due"}})
	if want := `alt="Water on paint: standing in beads on the left, lying flat on the right"`; !strings.Contains(page, want) {
		t.Errorf("the reminder's picture lacks %s", want)
	}
	page = post(t, address+"/situation", url.Values{"name": {"4-photos"}})
	if want := `alt="Photo 1 from Gareth"`; !strings.Contains(page, want) {
		t.Errorf("a customer's photo lacks %s", want)
	}
}

// For a figure the page says where the price stops and how often the work would come to
// more; without one it promises nine times in ten. Either way as much is so.
func TestPageSaysWhatIsSoOfThePrice(t *testing.T) {
	_, address := opened(t, standin.NewClock(tryEvening))
	for situation, want := range map[string]string{
		"1-hurry":  "Nine times in ten, or more often, it stays below the dashed line.",
		"2-figure": "It stops at £120. About 2 times in ten the work would come to more.",
	} {
		page := post(t, address+"/situation", url.Values{"name": {situation}})
		_, price, _ := strings.Cut(page, `id="price"`)
		price, _, _ = strings.Cut(price, `id="diary"`)
		if !strings.Contains(price, want) {
			t.Errorf("%s: the page lacks %q\n%s", situation, want, price)
		}
	}
}

// Of today only what is left of its hours is open; in the evening it is over, and not
// free.
func TestTodayIsWhatIsLeftOfIt(t *testing.T) {
	rules := pricing.DefaultRules()
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		t.Fatal(err)
	}
	for clock, want := range map[string]string{"07:00": "09:00 false", "12:30": "12:30 false", "20:33": " true"} {
		now, err := time.ParseInLocation("2006-01-02 15:04", "2027-04-13 "+clock, zone) // a Tuesday
		if err != nil {
			t.Fatal(err)
		}
		today, got := (known{}).week(rules, now)[0], ""
		if len(today.Open) > 0 {
			got = today.Open[0].From.Format("15:04")
		}
		if got += fmt.Sprint(" ", today.Over); got != want {
			t.Errorf("at %s today is open from %q, want %q", clock, got, want)
		}
	}
}

// However many customers there are, their row is one line without a scroll bar, and whom
// one writes as is in it.
func TestTheRowOfCustomersStaysALine(t *testing.T) {
	_, address := opened(t, standin.NewClock(tryEvening))
	b := browse(t, address)
	const height = `document.querySelector("#people-row").getBoundingClientRect().height`
	before := read[float64](b, height)
	for _, name := range []string{"Marcus", "Nadia", "Bartholomew", "Josephine"} {
		b.turned(name, chromedp.SendKeys(chromedp.CSS(".add input"), name+"\r"))
		if after := read[float64](b, height); after != before {
			t.Fatalf("with %s the row is %.0f high, before %.0f", name, after, before)
		}
		if !read[bool](b, `(() => { const row = document.querySelector("#people").getBoundingClientRect(), at = document.querySelector("#people a[aria-current]").getBoundingClientRect(); return at.left >= row.left - 1 && at.right <= row.right + 1 && row.width > 0 })()`) {
			t.Errorf("%s, whom one writes as, is out of sight", name)
		}
	}
	b.picture("row", 1280, 700)
	b.quiet()
}
