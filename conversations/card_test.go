package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// card is the latest message to the owner that asks for his yes.
func (o *office) card() bot.Message {
	o.t.Helper()
	for _, m := range slices.Backward(o.chat[boss]) {
		if strings.Contains(m.Text, " asks for ") {
			return m
		}
	}
	o.t.Fatalf("the owner has no card")
	return bot.Message{}
}

// lookedAfter sends pictures and lets them be looked at.
func (o *office) lookedAfter(who bot.ChatID, n int) {
	o.t.Helper()
	for range n {
		o.event(who, o.picture("a"))
	}
	o.until(o.now.Add(30 * 1e9))
}

// The card has all there is to decide by.
func TestCard(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Volvo V60")
	o.tap(mia, "Outside", "That's all", "At home", "Driveway", "Tap and socket", "Gravel", "Under 8", "3", "Not sure")
	o.tap(mia, "Find a day", "Nothing like that")
	o.lookedAfter(mia, 3)
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.say(mia, "14 Larch Close, Harrow Vale")
	o.tap(mia, "No, thank you")
	n := len(o.said)
	o.tap(mia, "Yes, ask for it")
	text := o.card().Text
	for _, want := range []string{
		"Mia asks for ", "Volvo V60: Outside", "At home or work, Driveway, Tap and socket, Gravel or soil, Under 8 miles. 14 Larch Close, Harrow Vale",
		`3, "`, "(they said so, see the photos)", ": they weren't sure",
		"Said to them: likely £", "From £", "8 in 10 between ", "What moves it most:\n– ", "Photos: 3, above.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the card has no %q:\n%s", want, text)
		}
	}
	e := o.enquiry(mia)
	if got := strings.Count(text, "\n– ") - len(e.Quote.Notes); got < len(e.Quote.Why)+2 || len(e.Quote.Why) != 3 {
		t.Errorf("three drivers, found %d:\n%s", len(e.Quote.Why), text)
	}
	i := slices.IndexFunc(o.said[n:], func(m bot.Message) bool { return len(m.Album) > 0 })
	if i < 0 || o.said[n+i].Chat != boss || len(o.said[n+i].Album) != 3 {
		t.Errorf("no album of three: %+v", o.said[n:])
	}
}

// The owner's question and its answer, in words and as a picture; the desk goes on
// where it was.
func TestOwnerAsksOneThing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.tap(boss, "Ask them", "In my own words")
	o.say(boss, "Is that tar or paint on the sill?")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Is that tar or paint on the sill?") {
		t.Fatalf("asked: %q", m.Text)
	}
	n := len(o.said)
	o.say(mia, "Tar, I think. From the roadworks.")
	if text := o.card().Text; !strings.Contains(text, "You asked:\n– Is that tar or paint on the sill? – Tar, I think. From the roadworks.") {
		t.Errorf("the card: %q", text)
	}
	if c := o.chatOf(mia); c.Person || c.Answering != "" || !o.heard(mia, n, "Thank you, Mia, the boss has it.") {
		t.Errorf("after the answer: %+v", c)
	}
	o.tap(boss, "Ask them", "Wheels")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "one wheel, straight on") {
		t.Fatalf("asked: %q", m.Text)
	}
	n = len(o.said)
	o.event(mia, o.picture(""))
	o.until(o.now.Add(5 * 1e9))
	if !slices.ContainsFunc(o.said[n:], func(m bot.Message) bool { return m.Chat == boss && m.Photo != "" }) || !strings.Contains(o.card().Text, "– the photo above") {
		t.Errorf("the picture did not come: %+v", o.said[n:])
	}
	o.tap(boss, "Yes, book it")
	if e := o.enquiry(mia); e.Stage != conversations.Booked || len(e.Queries) != 2 {
		t.Errorf("%s, %+v", e.Stage, e.Queries)
	}
}

// A question about a form that is still open comes back to that form.
func TestOwnerAsksInTheMiddleOfTheForm(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.tap(boss, "Ask them") // he has the card of the first car
	o.say(mia, "another car")
	o.say(mia, "Volvo V60")
	at := o.enquiry(mia).At
	o.tap(boss, "In my own words")
	o.say(boss, "Are the seats cloth?")
	o.say(mia, "Cloth, yes")
	e := o.enquiry(mia)
	if m := o.lastTo(mia); e.At != at || len(e.Answers["wants"]) > 0 || !strings.Contains(m.Text, "What shall we look at?") {
		t.Errorf("at %q, was %q, and was told %q", e.At, at, m.Text)
	}
	if first := read[conversations.Enquiry](o, "enq:2t-1"); len(first.Queries) != 1 || first.Queries[0].Answer != "Cloth, yes" {
		t.Errorf("%+v", first.Queries)
	}
}

