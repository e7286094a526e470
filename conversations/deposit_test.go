package conversations_test

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
)

// with is a talk under the shipped rules with some lines replaced.
func with(t tb, pairs ...string) conversations.Talk {
	t.Helper()
	src := string(pricing.DefaultYAML())
	for i := 0; i < len(pairs); i += 2 {
		if strings.Count(src, pairs[i]) != 1 {
			t.Fatalf("%q stands %d times in the shipped rules", pairs[i], strings.Count(src, pairs[i]))
		}
		src = strings.Replace(src, pairs[i], pairs[i+1], 1)
	}
	rules, err := pricing.ParseRules("rules.yaml", []byte(src))
	if err != nil {
		t.Fatalf("%v", err)
	}
	tk := talk(t)
	tk.Rules = rules
	return tk
}

// bank takes £20 for every job, by bank transfer.
var bank = []string{"take: none ", "take: amount ", `bank: "" `, `bank: "Brindle Lane, 00-00-00" `}

// bookedOn books a time on a day from now.
func (o *office) bookedOn(who bot.ChatID, day string) {
	o.t.Helper()
	o.priced(who, "Ford Fiesta")
	o.agreed(who, day)
}

// agreed goes on from a price to a time on a day, with the owner's yes.
func (o *office) agreed(who bot.ChatID, day string) {
	o.t.Helper()
	o.tap(who, "Find a day", "Nothing like that", "No photo")
	o.say(who, day)
	o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[0][0].Data})
	o.tap(who, "No, thank you", "Yes, ask for it")
	o.tap(boss, "Yes, book it")
}

// heard tells whether a person was told words since a point in what was said.
func (o *office) heard(who bot.ChatID, from int, words string) bool {
	return slices.ContainsFunc(o.said[from:], func(m bot.Message) bool { return m.Chat == who && strings.Contains(m.Text, words) })
}

// What calling off does to money in advance, by when and by whom, and that it is
// said before the tap that does it.
func TestCallingOffAndMoneyInAdvance(t *testing.T) {
	ours := append(slices.Clone(bank), "off-in-time: back ", "off-in-time: ours ")
	for _, c := range []struct {
		name  string
		rules []string
		day   string        // when the visit is
		ahead time.Duration // how long before it it is called off
		by    bot.ChatID
		said  string // before the tap
		fate  conversations.Fate
	}{
		{"in time", bank, "monday 10 may", 25 * time.Hour, mia, "Your £20 comes back to you", conversations.Owed},
		{"late", bank, "monday 10 may", 23 * time.Hour, mia, "The £20 you paid in advance stays with us", conversations.Kept},
		{"late, but within the days to change one's mind", bank, "wednesday 21 april", 23 * time.Hour, mia, "still within your 14 days, so your £20 comes back", conversations.Owed},
		{"in time, where nothing goes back", ours, "monday 10 may", 25 * time.Hour, mia, "The £20 you paid in advance stays with us", conversations.Kept},
		{"late, by us", bank, "monday 10 may", 2 * time.Hour, boss, "Their £20 goes along, or back", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := newOffice(t, with(t, c.rules...))
			o.bookedOn(mia, c.day)
			o.tap(boss, "Deposit's here")
			e := o.enquiry(mia)
			o.until(e.Slot.Start.Add(-c.ahead))
			button := "Call it off"
			o.tap(c.by, button)
			if m := o.lastTo(c.by); !strings.Contains(m.Text, c.said) {
				t.Errorf("before the tap: %q, want %q", m.Text, c.said)
			}
			o.tap(c.by, "Yes, call it off")
			got := read[conversations.Enquiry](o, "enq:"+e.ID)
			if f := got.Deposits[0].Fate; f != c.fate {
				t.Errorf("fate %q, want %q", f, c.fate)
			}
			if owed := o.heard(boss, 0, "is to have £20 back"); owed != (c.fate == conversations.Owed) {
				t.Errorf("the owner is asked to give it back: %v", owed)
			}
		})
	}
}

