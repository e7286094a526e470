package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/reminders"
)

// ofKind are what somebody was told of these kinds, with the day.
func (o *office) ofKind(who bot.ChatID, kinds ...string) (out []bot.Message) {
	for _, m := range o.chat[who] {
		if slices.Contains(kinds, m.Kind) {
			out = append(out, m)
		}
	}
	return out
}

// Two cars of one household, sealed within a week: what falls on one day comes in
// one message, and nothing is lost.
func TestTwoJobsInAWeek(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	first := o.enquiry(mia).Work.At
	o.booked(mia, "Volvo V60")
	o.done()
	second := o.enquiry(mia).Work.At
	if gap := second.Sub(first); gap < time.Hour || gap > 7*24*time.Hour {
		t.Fatalf("the jobs are %s apart", gap)
	}
	days := map[string]bool{}
	for to := o.now.AddDate(0, 0, 60); o.now.Before(to); {
		n := len(o.ofKind(mia, "care-later", "nudge"))
		o.until(o.now.AddDate(0, 0, 1))
		if got := len(o.ofKind(mia, "care-later", "nudge")) - n; got > 1 {
			t.Errorf("%d messages in a day before %s", got, o.now)
		}
		days[o.now.String()] = true
	}
	var all []string
	for _, m := range o.ofKind(mia, "aftercare", "care-later") {
		all = append(all, m.Text)
	}
	told := strings.Join(all, "\n")
	for _, must := range []string{"The sealant has set", "About time for a wash"} {
		if n := strings.Count(told, must); n != 2 {
			t.Errorf("%q is told %d times for two cars:\n%s", must, n, told)
		}
	}
}

// The same car again within days: what the newer job brings is told for it alone,
// and one plan speaks of the car.
func TestSameCarAgain(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	old := o.enquiry(mia).ID
	o.booked(mia, "Ford Fiesta")
	o.done()
	e := o.enquiry(mia)
	if was := read[conversations.Enquiry](o, "enq:"+old); was.Plan != nil || e.Plan == nil {
		t.Fatalf("plans: old %+v, new %+v", was.Plan, e.Plan)
	}
	if _, ok := o.due["nudge:"+old]; ok {
		t.Error("the old job still reminds")
	}
	n := len(o.ofKind(mia, "care-later"))
	o.until(e.Work.Nudge)
	var told []string
	for _, m := range o.ofKind(mia, "care-later")[n:] {
		told = append(told, m.Text)
	}
	if n := strings.Count(strings.Join(told, "\n"), "The sealant has set"); n != 1 {
		t.Errorf("told %d times that the sealant has set:\n%s", n, strings.Join(told, "\n"))
	}
	if got := len(o.ofKind(mia, "nudge")); got != 1 {
		t.Errorf("%d nudges for one car", got)
	}
}

// Two taps at the handover move the date, and a tick for the miles beside them.
func TestWearInTwoTaps(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	before := o.enquiry(mia).Work.Nudge
	o.tap(mia, "Outside, salted roads")
	o.tap(mia, "☐ more than 15,000")
	o.tap(mia, "Brush washes")
	if got := o.lastTo(mia).Text; !strings.Contains(got, "The reminder comes around") {
		t.Errorf("told %q", got)
	}
	e := o.enquiry(mia)
	if want := []string{"brush-wash", "kept-outside", "many-miles", "salted-winter"}; !slices.Equal(sorted(e.Plan.Wear), want) || !e.Work.Nudge.Before(before) {
		t.Errorf("wear %v, reminder moved from %s to %s", e.Plan.Wear, before, e.Work.Nudge)
	}
}

func sorted(s []string) []string {
	s = slices.Clone(s)
	slices.Sort(s)
	return s
}

