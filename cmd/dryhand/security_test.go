package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations"
)

// hostile are words that mean something to some machine on the way.
var hostile = []string{
	`<b>bold</b> & "quoted" </i><script>alert(1)</script>`, "&lt;b&gt; &#60;", "*_[x](tg://user?id=1)_*`~||", "{{.Owner}} {{range .Items}} %s %d %!",
	"\u202egnitautca\u202c \u200b\u200d\ufeff", "a\r\nBEGIN:VALARM\r\nTRIGGER:-PT1M\r\nEND:VALARM", "chat:7001|0000000000000001 enq:5er-1 {business}",
	"\x00\x01\x1b[2J", "' OR 1=1 --", strings.Repeat("🚗", 200), strings.Repeat("a", 4096), "; return redis.call('FLUSHALL')",
}

// Whoever puts such words into every field there is, from their name to the note for
// the detailer, gets the same desk as everybody: nothing sent is refused by the
// platform, nothing is put aside, and what the owner gets is theirs, word for word.
func TestHostileWordsBreakNothing(t *testing.T) {
	for i, words := range hostile {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			w := testWorld(t)
			name := string([]rune(strings.Map(printable, words))[:min(64, utf8.RuneCountInString(strings.Map(printable, words)))])
			p := w.standin.Person(666, name)
			owner := w.standin.Person(int64(playedOwner), "Owner")
			for _, act := range []string{"Volvo V60", "[Outside]", "[That's all", "[At the workshop]", "just the price", "[Find a day", "nothing", "[skip photo]", "[Wed 14 Apr, 09:00]", "[Yes, remind me]", "[Yes, ask for it]"} {
				p.Say(words)
				settle(t, w)
				act, label := strings.CutPrefix(act, "[")
				switch {
				case act == "skip photo]":
					skipPhoto(t, w, p)
					continue
				case act == "Yes, remind me]" && !strings.Contains(lastLine(p), "may we remind you"):
					continue // their words have left out what would fall due
				case label:
					press(t, w, p, strings.TrimSuffix(act, "]"))
				default:
					p.Say(act)
				}
				settle(t, w)
			}
			press(t, w, owner, "Write to them")
			owner.Say(words)
			settle(t, w)
			press(t, w, owner, "Yes, book it")
			owner.Say("today")
			owner.Say(words)
			settle(t, w)
			if !slices.ContainsFunc(p.Chat(), func(l standin.Line) bool { return l.Bot && strings.Contains(l.Text, "It's booked") }) {
				t.Error("it came to no booking: not every field was tried")
			}
			for _, r := range w.standin.Refusals() {
				t.Errorf("the platform refused %s: %d %s", r.Method, r.Code, r.Description)
			}
			if asides, err := w.ledger.Asides(t.Context(), 10); err != nil || len(asides) > 0 {
				t.Errorf("put aside: %v, %v", asides, err)
			}
			if n := len(p.Chat()); n < 12 {
				t.Errorf("only %d lines in the chat: hardly anything was tried", n)
			}
			feedIsWhole(t, w)
		})
	}
}

// printable leaves out what the platform would not take as a name.
func printable(r rune) rune {
	if r < ' ' {
		return ' '
	}
	return r
}

// press presses the latest button whose label begins so.
func press(t *testing.T, w *world, p *standin.Person, label string) {
	t.Helper()
	chat := p.Chat()
	for i := len(chat) - 1; i >= 0; i-- {
		for _, row := range chat[i].Buttons {
			for _, b := range row {
				if strings.HasPrefix(b.Text, label) {
					p.TapData(chat[i].ID, b.Data)
					settle(t, w)
					return
				}
			}
		}
	}
	t.Fatalf("no button %q; the last line: %s", label, chat[len(chat)-1].Text)
}

// lastLine is the latest message somebody has been shown.
func lastLine(p *standin.Person) string {
	chat := p.Chat()
	return chat[len(chat)-1].Text
}

// skipPhoto sends no picture, where one is asked for.
func skipPhoto(t *testing.T, w *world, p *standin.Person) {
	t.Helper()
	press(t, w, p, "No photo")
}

