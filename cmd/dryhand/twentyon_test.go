package main

import (
	"net/http"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/wording"
)

// R8: somebody who has shut the bot out, in the middle of a run of reminders. The
// others get theirs, and nothing at all goes to the one who left until they are
// back.
func TestR08OneBlockedPersonStopsNobodyElse(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	var all []*standin.Person
	for i, name := range []string{"Mia", "Zoe", "Raj"} {
		p := f.standin.Person(int64(101+i), name)
		f.does(p, journey()[:5]...)
		all = append(all, p)
	}
	zoe := all[1]
	f.standin.Fault("sendMessage", standin.Fault{Chat: zoe.ID(), Status: http.StatusForbidden, Description: "Forbidden: bot was blocked by the user"})
	f.run(10 * 24 * time.Hour) // their prices are asked about on the way
	for _, p := range []*standin.Person{all[0], all[2]} {
		if times(p, "price stands until") != 1 {
			t.Errorf("%s reads %q", p.Name(), last(p))
		}
	}
	if n := len(f.standin.Refusals()); n != 1 {
		t.Errorf("%d calls for somebody who has blocked us, want the one that found out", n)
	}
	f.standin.ClearFaults()
	f.say(zoe, "hello")
	if !strings.Contains(last(zoe), "What car is it?") {
		t.Errorf("back again, Zoe reads %q", last(zoe))
	}

	// Booked and gone: the owner hears it, and nothing of the visit, of its being
	// late or done, is sent.
	f.say(f.owner(), "/start")
	f.does(zoe, journey()...)
	f.tap(f.owner(), label(wording.LabelApprove))
	before := len(told(zoe))
	zoe.Block()
	f.settle()
	if times(f.owner(), "Zoe has blocked this chat") != 1 {
		t.Errorf("the owner reads %q", last(f.owner()))
	}
	f.run(7 * 24 * time.Hour)
	f.tap(f.owner(), label(wording.LabelDone))
	f.say(f.owner(), "90", "80")
	f.tap(f.owner(), label(wording.LabelFinish))
	f.run(365 * 24 * time.Hour)
	if n := len(f.standin.Refusals()); n != 1 || len(told(zoe)) != before {
		t.Errorf("having said that she leaves, Zoe is written to: %d refusals, %q", n, told(zoe)[before:])
	}
}

// R9: a press is answered late, never or twice. Each is answered once and within
// two seconds, whatever becomes of it inside, and a refused answer harms nothing.
func TestR09EveryTapStopsSpinningOnce(t *testing.T) {
	t.Parallel()
	var stuck atomic.Pointer[chan struct{}]
	f := newFront(t, standin.Config{}, func(name, _ string) {
		if until := stuck.Load(); name == "commit:before" && until != nil {
			<-*until
		}
	})
	mia := f.standin.Person(101, "Mia")
	presses := 0
	spins := func(p *standin.Person) time.Duration {
		f.does(p, journey()[:1]...)
		release := make(chan struct{})
		stuck.Store(&release)
		began := time.Now()
		if err := p.Tap(0, "Outside"); err != nil {
			t.Fatal(err)
		}
		presses++
		for f.standin.Unanswered() > 0 && time.Since(began) < time.Minute {
			time.Sleep(5 * time.Millisecond)
		}
		took := time.Since(began)
		stuck.Store(nil)
		close(release)
		f.settle()
		return took
	}
	// A busy machine may be late by itself: of some presses one has to be in time.
	took := spins(mia)
	for i := int64(0); took > 2*time.Second && i < 3; i++ {
		took = spins(f.standin.Person(110+i, "Zoe"))
	}
	if took > 2*time.Second {
		t.Errorf("with the store stuck, the button spins for %s", took)
	}

	// Copies share one answer.
	f.standin.SetDisorder(standin.Disorder{Copies: 3, Together: true})
	f.tap(mia, "That's all ›", label(wording.LabelBring))
	f.standin.SetDisorder(standin.Disorder{})
	if c := f.standin.Calls()["answerCallbackQuery"]; c.Calls != presses+2 || c.Refused != 0 {
		t.Errorf("%d presses so far, answered %+v", presses+2, c)
	}

	// Too old to be answered: said by the platform, and of no consequence.
	f.standin.Fault("answerCallbackQuery", standin.Fault{Times: 1, Status: http.StatusBadRequest,
		Description: "Bad Request: query is too old and response timeout expired or query ID is invalid"})
	if err := mia.Tap(0, "Not sure"); err != nil {
		t.Fatal(err)
	}
	f.spinning++
	f.settle()
	if got := f.enquiry(mia, 1).Answers["cond-paintwork"]; !slices.Equal(got, []string{"unsure"}) {
		t.Errorf("the press counts as %q", got)
	}
	if a := f.asides(); len(a) > 0 {
		t.Errorf("put aside: %q", a)
	}
}