// Price, minutes and tasks set by hand count once the customer has seen what
// changed and said yes.
func TestOwnerAdjusts(t *testing.T) {
	for _, c := range []struct {
		name  string
		set   func(*office)
		check func(was, is conversations.Quoted) bool
	}{
		{"price", func(o *office) { o.tap(boss, "Price"); o.say(boss, "£110") },
			func(was, is conversations.Quoted) bool {
				return is.Likely == 11000 && is.High == 11000 && is.P50 == was.P50
			}},
		{"minutes", func(o *office) { o.tap(boss, "Minutes"); o.say(boss, "180") },
			// An hour and a half more at £40 an hour, to the nearest £5.
			func(was, is conversations.Quoted) bool {
				return is.P80 == 180 && is.Likely > was.Likely+5000 && is.Likely < was.Likely+7000
			}},
		{"tasks", func(o *office) { o.tap(boss, "Tasks", "Iron specks") },
			func(was, is conversations.Quoted) bool {
				return slices.Contains(was.Tasks, "fallout") && !slices.Contains(is.Tasks, "fallout") && is.Likely < was.Likely
			}},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := newOffice(t, talk(t))
			o.asked(mia, "Ford Fiesta")
			was := *o.enquiry(mia).Quote
			o.tap(boss, "Adjust")
			c.set(o)
			if e := o.enquiry(mia); e.Quote.Likely != was.Likely || e.Seen == nil || !c.check(was, *e.Seen) {
				t.Fatalf("said %+v\nseen %+v", *e.Quote, e.Seen)
			}
			if c.name == "tasks" {
				o.tap(boss, "‹ Back")
			}
			o.tap(boss, "Ask for their yes")
			if m := o.lastTo(mia); !strings.Contains(m.Text, "instead of") {
				t.Errorf("asked %q", m.Text)
			}
			o.tap(mia, "Yes, go ahead")
			e := o.enquiry(mia)
			if e.Stage != conversations.Booked || !c.check(was, *e.Quote) || len(e.Before) != 1 || e.ByHand != nil {
				t.Errorf("%s: %+v", e.Stage, e)
			}
		})
	}
}

// Each reason is said kindly and leads on.
func TestDecliningWithAReason(t *testing.T) {
	for _, c := range []struct {
		reason, told string
		stage        conversations.Stage
		at           string
	}{
		{"Not that time", "That time doesn't work after all", conversations.Asking, "slot"},
		{"Booked up for weeks", "We're booked up for weeks", conversations.Closed, ""},
		{"Too far", "Your place is further than we go", conversations.Asking, "quote"},
		{"Can't do it there", "We can't do it well where the Volvo V60 stands", conversations.Asking, "quote"},
		{"Needs somebody else", "needs somebody who does that every day", conversations.Closed, ""},
		{"Not work we do", "That isn't work we do", conversations.Closed, ""},
	} {
		t.Run(c.reason, func(t *testing.T) {
			o := newOffice(t, talk(t))
			o.atHome(mia)
			n := len(o.said)
			o.tap(boss, "No", c.reason)
			e := o.enquiry(mia)
			if e.Stage != c.stage || e.At != c.at || e.Slot != nil || !o.heard(mia, n, c.told) {
				t.Errorf("%q at %q: %+v", e.Stage, e.At, o.said[n:])
			}
			if len(o.entries(e.ID)) > 0 {
				t.Error("the time was not given back")
			}
			if far := c.at == "quote"; far && e.Answers["site"][0] != "own" {
				t.Errorf("still at their place: %+v", e.Answers)
			}
		})
	}
	o := newOffice(t, talk(t))
	o.atHome(mia)
	o.tap(boss, "No", "In my own words")
	o.say(boss, "My van is off the road that week.")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "From the boss: My van is off the road that week.") || len(m.Choices) < 2 {
		t.Errorf("%+v", m)
	}
	// The first "No" alone declines nothing, and there is a way back.
	o = newOffice(t, talk(t))
	o.atHome(mia)
	o.tap(boss, "No", "‹ Back", "Yes, book it")
	if e := o.enquiry(mia); e.Stage != conversations.Booked {
		t.Errorf("%q", e.Stage)
	}
}

