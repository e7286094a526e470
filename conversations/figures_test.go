package conversations_test

import (
	"bytes"
	"image/png"
	"os"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// A month with a job done, one to come, and somebody who only asked: in words, and
// as a picture that is one.
func TestFiguresOfAMonth(t *testing.T) {
	o := newOffice(t, talk(t))
	o.finished(mia, "Ford Fiesta")
	o.booked(zoe, "Volvo V60")
	o.priced(bot.ChatID(900), "Volvo V60")
	o.say(bot.ChatID(901), "hello")
	o.say(boss, "figures")
	m := o.lastTo(boss)
	for _, want := range []string{"Apr 2027: 1 done, 1 to come", "4 asked, 3 got a price, 2 booked", "£95 in 2½ hours, £38 an hour", "The price stayed in its range"} {
		if !strings.Contains(m.Text, want) {
			t.Errorf("told %q, want %q in it", m.Text, want)
		}
	}
	if m.File == nil || !m.File.Shown {
		t.Fatalf("no picture: %+v", m.File)
	}
	if _, err := png.Decode(bytes.NewReader(m.File.Data)); err != nil {
		t.Errorf("the picture: %v", err)
	}
	if name := os.Getenv("DRYHAND_CHART"); name != "" {
		if err := os.WriteFile(name, m.File.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for says, want := range map[string]string{"how did i do this month": "Apr 2027: 1 done", "how much did i make this week": "This week: 1 done", "what did i take this month mate": "Apr 2027: 1 done"} {
		f := o.fork()
		f.say(boss, says)
		if m := f.lastTo(boss); !strings.Contains(m.Text, want) {
			t.Errorf("%q: %q, want %q", says, m.Text, want)
		}
	}
	f := o.fork()
	f.until(f.now.AddDate(0, 0, 7))
	f.say(boss, "how much did i make last week")
	if m := f.lastTo(boss); !strings.Contains(m.Text, "Mon 12 Apr to Sun 18 Apr: 1 done") {
		t.Errorf("last week: %q", m.Text)
	}
	// A month later it is the last month, and this one is empty.
	o.until(monday.AddDate(0, 1, 0))
	o.say(boss, "figures")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "May 2027: 0 done") || m.File != nil {
		t.Errorf("an empty month: %q", m.Text)
	}
	o.tap(boss, "Last month")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Apr 2027: 1 done") {
		t.Errorf("the last month: %q", m.Text)
	}
	if _, ok := o.docs["tally:2027-04:"+"5"]; !ok { // 101 modulo 16
		t.Error("nothing was counted where it should be")
	}
}

// A week goes from Monday to Sunday, also over the end of a month.
func TestFiguresOfAWeek(t *testing.T) {
	o := newOffice(t, talk(t))
	o.now = time.Date(2027, 4, 29, 9, 0, 0, 0, time.UTC)
	o.finished(mia, "Ford Fiesta")
	o.until(time.Date(2027, 5, 2, 18, 0, 0, 0, time.UTC)) // a Sunday
	o.say(zoe, "Volvo V60")
	o.say(boss, "figures")
	o.tap(boss, "This week")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "This week: 1 done") || !strings.Contains(m.Text, "2 asked") {
		t.Errorf("the week: %q", m.Text)
	}
	o.until(time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC))
	o.tap(boss, "This week")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "This week: 0 done") {
		t.Errorf("the next week: %q", m.Text)
	}
}

// Money in advance that stays, for a visit called off late, is in no diary and yet in
// the figures, in the month it stayed; given back after all, it is there no more.
func TestFiguresHaveKeptDeposits(t *testing.T) {
	o := newOffice(t, with(t, bank...))
	o.bookedOn(mia, "monday 10 may")
	o.tap(boss, "Deposit's here")
	o.until(o.enquiry(mia).Slot.Start.Add(20 * time.Minute))
	figures := func() string {
		o.say(boss, "figures")
		return o.lastTo(boss).Text
	}
	if text := figures(); strings.Contains(text, "kept") {
		t.Errorf("kept before it was: %q", text)
	}
	o.tap(boss, "Nobody here")
	o.until(o.now.Add(16 * time.Minute))
	o.tap(boss, "Leave it at that")
	if text := figures(); !strings.Contains(text, "May 2027: 0 done.") || !strings.Contains(text, "\nDeposits kept: £20.") {
		t.Errorf("kept: %q", text)
	}
	o.finished(zoe, "Volvo V60")
	if text := figures(); !strings.Contains(text, "an hour.\nAnd deposits kept: £20.") {
		t.Errorf("kept, beside what was earned: %q", text)
	}
	o.until(time.Date(2027, 6, 2, 9, 0, 0, 0, time.UTC))
	if text := figures(); strings.Contains(text, "kept") {
		t.Errorf("kept the month after: %q", text)
	}
	o.tap(boss, "Last month")
	if text := o.lastTo(boss).Text; !strings.Contains(text, "deposits kept: £20.") {
		t.Errorf("the month it was kept in: %q", text)
	}
	o.tap(boss, "Give it back")
	o.tap(boss, "Last month")
	if text := o.lastTo(boss).Text; strings.Contains(text, "kept") {
		t.Errorf("given back: %q", text)
	}
	o.tap(boss, "Who is due")
	if m := o.lastTo(boss); !strings.HasPrefix(m.Text, "Jun 2027: ") {
		t.Errorf("who is due: %q", m.Text)
	}
}

// Who is still to be reminded in a span is counted in its figures, and no more once
// they have been.
func TestFiguresSayWhoIsDue(t *testing.T) {
	o := newOffice(t, talk(t))
	o.finished(mia, "Ford Fiesta")
	nudge := o.enquiry(mia).Work.Nudge
	figures := func() string {
		o.say(boss, "figures")
		return o.lastTo(boss).Text
	}
	if text := figures(); nudge.Month() == o.now.Month() || strings.Contains(text, "due for a reminder") {
		t.Errorf("in April, the reminder comes %v: %q", nudge, text)
	}
	o.until(nudge.AddDate(0, 0, -1))
	if text := figures(); !strings.Contains(text, "\n1 due for a reminder.") {
		t.Errorf("the day before: %q", text)
	}
	o.tap(boss, "This week")
	if text := o.lastTo(boss).Text; strings.Contains(text, "due for a reminder") != (nudge.Weekday() != time.Monday) {
		t.Errorf("this week, with %v: %q", nudge.Weekday(), text)
	}
	o.until(nudge.Add(time.Hour))
	again := o.enquiry(mia).Work.Nudge
	if text := figures(); strings.Contains(text, "due for a reminder") != (again.Month() == nudge.Month()) {
		t.Errorf("after it was sent, the second comes %v: %q", again, text)
	}
}
