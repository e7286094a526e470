package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// A word of thanks is answered and fetches nobody, whatever the stage; who names another
// day than theirs is told it; and what only begins like one is still the boss's to read.
// The phrases are common usage, no source.
func TestAFriendlyWordFetchesNobody(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	start := o.enquiry(mia).Slot.Start.In(o.talk.Zone)
	day, other := start.Weekday().String(), start.AddDate(0, 0, 1).Weekday().String()
	for _, c := range []struct {
		says, hears string // hears empty: it is passed on
	}{
		{"ta", "See you"},
		{"thanks mate", "See you"},
		{"brilliant cheers", "See you"},
		{"👍", "See you"},
		{"Ok perfect, thank you so much x", "See you"},
		{"see you on " + day + " then", "See you"},
		{"cheers, see u " + day[:3] + " at " + start.Format("15:04"), "See you"},
		{"see you on " + other + " then", "you're booked for"},
		{"see you " + day + "?", "you're booked for"},
		{"thanks, should I leave the key under the mat?", ""},
		{"great, my mum will be there instead of me", ""},
		{"thanks but I'd rather somebody rang me", ""},
	} {
		f := o.fork()
		said := f.say(mia, c.says)
		toBoss := false
		for _, m := range said {
			toBoss = toBoss || m.Chat == boss
		}
		if passed := f.chatOf(mia).Person; passed || toBoss != (c.hears == "") {
			t.Errorf("after %q: with a person %v, boss told %v:\n%s", c.says, passed, toBoss, f.lastTo(mia).Text)
		}
		if !strings.Contains(f.lastTo(mia).Text, c.hears) {
			t.Errorf("after %q: %q", c.says, f.lastTo(mia).Text)
		}
		if strings.Contains(f.lastTo(mia).Text, "booked for") && !strings.Contains(f.lastTo(mia).Text, start.Format("2 Jan, 15:04")) {
			t.Errorf("after %q their day is not said: %q", c.says, f.lastTo(mia).Text)
		}
	}
}

// While it waits for the boss, and when it is done, the same; nothing begins anew.
func TestAFriendlyWordBeginsNothing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.say(mia, "lovely, thanks")
	if m := o.lastTo(mia); o.chatOf(mia).Person || !strings.Contains(m.Text, "You'll hear") {
		t.Errorf("while it is asked: %q", m.Text)
	}
	o.tap(boss, "Yes, book it")
	o.done()
	count := o.chatOf(mia).Count
	o.say(mia, "wow the car looks amazing, thank you so much!")
	if c := o.chatOf(mia); c.Count != count || !strings.Contains(o.lastTo(mia).Text, "welcome") {
		t.Errorf("when it is done: %q", o.lastTo(mia).Text)
	}
	o.say(mia, "thanks but it's still dirty in the boot")
	if !strings.Contains(o.lastTo(mia).Text, "when it's put right") {
		t.Errorf("what isn't right is taken for thanks: %q", o.lastTo(mia).Text)
	}
}

// While something waits for their yes, "ok" is more than a nod, and is not swallowed.
func TestANodIsNoYes(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.tap(boss, "Look over")
	if m := o.say(mia, "ok thanks"); len(m) == 0 || m[0].Chat != boss {
		t.Errorf("with the boss at the car: %v", m)
	}
}