// R10: a button of last week, of another step, of somebody else. Every button ever
// shown is pressed again at several later stages: nothing changes, and the
// question on the table is shown.
func TestR10AStaleButtonChangesNothing(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia, eve := f.standin.Person(101, "Mia"), f.standin.Person(666, "Eve")
	f.say(f.owner(), "/start")
	f.does(eve, journey()[:1]...)
	type old struct {
		message int64
		button  standin.Button
	}
	var ever []old
	seen := map[string]bool{}
	collect := func() {
		for _, l := range mia.Chat() {
			for _, row := range l.Buttons {
				for _, b := range row {
					if !seen[b.Data] {
						seen[b.Data] = true
						ever = append(ever, old{l.ID, b})
					}
				}
			}
		}
	}
	pressed := 0
	for i, a := range journey() {
		collect() // of this question too, before it is answered
		f.does(mia, a)
		there := i == 2
		if there { // and back: the same question is on the table once more
			collect()
			f.does(mia, journey()[3])
			collect()
			f.tap(mia, label(wording.LabelBack))
		}
		if i%4 != 0 && i != len(journey())-1 && !there {
			continue
		}
		fresh := map[string]bool{}
		for _, b := range f.buttons(mia) {
			fresh[b.Data] = true
		}
		before := f.docs()
		for _, o := range ever {
			if fresh[o.button.Data] || o.button.Text == "A person, please" {
				continue // the way to a person is open from everywhere
			}
			pressed++
			n := len(told(mia))
			f.clock.Advance(10 * time.Second) // not so fast that she would be asked to slow down
			mia.TapData(o.message, o.button.Data)
			f.settle()
			if heard := told(mia)[n:]; len(heard) == 0 && !lastToast(f, mia) {
				t.Errorf("after %+v an old [%s] is met with silence", a, o.button.Text)
			} else if len(heard) > 0 && !strings.Contains(heard[0], "nothing has changed") {
				t.Errorf("after %+v an old [%s] is answered %q", a, o.button.Text, heard[0])
			}
			if d := cmp.Diff(before, f.docs()); d != "" {
				t.Fatalf("after %+v an old [%s] changes\n%s", a, o.button.Text, d)
			}
		}
		collect()
		for _, o := range ever[max(0, len(ever)-5):] {
			eve.TapData(o.message, o.button.Data)
			f.settle()
			if d := cmp.Diff(before, f.docs()); d != "" {
				t.Fatalf("after %+v Eve presses Mia's [%s] and changes\n%s", a, o.button.Text, d)
			}
			if !strings.Contains(last(eve), "doesn't belong to this chat") || !strings.Contains(last(eve), "What shall we look at?") {
				t.Errorf("Eve, pressing Mia's [%s], reads %q", o.button.Text, last(eve))
			}
		}
	}
	before := times(f.owner(), "Mia would like a person")
	for _, o := range ever {
		if o.button.Text == "A person, please" {
			mia.TapData(o.message, o.button.Data)
			f.settle()
		}
	}
	if n := times(f.owner(), "Mia would like a person") - before; n != 1 {
		t.Errorf("all the old [A person, please] together call one %d times", n)
	}
	if pressed < 100 {
		t.Errorf("only %d presses: this shows little", pressed)
	}
	t.Logf("%d old buttons pressed", pressed)
}

// lastToast tells whether the last press was answered in words.
func lastToast(f *front, p *standin.Person) bool {
	events, _ := f.standin.Since(0)
	for _, e := range slices.Backward(events) {
		if e.Kind == standin.Toast && e.Chat == p.ID() {
			return e.Text != ""
		}
	}
	return false
}

