package conversations_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
)

// inTheDrive brings Mia to the times she can choose from, for work in her drive.
func (o *office) inTheDrive() []string {
	o.t.Helper()
	o.say(mia, "Ford Fiesta")
	o.tap(mia, "Outside", "That's all", "At home or work", "Driveway", "Tap and socket", "Gravel or soil", "Under 8 miles")
	o.say(mia, "just the price")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	return o.times(mia)
}

// times are the moments on somebody's last buttons.
func (o *office) times(who bot.ChatID) (out []string) {
	for _, row := range o.lastTo(who).Choices {
		for _, c := range row {
			if _, err := time.Parse("Mon 2 Jan, 15:04", c.Label); err == nil {
				out = append(out, c.Label)
			}
		}
	}
	return out
}

// How long before sunset work outdoors is over, in which hours there is work at
// customers' places, and whether the drive there is one of them, is the rules' to
// say.
func TestRulesOfOutdoorWork(t *testing.T) {
	december := time.Date(2027, 12, 6, 9, 0, 0, 0, time.UTC) // a Monday; sunset is about 15:45 in Calderwick
	offered := func(change func(*pricing.DiaryRules)) string {
		talk := talk(t)
		rules := *talk.Rules
		change(&rules.Diary)
		talk.Rules = &rules
		o := newOffice(t, talk)
		o.now = december
		return strings.Join(o.inTheDrive(), "; ")
	}
	usual := offered(func(*pricing.DiaryRules) {})
	if !strings.Contains(usual, "Tue 7 Dec, 09:00") || !strings.Contains(usual, ", 12:00") {
		t.Fatalf("as it is: %s", usual)
	}
	// Three hours from noon are over 45 minutes before sunset, but not three hours.
	if got := offered(func(d *pricing.DiaryRules) { d.DaylightMinutes = 180 }); strings.Contains(got, ", 12:00") || !strings.Contains(got, "Tue 7 Dec, 09:00") {
		t.Errorf("three hours before sunset: %s", got)
	}
	away := map[string][]pricing.Span{"thursday": {{From: 10 * 60, To: 16 * 60}}}
	if got := offered(func(d *pricing.DiaryRules) { d.AwayHours = away }); !strings.HasPrefix(got, "Thu 9 Dec, 10:00") || strings.Contains(got, "Tue") || strings.Contains(got, "Wed") {
		t.Errorf("away on Thursdays from ten: %s", got)
	}
	if got := offered(func(d *pricing.DiaryRules) { d.DriveInHours = true }); !strings.HasPrefix(got, "Tue 7 Dec, 09:30") {
		t.Errorf("driving from nine: %s", got)
	}
}

// What was asked for in the weeks in which nobody is nudged is answered in days,
// not when those weeks are over; and never later than an hour before it would be.
func TestRequestsDoNotWaitForTheSeason(t *testing.T) {
	for _, tc := range []struct {
		name       string
		now, until string
		patience   int
		reminded   string
	}{
		{"on a Saturday before Christmas, for Monday", "2027-12-18 10:00", "2027-12-20 08:00", 12, "2027-12-18 16:00"},
		{"on the Wednesday, for the day after next", "2027-12-15 18:00", "2027-12-16 11:00", 12, "2027-12-16 09:00"},
		{"on Christmas Eve, for the first day of work", "2027-12-24 18:00", "2027-12-29 08:00", 12, "2027-12-27 07:00"},
		{"for long, and the day is near", "2027-04-12 12:00", "2027-04-13 11:30", 168, "2027-04-12 18:00"},
		{"at night, so that nine would be too soon", "2027-04-12 21:00", "2027-04-13 11:00", 12, "2027-04-13 09:00"},
	} {
		talk := talk(t)
		rules := *talk.Rules
		rules.Diary.ApproveWithinHours = tc.patience
		talk.Rules = &rules
		o := newOffice(t, talk)
		at := func(s string) time.Time {
			m, err := time.ParseInLocation("2006-01-02 15:04", s, talk.Zone)
			if err != nil {
				t.Fatal(err)
			}
			return m
		}
		o.now = at(tc.now)
		o.asked(mia, "Ford Fiesta")
		e := o.enquiry(mia)
		if tc.patience > 100 {
			tc.until = e.Slot.Start.In(talk.Zone).Add(-time.Hour).Format("2006-01-02 15:04")
		}
		if !e.From.Equal(at(tc.until)) || !e.From.Before(e.Slot.Start) {
			t.Errorf("%s: until %v, want %s; it would be at %v", tc.name, e.From.In(talk.Zone), tc.until, e.Slot.Start)
		}
		next, _ := o.nextDue()
		if tc.patience < 100 && !next.At.Equal(at(tc.reminded)) {
			t.Errorf("%s: reminded at %v, want %s", tc.name, next.At.In(talk.Zone), tc.reminded)
		}
		n := len(o.said)
		o.until(e.From.Add(-time.Minute))
		if !o.heard(boss, n, "is still waiting for your yes") {
			t.Errorf("%s: the owner is not reminded", tc.name)
		}
		o.until(e.From)
		if got := o.enquiry(mia); got.Stage == conversations.Booked || !o.heard(mia, n, "is not booked") || len(o.entries(e.ID)) != 0 {
			t.Errorf("%s: after silence it is %s, and Mia reads %q", tc.name, got.Stage, o.lastTo(mia).Text)
		}
	}
}

