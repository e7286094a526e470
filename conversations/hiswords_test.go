package conversations_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// stainLeftOut is Mia with a figure that leaves out the stain she named.
func stainLeftOut(t *testing.T) *office {
	o := newOffice(t, talk(t))
	o.say(mia, "VW Golf estate, inside and outside. Dog hair, and it smells, coffee stain")
	o.tap(mia, "At the workshop")
	o.say(mia, "3", "3", "1")
	o.tap(mia, "Just the price")
	o.say(mia, "100")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	if e := o.enquiry(mia); slices.Contains(e.Quote.Tasks, "stains-out") || !slices.Contains(e.Quote.Tasks, "smell-out") {
		t.Fatalf("the price has %q", e.Quote.Tasks)
	}
	return o
}

// What the owner writes by himself stands where the work is read, and he is asked to put in
// what the price has not got.
func TestWhatHeWritesIsKept(t *testing.T) {
	o := stainLeftOut(t)
	const wish, line = "Could you still do the coffee stain? I'd rather that than the smell", "Yes, I'll do the coffee stain instead of the smell, still 100 at most."
	o.say(mia, wish)
	o.say(boss, "tell Mia "+line, "yes")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "not in it: Stains") || !strings.Contains(m.Text, "still in it: The smell") {
		t.Fatalf("he reads %q", m.Text)
	}
	left := o.fork()
	left.tap(boss, "Leave it")
	if e := left.enquiry(mia); slices.Contains(e.Quote.Tasks, "stains-out") {
		t.Errorf("left as it is, the price has %q", e.Quote.Tasks)
	}
	more := o.fork()
	more.tap(boss, "Put it in, –£")
	if was, now := o.enquiry(mia).Quote, more.enquiry(mia).Quote; now.Likely >= was.Likely || now.P90 >= was.P90 {
		t.Errorf("less work: from %d to %d, from %g to %g minutes", was.Likely, now.Likely, was.P90, now.P90)
	}
	was := o.enquiry(mia).Quote
	same := o.button(boss, "Put it in, same money")
	o.event(boss, same)
	e := o.enquiry(mia)
	if !slices.Contains(e.Quote.Tasks, "stains-out") || slices.Contains(e.Quote.Tasks, "smell-out") || e.Quote.High != was.High || e.Quote.Likely != was.Likely {
		t.Fatalf("put in: %q at %d to %d", e.Quote.Tasks, e.Quote.Likely, e.Quote.High)
	}
	o.event(boss, same)
	if e := o.enquiry(mia); len(e.Before) != 1 {
		t.Errorf("twice pressed it counts %d times", len(e.Before))
	}
	o.tap(mia, "Thu")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "The boss wrote: "+line) {
		t.Errorf("before her yes she reads %q", m.Text)
	}
	o.tap(mia, "Yes, ask for it")
	if m := o.card(); !strings.Contains(m.Text, "You wrote: "+line) || !strings.Contains(m.Text, "They also wrote: "+wish) {
		t.Errorf("the card: %q", m.Text)
	}
	o.tap(boss, "Yes, book it", "Job sheet")
	sheet := ""
	for _, m := range o.chat[boss] {
		if m.Kind == "sheet" {
			sheet += m.Text
		}
	}
	_, not, _ := strings.Cut(sheet, "Not agreed")
	if !strings.Contains(sheet, "You wrote: "+line) || strings.Contains(not, "Stains") || !strings.Contains(not, "The smell") {
		t.Errorf("the sheet: %q", sheet)
	}
}

// Lines that name no other work than there is ask him nothing.
func TestWhatHeWritesBesides(t *testing.T) {
	start := stainLeftOut(t)
	for line, asks := range map[string]bool{
		"I'll see to the stains too":         true,
		"the stain rather than the dog hair": true,
		"not the stains, sorry":              false,
		"how bad is the stain?":              false,
		"I'm round the back":                 false,
		"the dog hair is in, don't worry":    false,
	} {
		o := start.fork()
		o.say(mia, "Could you have a look at the roof rack?") // so that he knows her name
		o.say(boss, "tell Mia "+line)
		o.tap(boss, "Send it")
		if got := strings.Contains(o.lastTo(boss).Text, "isn't as you wrote"); got != asks {
			t.Errorf("%q: %q", line, o.lastTo(boss).Text)
		}
	}
}

// What is in a job is chosen by typing as well, holds against her figure, and needs her yes.
func TestTasksTyped(t *testing.T) {
	o := stainLeftOut(t)
	o.tap(mia, "Thu", "Yes, ask for it")
	o.tap(boss, "Adjust", "Tasks")
	if m := o.lastTo(boss); !slices.ContainsFunc(m.Choices, func(r []bot.Choice) bool { return strings.HasPrefix(r[0].Label, "Stains") }) {
		t.Fatalf("what her figure left out is not offered: %v", m.Choices)
	}
	for text, want := range map[string]string{
		"add the stains":                          "in in",
		"stains in, smell out":                    "in out",
		"put the stain in and take the smell out": "in out",
		"leave out the smell":                     "out out",
		"do the stains instead of the smell":      "in out",
	} {
		f := o.fork()
		f.say(boss, text)
		e := f.enquiry(mia)
		if e.Seen == nil {
			t.Errorf("%q: %q", text, f.lastTo(boss).Text)
			continue
		}
		has := func(id string) string {
			if slices.Contains(e.Seen.Tasks, id) {
				return "in"
			}
			return "out"
		}
		if got := has("stains-out") + " " + has("smell-out"); got != want {
			t.Errorf("%q: %s, for %s", text, got, want)
		}
	}
	o.say(boss, "smell out")
	e := o.enquiry(mia)
	if e.Seen.P90 >= e.Quote.P90 || e.Seen.P50 >= e.Quote.P50 || e.Seen.High > e.Quote.High {
		t.Errorf("less work, and later: %g to %g, then %g to %g", e.Quote.P50, e.Quote.P90, e.Seen.P50, e.Seen.P90)
	}
	o.event(boss, o.button(boss, "Yes, book it"))
	if m := o.lastTo(boss); o.enquiry(mia).Stage != conversations.Waits || !strings.Contains(m.Text, `Tap "Ask for their yes"`) {
		t.Errorf("booked without her: %q", m.Text)
	}
}
