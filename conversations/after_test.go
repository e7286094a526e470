package conversations_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// toldBoss is what the owner was told among some messages.
func toldBoss(said []bot.Message) string {
	var out []string
	for _, m := range said {
		if m.Chat == boss {
			out = append(out, m.Text)
		}
	}
	return strings.Join(out, "\n")
}

// The question whether to call off is answered in words: a yes calls off, a no keeps the
// visit, and anything else does neither.
func TestCallingOffInWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	for _, begins := range []string{"call it off", "sorry need to cancel, wife needs the car", "something's come up need to cancel, sorry", "actually no forget it i need to cancel the whole thing", "what!! ok call it off then", "cancel please"} {
		f := o.fork()
		f.say(mia, begins)
		if m := f.lastTo(mia); !strings.HasPrefix(m.Text, "Call off ") {
			t.Errorf("%q: %s", begins, m.Text)
		}
	}
	for _, says := range []string{"don't cancel it", "cancelled?", "the train was cancelled, I'll walk"} {
		f := o.fork()
		f.say(mia, says)
		if m := f.lastTo(mia); strings.HasPrefix(m.Text, "Call off ") {
			t.Errorf("%q: %s", says, m.Text)
		}
	}
	o.say(mia, "sorry need to cancel, wife needs the car")
	for says, want := range map[string]conversations.Stage{
		"yes": conversations.Closed, "ok": conversations.Closed, "yes call it off": conversations.Closed, "no cancel it": conversations.Closed, "yeah do it": conversations.Closed,
		"yes please": conversations.Closed, "no i said call it off": conversations.Closed, "cancel it": conversations.Closed, "👍": conversations.Closed,
		"no": conversations.Booked, "no thanks": conversations.Booked, "leave it": conversations.Booked, "keep it as it is": conversations.Booked, "no don't cancel it": conversations.Booked,
		"thanks": conversations.Booked, "how much would it be in june": conversations.Booked,
	} {
		f := o.fork()
		f.say(mia, says)
		if e := f.enquiry(mia); e.Stage != want {
			t.Errorf("%q: %q, %s", says, e.Stage, f.lastTo(mia).Text)
		}
	}
}

// Words of thanks after calling off begin nothing, and whether it is off is told.
func TestAfterCallingOff(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.say(mia, "call it off", "yes")
	for says, hears := range map[string]string{"thanks": "You're welcome", "cancelled?": "It's off", "no i said call it off": "It's off", "Thank you, goodbye": "You're welcome", "Has that gone through?": "It's off", "Volvo V60": "What shall we look at?"} {
		f := o.fork()
		f.say(mia, says)
		if m := f.lastTo(mia); !strings.Contains(m.Text, hears) {
			t.Errorf("%q: %s", says, m.Text)
		}
	}
}

// A yes with a condition asks the owner, who reads the condition.
func TestAYesWithACondition(t *testing.T) {
	o := newOffice(t, talk(t))
	o.held(mia, "Ford Fiesta")
	o.tap(mia, "Yes, remind me")
	for says, also := range map[string]bool{"Yes, go ahead, as long as the wax is included": true, "Yes, but only if you can do it after ten": true, "yes please": false, "yes please, thank you": false, "yes please book that": false} {
		f := o.fork()
		f.say(mia, says)
		if e := f.enquiry(mia); e.Stage != conversations.Waits {
			t.Errorf("%q: %s", says, e.Stage)
		}
		if m := f.lastTo(boss); strings.Contains(m.Text, "They also wrote: "+says) != also {
			t.Errorf("%q: %s", says, m.Text)
		}
	}
}

// Who is told to write "carry on" may do so once more than is needed.
func TestCarryOnThatIsNotNeeded(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta")
	o.say(mia, "carry on")
	if m := o.lastTo(mia); !strings.HasPrefix(m.Text, "What shall we look at?") {
		t.Errorf("she reads %q", m.Text)
	}
}

// An hour that overlaps the booking it is to take the place of is free for it.
func TestAnHourOverTheOldOne(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	at := o.enquiry(mia).Slot.Start.Add(time.Hour).In(o.talk.Zone)
	o.say(mia, fmt.Sprintf("can we do it at %d instead", at.Hour()))
	if m := o.lastTo(mia); !strings.Contains(m.Choices[0][0].Label, at.Format("15:04")) {
		t.Errorf("at %s she is offered %v", at.Format("15:04"), m.Choices)
	}
}

