package telegram_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/telegram"
	"example.org/dryhand/conversations/ledger"
)

// The chat all single-chat tests are in.
const mia = 101

// The words of the refusals are the platform's, from its public source
// (tdlib/telegram-bot-api, Client.cpp); 429's and 403's are the stand-in's own,
// which has them from there too.
func TestWhatBecomesOfASend(t *testing.T) {
	say := bot.Message{Chat: mia, Text: "one"}
	once, cosmetic := say, bot.Message{Chat: mia, Edit: 999, Delivery: bot.Cosmetic}
	once.Delivery = bot.Once
	for _, c := range []struct {
		name    string
		message bot.Message
		method  string
		fault   standin.Fault
		// heard is the chat afterwards, "two" having been queued behind.
		heard  []string
		aside  []string
		called int
	}{
		{name: "ok", message: say, heard: []string{"0 one", "1 two"}, called: 2},
		{name: "429", message: say, fault: standin.Fault{Times: 1, Status: 429, RetryAfter: 30}, heard: []string{"30 one", "31 two"}, called: 3},
		{name: "429, once", message: once, fault: standin.Fault{Times: 1, Status: 429, RetryAfter: 300}, heard: []string{"300 one", "301 two"}, called: 3},
		{name: "400", message: say, fault: standin.Fault{Times: 1, Status: 400, Description: "Bad Request: wrong file identifier"},
			heard: []string{"0 two"}, aside: []string{"impossible"}, called: 2},
		{name: "401", message: say, fault: standin.Fault{Times: 2, Status: 401}, heard: []string{"3 one", "4 two"}, called: 4},
		{name: "404", message: say, fault: standin.Fault{Times: 1, Status: 404}, heard: []string{"1 one", "2 two"}, called: 3},
		{name: "409", message: once, fault: standin.Fault{Times: 1, Status: 409}, heard: []string{"1 one", "2 two"}, called: 3},
		{name: "500", message: say, fault: standin.Fault{Times: 3, Status: 500}, heard: []string{"7 one", "8 two"}, called: 5},
		{name: "500, once", message: once, fault: standin.Fault{Times: 1, Status: 500}, heard: []string{"1 one", "2 two"}, called: 3},
		{name: "500 for ever", message: say, fault: standin.Fault{Times: 20, Status: 500},
			// 1+2+…+256 and ten times 300 seconds.
			heard: []string{"3511 two"}, aside: []string{"tried too often"}, called: 21},
		{name: "cut off before", message: say, fault: standin.Fault{Times: 1, DropBefore: true}, heard: []string{"1 one", "2 two"}, called: 3},
		{name: "cut off before, once", message: once, fault: standin.Fault{Times: 1, DropBefore: true},
			heard: []string{"0 two"}, aside: []string{"uncertain"}, called: 2},
		{name: "cut off after", message: say, fault: standin.Fault{Times: 1, DropAfter: true}, heard: []string{"0 one", "1 one", "2 two"}, called: 3},
		{name: "cut off after, once", message: once, fault: standin.Fault{Times: 1, DropAfter: true},
			heard: []string{"0 one", "0 two"}, aside: []string{"uncertain"}, called: 2},
		{name: "a proxy's page", message: say, fault: standin.Fault{Times: 1, HTML: true}, heard: []string{"1 one", "2 two"}, called: 3},
		{name: "a proxy's page, once", message: once, fault: standin.Fault{Times: 1, HTML: true},
			heard: []string{"0 two"}, aside: []string{"uncertain"}, called: 2},
		{name: "cosmetic, 500", message: cosmetic, method: "editMessageReplyMarkup", fault: standin.Fault{Times: 1, Status: 500}, heard: []string{"1 two"}, called: 1},
		{name: "cosmetic, 400", message: cosmetic, method: "editMessageReplyMarkup", fault: standin.Fault{Times: 1, Status: 400}, heard: []string{"1 two"}, called: 1},
		{name: "cosmetic, 401", message: cosmetic, method: "editMessageReplyMarkup", fault: standin.Fault{Times: 1, Status: 401}, heard: []string{"1 two"}, called: 1},
		{name: "cosmetic, cut off", message: cosmetic, method: "editMessageReplyMarkup", fault: standin.Fault{Times: 1, DropBefore: true}, heard: []string{"1 two"}, called: 1},
		{name: "cosmetic, 429", message: cosmetic, method: "editMessageReplyMarkup", fault: standin.Fault{Times: 1, Status: 429, RetryAfter: 5}, heard: []string{"6 two"}, called: 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			p := w.customer(mia)
			if c.method == "" {
				c.method = "sendMessage"
			}
			if c.fault != (standin.Fault{}) {
				w.Fault(c.method, c.fault)
			}
			w.queue(c.message, bot.Message{Chat: mia, Text: "two"})
			w.drain()
			if diff := cmp.Diff(c.heard, w.heard(p)); diff != "" {
				t.Errorf("heard (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(c.aside, w.reasons()); diff != "" {
				t.Errorf("put aside (-want +got):\n%s", diff)
			}
			if got := w.Calls()[c.method].Calls; got != c.called {
				t.Errorf("%s called %d times, want %d", c.method, got, c.called)
			}
			w.log.without(t, "one", "two")
		})
	}
}

