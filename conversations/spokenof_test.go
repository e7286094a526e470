package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// A name shows that customer's visit as it stands, whatever is said around it, and does
// nothing; under a yes or a no with more words the buttons come again.
func TestANameShowsTheVisit(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	for _, c := range []struct{ says, hears, button string }{
		{"mia", "Mia asks for", "Yes, book it"},
		{"wheres mia live?", "Mia asks for", "Adjust"},
		{"cancel the fiesta", "Mia asks for", "No"},
		{"no cant do that time, can he do friday", "Do you mean Mia, Ford Fiesta, Tue 13 Apr, 12:00?", "No"},
		{"nope, mia wants wednesday at 9", "Do you mean Mia", "No"},
		{"blue is the colour", "didn't follow", "Tue 13 Apr, 12:00 Mia ›"},
	} {
		f := o.fork()
		f.say(boss, c.says)
		if m := f.lastTo(boss); !strings.Contains(m.Text, c.hears) || f.enquiry(mia).Stage != conversations.Waits {
			t.Errorf("%q is answered with %q, Mia is %q", c.says, m.Text, f.enquiry(mia).Stage)
		}
		f.button(boss, c.button)
	}
	o.asked(zoe, "Kia Rio")
	o.say(boss, "yes")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Which one?") || len(m.Choices) != 2 {
		t.Errorf("with two waiting: %q with %v", m.Text, m.Choices)
	}
}

// A word about the job before him does what its button does; before its time, or with
// two of them, it only shows what there is.
func TestWordsOnTheDay(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	at := start.enquiry(mia).Slot.Start
	for _, c := range []struct {
		after       time.Duration
		says, hears string
	}{
		{-2 * time.Hour, "done", "didn't follow"},
		{-2 * time.Hour, "mia done", "12:00 to about 14:00: Mia"},
		{5 * time.Minute, "no one here", "Mia has been asked"},
		{5 * time.Minute, "mia's not answering", "Mia has been asked"},
		{5 * time.Minute, "she's here now", "once round with the phone"},
		{5 * time.Minute, "starting mia", "1 of "},
		{90 * time.Minute, "done", "how long did it take?"},
		{90 * time.Minute, "finished the fiesta mate", "how long did it take?"},
		{5 * time.Minute, "what now", "12:00 to about 14:00: Mia"},
	} {
		o := start.fork()
		o.until(at.Add(c.after))
		o.say(boss, c.says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q, %v after: %q", c.says, c.after, m.Text)
		}
	}
	// A photograph nobody can place comes with the job it may be of.
	p := start.fork()
	p.until(at.Add(5 * time.Minute))
	p.event(boss, p.picture(""))
	p.tap(boss, "12:00 Mia ›")
	// Asked once, they need not read it again.
	o := start.fork()
	o.until(at.Add(5 * time.Minute))
	n := len(o.said)
	o.say(boss, "nobody here", "no answer")
	if got := o.count(mia, n, "Is everything all right?"); got != 1 {
		t.Errorf("Mia is asked %d times where she is", got)
	}
}

// A line for somebody is shown before it goes, and the tap sends that line and no other.
func TestALineIsShownBeforeItGoes(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	n := len(o.said)
	o.say(boss, "tell mia I'm round the back")
	if m := o.lastTo(boss); !strings.Contains(m.Text, `Mia would read: "I'm round the back"`) || o.count(mia, n, "") != 0 {
		t.Fatalf("shown: %q; Mia has heard %d", m.Text, o.count(mia, n, ""))
	}
	old := o.button(boss, "Send it")
	o.say(boss, "text mia the gate is shut")
	o.event(boss, old)
	if o.count(mia, n, "round the back") != 0 || o.count(mia, n, "gate") != 0 {
		t.Errorf("an old button sent %q", o.lastTo(mia).Text)
	}
	o.say(boss, "tell her the gate is shut")
	o.tap(boss, "Send it")
	if !strings.Contains(o.lastTo(mia).Text, "the gate is shut") {
		t.Errorf("Mia reads %q", o.lastTo(mia).Text)
	}
	// What he writes to somebody is theirs, whatever it could mean to the desk.
	o.tap(boss, "Write to them")
	o.say(boss, "hello")
	if !strings.Contains(o.lastTo(mia).Text, "hello") {
		t.Errorf("Mia reads %q, he %q", o.lastTo(mia).Text, o.lastTo(boss).Text)
	}
	// Two of them: by their names.
	o.booked(zoe, "Kia Rio")
	o.say(boss, "tell them I'm off sick")
	for _, row := range o.lastTo(boss).Choices {
		if strings.HasSuffix(row[0].Label, "Zoe ›") {
			o.tap(boss, row[0].Label)
			break
		}
	}
	if !strings.Contains(o.lastTo(zoe).Text, "off sick") || strings.Contains(o.lastTo(mia).Text, "off sick") {
		t.Errorf("Zoe reads %q, Mia %q", o.lastTo(zoe).Text, o.lastTo(mia).Text)
	}
}