// A question of their own is answered or goes to the boss, and the form goes on where it
// was: nobody who asks "are you insured" has a car of that name, nor is left with a person.
func TestAQuestionInTheMiddle(t *testing.T) {
	for _, c := range []struct {
		before []string
		says   string
		hears  string
		boss   bool
		at     string
	}{
		{nil, "hi, are you insured?", "one for the boss", true, "vehicle"},
		{[]string{"hello"}, "how long have you been doing this?", "one for the boss", true, "vehicle"},
		{[]string{"hello"}, "do you do vans?", "Yes, we do", false, "wants"},
		{[]string{"hello"}, "thanks", "welcome", false, "vehicle"},
		{[]string{"Ford Fiesta"}, "where are you based?", "We're at ", false, "wants"},
		{[]string{"Ford Fiesta", "outside"}, "how much?", "A few more answers", false, "site"},
		{[]string{"Ford Fiesta", "outside"}, "at yours, do you take card payments?", "the boss will say", true, ""},
		{[]string{"Ford Fiesta", "outside", "at yours"}, "do you work saturdays", "Sat 09:00", false, ""},
		{[]string{"Ford Fiesta", "outside", "at yours", "just the price"}, "how much was it", "guide price", false, "quote"},
		{[]string{"Ford Fiesta", "outside", "at yours", "just the price"}, "ok lovely ta", "", false, ""},
		{[]string{"Ford Fiesta", "outside", "at yours", "just the price"}, "and can you do my husband's Kia Rio as well?", "One car at a time", false, "quote"},
		{[]string{"Ford Fiesta", "outside"}, "hm, what of the tree that drips on it?", "one for the boss", true, "site"},
		{nil, "golf estate inside and out at yours, are you insured?", "one for the boss", true, ""},
		{nil, "hiya, Ford Fiesta inside. do you do leather seats? got 2 dogs", "Yes, we do those", false, "site"},
		{nil, "can you do my mini? do you do headlights", "Yes, we do those", false, "which"},
		{nil, "a valet for my son's Skoda Octavia estate, do you do vouchers?", "one for the boss", true, "site"},
		{nil, "is this a robot", "You're writing with a program", false, "vehicle"},
		{[]string{"Ford Fiesta", "inside"}, "CAN U DO IT WITH MY TOOLS IN OR DO I TAKE THEM OUT", "one for the boss", true, "site"},
		{[]string{"Ford Fiesta", "inside"}, "and will it smell of soap after", "one for the boss", true, "site"},
		{[]string{"Ford Fiesta", "inside"}, "is the mould dangerous? I've a baby", "one for the boss", true, "site"},
		{[]string{"Ford Fiesta", "inside", "at mine"}, "about 5 miles away", "About 5 miles, right", false, "surface"},
		{[]string{"Ford Fiesta", "inside", "at mine", "LS29"}, "ABOUT 5 MILES", "By the postcode it's about 23 miles", false, "surface"},
		{[]string{"Ford Fiesta", "inside", "at mine"}, "it's done 90 miles on the clock", "noted that", false, "surface"},
		{[]string{"Ford Fiesta", "inside"}, "yes", "Which of these", false, "site"},
		{[]string{"Ford Fiesta", "inside"}, "great", "Right you are", false, "site"},
		{[]string{"Ford Fiesta", "inside", "at yours", "just the price"}, "how long will it take", "It takes about", false, "quote"},
		{[]string{"Ford Fiesta", "inside", "at yours", "just the price", "yes"}, "ok book it", "Nearly there", false, "hazards"},
		{[]string{"Ford Fiesta", "inside", "at yours", "just the price", "yes"}, "find a day", "Nearly there", false, "hazards"},
		{[]string{"Ford Fiesta", "inside", "at yours", "just the price"}, "no take that off again", "", false, ""},
		{[]string{"Ford Fiesta", "inside"}, "do I need to pay now", "nothing to pay in advance", false, "site"},
		{[]string{"Ford Fiesta", "inside"}, "ok is that including vat", "VAT", false, "site"},
		{[]string{"Ford Fiesta", "inside"}, "inside please", "We've got that", false, "site"},
		{[]string{"Ford Fiesta", "inside"}, "just the inside", "We've got that", false, "site"},
		{[]string{"Ford Fiesta", "inside"}, "I don't want him to know about it", "noted that for the boss", false, "site"},
		{[]string{"Ford Fiesta", "inside", "your place"}, "its kinda dirty", "comes nearest", false, "cond-interior"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.before...)
		told := false
		for _, m := range o.say(mia, c.says) {
			told = told || m.Chat == boss && strings.Contains(m.Text, c.says)
		}
		e, m := o.enquiry(mia), o.lastTo(mia)
		if told != c.boss || !strings.Contains(m.Text, c.hears) || c.at != "" && e.At != c.at || o.puzzled(m) || o.chatOf(mia).Person || len(m.Choices) == 0 {
			t.Errorf("%q after %q: at %q, boss told %v:\n%s", c.says, c.before, e.At, told, m.Text)
		}
	}
}

// The boss's answer to such a question leaves the customer with the desk.
func TestAnAnswerInTheMiddle(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "hello", "are you insured?")
	o.tap(boss, "Write to them")
	o.say(boss, "Yes, fully.")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Yes, fully.") {
		t.Errorf("the answer: %q", m.Text)
	}
	o.say(mia, "Ford Fiesta")
	if e := o.enquiry(mia); e.Car == nil || e.At != "wants" {
		t.Errorf("then at %q with %v", e.At, e.Car)
	}
}

// Whoever wants to be rung gets a person, with the number they gave.
func TestAskingForACall(t *testing.T) {
	o := newOffice(t, talk(t))
	said := o.say(mia, "can someone ring me on 07700 900123 please")
	passed := false
	for _, m := range said {
		passed = passed || m.Chat == boss && strings.Contains(m.Text, "07700 900123")
	}
	if !passed || !o.chatOf(mia).Person {
		t.Errorf("the boss was told: %v", said)
	}
}