// R11: two presses on one button a moment apart, by the customer and by the owner,
// and the platform's "message is not modified" taken for what it is, done.
func TestR11TwoTapsAreOne(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia := f.standin.Person(101, "Mia")
	f.say(f.owner(), "/start")
	twice := func(p *standin.Person, label string) {
		t.Helper()
		chat := p.Chat()
		for i := len(chat) - 1; i >= 0; i-- {
			for _, row := range chat[i].Buttons {
				for _, b := range row {
					if b.Text == label {
						p.TapData(chat[i].ID, b.Data)
						f.clock.Advance(150 * time.Millisecond)
						p.TapData(chat[i].ID, b.Data)
						f.settle()
						return
					}
				}
			}
		}
		t.Fatalf("%s has no button %q", p.Name(), label)
	}
	f.does(mia, journey()[0])
	twice(mia, "Outside") // the second one ticks it again: the same keyboard
	if calls := f.standin.Calls()["editMessageReplyMarkup"]; calls.Calls != 2 || calls.Refused != 1 {
		t.Errorf("two ticks make %+v", calls)
	}
	f.does(mia, journey()[2:len(journey())-1]...)
	twice(mia, "Yes, ask for it")
	if n, m := times(f.owner(), "Mia asks for"), times(mia, "Asked. We're keeping"); n != 1 || m != 1 {
		t.Errorf("asked twice, the owner reads of it %d times and Mia %d", n, m)
	}
	twice(f.owner(), "Yes, book it")
	if n, m := times(f.owner(), "Booked: Mia"), times(mia, "It's booked"); n != 1 || m != 1 {
		t.Errorf("agreed twice, the owner reads of it %d times and Mia %d", n, m)
	}
	if a := f.asides(); len(a) > 0 {
		t.Errorf("put aside: %q", a)
	}
}

// R12: words where a press was hoped for, and everything else people can send, at
// every step. Nobody is met with silence or stuck, what is typed counts as the
// button of that name, and a picture sent early is kept.
func TestR12EveryKindOfContentAtEveryStep(t *testing.T) {
	t.Parallel()
	pressing, typing := newFront(t, standin.Config{}, nil), newFront(t, standin.Config{}, nil)
	mia, zoe := pressing.standin.Person(101, "Mia"), typing.standin.Person(101, "Mia")
	picture := sharpPictures(t, 1)[0]
	kinds := map[string]func(){
		"sticker":  func() { zoe.SendSticker("🚗") },
		"voice":    func() { zoe.SendVoice(7) },
		"nonsense": func() { zoe.Say("qwer asdf zxcv") },
		"file":     func() { zoe.SendFile("letter.pdf", "application/pdf", []byte("%PDF-1.4")) },
		"contact":  func() { inject(typing, zoe, "contact", map[string]any{"phone_number": "1", "first_name": "Z"}) },
		"video": func() {
			inject(typing, zoe, "video", map[string]any{"file_id": "v", "file_unique_id": "v", "width": 9, "height": 9, "duration": 1})
		},
	}
	photos := 0
	for i, a := range journey() {
		if i > 0 {
			// The question this step answers must stand whatever is sent.
			at := typing.enquiry(zoe, 1).At
			for name, send := range kinds {
				before := len(told(zoe))
				send()
				typing.settle()
				if heard := told(zoe)[before:]; len(heard) == 0 {
					t.Errorf("at %s, a %s is met with silence", at, name)
				}
				if now := typing.enquiry(zoe, 1).At; now != at {
					t.Errorf("at %s, a %s leads to %s", at, name, now)
				}
			}
			if i == 2 || i == 4 {
				if _, err := zoe.SendPhoto(picture, ""); err != nil {
					t.Fatal(err)
				}
				photos++
				typing.settle()
				if !strings.Contains(last(zoe), "bright enough") && !strings.Contains(last(zoe), "the same as one") {
					t.Errorf("at %s, a photo is answered %q", at, last(zoe))
				}
			}
		}
		pressing.does(mia, a)
		switch {
		case a.say != "":
			typing.say(zoe, a.say)
		case a.tap == "":
			typing.say(zoe, typing.buttons(zoe)[0].Text)
		default:
			typing.say(zoe, strings.TrimSuffix(a.tap, " ›"))
		}
		if pressing.enquiry(mia, 1).At != typing.enquiry(zoe, 1).At && a.tap != "Outside" {
			t.Fatalf("after %+v: pressed leads to %q, typed to %q; the typist reads\n%s", a, pressing.enquiry(mia, 1).At, typing.enquiry(zoe, 1).At, last(zoe))
		}
	}
	e := typing.enquiry(zoe, 1)
	if e.Stage != conversations.Waits || len(e.Photos) != photos {
		t.Errorf("at the end %q with %d photos, want %d", e.Stage, len(e.Photos), photos)
	}
	if d := cmp.Diff(pressing.enquiry(mia, 1).Answers["site"], e.Answers["site"]); d != "" {
		t.Errorf("answered by press (-) and by word (+):\n%s", d)
	}
}