// What is typed at "Why not?" is a reason, shown before it goes; the time he said no to
// is not offered again.
func TestAReasonThatIsTyped(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.tap(boss, "No")
	f := o.fork()
	f.say(boss, "today")
	if m := f.lastTo(boss); !strings.HasPrefix(m.Text, "Mon 12 Apr") {
		t.Errorf("a word of the desk is taken for a reason: %q", m.Text)
	}
	o.say(boss, "too busy that week, sorry")
	if e := o.enquiry(mia); e.Stage != conversations.Waits || !strings.Contains(o.lastTo(boss).Text, "too busy that week") {
		t.Fatalf("before the tap she is %q, he reads %q", e.Stage, o.lastTo(boss).Text)
	}
	o.tap(boss, "Send it")
	if !strings.Contains(o.lastTo(mia).Text, "too busy that week, sorry") || o.enquiry(mia).Stage != conversations.Asking {
		t.Errorf("Mia reads %q", o.lastTo(mia).Text)
	}
	o = newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	was := o.enquiry(mia).Slot.Start
	o.tap(boss, "No", "Not that time")
	for _, label := range o.times(mia) {
		if strings.Contains(label, was.In(o.talk.Zone).Format("Mon 2 Jan, 15:04")) {
			t.Errorf("offered again: %s", label)
		}
	}
}

// "Late" without a figure is asked about, whoever is waiting at that moment is not passed
// over, and a job that runs over says who comes next.
func TestLateInHisOwnWords(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.bookedOn(zoe, "Tuesday 13 April at 3pm")
	at, next := start.enquiry(mia).Slot.Start, start.enquiry(zoe).Slot.Start
	if at.In(start.talk.Zone).Day() != next.In(start.talk.Zone).Day() || !next.After(at) {
		t.Fatalf("booked for %v and %v", at, next)
	}
	for _, c := range []struct {
		after    time.Duration
		says     []string
		hears    string
		mia, zoe time.Duration // later
	}{
		{-time.Hour, []string{"running late"}, "How late will you be for Mia, 12:00?", 0, 0},
		{-time.Hour, []string{"stuck in traffic", "25"}, "Mia knows: 12:25", 25, 0},
		{-time.Hour, []string{"half an hour late for zoe"}, "Zoe knows", 0, 30},
		{-time.Hour, []string{"gonna be an hour late"}, "Mia knows: 13:00", 60, 0},
		{-time.Hour, []string{"late", "today"}, "Tue 13 Apr", 0, 0},
		{5 * time.Minute, []string{"20 late"}, "Late for whom?", 0, 0},
		{5 * time.Minute, []string{"20 late for mia"}, "Mia knows: 12:20", 20, 0},
		{45 * time.Minute, []string{"20 late"}, "Zoe knows", 0, 20},
		{-time.Hour, []string{"the late fee is wrong"}, "didn't follow", 0, 0},
	} {
		o := start.fork()
		o.until(at.Add(c.after))
		o.say(boss, c.says...)
		m := o.lastTo(boss)
		if !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q, %v after: %q", c.says, c.after, m.Text)
		}
		for who, want := range map[bot.ChatID]time.Duration{mia: c.mia, zoe: c.zoe} {
			was := start.enquiry(who).Slot.Start
			if got := o.enquiry(who).Slot.Start.Sub(was); got != want*time.Minute {
				t.Errorf("%q: %s is %v later, want %v", c.says, names[who], got, want*time.Minute)
			}
		}
	}
	o := start.fork()
	o.until(at.Add(5 * time.Minute))
	o.say(boss, "20 late")
	o.tap(boss, "12:00 Mia ›")
	if !strings.Contains(o.lastTo(mia).Text, "20 minutes late") {
		t.Errorf("Mia reads %q", o.lastTo(mia).Text)
	}
	o = start.fork()
	o.until(at.Add(time.Hour))
	o.say(boss, "taking 2 hours longer")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Mia's Ford Fiesta until about 16:00") || !strings.Contains(m.Text, "Zoe is next") {
		t.Errorf("he reads %q", m.Text)
	}
	for says, want := range map[string]string{"need another hour": "about 15:00", "need 2 more hours": "about 16:00", "another hour and a half": "about 15:30", "gona need 40 more mins": "about 14:40", "an hour to go": "about 14:00", "2 hours left": "about 15:00", "half an hour over": "about 14:30", "this is taking longer, about another hr": "about 15:00", "need another hour on this": "about 15:00", "running over by half an hour": "about 14:30", "needs another half hour": "about 14:30", "gonna be another hour on this one": "about 15:00", "1 hour longer for mia": "about 15:00"} {
		f := start.fork()
		f.until(at.Add(time.Hour))
		f.say(boss, says)
		if m := f.lastTo(boss); !strings.Contains(m.Text, want) {
			t.Errorf("%q is answered with %q, want %q", says, m.Text, want)
		}
	}
	f := start.fork()
	f.until(at.Add(time.Hour))
	f.say(boss, "shes here", "needs another hour", "and another hour")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "until about 16:00") || !slices.Contains(buttons(m), "Tell Zoe: 60 min late") {
		t.Errorf("twice an hour more: he reads %q", m.Text)
	}
	f.say(boss, "today")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "12:00–16:00 Mia") {
		t.Errorf("the day shows %q", m.Text)
	}
	n := len(o.said)
	o.tap(boss, "Tell Zoe")
	if !o.heard(zoe, n, "late, sorry") {
		t.Errorf("Zoe reads %q", o.lastTo(zoe).Text)
	}
}