// Who is rained off pays nothing for it, whatever they do then.
func TestRainAndMoneyInAdvance(t *testing.T) {
	for _, chooses := range []bool{true, false} {
		o := newOffice(t, with(t, bank...))
		o.say(mia, "Ford Fiesta")
		o.tap(mia, "Outside", "That's all", "At home", "Driveway", "Tap and socket", "Gravel", "Under 8")
		o.say(mia, "just the price")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		o.say(mia, "monday 10 may")
		o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
		o.tap(mia, "I'll say it later", "No, thank you", "Yes, ask for it")
		o.tap(boss, "Yes, book it", "Deposit's here")
		e := o.enquiry(mia)
		o.until(e.Slot.Start.Add(-time.Hour))
		o.say(boss, "rained off")
		m := o.lastTo(mia)
		if !strings.Contains(m.Text, "Your £20 goes along to the time you choose next; if none suits, it comes back to you.") {
			t.Fatalf("rained off: %q", m.Text)
		}
		if chooses {
			o.event(mia, bot.Tap{ID: "t", Data: m.Choices[0][0].Data})
			if e := o.enquiry(mia); e.Stage != conversations.Booked || len(e.Deposits) != 1 || e.Deposits[0].Fate != "" {
				t.Errorf("after choosing: %s, %+v", e.Stage, e.Deposits)
			}
			continue
		}
		o.tap(mia, "Call it off", "Yes, call it off")
		got := read[conversations.Enquiry](o, "enq:"+e.ID)
		if got.Stage != conversations.Closed || got.Deposits[0].Fate != conversations.Owed {
			t.Errorf("after calling off: %s, %+v", got.Stage, got.Deposits)
		}
	}
}

// Moving takes it along, or not, as the rules say; then the new time needs another.
func TestMovingAndMoneyInAdvance(t *testing.T) {
	for _, c := range []struct {
		name  string
		rules []string
		day   string
		said  string
		fates []conversations.Fate
	}{
		{"along", bank, "monday 10 may", "Your £20 goes along", []conversations.Fate{""}},
		{"late, and it is ours", append(slices.Clone(bank), "moved-late: stays", "moved-late: ours"), "monday 10 may", "If you move now, the £20 you paid stays with us", []conversations.Fate{conversations.Kept, ""}},
		{"late, within the days", append(slices.Clone(bank), "moved-late: stays", "moved-late: ours"), "wednesday 21 april", "Your £20 goes along", []conversations.Fate{""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := newOffice(t, with(t, c.rules...))
			o.bookedOn(mia, c.day)
			o.tap(boss, "Deposit's here")
			o.until(o.enquiry(mia).Slot.Start.Add(-20 * time.Hour))
			o.tap(mia, "Move it")
			m := o.lastTo(mia)
			if !strings.Contains(m.Text, c.said) {
				t.Errorf("before the tap: %q, want %q", m.Text, c.said)
			}
			o.event(mia, bot.Tap{ID: "t", Data: m.Choices[0][0].Data})
			o.tap(boss, "Yes, that's fine")
			var fates []conversations.Fate
			for _, d := range o.enquiry(mia).Deposits {
				fates = append(fates, d.Fate)
			}
			if !slices.Equal(fates, c.fates) {
				t.Errorf("fates %q, want %q", fates, c.fates)
			}
		})
	}
}

// Nobody loses a booking because money did not come: they are reminded once, and
// the owner decides.
func TestMoneyInAdvanceThatNeverComes(t *testing.T) {
	o := newOffice(t, with(t, bank...))
	o.bookedOn(mia, "monday 10 may")
	n := len(o.said)
	o.until(o.enquiry(mia).Slot.Start.Add(-48 * time.Hour))
	reminded := 0
	for _, m := range o.said[n:] {
		if m.Chat == mia && strings.Contains(m.Text, "haven't seen the £20") {
			reminded++
		}
	}
	if reminded != 1 || !o.heard(boss, n, "Mia's £20 in advance isn't here yet") {
		t.Errorf("reminded %d times, owner told %v", reminded, o.heard(boss, n, "Mia's £20 in advance isn't here yet"))
	}
	if e := o.enquiry(mia); e.Stage != conversations.Booked {
		t.Fatalf("%s, not booked", e.Stage)
	}
	o.tap(boss, "Do without it")
	if e := o.enquiry(mia); e.Stage != conversations.Booked || e.Deposits[0].Fate != conversations.Waived {
		t.Errorf("%s, %+v", e.Stage, e.Deposits)
	}
	// It comes after all.
	o.tap(boss, "Deposit's here")
	if e := o.enquiry(mia); e.Deposits[0].Fate != "" || e.Deposits[0].Paid.IsZero() {
		t.Errorf("%+v", e.Deposits)
	}
}

// What is owed for a job is the price less what was paid in advance.
func TestReceiptTakesMoneyInAdvanceOff(t *testing.T) {
	o := newOffice(t, with(t, bank...))
	o.booked(mia, "Ford Fiesta")
	o.tap(boss, "Deposit's here")
	o.until(o.enquiry(mia).Slot.End)
	o.tap(boss, "Done")
	o.say(boss, "90", "75")
	n := len(o.said)
	o.tap(boss, "That's all ›")
	if !o.heard(mia, n, "£75\n£20 was paid in advance, so £55 is left to pay.") {
		t.Errorf("the receipt says otherwise: %+v", o.said[n:])
	}
	if d := o.enquiry(mia).Deposits[0]; d.Fate != conversations.Used {
		t.Errorf("%+v", d)
	}
}

