package conversations_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
)

// bookedAway books work in somebody's drive, a way off, on the first day offered that
// begins with these words.
func (o *office) bookedAway(who bot.ChatID, when string) conversations.Enquiry {
	o.t.Helper()
	o.say(who, "Ford Fiesta")
	o.tap(who, "Outside", "That's all", "At home or work", "Driveway", "Tap and socket", "Gravel or soil")
	o.event(who, bot.Place{Lat: 53.99, Lon: -1.80})
	o.say(who, "just the price")
	o.agreed(who, when)
	return o.enquiry(who)
}

// freeOn is what is free of a day, looked at minute by minute: stretches of half an hour
// and more within these hours that nothing takes.
func (o *office) freeOn(day time.Time, from, to int) string {
	y, m, d := day.In(o.talk.Zone).Date()
	at := func(minute int) time.Time { return time.Date(y, m, d, 0, minute, 0, 0, o.talk.Zone) }
	entries := read[diary.Day](o, "day:"+day.In(o.talk.Zone).Format(time.DateOnly)).Entries
	taken := func(t time.Time) bool {
		for _, e := range entries {
			if !t.Before(e.Start) && t.Before(e.End) {
				return true
			}
		}
		return false
	}
	var out []string
	for i := from; i < to; {
		j := i
		for j < to && !taken(at(j)) {
			j++
		}
		if j-i >= 30 {
			out = append(out, at(i).Format("15:04")+"–"+at(j).Format("15:04"))
		}
		i = max(j, i+1)
	}
	return strings.Join(out, ", ")
}

// A day shows its jobs, the way to the first, what is free and when the sun sets,
// whatever lies over what: time off around a job, and a job that may move by an hour.
func TestTheOwnersDay(t *testing.T) {
	start := newOffice(t, talk(t))
	e := start.bookedAway(mia, "Wednesday 14 April at 10")
	if got := e.Slot.Start.In(start.talk.Zone).Format("2 Jan 15:04"); got != "14 Apr 10:00" {
		t.Fatalf("booked for %s", got)
	}
	free := regexp.MustCompile(`Free: (.*)\.`)
	for _, tc := range []struct {
		name string
		do   func(*office)
	}{
		{"a job", func(*office) {}},
		{"time off beside it", func(o *office) { o.say(boss, "off Wednesday 3 to 4") }},
		{"time off around it", func(o *office) { o.say(boss, "off Wednesday 9:30 to 4") }},
		{"time off over its end", func(o *office) { o.say(boss, "off Wednesday 11 to 3") }},
		{"off all day", func(o *office) { o.say(boss, "off Wednesday") }},
		{"may move by an hour", func(o *office) {
			o.say(mia, "make it an hour later")
			o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
		}},
		{"another in the unit", func(o *office) {
			o.priced(zoe, "Volvo V60")
			o.agreed(zoe, "Wednesday 14 April")
		}},
	} {
		o := start.fork()
		tc.do(o)
		o.say(boss, "/start")
		o.until(o.now.Add(20 * time.Hour))
		o.say(boss, "tomorrow")
		text := o.lastTo(boss).Text
		if !strings.HasPrefix(text, "Wed 14 Apr") {
			t.Fatalf("%s: he reads %q", tc.name, text)
		}
		got := ""
		if m := free.FindStringSubmatch(text); m != nil {
			got = m[1]
		}
		if want := o.freeOn(e.Slot.Start, 9*60, 17*60); got != want {
			t.Errorf("%s: free is %q, want %q, in\n%s", tc.name, got, want, text)
		}
		// 22 miles an hour, 1.3 miles of road for one: from the place itself.
		way := diary.Travel{RoadFactor: 1.3, KmPerHour: 22 * 1.609344}.Between(diary.Point{Lat: 53.95, Lon: -1.90}, diary.Point{Lat: 53.99, Lon: -1.80})
		for _, want := range []string{"10:00–12:15 Mia, Ford Fiesta", fmt.Sprintf("%d min drive", int(way.Minutes())), "Leave by " + e.Slot.Start.Add(-way).In(o.talk.Zone).Format("15:04"), "Sunset 20:0"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q in\n%s", tc.name, want, text)
			}
		}
	}
}

