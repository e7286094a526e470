package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
)

// Where a grade is asked for, plain words for much, some and none answer it, and so do words
// of one of the descriptions; what says nothing of it, or no to it, does not.
func TestGradesInPlainWords(t *testing.T) {
	tk := talk(t)
	for _, at := range []struct {
		told, question string
		grades         map[string]string // by what is written; empty where it answers nothing
	}{
		{"golf hatchback, outside only, at your place", "cond-paintwork", map[string]string{
			"It is clean, just a little dust": "1", "very clean": "1", "It's clean, a little dusty": "1", "Clean": "1", "Just dust": "1", "nothing really": "1",
			"fairly clean": "2", "fine": "2", "not bad": "2", "dunno, fine": "2", "a dirt line": "2", "a bit": "2",
			"clean but mud on the sills": "3", "black dots": "3", "loads": "3", "filthy": "3", "clean, loads of mud": "3", "dunno loads": "3",
			"not clean": "", "the boot": "", "no black dots": "",
		}},
		{"golf hatchback, inside only, at your place. got a labrador", "cond-pet-hair", map[string]string{
			"loads": "3", "plenty": "3", "tons mate": "3", "lots tbh": "3", "a bit": "2", "hardly any": "2", "not much": "2", "brushes off": "2", "woven in": "4", "none": "1", "not really": "1",
			"in the boot": "",
		}},
	} {
		start := newOffice(t, tk)
		start.say(mia, at.told)
		if start.enquiry(mia).At != at.question {
			t.Fatalf("%q: at %s, want %s", at.told, start.enquiry(mia).At, at.question)
		}
		for says, want := range at.grades {
			o := start.fork()
			o.say(mia, says)
			if got := strings.Join(o.enquiry(mia).Answers[at.question], " "); got != want {
				t.Errorf("%s, %q: %q, want %q\n%s", at.question, says, got, want, o.lastTo(mia).Text)
			}
		}
	}
}

// What is open is answered first, and then what else it tells is asked: of a smell that is
// a wet dog's, how much hair there is, and of the smell no more.
func TestWhatIsOpenIsAnsweredFirst(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "van, inside only, at your place. filthy")
	for i := 0; o.enquiry(mia).At != "cond-smell"; i++ {
		if i > 4 {
			t.Fatalf("never asked of the smell: at %s", o.enquiry(mia).At)
		}
		o.say(mia, "3")
	}
	for says, want := range map[string]string{"dog yeah": "3", "wet dog": "3", "musty": "2", "milk": "3", "loads, and there's mould": "3", "a bit and the windows come down": "2", "not much": "1", "loads of dog hair": ""} {
		f := o.fork()
		f.say(mia, says)
		e := f.enquiry(mia)
		if got := strings.Join(e.Answers["cond-smell"], " "); got != want {
			t.Errorf("%q: %q, want %q\n%s", says, got, want, f.lastTo(mia).Text)
		}
		if strings.Contains(says, "dog") && want != "" && e.At != "cond-pet-hair" {
			t.Errorf("%q: at %s", says, e.At)
		}
	}
}

// How long something lasts is answered from the rules: before the price where what is put on
// is named, at it, and however it is asked.
func TestHowLongItLasts(t *testing.T) {
	tk := talk(t)
	const wax = "Hand wax, good for one to three months"
	o := newOffice(t, tk)
	n := len(o.said)
	o.say(mia, "golf hatchback, wash and wax, how long does it last?")
	if last := o.lastTo(mia).Text; !strings.Contains(last, wax) || toldBoss(o.said[n:]) != "" {
		t.Errorf("first message: %q, boss: %q", last, toldBoss(o.said[n:]))
	}
	o.say(mia, "bring it to you. and how long does it last please?")
	if e, last := o.enquiry(mia), o.lastTo(mia).Text; e.Answers["site"][0] != "own" || !strings.Contains(last, wax) {
		t.Errorf("with an answer: %q", last)
	}
	for i := 0; o.enquiry(mia).At != "quote" && i < 5; i++ {
		o.say(mia, "1")
	}
	for _, asks := range []string{"Does the wax last six months then? I asked about twice a year", "will it last 6 months", "how long does it last"} {
		f := o.fork()
		n := len(f.said)
		f.say(mia, asks)
		if last := f.lastTo(mia).Text; !strings.Contains(last, wax) || toldBoss(f.said[n:]) != "" {
			t.Errorf("%q: %q, boss: %q", asks, last, toldBoss(f.said[n:]))
		}
	}
	o.say(mia, "how long would the ceramic coating last?") // of what is named, though it isn't in
	if last := o.lastTo(mia).Text; !strings.Contains(last, "one to two years") || strings.Contains(last, wax) {
		t.Errorf("a coating: %q", last)
	}
	o = newOffice(t, tk)
	o.say(mia, "golf hatchback, how long does it last?")
	if last := o.lastTo(mia).Text; !strings.Contains(last, "comes with the price") {
		t.Errorf("nothing named: %q", last)
	}
}