// Whoever is to answer a wish to move is reminded once; no answer moves nothing.
func TestMovesAreRemindedOf(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	was := *o.enquiry(mia).Slot
	third := func(o *office, who bot.ChatID) {
		o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[2][0].Data})
	}
	for _, tc := range []struct {
		name       string
		wish       func(*office)
		who        bot.ChatID
		again, end string
	}{
		{"by the customer", func(o *office) { o.tap(mia, "Move it"); third(o, mia) }, boss, "still waiting to hear whether", "had no answer"},
		{"by the owner", func(o *office) { o.tap(boss, "Move it"); third(o, boss) }, mia, "May we still ask", "hasn't answered about another time"},
		{"offered", func(o *office) { o.tap(boss, "Move it", "Let them choose") }, mia, "haven't chosen another time yet", "hasn't chosen one"},
	} {
		o := o.fork()
		tc.wish(o)
		until, n := o.enquiry(mia).Move.Until, len(o.said)
		o.until(until.Add(-time.Minute))
		if got := o.count(tc.who, n, tc.again); got != 1 {
			t.Errorf("%s: reminded %d times", tc.name, got)
		}
		o.until(until)
		if e := o.enquiry(mia); e.Move != nil || *e.Slot != was || !o.heard(boss, n, tc.end) {
			t.Errorf("%s: after silence: %+v, and the owner reads %q", tc.name, e.Move, o.lastTo(boss).Text)
		}
		if got := o.count(tc.who, n, tc.again); got != 1 {
			t.Errorf("%s: reminded %d times in the end", tc.name, got)
		}
	}
}

// count is how often somebody was told something since the n-th message.
func (o *office) count(who bot.ChatID, n int, what string) (times int) {
	for _, m := range o.said[n:] {
		if m.Chat == who && strings.Contains(m.Text, what) {
			times++
		}
	}
	return times
}

// daily are the rules with other hours on every day.
func daily(talk conversations.Talk, from, to int) conversations.Talk {
	rules := *talk.Rules
	rules.Diary.Hours = map[string][]pricing.Span{}
	for _, day := range []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"} {
		rules.Diary.Hours[day] = []pricing.Span{{From: from, To: to}}
	}
	talk.Rules = &rules
	return talk
}

// A job of several days has of each what it had when it was asked for, even if the
// hours are longer by the time of the owner's yes and somebody is in the new ones.
func TestYesToSeveralDaysWhenTheHoursHaveChanged(t *testing.T) {
	for _, move := range []bool{false, true} {
		o := newOffice(t, daily(talk(t), 9*60, 10*60+30))
		if move {
			o.booked(mia, "Ford Fiesta")
			o.tap(mia, "Move it", "Later days")
			o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
		} else {
			o.asked(mia, "Ford Fiesta")
		}
		e := o.enquiry(mia)
		id, slot := e.ID, e.Slot
		if move {
			id, slot = e.ID+"~", e.Move.To
		}
		was := o.entries(id)
		if len(was) != 2 {
			t.Fatalf("it takes %d days: %+v", len(was), was)
		}
		o.talk = daily(o.talk, 9*60, 17*60)
		o.priced(zoe, "Ford Fiesta")
		o.tap(zoe, "Find a day", "Nothing like that", "No photo")
		o.say(zoe, slot.Start.In(o.talk.Zone).Format("on 2 January at 15:04"))
		o.event(zoe, bot.Tap{ID: "t", Data: o.lastTo(zoe).Choices[0][0].Data})
		o.tap(zoe, "No, thank you", "Yes, ask for it")
		if between := o.entries(o.enquiry(zoe).ID); len(between) != 1 || !between[0].Start.After(was[0].End) || between[0].Start.Format("2 Jan") != was[0].Start.Format("2 Jan") {
			t.Fatalf("Zoe is not in the new hours of the day: %+v beside %+v", between, was)
		}
		o.tap(boss, "Yes, book it")
		o.tap(boss, map[bool]string{true: "Yes, that's fine", false: "Yes, book it"}[move])
		now := o.entries(e.ID)
		for i := range was {
			was[i].ID, was[i].For, was[i].Kind = e.ID, "", "booked"
		}
		if diff := cmp.Diff(was, now); diff != "" || o.enquiry(mia).Stage != conversations.Booked || !o.enquiry(mia).Slot.Start.Equal(slot.Start) {
			t.Errorf("moved: %v, in the diary (-as asked for +is):\n%s", move, diff)
		}
	}
}