// The evening before there is one card: the jobs, when to leave, what to load; none for
// a day without.
func TestTheEveningBefore(t *testing.T) {
	o := newOffice(t, talk(t))
	o.bookedAway(mia, "Thursday 15 April at 10")
	n := len(o.said)
	o.until(time.Date(2027, 4, 14, 16, 59, 0, 0, time.UTC))
	if got := o.count(boss, n, "Tomorrow, "); got != 0 {
		t.Errorf("%d cards before the evening before", got)
	}
	o.until(time.Date(2027, 4, 15, 22, 0, 0, 0, time.UTC)) // Friday is empty
	if got := o.count(boss, n, "Tomorrow, Thu 15 Apr"); got != 1 || o.count(boss, n, "Tomorrow, Fri") != 0 {
		t.Errorf("%d cards for Thursday, %d for Friday", got, o.count(boss, n, "Tomorrow, Fri"))
	}
	for _, want := range []string{"10:00–12:15 Mia, Ford Fiesta", "Leave by 09:", "To load, besides the usual kit: "} {
		if !o.heard(boss, n, want) {
			t.Errorf("nobody says %q", want)
		}
	}
}

// "Running 20 late" tells the next customer and nobody else, moves their time where
// there is room, and warns of the dark where the light is needed.
func TestRunningLate(t *testing.T) {
	for _, tc := range []struct {
		name, said string
		december   bool
		later      int
		dark       bool
	}{
		{"in spring", "running 20 late", false, 20, false},
		{"in December, with light left", "running 20 late", true, 20, false},
		{"in December, into the dusk", "running 60 late", true, 60, true},
	} {
		o := newOffice(t, talk(t))
		day := "Wednesday 14 April at 12"
		if tc.december {
			o.now = time.Date(2027, 12, 6, 9, 0, 0, 0, time.UTC) // sunset on the 8th about 15:45
			day = "Wednesday 8 December at 12"
		}
		e := o.bookedAway(mia, day)
		if e.Slot.Start.In(o.talk.Zone).Hour() != 12 {
			t.Fatalf("%s: booked for %v", tc.name, e.Slot.Start)
		}
		o.priced(zoe, "Volvo V60")
		o.until(e.Slot.Start.Add(-time.Hour))
		n := len(o.said)
		o.say(boss, tc.said)
		is := o.enquiry(mia)
		if by := is.Slot.Start.Sub(e.Slot.Start); by != time.Duration(tc.later)*time.Minute || is.Slot.End.Sub(e.Slot.End) != by || len(o.entries(e.ID)) != 1 || !o.entries(e.ID)[0].Start.Equal(is.Slot.Start) {
			t.Errorf("%s: moved by %v, in the diary %+v", tc.name, by, o.entries(e.ID))
		}
		if !o.heard(mia, n, "late, sorry") || o.count(zoe, n, "") != 0 {
			t.Errorf("%s: Mia reads %q, Zoe hears %d", tc.name, o.lastTo(mia).Text, o.count(zoe, n, ""))
		}
		_, set, _ := diary.Sun(is.Slot.Start, diary.Point{Lat: 53.99, Lon: -1.80})
		if short := is.Slot.End.After(set.Add(-45 * time.Minute)); short != tc.dark || o.heard(boss, n, "It gets dark") != tc.dark {
			t.Errorf("%s: into the last three quarters of an hour of light: %v; the owner reads %q", tc.name, short, o.lastTo(boss).Text)
		}
	}
}

