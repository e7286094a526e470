package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
)

// buttons are the labels of a message's choices, but for the ways out.
func buttons(m bot.Message) (labels []string) {
	for _, row := range m.Choices[:len(m.Choices)-1] {
		for _, c := range row {
			labels = append(labels, c.Label)
		}
	}
	return labels
}

// A time that can be meant in two ways is asked about, with two buttons, and what
// is offered then is what was meant. What has only one reading left is not.
func TestNamedTimesInDoubt(t *testing.T) {
	for _, tc := range []struct {
		now    string // in April 2027
		notice int
		said   string
		ask    []string
		tap    string
		// first is how the first time offered begins, all that all of them do.
		first, all string
	}{
		{"12 18:40", 24, "next Friday", []string{"Fri 16 Apr", "Fri 23 Apr"}, "Fri 23 Apr", "Fri 23 Apr, 09:00", "Fri 23 Apr"},
		{"12 18:40", 24, "next Friday", []string{"Fri 16 Apr", "Fri 23 Apr"}, "Fri 16 Apr", "Fri 16 Apr, 09:00", "Fri 16 Apr"},
		{"12 18:40", 24, "next Friday after 1", []string{"Fri 16 Apr", "Fri 23 Apr"}, "Fri 23 Apr", "Fri 23 Apr, 13:00", "Fri 23 Apr"},
		{"12 18:40", 24, "Saturday the 25th", []string{"Sat 24 Apr", "Sun 25 Apr"}, "Sat 24 Apr", "Sat 24 Apr", "Sat 24 Apr"},
		{"17 08:00", 24, "Saturday", nil, "", "Sat 24 Apr", "Sat"},
		{"17 08:00", 1, "Saturday", []string{"Sat 17 Apr", "Sat 24 Apr"}, "Sat 24 Apr", "Sat 24 Apr", "Sat 24 Apr"},
		{"17 08:00", 1, "the 17th", []string{"Sat 17 Apr", "Mon 17 May"}, "Sat 17 Apr", "Sat 17 Apr", "Sat 17 Apr"},
		{"17 08:00", 24, "the 17th", nil, "", "Mon 17 May", "Mon 17 May"},
		{"20 08:00", 24, "the 4th", nil, "", "Tue 4 May", "Tue 4 May"},
		{"12 18:40", 24, "at 7", []string{"In the morning", "In the evening"}, "In the morning", "", ""},
		{"12 18:40", 24, "7", []string{"In the morning", "In the evening"}, "In the evening", "", ""},
		{"12 18:40", 24, "Friday at 7", []string{"In the morning", "In the evening"}, "In the morning", "", ""},
		{"12 18:40", 24, "11", nil, "", "Wed 14 Apr, 11:00", ""},
		// Not at that time, but on that day; not on that day, but near it.
		{"12 18:40", 24, "Wednesday at 8pm", nil, "", "Wed 14 Apr, 15:00", "Wed"},
		{"12 18:40", 24, "Sunday 25 April", nil, "", "Fri 23 Apr", ""},
	} {
		o := newOffice(t, talk(t))
		o.talk.Rules.Diary.NoticeHours = tc.notice
		var err error
		if o.now, err = time.ParseInLocation("2 15:04 Jan 2006", tc.now+" Apr 2027", o.talk.Zone); err != nil {
			t.Fatal(err)
		}
		o.priced(mia, "Ford Fiesta")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
		o.say(mia, tc.said)
		if tc.ask != nil {
			if got := buttons(o.lastTo(mia)); !slices.Equal(got, tc.ask) {
				t.Errorf("%q on the %s: asked %q with %q, want %q", tc.said, tc.now, o.lastTo(mia).Text, got, tc.ask)
				continue
			}
			o.tap(mia, tc.tap)
		}
		m := o.lastTo(mia)
		got := buttons(m)
		if strings.Contains(m.Text, "Just to be sure") || !strings.HasPrefix(got[0], tc.first) {
			t.Errorf("%q on the %s: %q with %q, want %q first", tc.said, tc.now, m.Text, got, tc.first)
		}
		for _, label := range got[:len(got)-1] {
			if !strings.HasPrefix(label, tc.all) {
				t.Errorf("%q on the %s: %q is offered, want %q", tc.said, tc.now, label, tc.all)
			}
		}
	}
}

// What was unclear is taken back with the rest of it, and said anew it counts as
// said last.
func TestNamedTimesSaidAnew(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	o.tap(mia, "Find a day", "Nothing like that", "No photo")
	o.say(mia, "next Friday", "Thursday")
	if got := buttons(o.lastTo(mia)); !strings.HasPrefix(got[0], "Thu 15 Apr") {
		t.Errorf("next Friday, no, Thursday: %q with %q", o.lastTo(mia).Text, got)
	}
	o.say(mia, "next Friday", "Fri 23 Apr")
	if got := buttons(o.lastTo(mia)); !strings.HasPrefix(got[0], "Fri 23 Apr") {
		t.Errorf("typed: %q with %q", o.lastTo(mia).Text, got)
	}
	if u := o.enquiry(mia).Unclear; u != nil {
		t.Errorf("still unclear: %v", u)
	}
}

// A number answers where numbers are offered, with words that make it rough beside it,
// and with no others.
func TestANumberAndAWord(t *testing.T) {
	for text, want := range map[string]string{
		"3": "3", "3 prob": "3", "a 2 I think": "2", "probably 4": "4", "3 dogs": "", "not a 3": "", "2 or 3": "", "12": "", "about 5": "",
	} {
		o := newOffice(t, talk(t))
		o.say(mia, "ford fiesta", "inside", "at the workshop")
		asked := o.enquiry(mia).At
		if !strings.HasPrefix(asked, "cond-") {
			t.Fatalf("asked is %q: %q", asked, o.lastTo(mia).Text)
		}
		o.say(mia, text)
		got := strings.Join(o.enquiry(mia).Answers[asked], ",")
		if got != want {
			t.Errorf("%q answers %q, want %q; told %.80q", text, got, want, o.lastTo(mia).Text)
		}
	}
}