// A nudge is answered in words.
func TestNudgeAnsweredInWords(t *testing.T) {
	tk := talk(t)
	nudged := stages(t, tk)["nudged"]
	for _, tt := range []struct{ said, told string }{
		{"Still beads!", "Good. We'll ask again"},
		{"not now", "When shall we ask again?"},
		{"ask me in two months please", "we'll ask again around"},
		{"in about 3 weeks", "we'll ask again around"},
		{"Sold it", "Then that was the last"},
		{"had it done elsewhere", "We'll reckon from today"},
		{"no more reminders", "No more reminders, Mia"},
		{"Yes please", "A quick top-up, or done afresh?"},
		{"STOPP!!", "Done: no more from us"},
	} {
		o := nudged.fork()
		o.t = t
		if got := o.say(mia, tt.said); !slices.ContainsFunc(got, func(m bot.Message) bool { return strings.Contains(m.Text, tt.told) }) {
			t.Errorf("%q is answered %q", tt.said, got[len(got)-1].Text)
		}
	}
	// What is about something else begins an enquiry of its own.
	o := nudged.fork()
	o.t = t
	o.say(mia, "Volvo V60, inside only")
	if e := o.enquiry(mia); e.Stage != conversations.Asking || e.Car == nil || e.Car.Name != "Volvo V60" {
		t.Errorf("begun %+v", e)
	}
}

// From the nudge it is three taps to a request: the state, the time, the yes.
func TestRenewalInThreeTaps(t *testing.T) {
	nudged := stages(t, talk(t))["nudged"]
	o := nudged.fork()
	o.t = t
	o.tap(mia, "Top-up")
	o.tap(mia, "2")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "Yes, ask for it")
	e := o.enquiry(mia)
	if e.Stage != conversations.Waits || !slices.Contains(e.Quote.Tasks, "spray-sealant") || slices.Contains(e.Quote.Tasks, "sealant") {
		t.Fatalf("%q with %v", e.Stage, e.Quote.Tasks)
	}
	// One step back from the times shows the whole price, and stays there.
	o = nudged.fork()
	o.t = t
	o.tap(mia, "Do it afresh", "2", "‹ Back")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "In it:") {
		t.Errorf("back leads to %q", m.Text)
	}
}

// Off and on again: the reminder is not lost. After "stop" it is made anew.
func TestSettingsKeepTheReminder(t *testing.T) {
	for _, off := range []func(*office){
		func(o *office) { o.say(mia, "settings"); o.tap(mia, "No reminders") },
		func(o *office) { o.say(mia, "stop", "start") },
	} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.done()
		id, due := o.enquiry(mia).ID, o.enquiry(mia).Work.Nudge
		off(o)
		if d, ok := o.due["nudge:"+id]; ok {
			t.Fatalf("still due %v", d)
		}
		o.say(mia, "settings")
		o.tap(mia, "Reminders again")
		if d := o.due["nudge:"+id]; !d.At.Equal(due) {
			t.Errorf("due %s again, want %s", d.At, due)
		}
	}
}

// The customer's own clock keeps their quiet hours.
func TestOwnTimeZone(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	ours := o.enquiry(mia).Work.Nudge
	o.say(mia, "time zone new york")
	theirs := o.enquiry(mia).Work.Nudge
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Fatal(err)
	}
	if h := theirs.In(zone).Hour(); h != o.talk.Rules.Nudges.FromHour || theirs.Equal(ours) {
		t.Errorf("due %s, their %d o'clock; ours was %s", theirs, h, ours)
	}
	if got := o.say(mia, "time zone atlantis"); !strings.Contains(got[0].Text, "don't know that one") {
		t.Errorf("told %q", got[0].Text)
	}
}

// No care notes means none after the handover, and they come back.
func TestNoCareNotes(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	o.say(mia, "settings")
	o.tap(mia, "No care notes")
	o.until(o.now.AddDate(0, 0, 10))
	if got := o.ofKind(mia, "care-later"); len(got) != 0 {
		t.Errorf("told %q", got[0].Text)
	}
	o.say(mia, "settings")
	o.tap(mia, "Care notes again")
	o.until(o.now.AddDate(0, 0, 20))
	if got := o.ofKind(mia, "care-later"); len(got) == 0 {
		t.Error("nothing is told any more")
	}
}

