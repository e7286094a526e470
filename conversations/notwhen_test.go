package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// A question that only names a time is answered, or goes to the boss, and changes nothing
// of the times on the table, nor of the one that is kept. One that asks for a time is a
// wish still.
func TestAQuestionWithATimeIsNoWish(t *testing.T) {
	for _, tc := range []struct {
		said   string
		answer string // in what the customer hears
		boss   bool   // it is put to him
		wish   bool
	}{
		{said: "will the seats be dry by the evening?", answer: "Nothing in this work stays wet for long."},
		{said: "how long does it take to dry, I need it at 6", answer: "we finish by about"},
		{said: "will the road works be a bother on friday?", boss: true},
		{said: "will the dog next door be a problem on Monday?", boss: true},
		{said: "have you got anything monday?", wish: true},
		{said: "could my wife drop it off on Monday?", wish: true},
		{said: "is monday ok for you guys?", wish: true},
	} {
		for _, held := range []bool{false, true} {
			o := newOffice(t, talk(t))
			o.now = time.Date(2027, 4, 13, 17, 40, 0, 0, time.UTC)
			o.say(mia, "Ford Fiesta inside, I'd bring it", "just the price")
			o.tap(mia, "Find a day", "Nothing like that", "No photo")
			if held {
				o.tap(mia, o.times(mia)[1])
			}
			before, n := buttons(o.lastTo(mia)), len(o.said)
			o.say(mia, tc.said)
			same := slices.Equal(before, buttons(o.lastTo(mia))) && (o.enquiry(mia).Slot != nil) == held
			if !held && same == tc.wish || held && !tc.wish && !same {
				t.Errorf("%q (held: %v) makes %q of %q", tc.said, held, buttons(o.lastTo(mia)), before)
			}
			if !strings.Contains(o.lastTo(mia).Text, tc.answer) {
				t.Errorf("%q (held: %v): %q, without %q", tc.said, held, o.lastTo(mia).Text, tc.answer)
			}
			if got := o.heard(boss, n, "asks: "+tc.said); got != tc.boss && !tc.wish {
				t.Errorf("%q (held: %v) put to the boss: %v", tc.said, held, got)
			}
		}
	}
}

// Whose day is taken reads so, with what is nearest: that day at other hours, other days at
// that hour, and the next such day. Days beyond the one until which a price stands are
// offered with it.
func TestTheDayThatWasNamedIsTaken(t *testing.T) {
	o := newOffice(t, talk(t))
	o.now = time.Date(2027, 4, 10, 9, 0, 0, 0, time.UTC)
	o.say(boss, "off 13 Apr 8:00 to 12:00")
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.say(mia, "can you do tuesday, about 9?")
	m, want := o.lastTo(mia), []string{"Mon 12 Apr, 09:00", "Tue 13 Apr, 12:00", "Tue 20 Apr, 09:00"}
	if !strings.Contains(m.Text, "Nothing is free then on Tue 13 Apr, sorry.") || strings.Contains(m.Text, "would suit") {
		t.Errorf("reads %q", m.Text)
	}
	for _, w := range want {
		if !slices.Contains(buttons(m), w) {
			t.Errorf("offers %q, without %s", buttons(m), w)
		}
	}
	if strings.Contains(m.Text, "your price holds") {
		t.Errorf("of days within the price: %q", m.Text)
	}
	o.say(mia, "can you do tuesday the 27th, about 9?")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Choose by Sat 24 Apr and your price holds") || !slices.Contains(buttons(m), "Tue 27 Apr, 09:00") {
		t.Errorf("of days beyond the price: %q, with %q", m.Text, buttons(m))
	}
}

// An hour somebody is busy at is none to come at, a night is the end of its day, and "sats"
// are Saturdays, kept for the times from the price on.
func TestBusyAtThatHour(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	for _, says := range []string{"Do you have anything on Thursday, in the morning? I have the hairdresser at 2", "anything thursday morning? got the dentist at 2"} {
		f := o.fork()
		said := f.say(mia, says)
		offered := f.times(mia)
		if len(offered) == 0 || toldBoss(said) != "" {
			t.Errorf("%q: offered %q, and he heard %q", says, offered, toldBoss(said))
		}
		for _, at := range offered {
			if !strings.HasPrefix(at, "Thu") || at[len(at)-5:] > "12:00" {
				t.Errorf("%q: offered %q", says, offered)
			}
		}
	}
	o = newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	sat := o.fork()
	sat.say(mia, "ok sound. when can u do it, sats best for me", "nothing like that", "no photo")
	if offered := sat.times(mia); len(offered) == 0 || !strings.HasPrefix(offered[0], "Sat") {
		t.Errorf("sats: %q", offered)
	}
	o.say(mia, "fine. needs to be done by fri night, when can u fit me in", "nothing like that", "no photo")
	if e, m := o.enquiry(mia), o.lastTo(mia); len(e.Times) > 0 || e.Needed == "" || strings.Contains(m.Text, "Nothing is free") {
		t.Errorf("by Friday night: %+v, needed %q\n%s", e.Times, e.Needed, m.Text)
	}
}