func TestPersonWhoShutUsOut(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p, other := w.customer(mia), w.customer(102)
	p.Block()
	w.queue(bot.Message{Chat: mia, Text: "one"}, bot.Message{Chat: mia, Text: "two"}, bot.Message{Chat: 102, Text: "three"})
	w.drain()
	if diff := cmp.Diff([]string{"101 blocked:" + place(101, 1)}, w.shut); diff != "" {
		t.Errorf("told the conversation (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{"blocked", "blocked"}, w.reasons()); diff != "" {
		t.Errorf("put aside (-want +got):\n%s", diff)
	}
	if got := w.Calls()["sendMessage"]; got != (standin.Count{Calls: 2, Refused: 1}) {
		t.Errorf("calls: %+v, want one refused and the other chat's", got)
	}
	if diff := cmp.Diff([]string{"0 three"}, w.heard(other)); diff != "" {
		t.Errorf("the other chat (-want +got):\n%s", diff)
	}
}

func TestPersonUnknownToThePlatform(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.queue(bot.Message{Chat: 555, Text: "one"})
	w.drain()
	if diff := cmp.Diff([]string{"555 blocked:" + place(555, 1)}, w.shut); diff != "" {
		t.Errorf("told the conversation (-want +got):\n%s", diff)
	}
}

// While the conversation cannot be told, the message stays: it is how we know.
func TestConversationCannotBeTold(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(mia).Block()
	told := w.sender.Blocked
	w.sender.Blocked = func(context.Context, bot.ChatID, string) error { return fmt.Errorf("no store") }
	w.queue(bot.Message{Chat: mia, Text: "one"})
	if _, err := w.sender.Work(context.Background()); err == nil {
		t.Fatal("no error")
	}
	w.sender.Blocked = told
	w.drain()
	if len(w.shut) != 1 || len(w.reasons()) != 1 {
		t.Errorf("told %v, put aside %v, want one each", w.shut, w.reasons())
	}
}

func TestEdits(t *testing.T) {
	buttons := [][]bot.Choice{{{Label: "Yes", Data: "y"}}}
	for _, c := range []struct {
		name  string
		first bot.Message
		edit  bot.Message
		gone  bool
		heard []string
		// buttons are left below the first message.
		buttons int
	}{
		{name: "words", first: bot.Message{Text: "one", Choices: buttons}, edit: bot.Message{Text: "two"}, heard: []string{"two"}},
		{name: "buttons taken off", first: bot.Message{Text: "one", Choices: buttons}, edit: bot.Message{}, heard: []string{"one"}},
		{name: "buttons replaced", first: bot.Message{Text: "one"}, edit: bot.Message{Choices: buttons}, heard: []string{"one"}, buttons: 1},
		{name: "nothing changes", first: bot.Message{Text: "one"}, edit: bot.Message{Text: "one"}, heard: []string{"one"}},
		{name: "words, target gone", first: bot.Message{Text: "one"}, edit: bot.Message{Text: "two"}, gone: true, heard: []string{"one", "two"}},
		{name: "cosmetic words, target gone", first: bot.Message{Text: "one"}, edit: bot.Message{Text: "two", Delivery: bot.Cosmetic}, gone: true, heard: []string{"one"}},
		{name: "buttons, target gone", first: bot.Message{Text: "one"}, edit: bot.Message{Choices: buttons}, gone: true, heard: []string{"one"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			p := w.customer(mia)
			c.first.Chat, c.edit.Chat = mia, mia
			w.queue(c.first)
			w.drain()
			chat := p.Chat()
			c.edit.Edit = bot.MessageID(chat[len(chat)-1].ID)
			if c.gone {
				c.edit.Edit += 50
			}
			w.queue(c.edit, bot.Message{Chat: mia, Text: "next"})
			w.drain()
			if diff := cmp.Diff(append(c.heard, "next"), said(p)); diff != "" {
				t.Errorf("heard (-want +got):\n%s", diff)
			}
			if got := len(p.Chat()[1].Buttons); got != c.buttons {
				t.Errorf("%d rows of buttons, want %d", got, c.buttons)
			}
			if got := w.reasons(); got != nil {
				t.Errorf("put aside: %v", got)
			}
		})
	}
}

// said are the bot's messages in a chat.
func said(p *standin.Person) (texts []string) {
	for _, l := range p.Chat() {
		if l.Bot {
			texts = append(texts, l.Text)
		}
	}
	return texts
}

func TestCaptionOfAPhoto(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	if _, err := p.SendPhoto(picture(t), ""); err != nil {
		t.Fatal(err)
	}
	photo := bot.FileID(p.Chat()[1].File)
	w.queue(bot.Message{Chat: mia, Photo: photo, Text: "one"})
	w.drain()
	w.queue(bot.Message{Chat: mia, Photo: photo, Text: "two", Edit: bot.MessageID(p.Chat()[2].ID)})
	w.drain()
	got := p.Chat()
	if len(got) != 3 || got[2].What != "photo" || got[2].Text != "two" {
		t.Errorf("the chat is %+v, want a photo with the caption \"two\" at its end", got)
	}
}

// Limits: core.telegram.org/bots/api#sendmessage and #sendphoto.
func TestTextTooLong(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	if _, err := p.SendPhoto(picture(t), ""); err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("🚗", 3000)
	w.queue(bot.Message{Chat: mia, Text: long}, bot.Message{Chat: mia, Text: long, Photo: bot.FileID(p.Chat()[1].File)},
		bot.Message{Chat: mia, Text: long[:4*2048]})
	w.drain()
	var got []int
	for _, text := range said(p) {
		got = append(got, len(utf16.Encode([]rune(text))))
	}
	// A car is two units, so the ellipsis leaves one of them over.
	if diff := cmp.Diff([]int{4095, 1023, 4096}, got); diff != "" {
		t.Errorf("lengths in UTF-16 units (-want +got):\n%s", diff)
	}
}

func TestMessageThatCannotBeSent(t *testing.T) {
	for _, c := range []struct {
		name string
		m    bot.Message
	}{
		{"no text", bot.Message{}},
		{"data too long", bot.Message{Text: "one", Choices: [][]bot.Choice{{{Label: "Yes", Data: strings.Repeat("é", 32) + "e"}}}}},
		{"no data", bot.Message{Text: "one", Choices: [][]bot.Choice{{{Label: "Yes"}}}}},
		{"no label", bot.Message{Text: "one", Choices: [][]bot.Choice{{{Data: "y"}}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			p := w.customer(mia)
			c.m.Chat = mia
			w.queue(c.m, bot.Message{Chat: mia, Text: "two"})
			w.drain()
			if diff := cmp.Diff([]string{"two"}, said(p)); diff != "" {
				t.Errorf("heard (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff([]string{"impossible"}, w.reasons()); diff != "" {
				t.Errorf("put aside (-want +got):\n%s", diff)
			}
		})
	}
}

func TestTooLate(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	w.queue(bot.Message{Chat: mia, Text: "in time", NotAfter: start}, bot.Message{Chat: mia, Text: "late", NotAfter: start.Add(time.Second - time.Millisecond)},
		bot.Message{Chat: mia, Text: "two", NotAfter: start.Add(time.Hour)})
	w.drain()
	if diff := cmp.Diff([]string{"0 in time", "1 two"}, w.heard(p)); diff != "" {
		t.Errorf("heard (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{"too late"}, w.reasons()); diff != "" {
		t.Errorf("put aside (-want +got):\n%s", diff)
	}
}

// A sender that ended between beginning a send and reporting it has left a
// message that may have arrived.
func TestSendThatBeganAndNeverReported(t *testing.T) {
	for _, c := range []struct {
		delivery bot.Delivery
		heard    []string
		aside    []string
	}{
		{bot.Once, []string{"two"}, []string{"uncertain"}},
		{bot.Repeatable, []string{"one", "two"}, nil},
	} {
		t.Run("delivery "+string(c.delivery), func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			p := w.customer(mia)
			w.queue(bot.Message{Chat: mia, Text: "one", Delivery: c.delivery}, bot.Message{Chat: mia, Text: "two"})
			claimed, err := w.ledger.ClaimOut(context.Background(), w.clock.Now(), time.Minute, 1)
			if err != nil || len(claimed) != 1 {
				t.Fatal(claimed, err)
			}
			if err := w.ledger.Begin(context.Background(), claimed[0]); err != nil {
				t.Fatal(err)
			}
			if n := w.work(); n != 0 {
				t.Errorf("settled %d messages of somebody else's", n)
			}
			w.drain()
			if diff := cmp.Diff(c.heard, said(p)); diff != "" {
				t.Errorf("heard (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(c.aside, w.reasons()); diff != "" {
				t.Errorf("put aside (-want +got):\n%s", diff)
			}
		})
	}
}

// A once message is marked before its request leaves, and not before.
func TestBegunBeforeTheCall(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(mia)
	var points []string
	w.sender.Point = func(name, op string) {
		points = append(points, fmt.Sprint(name, " ", op, " ", w.Calls()["sendMessage"].Calls))
	}
	w.queue(bot.Message{Chat: mia, Text: "one", Delivery: bot.Once}, bot.Message{Chat: mia, Text: "two"})
	w.drain()
	want := []string{
		"send:claimed " + place(101, 1) + " 0", "send:begun " + place(101, 1) + " 0", "send:called " + place(101, 1) + " 1", "send:settled " + place(101, 1) + " 1",
		"send:claimed " + place(101, 2) + " 1", "send:called " + place(101, 2) + " 2", "send:settled " + place(101, 2) + " 2",
	}
	if diff := cmp.Diff(want, points); diff != "" {
		t.Errorf("points (-want +got):\n%s", diff)
	}
}

// shutPort is an address at which nobody answers before it is opened: it is taken, so
// that nobody else can be given it meanwhile, and not listened at.
func shutPort(t *testing.T) (address string, open func() net.Listener) {
	t.Helper()
	fd, err := syscall.Socket(syscall.AF_INET, syscall.SOCK_STREAM, 0)
	if err != nil {
		t.Fatal(err)
	}
	f := os.NewFile(uintptr(fd), "port")
	t.Cleanup(func() { f.Close() })
	if err := syscall.Bind(fd, &syscall.SockaddrInet4{Addr: [4]byte{127, 0, 0, 1}}); err != nil {
		t.Fatal(err)
	}
	name, err := syscall.Getsockname(fd)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("127.0.0.1:%d", name.(*syscall.SockaddrInet4).Port), func() net.Listener {
		if err := syscall.Listen(fd, 16); err != nil {
			t.Fatal(err)
		}
		l, err := net.FileListener(f)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
}

// With no connection nobody is tried in vain for each message, and nothing is
// given up however long it lasts.
func TestPlatformAway(t *testing.T) {
	w := newWorld(t, standin.Config{})
	var people []*standin.Person
	for chat := int64(1); chat <= 5; chat++ {
		people = append(people, w.customer(chat))
		w.queue(bot.Message{Chat: bot.ChatID(chat), Text: "one", Delivery: bot.Once})
	}
	address, open := shutPort(t)
	w.sender.Client = newClient(t, "http://"+address)
	for back := start.Add(8 * time.Hour); w.clock.Now().Before(back); {
		w.work()
		at, ok, err := w.ledger.NextOut(context.Background())
		if !ok || err != nil {
			t.Fatal("nothing is queued any more", err)
		}
		if pause := at.Sub(w.clock.Now()); pause > time.Minute {
			t.Fatalf("next try in %v", pause)
		}
		w.clock.Set(at)
	}
	if tried := strings.Count(w.log.String(), "platform cannot be used"); tried > 8*60+10 {
		t.Errorf("tried %d times in 8 hours, with pauses of up to a minute", tried)
	}
	if got := w.reasons(); got != nil {
		t.Errorf("put aside: %v", got)
	}
	server := &httptest.Server{Listener: open(), Config: &http.Server{Handler: w.Standin}}
	server.Start()
	defer server.Close()
	w.drain()
	for _, p := range people {
		if diff := cmp.Diff([]string{"one"}, said(p)); diff != "" {
			t.Errorf("heard (-want +got):\n%s", diff)
		}
	}
}

// Answers the stand-in does not give. The shapes are of
// core.telegram.org/bots/api#making-requests and #responseparameters.
func TestOtherAnswers(t *testing.T) {
	for _, c := range []struct {
		name, answer string
		left         bool
		aside        []string
	}{
		{"done, with a result that cannot be read", `{"ok":true,"result":"odd"}`, false, nil},
		{"the group has moved", `{"ok":false,"error_code":400,"description":"Bad Request: group chat was upgraded to a supergroup chat","parameters":{"migrate_to_chat_id":-100}}`,
			false, []string{"impossible"}},
		{"cut short", `{"ok":tr`, true, nil},
		{"nothing", ``, true, nil},
		{"a code of its own", `{"ok":false,"error_code":418,"description":"odd"}`, true, nil},
		{"gone", `{"ok":false,"error_code":403,"description":"Forbidden: user is deactivated"}`, false, []string{"blocked"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorld(t, standin.Config{})
			server := httptest.NewServer(http.HandlerFunc(func(rw http.ResponseWriter, _ *http.Request) { fmt.Fprint(rw, c.answer) }))
			defer server.Close()
			w.sender.Client = newClient(t, server.URL)
			w.queue(bot.Message{Chat: mia, Text: "one"})
			w.work()
			at, left, err := w.ledger.NextOut(context.Background())
			if err != nil || left != c.left {
				t.Errorf("left in the queue: %v (%v), want %v", left, err, c.left)
			}
			if left && at.Sub(start) != time.Second {
				t.Errorf("next try after %v, want 1s", at.Sub(start))
			}
			if diff := cmp.Diff(c.aside, w.reasons()); diff != "" {
				t.Errorf("put aside (-want +got):\n%s", diff)
			}
		})
	}
}

func TestNoAnswerInTime(t *testing.T) {
	var w *world
	var p *standin.Person
	// A busy machine may need longer to make the call than the sender waits for its
	// answer; then nothing is seen of what this is about, and it is given more time.
	for within, called := 50*time.Millisecond, false; !called; within *= 4 {
		if within > patience {
			t.Fatal("no call is ever made")
		}
		w = newWorld(t, standin.Config{})
		p = w.customer(mia)
		telegram.SetPatience(w.client, within)
		// By the stand-in's clock, which stands still: the answer never comes.
		w.Fault("sendMessage", standin.Fault{Times: 1, Delay: time.Hour})
		w.queue(bot.Message{Chat: mia, Text: "one", Delivery: bot.Once})
		w.work()
		called = len(said(p)) > 0
	}
	if diff := cmp.Diff([]string{"uncertain"}, w.reasons()); diff != "" {
		t.Errorf("put aside (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{"one"}, said(p)); diff != "" {
		t.Errorf("heard (-want +got):\n%s", diff)
	}
}

func TestBodyThatIsNoMessage(t *testing.T) {
	w := newWorld(t, standin.Config{})
	_, err := w.ledger.Commit(context.Background(), ledger.Change{Op: "odd", Now: start, Send: []ledger.Out{{Chat: mia, Body: []byte("{")}}})
	if err != nil {
		t.Fatal(err)
	}
	w.drain()
	if diff := cmp.Diff([]string{"impossible"}, w.reasons()); diff != "" {
		t.Errorf("put aside (-want +got):\n%s", diff)
	}
}

func TestPanicPutsItsMessageAside(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(mia).Block()
	w.sender.Blocked = func(context.Context, bot.ChatID, string) error { panic("words of a customer") }
	w.queue(bot.Message{Chat: mia, Text: "one"})
	w.drain()
	if diff := cmp.Diff([]string{"impossible"}, w.reasons()); diff != "" {
		t.Errorf("put aside (-want +got):\n%s", diff)
	}
	w.log.without(t, "words of a customer")
}

// A small file arrives as the bytes it was, with its caption and its name.
func TestFileIsHandedOver(t *testing.T) {
	w := newWorld(t, standin.Config{})
	p := w.customer(mia)
	w.queue(bot.Message{Chat: mia, Text: "For your calendar.", File: &bot.File{Name: "visit.ics", Data: []byte("BEGIN:VCALENDAR\r\n")}},
		bot.Message{Chat: mia, File: &bot.File{Name: "empty.ics"}})
	w.drain()
	lines := p.Chat()
	last := lines[len(lines)-1]
	data, ok := w.File(last.File)
	if last.What != "document" || last.FileName != "visit.ics" || last.Text != "For your calendar." || !ok || string(data) != "BEGIN:VCALENDAR\r\n" {
		t.Errorf("%+v, %q", last, data)
	}
	if diff := cmp.Diff([]string{"impossible"}, w.reasons()); diff != "" {
		t.Errorf("put aside (-want +got):\n%s", diff)
	}
}