// Who is in our own town has said how far that is.
func TestInOurOwnTown(t *testing.T) {
	tk := talk(t)
	town := tk.Rules.Business.Town
	start := newOffice(t, tk)
	start.say(mia, "golf hatchback, outside only, at my place, on the drive, tap and socket")
	start.say(mia, "gravel")
	if at := start.enquiry(mia).At; at != "miles" {
		t.Fatalf("at %s", at)
	}
	for says, want := range map[string]string{"I am in " + town: "5", town: "5", "in " + town + " too": "5", "im in " + town: "5", "are you in " + town + "?": "", "im in Fenwell": ""} {
		o := start.fork()
		o.say(mia, says)
		if got := strings.Join(o.enquiry(mia).Answers["miles"], " "); got != want {
			t.Errorf("%q: %q, want %q", says, got, want)
		}
	}
	o := newOffice(t, tk)
	o.say(mia, "golf hatchback, outside only. I'm in "+town)
	if e := o.enquiry(mia); !slices.Equal(e.Answers["miles"], []string{"5"}) || !strings.Contains(o.lastTo(mia).Text, town) {
		t.Errorf("first message: %q %q", e.Answers["miles"], o.lastTo(mia).Text)
	}
}

// What is asked of the place before it is chosen is answered from settings and rules.
func TestAskedWhereItIsDone(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "golf hatchback, inside and out")
	for asks, want := range map[string]string{"where u based": "We're", "whats cheaper": "a little cheaper", "is it cheaper if i bring it to you": "a little cheaper"} {
		f := o.fork()
		n := len(f.said)
		f.say(mia, asks)
		if last := f.lastTo(mia).Text; !strings.Contains(last, want) || toldBoss(f.said[n:]) != "" {
			t.Errorf("%q: %q, boss %q", asks, last, toldBoss(f.said[n:]))
		}
	}
}

// Times in the shorthand people write, and what they ask and say where times are offered.
func TestTimesInShort(t *testing.T) {
	start := newOffice(t, talk(t))
	start.priced(mia, "Ford Fiesta")
	start.tap(mia, "Find a day", "Nothing like that", "No photo")
	hours := func(o *office) (out []string) {
		for _, b := range buttons(o.lastTo(mia)) {
			if strings.Contains(b, ":") {
				out = append(out, b)
			}
		}
		return out
	}
	first := hours(start)
	for says, want := range map[string]string{"sat 930": "Sat 09:30", "sat 0930": "Sat 09:30", "friday 1430": "Fri 14:30", "fri 230": "Fri 14:30"} {
		o := start.fork()
		o.say(mia, says)
		e := o.enquiry(mia)
		day, hour, _ := strings.Cut(want, " ")
		if e.Slot == nil && !slices.ContainsFunc(hours(o), func(b string) bool { return strings.HasPrefix(b, day) && strings.HasSuffix(b, hour) }) ||
			e.Slot != nil && e.Slot.Start.In(o.talk.Zone).Format("Mon 15:04") != want {
			t.Errorf("%q: %v %q", says, e.Slot, o.lastTo(mia).Text)
		}
	}
	o := start.fork()
	n := len(o.said)
	o.say(mia, "when my wife's off, wednesdays")
	if got := hours(o); len(got) == 0 || slices.ContainsFunc(got, func(b string) bool { return !strings.HasPrefix(b, "Wed") }) || toldBoss(o.said[n:]) != "" {
		t.Errorf("Wednesdays: %v, boss %q", got, toldBoss(o.said[n:]))
	}
	o.say(mia, "I'm flexible")
	if got := hours(o); !slices.Equal(got, first) || o.enquiry(mia).Slot != nil || len(o.enquiry(mia).Noted) > 0 {
		t.Errorf("flexible: %v, want %v, noted %q", got, first, o.enquiry(mia).Noted)
	}
	o.say(mia, "do you work bank holidays")
	if last := o.lastTo(mia).Text; !strings.Contains(last, "Not on bank holidays") {
		t.Errorf("bank holidays: %q", last)
	}
}

// What the desk knows of a visit it says itself: what to see to before it, when the work is
// done while it goes on, and when what was put on is due again.
func TestKnownOfAVisit(t *testing.T) {
	ask := func(o *office, text, want string) {
		t.Helper()
		n := len(o.said)
		o.say(mia, text)
		if last := o.lastTo(mia).Text; !strings.Contains(last, want) || toldBoss(o.said[n:]) != "" {
			t.Errorf("%q: %q, boss %q", text, last, toldBoss(o.said[n:]))
		}
	}
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	ask(o.fork(), "anything to do before", "Please bring the car and its key")
	at := o.fork()
	at.until(at.enquiry(mia).Slot.Start)
	at.tap(boss, "Start work")
	ask(at, "when done?", "should be done by about")
	o.done()
	due := o.enquiry(mia).Work.Nudge
	ask(o, "Lovely job thank you. When would I need you again?", due.Format("2 Jan"))
}

// What has to stay dry afterwards is said before the yes: under the price, and where a figure
// was named, with what is to be known before it.
func TestDryIsSaidBefore(t *testing.T) {
	const dry = "twelve hours in the dry"
	o := newOffice(t, talk(t))
	o.say(mia, "golf hatchback, wash and wax, at your place")
	o.say(mia, "just the price")
	if last := o.lastTo(mia).Text; !strings.Contains(last, dry) {
		t.Fatalf("under the price: %q", last)
	}
	o.say(mia, "can you do it for 300")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "Yes, remind me")
	if e, last := o.enquiry(mia), o.lastTo(mia).Text; e.At != "confirm" || (e.Quote.Budget > 0) != strings.Contains(last, dry) {
		t.Errorf("budget %d, before the yes: %q", e.Quote.Budget, last)
	}
}