// atHome asks for a time at the customer's own place.
func (o *office) atHome(who bot.ChatID) {
	o.t.Helper()
	o.atAddress(who)
	o.tap(who, "I'll say it later", "No, thank you", "Yes, ask for it")
}

// What the owner has left out by hand, and the customer agreed to, no later grade
// brings back: not the task, and where that was all of it, no other level either. As
// an extra or by hand it can still come in again.
func TestWhatWasLeftOutStaysOut(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta")
	o.tap(mia, "Inside", "That's all", "At the workshop")
	o.say(mia, "just the price")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "Yes, ask for it")
	was := o.enquiry(mia).Quote.Tasks
	task, _ := o.talk.Rules.Task("plastics-wipe")
	if !slices.Contains(was, task.ID) {
		t.Fatalf("%s is not among %v", task.ID, was)
	}
	head, _, _ := strings.Cut(task.Words, ",")
	o.tap(boss, "Adjust", "Tasks", head, "‹ Back", "They've said yes")
	family := func(tasks []string) bool {
		return slices.ContainsFunc(tasks, func(id string) bool { x, _ := o.talk.Rules.Task(id); return x.Family == task.Family })
	}
	if e := o.enquiry(mia); family(e.Quote.Tasks) || !slices.Equal(e.Dropped, []string{task.ID}) {
		t.Fatalf("left out %q: %v, %v", head, e.Quote.Tasks, e.Dropped)
	}
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Look over", "Grades", "Inside", "4")
	if e := o.enquiry(mia); e.Seen == nil || family(e.Seen.Tasks) {
		t.Errorf("a grade brought it back: %+v", e.Seen)
	}
	o.tap(boss, "Tasks", head)
	if e := o.enquiry(mia); !slices.Contains(e.Seen.Tasks, task.ID) {
		t.Errorf("not taken in again: %v", e.Seen.Tasks)
	}
	o.tap(boss, "‹ Back", "They've said yes")
	if e := o.enquiry(mia); len(e.Dropped) > 0 || !slices.Contains(e.Quote.Tasks, task.ID) {
		t.Errorf("taken in again, agreed: %v, left out %v", e.Quote.Tasks, e.Dropped)
	}
}

// Minutes set by hand are charged as the work is: skilled work at its own rate.
func TestMinutesByHandCostWhatTheWorkCosts(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta, machine polish please")
	o.tap(mia, "At the workshop")
	o.say(mia, "just the price")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "No, thank you", "Yes, ask for it")
	was := *o.enquiry(mia).Quote
	more := 240
	o.tap(boss, "Adjust", "Minutes")
	o.say(boss, fmt.Sprint(int(was.P50)+more))
	is := o.enquiry(mia).Seen
	// Four hours more at the ordinary £40, or all of them at £52: it lies between, as
	// most of the work is skilled, and nearer the upper end.
	if by := is.Likely - was.Likely; by < 18400 || by > 20800 {
		t.Errorf("%d minutes more cost %d pence more; £160 would be the ordinary rate, £208 the skilled one", more, by)
	}
}

// Nobody is booked but by the owner's tap on what he has seen: who keeps to the price
// gets other work for it, and he is asked about that.
func TestKeepingToThePriceBooksNothing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	agreed := o.enquiry(mia).Quote.High
	o.tap(boss, "Adjust", "Paintwork", "4", "Ask for their yes")
	o.tap(mia, "Keep to the price")
	if e := o.enquiry(mia); e.Stage != conversations.Waits || e.Quote.High > agreed {
		t.Fatalf("%s, at most %d of %d", e.Stage, e.Quote.High, agreed)
	}
	if m := o.lastTo(mia); !strings.Contains(m.Text, "isn't booked") {
		t.Errorf("she reads %q", m.Text)
	}
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Book it like that?") {
		t.Errorf("he reads %q", m.Text)
	}
	o.tap(boss, "Yes, book it")
	if e := o.enquiry(mia); e.Stage != conversations.Booked {
		t.Errorf("after his yes: %s", e.Stage)
	}
}