// The yes, its time, what it agreed to and the request itself come in one commit.
func TestTermsAreKeptWithTheRequest(t *testing.T) {
	for _, c := range []struct {
		day   string
		start bool
	}{{"wednesday 21 april", true}, {"monday 26 april", true}, {"wednesday 28 april", false}, {"monday 10 may", false}} {
		o := newOffice(t, talk(t))
		o.priced(mia, "Ford Fiesta")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		o.say(mia, c.day)
		o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
		o.tap(mia, "No, thank you")
		asked := o.lastTo(mia).Text
		if strings.Contains(asked, "your yes also asks us to do the work then") != c.start {
			t.Errorf("%s: %q", c.day, asked)
		}
		before := maps.Clone(o.docs)
		o.tap(mia, "Yes, ask for it")
		var was conversations.Enquiry
		e := o.enquiry(mia)
		if err := json.Unmarshal(before["enq:"+e.ID].Body, &was); err != nil {
			t.Fatal(err)
		}
		if was.Terms != nil || e.Terms == nil || e.Stage != conversations.Waits {
			t.Fatalf("%s: before %+v, after %+v at %q", c.day, was.Terms, e.Terms, e.Stage)
		}
		if !e.Terms.At.Equal(o.now) || e.Terms.By != conversations.Customer || e.Terms.Start != c.start || len(e.Terms.Version) != 12 || !strings.Contains(e.Terms.Text, "for 14 days from the day") {
			t.Errorf("%s: %+v", c.day, e.Terms)
		}
		o.tap(boss, "Yes, book it")
		// The days run from the booking, the last of them to its end.
		if until := o.enquiry(mia).Terms.Until.In(o.talk.Zone); until.Format("2006-01-02 15:04") != "2027-04-27 00:00" {
			t.Errorf("%s: until %s", c.day, until)
		}
		if !o.heard(mia, 0, e.Terms.Text) {
			t.Errorf("%s: nothing was handed over to keep", c.day)
		}
	}
}

// Another version of the terms has another name, the same has the same.
func TestTermsVersion(t *testing.T) {
	version := func(tk conversations.Talk) string {
		o := newOffice(t, tk)
		o.asked(mia, "Ford Fiesta")
		return o.enquiry(mia).Terms.Version
	}
	first, again, other := version(talk(t)), version(talk(t)), version(with(t, "change-notice-hours: 24 ", "change-notice-hours: 48 "))
	if first != again || first == other {
		t.Errorf("%s, %s, %s", first, again, other)
	}
}

// A booking that is moved into the days in which it could be cancelled has to be
// asked for there.
func TestMovedIntoTheDays(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo", "Later days", "Later days", "Later days", "Later days", "Later days")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "No, thank you", "Yes, ask for it")
	o.tap(boss, "Yes, book it")
	if e := o.enquiry(mia); e.Slot.Start.Before(e.Terms.Until) || e.Terms.Start {
		t.Fatalf("booked %s, terms %+v", e.Slot.Start, e.Terms)
	}
	o.tap(mia, "Move it")
	m := o.lastTo(mia)
	if !strings.Contains(m.Text, "you ask us to do the work then") {
		t.Fatalf("moving: %q", m.Text)
	}
	o.event(mia, bot.Tap{ID: "t", Data: m.Choices[0][0].Data})
	o.tap(boss, "Yes, that's fine")
	if e := o.enquiry(mia); !e.Slot.Start.Before(e.Terms.Until) || !e.Terms.Start {
		t.Errorf("moved to %s, terms %+v", e.Slot.Start, e.Terms)
	}
}