// The owner's word that a job is paid does what the button does: for the one it can be,
// by name or sum; otherwise he is asked which. It is no note, and no other job's.
func TestPaidIsAWord(t *testing.T) {
	finish := func(o *office, who bot.ChatID, car, sum string) {
		o.booked(who, car)
		o.tap(boss, "Done")
		o.say(boss, "150", sum)
		o.tap(boss, "That's all ›")
		o.now = o.now.Add(time.Hour)
	}
	one := newOffice(t, talk(t))
	finish(one, mia, "Ford Fiesta", "85")
	two := newOffice(t, talk(t))
	finish(two, mia, "Ford Fiesta", "85")
	finish(two, zoe, "Kia Rio", "90")
	for _, c := range []struct {
		o        *office
		says     string
		mia, zoe bool
		hears    string
	}{
		{one, "paid cash", true, false, "£85: paid"},
		{one, "Mia paid by card", true, false, "£85: paid"},
		{one, "that's the fiesta paid, 85 quid", true, false, "£85: paid"},
		{one, "mia paid 70", false, false, "Is all of it here?"},
		{one, "not paid yet", false, false, "Down as open"},
		{one, "paid the supplier", false, false, "didn't follow"},
		{one, "deposit paid", false, false, "didn't follow"},
		{two, "Zoe's paid", false, true, "Zoe"},
		{two, "90 paid cash", false, true, "Zoe"},
		{two, "the fiesta has paid", true, false, "Mia"},
		{two, "paid cash", false, false, "Whose is it?"},
	} {
		o := c.o.fork()
		o.say(boss, c.says)
		paid := func(who bot.ChatID) bool { e := o.enquiry(who); return e.Work != nil && !e.Work.Paid.IsZero() }
		if paid(mia) != c.mia || paid(zoe) != c.zoe || !strings.Contains(o.lastTo(boss).Text, c.hears) {
			t.Errorf("after %q paid: %v and %v:\n%s", c.says, paid(mia), paid(zoe), o.lastTo(boss).Text)
		}
	}
	o := two.fork()
	o.say(boss, "paid cash")
	for _, row := range o.lastTo(boss).Choices {
		if strings.HasPrefix(row[0].Label, "Zoe") {
			o.tap(boss, row[0].Label)
			break
		}
	}
	if e := o.enquiry(zoe); e.Work.Paid.IsZero() {
		t.Errorf("the one that was tapped is not paid: %s", o.lastTo(boss).Text)
	}
	o.say(boss, "mia paid too")
	o.say(boss, "paid")
	if !strings.Contains(o.lastTo(boss).Text, "Nothing is open") {
		t.Errorf("with nothing open: %s", o.lastTo(boss).Text)
	}
}

// Paid may be said before the job is finished, with the sum or behind it.
func TestPaidWhileFinishing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.tap(boss, "Done")
	o.say(boss, "150", "£95 cash", "paid cash")
	if !strings.Contains(o.lastTo(boss).Text, "What was put on?") {
		t.Errorf("the ticks are not shown again: %s", o.lastTo(boss).Text)
	}
	o.tap(boss, "That's all ›")
	e := o.enquiry(mia)
	if e.Work.Price != 9500 || e.Work.Paid.IsZero() {
		t.Errorf("it came to %d, paid %v", e.Work.Price, e.Work.Paid)
	}
	for _, row := range o.lastTo(boss).Choices {
		for _, b := range row {
			if b.Label == "Paid" {
				t.Error("what is paid is asked again")
			}
		}
	}
}

// Thumbed in a hurry, an answer is still one: as it is spelled, with small words around it,
// by its place on the list; and who names a day at the price goes on to the days.
func TestAnswersInAHurry(t *testing.T) {
	for _, c := range []struct {
		before []string
		says   string
		at     string // the question that is left behind
		answer string
	}{
		{[]string{"Ford Fiesta", "inside", "your place", "3"}, "nah mate none that i know of", "cond-stains", "1"},
		{[]string{"Ford Fiesta", "inside", "your place"}, "go on then book it", "cond-interior", "tell"},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price"}, "ok lovely thurs pls", "quote", "done"},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price"}, "ooh bit dear that", "quote", "fit"},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price"}, "sounds good ta", "quote", "done"},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price"}, "not sure, what would you do", "quote", ""},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price", "yes"}, "no nothing like that", "hazards", "done"},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price", "yes"}, "nowt", "hazards", "done"},
		{[]string{"Ford Fiesta", "inside", "your place", "just the price", "yes", "no"}, "no pics sorry", "photo", "skip"},
		{[]string{"Ford Fiesta", "outside", "your place", "just the price", "yes", "no", "no photo", "yeh first one"}, "nah", "consent", "no"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.before...)
		if at := o.enquiry(mia).At; at != c.at {
			t.Errorf("%q leads to %q, not to %q:\n%s", c.before, at, c.at, o.lastTo(mia).Text)
			continue
		}
		o.say(mia, c.says)
		if got := strings.Join(o.enquiry(mia).Answers[c.at], " "); got != c.answer {
			t.Errorf("%q answers %s with %q, want %q:\n%s", c.says, c.at, got, c.answer, o.lastTo(mia).Text)
		}
	}
	// A yes where it answers nothing is no thanks.
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta", "inside", "your place", "yes")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "comes nearest") {
		t.Errorf("yes to a number: %s", m.Text)
	}
}