// Money that is here already is said with what the job came to.
func TestPaidWithThePrice(t *testing.T) {
	for _, says := range []string{"90 cash paid", "£90 paid cash", "90 paid", "paid 90 by card"} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.tap(boss, "Done")
		n := len(o.said)
		o.say(boss, "2 hours", says, "that's it")
		if e := o.enquiry(mia); e.Work == nil || e.Work.Price != 9000 || e.Work.Paid.IsZero() {
			t.Errorf("%q: %+v, %q", says, e.Work, toldBoss(o.said[n:]))
		}
	}
}

// At the end of a job every question is asked again in its own words, not in those of the
// first; what is typed counts, and money may come in parts.
func TestTheEndInWords(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.tap(boss, "Done")
	for _, c := range []struct{ says, hears string }{
		{"ages", "How long, please"},
		{"roughly 2 hours", "2 hours. What did it come to?"},
		{"cash", "An amount, please"},
		{"90", "What was put on?"},
		{"receipt?", "What was put on?"},
		{"eh?", "What was put on?"},
		{"hand wax and spray sealant", "What was put on?"},
		{"that's it", "Finished: Mia"},
		{"half", "£90 of Mia's is open"},
	} {
		o.say(boss, c.says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q is answered with %q", c.says, m.Text)
		}
	}
	if got := strings.Join(o.enquiry(mia).Work.Protections, " "); got != "spray-sealant wax" && got != "spray wax" {
		t.Errorf("put on: %s", got)
	}
	part := o.button(boss, "£45 so far")
	o.event(boss, part)
	o.event(boss, part) // pressed twice
	if e := o.enquiry(mia); e.Work.Part != 4500 || !e.Work.Paid.IsZero() {
		t.Errorf("%d has come, paid %v", e.Work.Part, e.Work.Paid)
	}
	o.say(boss, "who owes me")
	o.tap(boss, "Mia, £45")
	if e := o.enquiry(mia); e.Work.Paid.IsZero() {
		t.Error("the rest does not count")
	}
	o.say(boss, "tomorrow")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "done, £90.") {
		t.Errorf("the day says %q", m.Text)
	}
}

// Grades and a price may be typed where they are asked for; at the car a number, a
// question or thanks is no damage, and what was noted by a slip is taken back.
func TestWhatIsTypedAtTheCar(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Look over")
	o.say(boss, "scratch on the bumper", "20", "ok?", "ta", "long dent, left")
	if d := o.enquiry(mia).Job.Damage; len(d) != 2 {
		t.Errorf("noted as damage: %q", d)
	}
	o.say(boss, "chips on the bonnet")
	o.tap(boss, "Cross out the last damage")
	if d := o.enquiry(mia).Job.Damage; strings.Join(d, "") != "scratch on the bumperlong dent, left" {
		t.Errorf("after taking one back: %q", d)
	}
	o.tap(boss, "Grades", "Paintwork")
	o.say(boss, "4 really bad")
	if e := o.enquiry(mia); e.Graded["paintwork"] != 4 && e.Graded["paint"] != 4 || strings.Contains(o.lastTo(boss).Text, "tell") {
		t.Errorf("graded %v: %q", e.Graded, o.lastTo(boss).Text)
	}
	o.say(boss, "make it 120")
	if e := o.enquiry(mia); e.Seen == nil || e.Seen.Likely != 12000 {
		t.Errorf("by hand %+v", e.ByHand)
	}
	o.tap(boss, "Ask for their yes")
	o.tap(mia, "I'd rather not")
	o.button(boss, "Start work ›") // the way on
	if d := o.enquiry(mia).Job.Damage; len(d) != 2 {
		t.Errorf("noted as damage: %q", d)
	}
}