// Not being there is a late change of the customer's: the money goes along, stays or
// comes back as the terms have it for those, said to both before their taps.
func TestNotBeingThereAndMoneyInAdvance(t *testing.T) {
	anew := append(slices.Clone(bank), "moved-late: stays", "moved-late: ours ")
	back := append(slices.Clone(bank), "off-late: ours", "off-late: back")
	for _, c := range []struct {
		name   string
		rules  []string
		day    string
		owner  string // what he reads before he decides
		theirs string // what they read before they choose another time
		then   string // "chooses", "calls off", "left"
		fates  []conversations.Fate
	}{
		{"goes along", bank, "monday 10 may", "With another day, their £20 goes along. Without one, it stays with you.", "Your £20 goes along", "chooses", []conversations.Fate{""}},
		{"stays, and another", anew, "monday 10 may", "their £20 stays with you, and the new time needs another", "If you move now, the £20 you paid stays with us", "chooses", []conversations.Fate{conversations.Kept, ""}},
		{"called off", bank, "monday 10 may", "Without one, it stays with you", "", "calls off", []conversations.Fate{conversations.Kept}},
		{"called off, and it goes back", back, "monday 10 may", "Without one, it goes back", "", "calls off", []conversations.Fate{conversations.Owed}},
		{"called off within the days to change one's mind", bank, "wednesday 21 april", "Without one, it goes back", "", "calls off", []conversations.Fate{conversations.Owed}},
		{"left at that", bank, "monday 10 may", "Without one, it stays with you", "", "left", []conversations.Fate{conversations.Kept}},
		{"left at that, and it goes back", back, "monday 10 may", "Without one, it goes back", "", "left", []conversations.Fate{conversations.Owed}},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := newOffice(t, with(t, c.rules...))
			o.bookedOn(mia, c.day)
			o.tap(boss, "Deposit's here")
			e := o.enquiry(mia)
			o.until(e.Slot.Start.Add(time.Minute))
			o.tap(boss, "Nobody here")
			o.until(o.now.Add(16 * time.Minute))
			if m := o.lastTo(boss); !strings.Contains(m.Text, c.owner) {
				t.Errorf("before his tap: %q, want %q", m.Text, c.owner)
			}
			n := len(o.said)
			stays := "stays with us"
			switch c.then {
			case "left":
				o.tap(boss, "Leave it at that")
			default:
				o.tap(boss, "Offer another day")
				m := o.lastTo(mia)
				if !strings.Contains(m.Text, c.theirs) {
					t.Errorf("before their tap: %q, want %q", m.Text, c.theirs)
				}
				if c.then == "chooses" {
					o.event(mia, bot.Tap{ID: "t", Data: m.Choices[0][0].Data})
					break
				}
				o.tap(mia, "Call it off")
				if m := o.lastTo(mia); strings.Contains(m.Text, stays) != (c.fates[0] == conversations.Kept) || strings.Contains(m.Text, "stay empty") {
					t.Errorf("before calling off: %q", m.Text)
				}
				o.tap(mia, "Yes, call it off")
			}
			got := read[conversations.Enquiry](o, "enq:"+e.ID)
			var fates []conversations.Fate
			for _, d := range got.Deposits {
				fates = append(fates, d.Fate)
			}
			if !slices.Equal(fates, c.fates) {
				t.Errorf("fates %q, want %q", fates, c.fates)
			}
			if c.then != "chooses" && got.Stage != conversations.Closed || c.then == "chooses" && got.Stage != conversations.Booked {
				t.Errorf("it is %s", got.Stage)
			}
			if len(o.entries(e.ID)) != map[bool]int{true: 1}[c.then == "chooses"] {
				t.Errorf("in the diary: %v", o.entries(e.ID))
			}
			if owed := o.heard(boss, n, "is to have £20 back"); owed != slices.Contains(c.fates, conversations.Owed) {
				t.Errorf("the owner is asked to give it back: %v", owed)
			}
			if c.then != "left" {
				return
			}
			if told := o.heard(mia, n, stays); told != (c.fates[0] == conversations.Kept) {
				t.Errorf("told that it stays: %v", told)
			}
			if c.fates[0] == conversations.Kept { // he may be kinder than his terms
				o.tap(boss, "Give it back", "Sent back")
				if d := read[conversations.Enquiry](o, "enq:"+e.ID).Deposits[0]; d.Fate != conversations.Returned {
					t.Errorf("given back: %q", d.Fate)
				}
			}
		})
	}
}

// Had we asked for another time ourselves, not coming to the old one costs nothing.
func TestNotBeingThereWhenWeAskedToMove(t *testing.T) {
	o := newOffice(t, with(t, append(slices.Clone(bank), "moved-late: stays", "moved-late: ours ")...))
	o.bookedOn(mia, "monday 10 may")
	o.tap(boss, "Deposit's here")
	e := o.enquiry(mia)
	o.until(e.Slot.Start.Add(-time.Hour))
	o.tap(boss, "Move it", "Let them choose")
	o.until(e.Slot.Start.Add(time.Minute))
	o.tap(boss, "Nobody here", "Offer another day")
	m := o.lastTo(mia)
	if !strings.Contains(m.Text, "goes along") || strings.Contains(m.Text, "stays with us") {
		t.Errorf("offered: %q", m.Text)
	}
	o.event(mia, bot.Tap{ID: "t", Data: m.Choices[0][0].Data})
	if d := o.enquiry(mia).Deposits; len(d) != 1 || d[0].Fate != "" {
		t.Errorf("it became %+v", d)
	}
}