// Who comes anyway is not reminded.
func TestNoNudgeForWhoComesAnyway(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.done()
	due := o.enquiry(mia).Work.Nudge
	o.until(due.Add(-72 * time.Hour))
	o.booked(mia, "Ford Fiesta")
	if !o.enquiry(mia).Slot.Start.After(o.now) {
		t.Fatal("no visit ahead")
	}
	o.until(due.Add(time.Hour))
	if got := o.ofKind(mia, string(reminders.Nudge)); len(got) != 0 && o.enquiry(mia).Slot.End.After(due) {
		t.Errorf("reminded of a car that is booked: %q", got[0].Text)
	}
}

// A reminder that comes before the months that were named says why, when it is planned and when
// it comes; one that does not says nothing of it.
func TestSoonerIsSaidWhy(t *testing.T) {
	for sleeps, why := range map[string]string{"Outside, salted roads": "sooner than we first said, for what the car goes through: stands outside, salted roads in winter.", "In a garage, hardly any salt": ""} {
		o := newOffice(t, talk(t))
		o.booked(mia, "Ford Fiesta")
		o.done()
		o.tap(mia, sleeps)
		o.say(mia, "by hand")
		planned := o.lastTo(mia).Text
		o.until(o.enquiry(mia).Work.Nudge)
		nudge := o.lastTo(mia)
		if nudge.Kind != "nudge" {
			t.Fatalf("no nudge but %q", nudge.Text)
		}
		for _, told := range []string{planned, nudge.Text} {
			if got := strings.Contains(told, "sooner than"); got != (why != "") || !strings.Contains(told, why) {
				t.Errorf("%s: %q", sleeps, told)
			}
		}
		o.say(mia, "boss said its good till march? still looks fine")
		if got := o.lastTo(mia).Text; !strings.Contains(got, "Good. We'll ask again around") || !strings.Contains(got, "passed that on") || strings.Contains(got, "The reminder came sooner") != (why != "") {
			t.Errorf("%s, asked: %q", sleeps, got)
		}
		if got := o.lastTo(boss).Text; !strings.Contains(got, "good till march?") {
			t.Errorf("the owner has %q", got)
		}
	}
}

// That it still does its work is heard in more words than the button's; a question of it is
// neither yes nor no.
func TestStillFineInWords(t *testing.T) {
	nudged := stages(t, talk(t))["nudged"]
	for said, told := range map[string]string{
		"still looks fine to me": "Good. We'll ask again", "beads nicely still": "Good. We'll ask again", "looks ok tbh": "Good. We'll ask again",
		"still beads?": "passed that on", "its good till march the boss said?": "passed that on",
		"not beading any more": "passed that on", "looks good but can you do the inside": "Gladly.",
	} {
		o := nudged.fork()
		o.t = t
		o.say(mia, said)
		if got := o.lastTo(mia).Text; !strings.Contains(got, told) {
			t.Errorf("%q: %q", said, got)
		}
	}
}

// "Same again" after a reminder, in whatever words, is the work of the last time and not what
// the reminder offers; a bare yes is the reminder's.
func TestTheSameAgainAfterAReminder(t *testing.T) {
	nudged := stages(t, talk(t))["nudged"]
	last := nudged.enquiry(mia)
	for said, same := range map[string]bool{
		"same again mate": true, "could you do the car again like last time": true, "same as last time please": true, "like last time please, a saturday": true,
		"yes please": false, "yes please do it again": false, "the top-up please": false,
	} {
		o := nudged.fork()
		o.t = t
		o.say(mia, said)
		e := o.enquiry(mia)
		if got := e.ID != last.ID && slices.Equal(e.Answers["wants"], last.Answers["wants"]) && strings.Contains(o.lastTo(mia).Text, "the same as on"); got != same {
			t.Errorf("%q begins %s with %v and %q", said, e.ID, e.Answers["wants"], o.lastTo(mia).Text)
		}
	}
}