// What the owner has written since takes the place of the desk's question.
func TestAYesToTheOwnerCallsNothingOff(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.say(mia, "is there somewhere to wait?", "call it off")
	o.tap(boss, "Write to them")
	o.say(boss, "Would half an hour later help?")
	if said := o.say(mia, "yes"); o.enquiry(mia).Stage != conversations.Booked || !strings.Contains(toldBoss(said), "yes") {
		t.Errorf("stage %q: %s", o.enquiry(mia).Stage, o.lastTo(mia).Text)
	}
}

// His answer to what was handed on is no takeover, whichever of his buttons he takes: the desk
// keeps the chat, and asks him again. To write to somebody of whom nothing waits is one.
func TestOneAnswerIsNoTakeover(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.say(mia, "cheers. cash ok?")
	card := o.fork()
	o.tap(boss, "Write to them")
	o.say(boss, "Cash is fine")
	if o.chatOf(mia).Person {
		t.Error("one answer took the chat over")
	}
	said := o.say(mia, "gr8 see u then")
	if m := o.lastTo(mia); strings.Contains(toldBoss(said), "gr8") || !strings.Contains(m.Text, "welcome") {
		t.Errorf("a friendly word: %q, and he: %q", m.Text, toldBoss(said))
	}
	o.say(mia, "can u do the boot as well, theres nothing in it")
	if m := o.lastTo(mia); strings.Contains(m.Text, "carry on") || !strings.Contains(toldBoss(o.say(mia, "and is there parking for two?")), "parking") {
		t.Errorf("passed on: %q", m.Text)
	}
	card.say(boss, "tell Mia cash is fine")
	card.tap(boss, "Send it")
	card.tap(boss, "Write to them") // nothing waits for him now
	if !card.chatOf(mia).Person {
		t.Error("he wrote by himself, and the desk goes on")
	}
}

// While a visit is booked, what was agreed is told, another time is looked for, and what
// is not followed goes to the owner without the desk falling silent.
func TestAskedOfAVisit(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	for says, hears := range map[string]string{
		"how much was it again": "likely £80", "whats in it again": "In it:", "ok what time do i drop it": "You're booked for",
		"need to change the day": "Which would suit you better?", "can we do 10 instead of 9": "Which would suit you better?", "can i move it": "Which would suit you better?",
		"do I need to move it out the garage": "passed that on",
		"cancelled?":                          "You're booked for", "still on?": "You're booked for",
	} {
		f := o.fork()
		said := f.say(mia, says)
		if m := f.lastTo(mia); !strings.Contains(m.Text, hears) || f.chatOf(mia).Person {
			t.Errorf("%q: %s", says, m.Text)
		}
		if told := toldBoss(said); told != "" && !strings.Contains(told, says) {
			t.Errorf("%q fetches the boss: %s", says, told)
		}
	}
	f := o.fork()
	f.say(mia, "can we do 3pm instead of 12")
	if first := f.lastTo(mia).Choices[0][0].Label; !strings.HasSuffix(first, "15:00") || !strings.HasPrefix(first, o.enquiry(mia).Slot.Start.Format("Mon 2 Jan")) {
		t.Errorf("another hour of that day: %s first", first)
	}
	for i, says := range []string{"is there a toilet?", "is there somewhere to wait?", "how much for a polish in june"} {
		hears := "We've passed that on to the boss; the answer comes here. You're booked for"
		if i > 0 {
			hears = "We've given the boss that too; the answer comes here."
		}
		if told := toldBoss(o.say(mia, says)); !strings.Contains(told, says) || !strings.HasPrefix(o.lastTo(mia).Text, hears) || o.chatOf(mia).Person {
			t.Errorf("%q: boss %q, %s", says, told, o.lastTo(mia).Text)
		}
	}
	o.say(mia, "cheers")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "See you on") {
		t.Errorf("the desk goes on: %s", m.Text)
	}
}