// feedIsWhole fails if somebody's words have become lines of the owner's calendar.
func feedIsWhole(t *testing.T, w *world) {
	t.Helper()
	feed, err := w.desk.Feed(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.SplitSeq(string(feed), "\r\n") {
		if strings.Contains(line, "\n") || strings.HasPrefix(line, "BEGIN:VALARM") || len(line) > 75 {
			t.Errorf("a line of the calendar: %q", line)
		}
	}
}

// What somebody presses is data from outside: a button of somebody else's enquiry, or
// one only the owner is shown, changes nothing and says nothing of anybody.
func TestForeignPressesChangeNothing(t *testing.T) {
	w := story(t, storyBegins+storyHeld+storyAsked)
	// What is still to come of the photos has come.
	if err := w.until(t.Context(), w.clock.Now().Add(3*time.Minute)); err != nil {
		t.Fatal(err)
	}
	mallory := w.standin.Person(666, "Mallory")
	mallory.Say("/start")
	settle(t, w)
	var all []string
	for _, id := range []int64{int64(playedOwner), int64(balthazar), int64(zuleika)} {
		for _, l := range w.standin.Person(id, "").Chat() {
			for _, row := range l.Buttons {
				for _, b := range row {
					all = append(all, b.Data)
				}
			}
		}
	}
	all = append(all, w.everPressed(t)...)
	slices.Sort(all)
	if all = slices.Compact(all); len(all) < 20 {
		t.Fatalf("only %d buttons", len(all))
	}
	before := theirs(t, w)
	heard := len(mallory.Chat())
	for _, data := range all {
		mallory.TapData(1, data)
		settle(t, w)
	}
	if d := cmp.Diff(before, theirs(t, w)); d != "" {
		t.Errorf("after presses on %d foreign buttons:\n%s", len(all), d)
	}
	for _, l := range mallory.Chat()[heard:] {
		if strings.Contains(l.Text, "Zuleika") || strings.Contains(l.Text, "Balthazar") || strings.Contains(l.Text, "Volvo") {
			t.Errorf("said to a stranger: %s", l.Text)
		}
	}
}

// everPressed is the data of buttons that have been taken off since.
func (w *world) everPressed(t *testing.T) (all []string) {
	t.Helper()
	events, _ := w.standin.Since(0)
	for _, e := range events {
		for _, row := range e.Line.Buttons {
			for _, b := range row {
				all = append(all, b.Data)
			}
		}
	}
	return all
}

// theirs are the documents that are not Mallory's, and what is due. That somebody
// has asked for something is counted, by day.
func theirs(t *testing.T, w *world) map[string]string {
	t.Helper()
	out := map[string]string{}
	for name, r := range everything(t, w.ledger) {
		if (r.Kind == "doc" || r.Kind == "due") && !strings.Contains(name, "tally:") && !strings.Contains(name, "666") && !strings.Contains(name, strconv.FormatInt(666, 36)+"-") {
			out[name] = string(r.Body)
		}
	}
	return out
}

// Nobody is the owner for knowing his words, his commands or the form of his links.
func TestNobodyElseIsTheOwner(t *testing.T) {
	w := story(t, storyBegins+storyHeld+storyAsked)
	mallory := w.standin.Person(666, "Owner")
	before := theirs(t, w)
	for _, words := range []string{"/start", "today", "tomorrow", "week", "figures", "off friday", "rang Sarah, golf estate, paint dull", "done", "settings", "set rate 1",
		"/start claim-", "/start claim-" + strings.Repeat("A", 58), "/start " + strings.Repeat("z", 64), "/start owner", "/start enq:" + enquiryOf(zuleika), "/start " + enquiryOf(zuleika)} {
		mallory.Say(words)
		settle(t, w)
	}
	if d := cmp.Diff(before, theirs(t, w)); d != "" {
		t.Errorf("changed by a stranger:\n%s", d)
	}
	for _, l := range mallory.Chat() {
		if l.Bot && (strings.Contains(l.Text, "Zuleika") || strings.Contains(l.Text, "Balthazar") || strings.Contains(l.Text, "Volvo V60")) {
			t.Errorf("said to a stranger: %s", l.Text)
		}
	}
	if doc, ok := everything(t, w.ledger)["doc "+conversations.OwnerKey]; ok {
		t.Errorf("there is an owner's document: %s", doc.Body)
	}
}

// Every test the threat model names is there to be run.
func TestTheThreatModelNamesRealTests(t *testing.T) {
	page, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile("`((?:Test|Fuzz)[A-Z]\\w+)`").FindAllStringSubmatch(string(page), -1)
	if len(named) < 25 {
		t.Errorf("only %d tests are named", len(named))
	}
	out, err := exec.Command("grep", "-rhoE", "--include=*_test.go", `^func (Test|Fuzz)\w+`, "../..").Output()
	if err != nil {
		t.Fatal(err)
	}
	there := strings.Fields(strings.ReplaceAll(string(out), "func ", ""))
	for _, n := range named {
		if !slices.Contains(there, n[1]) {
			t.Errorf("%s is named and does not exist", n[1])
		}
	}
}

// A picture of a few bytes that says it has four thousand million pixels, among
// whatever else calls itself a picture, costs nothing and is answered kindly.
func TestPicturesThatAreBombs(t *testing.T) {
	w := testWorld(t)
	p := w.standin.Person(666, "Mallory")
	for _, line := range []string{"Golf estate", "outside", "2"} {
		p.Say(line)
		settle(t, w)
	}
	for name, data := range map[string][]byte{
		"huge.jpg":         []byte("\xff\xd8\xff\xc0\x00\x0b\x08\xff\xff\xff\xff\x01\x01\x11\x00\xff\xd9"),
		"../../etc/passwd": []byte("root:x:0:0"),
		"nested.zip":       []byte("PK\x03\x04" + strings.Repeat("\x00", 100)),
		"car.jpg\x00.exe":  []byte("MZ"),
		"<img src=x>.png":  []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff\x08\x06\x00\x00\x00"),
		"empty.webp":       []byte("RIFF\xff\xff\xff\xffWEBPVP8L"),
		"endless.gif":      []byte("GIF89a\xff\xff\xff\xff"),
	} {
		before := len(p.Chat())
		p.SendFile(name, "image/jpeg", data)
		settle(t, w)
		if len(p.Chat()) < before+2 {
			t.Errorf("%q: nothing was answered", name)
		}
	}
	if asides, err := w.ledger.Asides(t.Context(), 10); err != nil || len(asides) > 0 {
		b, _ := json.Marshal(asides)
		t.Errorf("put aside: %s, %v", b, err)
	}
	if r := w.standin.Refusals(); len(r) > 0 {
		t.Errorf("refused by the platform: %v", r)
	}
}
