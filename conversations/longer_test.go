package conversations_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
)

// A job that takes longer than was booked has the time it needs: nights, breaks and
// days without work do not count as any. If somebody else has the time, the diary stays
// as it is and the owner is told.
func TestLongerJobsCountNightsAndBreaks(t *testing.T) {
	span := func(from, to string) pricing.Span {
		at := func(s string) int {
			c, err := time.Parse("15:04", s)
			if err != nil {
				t.Fatal(err)
			}
			return 60*c.Hour() + c.Minute()
		}
		return pricing.Span{From: at(from), To: at(to)}
	}
	short, broken, long := []pricing.Span{span("09:00", "10:30")}, []pricing.Span{span("09:00", "10:30"), span("11:00", "12:00")}, []pricing.Span{span("09:00", "17:00")}
	for _, tc := range []struct {
		name    string
		hours   []pricing.Span
		minutes int // what it takes after all; two hours were booked
		taken   bool
		want    string
	}{
		{"within a day", long, 180, false, "Wed 14 Apr 09:00–12:00"},
		{"shorter", long, 60, false, "Wed 14 Apr 09:00–11:00"},
		{"over closing", long, 540, false, "Wed 14 Apr 09:00–18:00"},
		{"over a break", broken, 150, false, "Wed 14 Apr 09:00–12:00"},
		{"over a break and closing", broken, 180, false, "Wed 14 Apr 09:00–12:30"},
		{"later on the last day", short, 150, false, "Wed 14 Apr 09:00–10:30, Thu 15 Apr 09:00–10:00"},
		{"another day", short, 240, false, "Wed 14 Apr 09:00–10:30, Thu 15 Apr 09:00–10:30, Fri 16 Apr 09:00–10:00"},
		{"over days without work", short, 300, false, "Wed 14 Apr 09:00–10:30, Thu 15 Apr 09:00–10:30, Fri 16 Apr 09:00–10:30, Mon 19 Apr 09:00–10:00"},
		{"somebody has it", short, 240, true, "Wed 14 Apr 09:00–10:30, Thu 15 Apr 09:00–10:00"},
		{"past midnight", []pricing.Span{span("09:00", "22:00")}, 960, false, "Wed 14 Apr 09:00–22:00, Thu 15 Apr 09:00–12:00"},
	} {
		talk := talk(t)
		rules := *talk.Rules
		rules.Diary.Hours = map[string][]pricing.Span{}
		for day := time.Monday; day <= time.Friday; day++ {
			rules.Diary.Hours[strings.ToLower(day.String())] = tc.hours
		}
		talk.Rules = &rules
		o := newOffice(t, talk)
		book := func(who bot.ChatID, day string) {
			o.priced(who, "Ford Fiesta")
			o.tap(who, "Find a day", "Nothing like that", "No photo")
			o.say(who, day+" at 9")
			o.tap(who, day, "No, thank you", "Yes, ask for it")
		}
		if tc.taken {
			book(zoe, "Fri 16 Apr")
		}
		book(mia, "Wed 14 Apr")
		first := o.enquiry(mia).ID
		o.tap(boss, "Adjust", "Minutes")
		o.say(boss, fmt.Sprint(tc.minutes))
		o.tap(boss, "They've said yes")
		if warned := o.heard(boss, 0, "runs into the next job"); warned != tc.taken {
			t.Errorf("%s: the owner is warned: %v", tc.name, warned)
		}
		var got []string
		for _, en := range o.entries(first) {
			got = append(got, en.Start.In(talk.Zone).Format("Mon 2 Jan 15:04")+"–"+en.End.In(talk.Zone).Format("15:04"))
		}
		e := read[conversations.Enquiry](o, "enq:"+first)
		if strings.Join(got, ", ") != tc.want || e.Stage != conversations.Booked {
			t.Errorf("%s, %d minutes: %s, want %s (%s)", tc.name, tc.minutes, strings.Join(got, ", "), tc.want, e.Stage)
		}
	}
}

// At a job of several days nobody is told in the evening that it should be done by now,
// and the nights are no work.
func TestSeveralDaysAtWork(t *testing.T) {
	o := newOffice(t, daily(talk(t), 9*60, 10*60+30))
	o.booked(mia, "Ford Fiesta")
	e := o.enquiry(mia)
	if !strings.Contains(o.lastTo(boss).Text, e.Slot.Start.In(o.talk.Zone).Format("Mon 2 Jan, 15:04")) || len(o.entries(e.ID)) != 2 {
		t.Fatalf("%+v", o.entries(e.ID))
	}
	if until := e.Slot.End.In(o.talk.Zone).Format("to about Mon 2 Jan, 15:04"); !o.heard(mia, 0, until) {
		t.Errorf("Mia does not read %q, but %q", until, o.lastTo(mia).Text)
	}
	o.until(e.Slot.Start)
	o.tap(boss, "Start work")
	n := len(o.said)
	const over = "was to be done by"
	second := o.entries(e.ID)[1]
	o.until(second.Start)
	if o.heard(boss, n, over) {
		t.Errorf("said to be over before it is: %q", o.lastTo(boss).Text)
	}
	o.until(second.End)
	if !o.heard(boss, n, over+" 10:00") || !o.heard(boss, n, "No step has been ticked") || o.heard(boss, n, "1450") {
		t.Errorf("when the time is up he reads %q", o.lastTo(boss).Text)
	}
	o.until(second.End.Add(time.Hour / 2))
	o.tap(boss, "Finish")
	o.button(boss, "3 hours by the clock") // an hour and a half of each day
}