// In the weeks after a job what somebody writes is about that job, unless it plainly
// begins something new; a complaint is one, whole.
func TestWrittenAfterAJob(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	for _, says := range []string{
		"there's a scratch on the door that wasnt there before", "the smell is back", "you've missed the boot", "he left a cloth in the boot",
		"there are swirl marks on the bonnet and he left the arches dirty", "There is still sand under the back seat I'm afraid", "i want my money back",
		"i'm not happy, the wheels are still dirty", "I want to complain please", "why is the smell back?",
	} {
		f := o.fork()
		if told := toldBoss(f.say(mia, says)); !strings.Contains(told, "something isn't right: "+says) || !strings.HasPrefix(f.lastTo(mia).Text, "Thank you for telling us.") {
			t.Errorf("%q: boss %q, %s", says, told, f.lastTo(mia).Text)
		}
		f = o.fork()
		f.say(mia, "person")
		n := len(f.chat[mia])
		if told := toldBoss(f.say(mia, says)); !strings.Contains(told, says) || len(f.chat[mia]) == n {
			t.Errorf("with a person, %q: boss %q, told nothing", says, told)
		}
	}
	for _, says := range []string{"when will it rain proof by", "It is the one you cleaned on Thursday", "my wife says hello to him"} {
		f := o.fork()
		if told := toldBoss(f.say(mia, says)); !strings.Contains(told, "Mia writes, after the job on the Ford Fiesta: "+says) || !strings.HasPrefix(f.lastTo(mia).Text, "We've passed that on") {
			t.Errorf("%q: boss %q, %s", says, told, f.lastTo(mia).Text)
		}
	}
	wash := o.fork()
	if told := toldBoss(wash.say(mia, "can i go through a car wash now?")); !strings.Contains(told, "can i go through a car wash now?") || !strings.Contains(wash.lastTo(mia).Text, "brush washes take it off") {
		t.Errorf("may it go through a car wash: boss %q, %s", told, wash.lastTo(mia).Text)
	}
	for _, says := range []string{"Volvo V60 outside", "how much for the inside", "can you do the inside next week", "golf estate outside at yours", "hi", "book me in again please"} {
		f := o.fork()
		f.say(mia, says)
		if f.enquiry(mia).ID == o.enquiry(mia).ID {
			t.Errorf("%q begins nothing: %s", says, f.lastTo(mia).Text)
		}
	}
	o.say(mia, "the smell is back", "hello??")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "with the boss") {
		t.Errorf("called out: %s", m.Text)
	}
}

// Where a car sleeps is told in words; the half that is missing is asked for.
func TestSleepsInWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	const wash = "And how does it get washed"
	for says, hears := range map[string]string{
		"in a garage, hardly any salt": wash, "garage no salt": wash, "Outside, salted roads": wash, "in the garage": "And does it meet salted roads", "on the drive": "And does it meet salted roads", "no salt here": "And where does it sleep",
		"It stays in the garage. I do not know about salt": wash, "In the garage and hardly any salt": wash, "garage, not sure about salt": wash, "garage and they do salt the roads": wash,
		"It sleeps in a garage, I don't think they salt our road much": wash, "I don't know about the salt": "And where does it sleep", "The Fiesta stays in the garage": "And does it meet salted roads",
		"Oh no, nothing is wrong, I only meant it sleeps in the garage": "And does it meet salted roads",
	} {
		f := o.fork()
		f.say(mia, says)
		if m := f.lastTo(mia); !strings.HasPrefix(m.Text, hears) {
			t.Errorf("%q: %s", says, m.Text)
		}
	}
	o.say(mia, "in the garage", "yes", "by hand, mild shampoo")
	if e := o.enquiry(mia); strings.Join(e.Plan.Wear, " ") != "garaged salted-winter" || !strings.HasPrefix(o.lastTo(mia).Text, "Thank you. The reminder comes") {
		t.Errorf("wear %v: %s", e.Plan.Wear, o.lastTo(mia).Text)
	}
}