// One press offers the customers who are out of doors that day another, and nobody else;
// pressed twice it says nothing twice.
func TestRainedOff(t *testing.T) {
	o := newOffice(t, talk(t))
	wet := o.bookedAway(mia, "Wednesday 14 April at 9")
	o.bookedOn(zoe, "Wednesday 14 April")
	if d := o.enquiry(zoe).Slot.Start.In(o.talk.Zone).Format("2 Jan"); d != "14 Apr" {
		t.Fatalf("Zoe is booked for %s", d)
	}
	o.until(time.Date(2027, 4, 13, 17, 30, 0, 0, time.UTC))
	for _, says := range []string{"rain off mia", "too wet for mia tomorrow", "its pouring, move mia to thursday", "rained off mia"} {
		f := o.fork()
		f.say(boss, says)
		n := len(f.said)
		f.tap(boss, "Rained off")
		if !f.heard(mia, n, "costs you nothing") || f.count(zoe, n, "") != 0 {
			t.Errorf("%q: Mia reads %q, Zoe hears %d", says, f.lastTo(mia).Text, f.count(zoe, n, ""))
		}
	}
	f := o.fork()
	f.say(boss, "raining all day, what have i got")
	f.button(boss, "Rained off")
	f.say(boss, "too wet for zoe") // at the workshop
	if slices.Contains(buttons(f.lastTo(boss)), "Rained off") {
		t.Errorf("rain at the workshop: %q", f.lastTo(boss).Text)
	}
	n := len(o.said)
	o.tap(boss, "Rained off")
	if !o.heard(mia, n, "costs you nothing") || o.count(zoe, n, "") != 0 {
		t.Errorf("Mia reads %q, Zoe hears %d", o.lastTo(mia).Text, o.count(zoe, n, ""))
	}
	if e := o.enquiry(mia); *e.Slot != *wet.Slot {
		t.Errorf("moved before anybody chose: %v", e.Slot)
	}
	n = len(o.said)
	o.say(boss, "rained off")
	if o.count(mia, n, "") != 0 {
		t.Errorf("asked twice: %q", o.lastTo(mia).Text)
	}
	o.tap(mia, o.times(mia)[0])
	if e := o.enquiry(mia); e.Move != nil || e.Slot.Start.Equal(wet.Slot.Start) || e.Stage != conversations.Booked {
		t.Errorf("chosen: %+v", e.Slot)
	}
}

// What is in people's calendars is the same appointment all along: with each change its
// number rises, and what is called off says so, to both.
func TestCalendarsFollow(t *testing.T) {
	line := func(m bot.Message, name string) string {
		if m.File == nil {
			t.Fatalf("no file with %q", m.Text)
		}
		for _, l := range strings.Split(string(m.File.Data), "\r\n") {
			if rest, ok := strings.CutPrefix(l, name+":"); ok {
				return rest
			}
		}
		return ""
	}
	withFile := func(o *office, who bot.ChatID, n int) (m bot.Message) {
		for _, x := range o.said[n:] {
			if x.Chat == who && x.File != nil {
				m = x
			}
		}
		return m
	}
	start := newOffice(t, talk(t))
	start.booked(mia, "Ford Fiesta")
	for _, tc := range []struct {
		name   string
		do     func(*office)
		method string
	}{
		{"moved", func(o *office) {
			o.say(mia, "make it an hour later")
			o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
			o.tap(boss, "Yes, that's fine")
		}, "PUBLISH"},
		{"called off by the customer", func(o *office) { o.tap(mia, "Call it off", "Yes, call it off") }, "CANCEL"},
		{"called off by the owner", func(o *office) { o.tap(boss, "Call it off", "Yes, call it off") }, "CANCEL"},
	} {
		o := start.fork()
		was := map[bot.ChatID]bot.Message{mia: withFile(o, mia, 0), boss: withFile(o, boss, 0)}
		n := len(o.said)
		tc.do(o)
		for who, before := range was {
			m := withFile(o, who, n)
			if line(m, "UID") != line(before, "UID") || line(m, "UID") == "" || line(m, "METHOD") != tc.method || (line(m, "STATUS") == "CANCELLED") != (tc.method == "CANCEL") {
				t.Errorf("%s, to %s:\n%s", tc.name, names[who], m.File.Data)
			}
			var first, second int
			fmt.Sscan(line(before, "SEQUENCE"), &first)
			fmt.Sscan(line(m, "SEQUENCE"), &second)
			if second <= first {
				t.Errorf("%s, to %s: SEQUENCE %d after %d", tc.name, names[who], second, first)
			}
		}
	}
}

// A day the rules close for once is no day.
func TestClosedForOnce(t *testing.T) {
	for closed, want := range map[string]bool{"2027-04-14": false, "2027-04-15": true} {
		o := newOffice(t, with(t, "  # closed: [2027-06-04] ", "  closed: ["+closed+"] "))
		o.priced(mia, "Ford Fiesta")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		o.say(mia, "Wednesday 14 April at two")
		if got := strings.Contains(strings.Join(o.times(mia), "; "), "Wed 14 Apr"); got != want {
			t.Errorf("closed on %s, the 14th is offered: %v", closed, got)
		}
	}
}