// Whoever is to be erased is not erased by a word, and rain that is only talked of offers
// nobody another day.
func TestWordsThatDoNothing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.bookedAway(mia, "Wednesday 14 April at 9")
	o.until(time.Date(2027, 4, 14, 6, 0, 0, 0, time.UTC))
	n := len(o.said)
	for says, hears := range map[string]string{"diary": "Wed 14 Apr: 1 job", "how am I doing": "to come", "forget mia": "dryhand find Mia", "delete mia pls": "dryhand find Mia", "it's raining": "09:00", "hello": "This is your desk", "?": "This is your desk"} {
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, hears) {
			t.Errorf("%q is answered with %q", says, m.Text)
		}
	}
	o.button(boss, "Today")
	if o.count(mia, n, "") != 0 {
		t.Errorf("Mia hears %q", o.lastTo(mia).Text)
	}
}

// The owner's short words work in Polish as they are written, marks and all.
func TestOwnersWordsInPolish(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.Start.Add(-time.Hour))
	o.say(boss, "po polsku")
	for _, c := range []struct{ says, hears string }{
		{"pomoc", "To Twoja recepcja"},
		{"kto mi jest winien", "Nic nie czeka teraz na zapłatę"},
		{"spóźnię się", "o ile się spóźnisz"},
		{"spóźnię się 20 minut", "12:20"},
		{"mia", "Mia, Ford Fiesta"},
		{"powiedz Mia, że czekam na tyłach", "Mia przeczyta: „czekam na tyłach”"},
		{"let Mia know I'm round the back", "Mia przeczyta: „I'm round the back”"},
	} {
		o.say(boss, c.says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q is answered with %q", c.says, m.Text)
		}
	}
}

// Who looks for another time on the day itself is told of before he sets out, once, and
// who keeps it after all as well; days before that is nobody's business.
func TestSecondThoughtsOnTheDay(t *testing.T) {
	for _, c := range []struct {
		before time.Duration
		told   int
	}{{20 * time.Hour, 0}, {90 * time.Minute, 1}} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.until(o.enquiry(mia).Slot.Start.Add(-c.before))
		n := len(o.said)
		o.tap(mia, "Move it")
		o.say(mia, "sorry can't make it today, friday?")
		if got := o.count(boss, n, "is looking for another time"); got != c.told {
			t.Errorf("%v before: he is told %d times, want %d", c.before, got, c.told)
		}
		o.tap(mia, "Keep it as it is")
		if got := o.count(boss, n, "after all"); got != c.told {
			t.Errorf("%v before: told %d times that it is kept, want %d", c.before, got, c.told)
		}
	}
}

// Who says themselves that they cannot come is not told that nobody could reach them.
func TestTheyCannotComeAfterAll(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.Start.Add(5 * time.Minute))
	o.tap(boss, "Nobody here")
	o.tap(mia, "Another day")
	if m := o.lastTo(mia); strings.Contains(m.Text, "couldn't reach") || !strings.Contains(m.Text, "Thank you for letting us know, Mia.") || len(o.times(mia)) == 0 {
		t.Errorf("Mia reads %q", m.Text)
	}
	if !o.enquiry(mia).Move.Absent {
		t.Error("it does not count as missed")
	}
}

// What was asked for before the owner changed languages is put before him in the new one;
// what the customer was told stays as it was.
func TestAnOldCardInTheNewLanguage(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	o.asked(mia, "Ford Fiesta")
	was := *o.enquiry(mia).Quote
	o.say(boss, "po polsku", "mia")
	m := o.lastTo(boss)
	if len(was.Why) == 0 || !strings.Contains(m.Text, "Ford Fiesta") {
		t.Fatalf("the card: %q", m.Text)
	}
	for _, line := range was.Why {
		if strings.Contains(m.Text, line) {
			t.Errorf("still in English: %q", line)
		}
	}
	if is := *o.enquiry(mia).Quote; strings.Join(is.Why, "; ") != strings.Join(was.Why, "; ") {
		t.Errorf("what she was told is %q now", is.Why)
	}
}