// A price set by hand is neither dropped by a yes that is typed, nor is there a way
// around it by the rules.
func TestAPriceByHandWaitsForTheirYes(t *testing.T) {
	o := newOffice(t, talk(t))
	o.asked(mia, "Ford Fiesta")
	o.tap(boss, "Adjust", "Price")
	o.say(boss, "120")
	o.say(boss, "yes")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "£120") || !hasLabel(m, "Ask for their yes") || hasLabel(m, "Yes, book it") {
		t.Errorf("after yes he reads %q %v", m.Text, m.Choices)
	}
	o.tap(boss, "Ask for their yes")
	if m := o.lastTo(mia); hasLabel(m, "Keep to the price") || !hasLabel(m, "I'd rather not") {
		t.Errorf("she may choose among %v", m.Choices)
	}
	o.tap(mia, "Yes, go ahead")
	if e := o.enquiry(mia); e.Stage != conversations.Booked || e.Quote.High != 12000 {
		t.Errorf("%s for %d", e.Stage, e.Quote.High)
	}
}

func hasLabel(m bot.Message, label string) bool {
	return slices.ContainsFunc(slices.Concat(m.Choices...), func(c bot.Choice) bool { return c.Label == label })
}

// The card has what they began with and what the work was fitted to; a price that does not
// move is called fixed, and nothing is said to move it.
func TestCardSaysWhatItRestsOn(t *testing.T) {
	began := "hi, I want the car done before i sell it, two kids in it so the inside is the worst bit"
	for _, c := range []struct{ says, has, not []string }{
		{[]string{began, "Seat Leon hatchback", "both", "your place", "3", "3", "just the price", "190", "yes"},
			[]string{`They began: "` + began + `"`, "Fitted to £190, without "}, []string{"no range"}},
		{[]string{"Polo, inside, I'd bring it to you", "1", "yes"},
			[]string{"Said to them: £60, no range."}, []string{"They began", "kindest", "What moves it most", "Fitted"}},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.says...)
		o.say(mia, "none", "no photo", "the first one")
		if o.enquiry(mia).At == "consent" {
			o.say(mia, "no")
		}
		if o.enquiry(mia).At != "confirm" {
			t.Fatalf("%q: asked %q:\n%s", c.says, o.enquiry(mia).At, o.lastTo(mia).Text)
		}
		o.say(mia, "yes")
		text := o.card().Text
		for _, w := range c.has {
			if !strings.Contains(text, w) {
				t.Errorf("the card has no %q:\n%s", w, text)
			}
		}
		for _, w := range c.not {
			if strings.Contains(text, w) {
				t.Errorf("the card has %q:\n%s", w, text)
			}
		}
	}
}

// What was ticked by name is named in the list, however small it is.
func TestWhatWasAskedForByNameIsNamed(t *testing.T) {
	for _, first := range []string{"polo, inside and out, protection, wheels, glass, headlights, your place", "Polo, outside and protection, your place"} {
		o := newOffice(t, talk(t))
		o.say(mia, first, "just the price")
		if said := o.lastTo(mia).Text; !strings.Contains(said, "ealant") && !strings.Contains(said, "wax") {
			t.Errorf("%q: no protection is named:\n%s", first, said)
		}
	}
}

// How the car is stands on the card as they told it, whenever they did, and not only as a
// grade.
func TestTheirOwnWordsOfTheState(t *testing.T) {
	for _, c := range []struct {
		says []string
		card string
	}{
		{[]string{"hi, golf, there's dog hair in the boot"}, `They began: "hi, golf, there's dog hair in the boot"`},
		{[]string{"hi, ford fiesta", "inside, there's a coffee stain on the back seat"}, "They also wrote: inside, there's a coffee stain on the back seat"},
		{[]string{"hi, ford fiesta", "inside", "theres a fair bit of dog hair in the boot"}, "They also wrote: theres a fair bit of dog hair in the boot"},
	} {
		o := newOffice(t, talk(t))
		o.say(mia, c.says...)
		e := o.enquiry(mia)
		kept := `They began: "` + e.First + `"`
		for _, n := range e.Noted {
			kept += "\nThey also wrote: " + n
		}
		if !strings.Contains(kept, c.card) || strings.Count(kept, "dog hair") > 1 {
			t.Errorf("%q: %s", c.says, kept)
		}
	}
	o := newOffice(t, talk(t))
	o.say(mia, "hi, ford fiesta", "outside please")
	if e := o.enquiry(mia); e.First != "" || len(e.Noted) > 0 {
		t.Errorf("without a word of its state: %q %q", e.First, e.Noted)
	}
}