// Who has only the outside done need not empty the car.
func TestEmptiedOnlyForTheInside(t *testing.T) {
	for work, empties := range map[string]bool{"just the outside": false, "inside and out": true} {
		o := newOffice(t, talk(t))
		o.say(mia, "mx5, "+work+", ill bring it", "just the price")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		o.tap(mia, o.times(mia)[0])
		for o.enquiry(mia).At != "confirm" {
			o.say(mia, "no thank you")
		}
		o.tap(mia, "Yes, ask for it")
		var booked string
		for _, m := range o.tap(boss, "Yes, book it") {
			if m.Chat == mia && strings.Contains(m.Text, "It's booked") {
				booked = m.Text
			}
		}
		if booked == "" || strings.Contains(booked, "empty the car") != empties {
			t.Errorf("%s: %q", work, booked)
		}
	}
}

// What is to be before somebody's event on a day of the week with its date is before that
// date: the day itself is not offered, and the card says so, whatever day is named since.
func TestBeforeTheWedding(t *testing.T) {
	o := newOffice(t, talk(t))
	o.now = time.Date(2027, 6, 2, 9, 5, 0, 0, time.UTC)
	o.say(mia, "Toyota Aygo, wash and wax please, I bring it to you, before my nieces wedding on Saturday 19th June", "just the price")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	for _, offer := range o.times(mia) {
		if strings.Contains(offer, "19 Jun") {
			t.Errorf("%s is the wedding", offer)
		}
	}
	if n := len(o.times(mia)); n < 2 {
		t.Errorf("%d times offered", n)
	}
	o.say(mia, "what about friday 18th?")
	o.tap(mia, o.times(mia)[0], "No, thank you", "Yes, ask for it")
	if card := o.lastTo(boss).Text; !strings.Contains(card, "asks for Fri 18 Jun") || !strings.Contains(card, "Needed before Sat 19 Jun") {
		t.Errorf("the card reads %q", card)
	}
}

// A wish for a day, an hour or the earliest time is met with times like that, or told that
// there is none; nobody else need be asked.
func TestWhatIsAskedOfTheTimes(t *testing.T) {
	for _, tc := range []struct {
		said  string
		reads string // in the answer
		times []string
	}{
		{said: "a saturday in october please", times: []string{"Sat 2 Oct", "Sat 2 Oct", "Sat 2 Oct", "Sat 9 Oct"}},
		{said: "some sat in october if poss", times: []string{"Sat 2 Oct", "Sat 2 Oct", "Sat 2 Oct", "Sat 9 Oct"}},
		{said: "can we not do saturday 2nd then", times: []string{"Sat 2 Oct", "Sat 2 Oct", "Sat 2 Oct"}},
		{said: "anything later in the day? im at work till 2", times: []string{"Mon 20 Sep, 14:00", "Tue 21 Sep, 14:00", "Wed 22 Sep, 14:00", "Thu 23 Sep, 14:00"}},
		{said: "anything earlier?", reads: "Mon 20 Sep, 09:00 is the earliest we have."},
		{said: "whats the soonest you can do", reads: "Mon 20 Sep, 09:00 is the earliest we have."},
		{said: "the 9 oclock one please", times: []string{"Mon 20 Sep, 09:00", "Tue 21 Sep, 09:00", "Wed 22 Sep, 09:00", "Thu 23 Sep, 09:00"}},
		{said: "sat 25th 9 please. do i need to take the kids seats out", reads: "child seats"},
		{said: "sat 25th 9 please. do i need to take the kids seats out", reads: "Sat 25 Sep, 09:00 is free."},
	} {
		o := newOffice(t, talk(t))
		o.now = time.Date(2027, 9, 18, 9, 5, 0, 0, time.UTC)
		o.say(mia, "Toyota Aygo, inside please, I bring it to you", "just the price")
		o.say(mia, "whats the soonest you can do")
		if got := o.lastTo(mia).Text; !strings.Contains(got, "The first free time is Mon 20 Sep, 09:00.") {
			t.Errorf("at the price: %q", got)
		}
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		n := len(o.said)
		o.say(mia, tc.said)
		m := o.lastTo(mia)
		if !strings.Contains(m.Text, tc.reads) || o.heard(boss, n, "asks") {
			t.Errorf("%q: %q, without %q, or put to the boss", tc.said, m.Text, tc.reads)
		}
		for i, want := range tc.times {
			if got := o.times(mia); i >= len(got) || !strings.HasPrefix(got[i], want) {
				t.Errorf("%q offers %q, want %q", tc.said, got, tc.times)
				break
			}
		}
	}
}