// How a car is washed is told in words too, and an answer begins neither a complaint nor a
// new enquiry.
func TestWashedInWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	o.say(mia, "on the drive, hardly any salt")
	for says, wear := range map[string]string{
		"I usually do it by hand with shampoo": "", "my grandson does it with a bucket": "", "car shampoo and a sponge": "", "By hand, and topped up": " washed-and-topped-up",
		"by hand and a bit of spray wax after": " washed-and-topped-up", "car wash at the supermarket": " brush-wash", "the hand car wash on the corner": " strong-soap", "by hand or the car wash": "", "not sure really": "",
	} {
		f := o.fork()
		told := toldBoss(f.say(mia, says))
		hears := strings.HasPrefix(told, "Mia has told us how the Ford Fiesta lives: the reminder comes around ")
		if sooner := wear == " strong-soap" || wear == " brush-wash"; sooner && !hears || wear == " washed-and-topped-up" && hears {
			t.Errorf("%q: of the reminder he hears %q", says, told)
		}
		if told != "" && !hears || f.enquiry(mia).ID != o.enquiry(mia).ID || !strings.HasPrefix(f.lastTo(mia).Text, "Thank you. The reminder comes") {
			t.Errorf("%q: boss %q, %s", says, told, f.lastTo(mia).Text)
		} else if got := strings.Join(f.enquiry(mia).Plan.Wear, " "); got != "kept-outside"+wear {
			t.Errorf("%q: wear %s", says, got)
		}
	}
	o.say(mia, "the smell is back")
	for _, says := range []string{"nothing is wrong, sorry", "sorry, that wasn't a complaint"} {
		f := o.fork()
		if told := toldBoss(f.say(mia, says)); !strings.Contains(told, says) || f.enquiry(mia).Snags[0].Right.IsZero() || !strings.HasPrefix(f.lastTo(mia).Text, "All right. If something") {
			t.Errorf("%q: boss %q, %s", says, told, f.lastTo(mia).Text)
		}
	}
}

// A reminder is put off to a season or a month in words.
func TestPutOffInWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	o.until(o.enquiry(mia).Work.Nudge)
	for says, month := range map[string]time.Month{
		"Not just now dear, ask me in the autumn": time.September, "maybe in the autumn": time.September, "ask me in September": time.September,
		"in the autumn": time.September, "in the new year please": time.February /* none is sent in January */, "sometime in november": time.November, "probably in spring then": time.March,
		"Not just now": 0, "not just now, thank you": 0, "not right now love": 0,
	} {
		f := o.fork()
		told := toldBoss(f.say(mia, says))
		switch m := f.lastTo(mia).Text; {
		case told != "":
			t.Errorf("%q: boss %q", says, told)
		case month == 0 && !strings.HasPrefix(m, "All right. When shall we ask again?"), month != 0 && !strings.HasPrefix(m, "All right, we'll ask again around"):
			t.Errorf("%q: %s", says, m)
		case month != 0 && f.enquiry(mia).Work.Nudge.Month() != month:
			t.Errorf("%q: %v", says, f.enquiry(mia).Work.Nudge)
		}
	}
	f := o.fork()
	if f.say(mia, "The car has been sold"); !strings.HasPrefix(f.lastTo(mia).Text, "Then that was the last about") {
		t.Errorf("sold: %s", f.lastTo(mia).Text)
	}
}

// A nudge is answered in words, and never with the question what car it is.
func TestNudgeInWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	o.until(o.enquiry(mia).Work.Nudge)
	if m := o.lastTo(mia); m.Kind != "nudge" {
		t.Fatalf("no nudge but %s", m.Text)
	}
	for says, hears := range map[string]string{
		"no thanks not needed": "When shall we ask again?", "we sold it": "Then that was the last about the Ford Fiesta", "still beading fine": "Good. We'll ask again", "its gone now, got rid of it": "",
		"go on then": "A quick top-up, or done afresh?", "yes please do it again": "A quick top-up, or done afresh?", "ok how about saturday": "A quick top-up, or done afresh?", "friday": "A quick top-up, or done afresh?",
		"done afresh please": "The Ford Fiesta and the place we know", "just the top up": "The Ford Fiesta and the place we know", "how much for the inside as well": "Gladly. The Ford Fiesta: Outside, Inside.",
		"not sure it looks dull to me": "",
	} {
		f := o.fork()
		f.say(mia, says)
		if m := f.lastTo(mia); !strings.Contains(m.Text, hears) || strings.Contains(m.Text, "What car is it?") {
			t.Errorf("%q: %s", says, m.Text)
		}
	}
	late := o.fork()
	late.until(late.now.AddDate(0, 0, 75)) // there has been one more
	if m := late.lastTo(mia); m.Kind != "follow-up" {
		t.Fatalf("no second one but %s", m.Text)
	}
	for says, hears := range map[string]string{"yes please do it again": "A quick top-up, or done afresh?", "we sold it": "Then that was the last", "done afresh": "The Ford Fiesta and the place we know"} {
		f := late.fork()
		f.say(mia, says)
		if m := f.lastTo(mia); !strings.Contains(m.Text, hears) {
			t.Errorf("after the second, %q: %s", says, m.Text)
		}
	}
	o.say(mia, "ok how about friday", "done afresh")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Friday, right.") {
		t.Errorf("the day they named: %s", m.Text)
	}
}