// What the owner says in his own words about his day does what its button does.
func TestOwnersOwnWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(zoe, "Kia Rio")
	for _, c := range []struct{ says, hears string }{
		{"ok book it", "Booked: Zoe"},
		{"book zoe", "Booked: Zoe"},
		{"next week", "Mon 19 Apr"},
		{"week", "1 asked for"},
		{"thursday off", "Off: Thu 15 Apr"},
		{"friday morning off", "Off: Fri 16 Apr"},
		{"bring", "nothing to load"},
		{"how much have i earned", "asked, "},
		{"who owes me", "Nothing is open"},
		{"thanks", "Any time"},
		{"take the wheels off", "didn't follow"},
	} {
		f := o.fork()
		f.say(boss, c.says)
		if m := f.lastTo(boss); !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q is answered with %q", c.says, m.Text)
		}
		if e := f.enquiry(zoe); e.Stage != "asked" && !strings.HasPrefix(c.hears, "Booked") {
			t.Errorf("%q makes the request %q", c.says, e.Stage)
		}
	}
	o.tap(boss, "Yes, book it")
	o.tap(boss, "Done")
	o.say(boss, "150", "85")
	o.tap(boss, "That's all ›")
	o.say(boss, "who owes me")
	o.tap(boss, o.lastTo(boss).Choices[0][0].Label)
	if e := o.enquiry(zoe); e.Work.Paid.IsZero() {
		t.Errorf("tapped on the list, and not paid: %s", o.lastTo(boss).Text)
	}
}

// Of several questions none is lost, and a no or a number with a reason is taken with it.
func TestNoQuestionIsLost(t *testing.T) {
	o := newOffice(t, talk(t))
	step := func(says, boss, hears string) {
		t.Helper()
		if told := toldBoss(o.say(mia, says)); !strings.Contains(told, boss) || !strings.Contains(o.lastTo(mia).Text, hears) {
			t.Errorf("%q: boss %q, %s", says, told, o.lastTo(mia).Text)
		}
	}
	noted := func(says string) {
		t.Helper()
		if n := o.enquiry(mia).Noted; !slices.Contains(n, says) {
			t.Errorf("%q is not noted: %q", says, n)
		}
	}
	o.say(mia, "skoda octavia estate, inside and seats shampooed, can bring it to u", "probably 3")
	step("2, juice i think", "", "noted that for the boss")
	noted("2, juice i think")
	for o.enquiry(mia).At != "quote" {
		o.say(mia, "1")
	}
	step("Is that including VAT? And do I need to leave the car with you or may I wait?", "or may I wait?", "aren't registered for VAT")
	step("hang on do i need to take the kids seats out", "", "Please empty it beforehand")
	o.tap(mia, "Find a day ›")
	step("no just kids", "", "✓ Nothing like that")
	noted("no just kids")
}

// A no to the reminder is one with its reason as well.
func TestNoReminderWithAReason(t *testing.T) {
	for _, says := range []string{"no its being sold", "no need im selling it", "wont need it", "no i sell it in may"} {
		o := newOffice(t, talk(t))
		o.priced(mia, "Ford Fiesta")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
		if o.enquiry(mia).At != "consent" {
			t.Fatalf("at %s", o.enquiry(mia).At)
		}
		if o.say(mia, says); strings.Join(o.enquiry(mia).Answers["consent"], "") != "no" || o.enquiry(mia).At != "confirm" {
			t.Errorf("%q: %s", says, o.lastTo(mia).Text)
		}
		said := o.say(mia, "yes pls. wont have to walk far will i")
		heard := slices.ContainsFunc(said, func(m bot.Message) bool { return m.Chat == mia && strings.Contains(m.Text, "one for the boss") })
		if told := toldBoss(said); o.enquiry(mia).Slot == nil || !strings.Contains(told, "asks: ") || !heard {
			t.Errorf("yes and a question: boss %q, %s", told, o.lastTo(mia).Text)
		}
	}
}