// Whoever moves a booking is not offered a time for being beside the very booking,
// nor one that it still takes.
func TestTheOldTimeIsNoNeighbour(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.tap(mia, "Move it", "Later days")
	last := o.times(mia)[3]
	o.tap(mia, last)
	o.tap(boss, "Yes, that's fine")
	date, _, _ := strings.Cut(last, ",")
	o.tap(mia, "Move it")
	for _, label := range o.times(mia) {
		if strings.HasPrefix(label, date) {
			t.Errorf("booked for %s, offered %s", last, label)
		}
	}
	o.say(mia, date[len("Wed "):]) // the day itself, if it is asked for
	slot := o.enquiry(mia).Slot
	for _, label := range o.times(mia) {
		if label == last || strings.HasPrefix(label, date) && label == slot.Start.Add(30*time.Minute).In(o.talk.Zone).Format("Mon 2 Jan, 15:04") {
			t.Errorf("booked for %s, offered %s", last, label)
		}
	}
}

// The owner is told as well when he asks for less notice than he gives, and a
// calendar that has the old time hears of a delay.
func TestLateOnOurSide(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	start, sequence := o.enquiry(mia).Slot.Start, o.enquiry(mia).Changes
	const short = "less notice than the 24 hours you ask of them"
	o.tap(boss, "Call it off")
	if said := o.lastTo(boss).Text; strings.Contains(said, short) {
		t.Errorf("two days ahead: %q", said)
	}
	o.tap(boss, "Keep it as it is")
	o.until(start.Add(-time.Hour))
	o.tap(boss, "Call it off")
	if said := o.lastTo(boss).Text; !strings.Contains(said, short) {
		t.Errorf("an hour before: %q", said)
	}
	o.tap(boss, "Keep it as it is")
	o.say(boss, "running 20 late")
	for _, who := range []bot.ChatID{mia, boss} {
		m := o.lastTo(who)
		if m.File == nil {
			t.Fatalf("%s has no file: %q", names[who], m.Text)
		}
		for _, line := range []string{fmt.Sprint("SEQUENCE:", sequence+1), "METHOD:PUBLISH", "DTSTART:" + start.Add(20*time.Minute).UTC().Format("20060102T150405Z")} {
			if !strings.Contains(string(m.File.Data), line+"\r\n") {
				t.Errorf("%s: no %s in\n%s", names[who], line, m.File.Data)
			}
		}
	}
}

// Who brings a car that has to dry for half a day reads when it can be fetched: when
// there is somebody there again.
func TestCarStaysToDry(t *testing.T) {
	for dry, want := range map[int]string{0: "", 60: "can be fetched from 15:00", 720: "can be fetched from Wed 14 Apr, 09:00"} {
		o := newOffice(t, talk(t))
		o.held(mia, "Ford Fiesta") // Tuesday the 13th, noon to two
		e := o.enquiry(mia)
		e.Quote.Dry = dry
		body, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		doc := o.docs["enq:"+e.ID]
		doc.Body = body
		o.docs[doc.Key] = doc
		n := len(o.said)
		o.tap(mia, "Yes, remind me", "Yes, ask for it")
		o.tap(boss, "Yes, book it")
		for _, who := range []bot.ChatID{mia, boss} {
			if dry == 0 && o.heard(who, n, "has to dry") || dry > 0 && !o.heard(who, n, want) {
				t.Errorf("%d minutes: %s reads %q", dry, names[who], o.lastTo(who).Text)
			}
		}
	}
}