// inject sends content no person of the stand-in sends.
func inject(f *front, p *standin.Person, kind string, content any) {
	f.standin.Inject("message", p.ID(), map[string]any{"message_id": 90_000, "date": f.clock.Now().Unix(),
		"chat": map[string]any{"id": p.ID(), "type": "private"}, "from": map[string]any{"id": p.ID(), "first_name": p.Name()}, kind: content})
}

// R13: the bot is replaced between any two messages, and forgets nothing; a form
// begun with an older release is shown its open question; /start and "start again"
// always lead on.
func TestR13ReplacedBetweenAnyTwoMessages(t *testing.T) {
	t.Parallel()
	play := func(replaced bool) []string {
		f := newFront(t, standin.Config{}, nil)
		mia := f.standin.Person(101, "Mia")
		f.say(f.owner(), "/start")
		for _, a := range journey() {
			if replaced {
				f.start()
			}
			f.does(mia, a)
		}
		if replaced {
			f.start()
		}
		f.tap(f.owner(), "Yes, book it")
		f.run(4 * 24 * time.Hour) // what was to be reminded of is not forgotten either
		return append(told(mia), told(f.owner())...)
	}
	if d := cmp.Diff(play(false), play(true)); d != "" {
		t.Errorf("never replaced (-) and replaced all the time (+):\n%s", d)
	}

	f := newFront(t, standin.Config{}, nil)
	for _, e := range importStored(t, f.ledger, "../../testdata/stored/form-1.jsonl") {
		if e.Stage != conversations.Asking || e.At == "" {
			continue
		}
		p := f.standin.Person(int64(e.Chat), e.Name)
		for _, word := range []string{"/start", "hm", "start again"} {
			f.say(p, word)
			if strings.Contains(last(p), `until you say "carry on"`) {
				continue // they have asked for a person, and that is the way on
			}
			if len(f.buttons(p)) == 0 || !strings.Contains(last(p), "?") {
				t.Errorf("%s, in the middle of %s, says %q and reads %q", e.Name, e.At, word, last(p))
			}
		}
	}
}

// R14: a send that arrives and whose answer is lost. A reminder is not sent again
// and stands among the uncertain; a question may come twice and never not at all.
func TestR14AnUncertainSendIsNotRepeatedBlindly(t *testing.T) {
	t.Parallel()
	f := newFront(t, standin.Config{}, nil)
	mia := f.standin.Person(101, "Mia")
	f.does(mia, journey()[:4]...)
	f.standin.Fault("sendMessage", standin.Fault{Times: 1, Chat: mia.ID(), DropAfter: true})
	f.say(mia, "just the price")
	f.run(time.Minute)
	if n := times(mia, "Guide price for your Ford Fiesta"); n != 1 && n != 2 {
		t.Errorf("the price was told %d times", n)
	}
	f.standin.Fault("sendMessage", standin.Fault{Times: 1, Chat: mia.ID(), DropAfter: true})
	f.run(14 * 24 * time.Hour)
	if n := times(mia, "price stands until"); n != 1 {
		t.Errorf("reminded %d times", n)
	}
	if d := cmp.Diff([]string{"uncertain"}, f.asides()); d != "" {
		t.Errorf("put aside (-want +got):\n%s", d)
	}
	counts, err := f.ledger.Counts(t.Context())
	if err != nil || counts["aside:uncertain"] != 1 {
		t.Errorf("counted: %v, %v", counts, err)
	}
	f.say(mia, "hello again")
	if !strings.Contains(last(mia), "[") {
		t.Errorf("the chat is stuck behind it: %q", last(mia))
	}
}