// Who reads Polish moves a visit in Polish, and calls it off.
func TestMovingInPolish(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	o.booked(mia, "Ford Fiesta")
	o.say(mia, "po polsku")
	o.say(mia, "czy mogę przełożyć na piątek")
	for _, row := range o.lastTo(mia).Choices[:2] {
		if !strings.HasPrefix(row[0].Label, "pt. ") {
			t.Errorf("offered %s, not a Friday: %s", row[0].Label, o.lastTo(mia).Text)
		}
	}
	o.say(mia, "jednak rezygnuję", "tak")
	if e := o.enquiry(mia); e.Stage != conversations.Closed {
		t.Errorf("%q: %s", e.Stage, o.lastTo(mia).Text)
	}
}

// The desk's other questions take the words on their buttons, and a yes or a no.
func TestYesAndNoToWhatTheDeskAsks(t *testing.T) {
	moved := newOffice(t, talk(t))
	moved.booked(mia, "Ford Fiesta")
	was := moved.enquiry(mia).Slot.Start
	moved.tap(boss, "Move it")
	moved.event(boss, bot.Tap{ID: "t", Data: moved.lastTo(boss).Choices[1][0].Data})
	for says, moves := range map[string]bool{"yep": true, "yes that's fine": true, "ok go on then": true, "fine by me, yes": true, "no": false, "nope leave it": false, "no thanks": false} {
		f := moved.fork()
		f.say(mia, says)
		if e := f.enquiry(mia); e.Move != nil || e.Slot.Start.Equal(was) == moves {
			t.Errorf("%q: %s", says, f.lastTo(mia).Text)
		}
	}
	seen := newOffice(t, talk(t))
	seen.begun(mia, "Ford Fiesta", "Outside")
	seen.regrade("Paintwork", "4")
	seen.tap(boss, "Ask for their yes")
	if m := seen.lastTo(mia); !strings.Contains(m.Text, "We've looked at your") {
		t.Fatalf("not asked but told %s", m.Text)
	}
	high := seen.enquiry(mia).Quote.High
	for says, agrees := range map[string]bool{"yes": true, "yeah go ahead": true, "ok": true, "no": false, "i'd rather not": false} {
		f := seen.fork()
		f.say(mia, says)
		if e := f.enquiry(mia); e.Seen != nil || (e.Quote.High > high) != agrees {
			t.Errorf("%q: %s", says, f.lastTo(mia).Text)
		}
	}
	right := newOffice(t, talk(t))
	right.booked(mia, "Ford Fiesta")
	right.done()
	right.say(mia, "the smell is back")
	right.event(boss, bot.Tap{ID: "t", Data: right.lastTo(boss).Choices[0][0].Data})
	right.until(right.enquiry(mia).Snags[0].By.Add(1))
	right.tap(boss, "Put right")
	for says, is := range map[string]bool{"yes": true, "yes thank you": true, "all sorted now": true, "no": false, "still there": false} {
		f := right.fork()
		f.say(mia, says)
		if s := f.enquiry(mia).Snags[0]; s.Right.IsZero() == is || !is && !s.Done.IsZero() {
			t.Errorf("%q: %s", says, f.lastTo(mia).Text)
		}
	}
}