// What somebody complains of after a job is no enquiry of another car.
func TestAComplaintIsNoEnquiry(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	start.done()
	for _, says := range []string{"theres a scratch on my door now!!", "it still smells of dog", "not impressed, swirl marks all over the bonnet", "I want my money back"} {
		o := start.fork()
		n := len(o.said)
		o.say(mia, says)
		if !o.heard(boss, n, says) || o.heard(mia, n, "What car is it?") {
			t.Errorf("%q: the boss reads %q, Mia %q", says, o.lastTo(boss).Text, o.lastTo(mia).Text)
		}
	}
}

// Once he has said himself until when a job goes, nobody reminds him before that.
func TestHisOwnWordOfTheEnd(t *testing.T) {
	for _, says := range []string{"", "need another 3 hours"} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		at := o.enquiry(mia).Slot.Start
		o.until(at)
		o.tap(boss, "Start work")
		o.until(at.Add(time.Hour))
		if says != "" {
			o.say(boss, says)
		}
		n := len(o.said)
		o.until(at.Add(3*time.Hour + 30*time.Minute))
		if got, want := o.count(boss, n, "was to be done by") > 0, says == ""; got != want {
			t.Errorf("after %q reminded early: %v", says, got)
		}
		o.until(at.Add(5 * time.Hour))
		if o.count(boss, n, "was to be done by") == 0 {
			t.Errorf("after %q nobody asks any more", says)
		}
	}
}

// Whoever has said that they are on their way is not spoken of as silent, and whoever is
// there is not asked about any more.
func TestTheyAreOnTheirWay(t *testing.T) {
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	at := start.enquiry(mia).Slot.Start
	start.until(at.Add(2 * time.Minute))
	start.tap(boss, "Nobody here")
	for _, c := range []struct {
		name  string
		do    func(*office)
		hears string
	}{
		{"silent", func(*office) {}, "and nothing from Mia"},
		{"on the way", func(o *office) { o.until(at.Add(10 * time.Minute)); o.tap(mia, "On my way") }, "Mia was on the way at 12:10"},
		{"there", func(o *office) { o.tap(boss, "They're here") }, ""},
		{"there after all", func(o *office) { o.tap(mia, "On my way"); o.say(boss, "shes here now") }, ""},
	} {
		o := start.fork()
		c.do(o)
		n := len(o.said)
		o.until(at.Add(40 * time.Minute))
		if asked := o.count(boss, n, "call"); asked != min(1, len(c.hears)) || c.hears != "" && !o.heard(boss, n, c.hears) {
			t.Errorf("%s: he is asked %d times, last told %q", c.name, asked, o.lastTo(boss).Text)
		}
	}
}

// Who is choosing a time, or has gone from the diary, is answered for; when he is off he
// can ask.
func TestWhoIsNotInTheDiary(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.tap(mia, "Call it off", "Yes, call it off")
	o.button(boss, "Write to them")
	for _, c := range []struct{ says, hears string }{
		{"tell mia no worries", "There's no mia in the diary, so nothing has been sent"},
		{"tell me about friday", "Fri 16 Apr"},
		{"when am I off?", "Nothing off in the next"},
		{"hols friday", "Off: Fri 16 Apr"},
		{"when am I off?", "– Fri 16 Apr: "},
	} {
		o.say(boss, c.says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, c.hears) {
			t.Errorf("%q is answered with %q", c.says, m.Text)
		}
	}
	o.priced(zoe, "Kia Rio")
	o.tap(zoe, "Find a day", "Nothing like that", "No photo")
	o.tap(zoe, o.times(zoe)[0])
	o.say(boss, "zoe")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Zoe is choosing a time") {
		t.Errorf("zoe: %q", m.Text)
	}
}

// Somebody rang, in whatever order it is said; somebody in the diary who rang is shown.
func TestWhoRangStandsBeforeIt(t *testing.T) {
	for says, hears := range map[string]string{
		"dave called, volvo v60 inside":   "For Dave: ",
		"rang dave, volvo v60 inside":     "For Dave: ",
		"mia rang, wants it earlier":      "Mia, Ford Fiesta",
		"she called about the invoice":    "didn't follow",
		"working sunday till 1, no calls": "Sun 18 Apr",
	} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.say(boss, says)
		if m := o.lastTo(boss); !strings.Contains(m.Text, hears) {
			t.Errorf("%q is answered with %q", says, m.Text)
		}
	}
}
