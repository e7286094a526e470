package when_test

import (
	"testing"
	"time"

	"example.org/dryhand/conversations/diary/when"
)

// Days that are told from another, and hours that are struck out, said on Monday 12 April 2027
// with Saturday the 17th on the table (issue 10). What is marked as told is told from that
// Saturday.
func TestReadThen(t *testing.T) {
	now := time.Date(2027, time.April, 12, 10, 40, 0, 0, london(t))
	table := time.Date(2027, time.April, 17, 9, 0, 0, 0, london(t))
	for _, tt := range []struct {
		said, want string
		told       bool
	}{
		// The day named is the one it is to be before, and is not wanted.
		{said: "need it done before then, trip on the 24th so before that", want: "!<2027-04-24; ~trip"},
		{said: "we go on holiday fri 23rd, before that please", want: "!<2027-04-23; ~go holiday"},
		{said: "trip on the 24th so before that", want: "!<2027-04-24; ~trip"},
		{said: "we go friday. before that please", want: "!<2027-04-16; ~go"},
		{said: "we're away from the 24th so before then", want: "!<2027-04-24; ~were away"},
		{said: "the party is saturday so need it by then", want: "!<2027-04-18; ~party"},
		{said: "need it by then, party's on friday", want: "!<2027-04-17; ~partys"},
		{said: "no thats the day we go, thurs or fri before?", want: "!<2027-04-17; <2027-04-17 Thu; <2027-04-17 Fri; ~not", told: true},
		{said: "thurs or wed before?", want: "<2027-04-17 Thu; <2027-04-17 Wed", told: true},
		{said: "before then please, thurs", want: "<2027-04-17 Thu", told: true},
		{said: "anything before that?", want: "<2027-04-17; ~anything", told: true},
		{said: "before that im at work, friday", want: "Fri; ~before"},
		// A day of the week and a number are one day, if there is one.
		{said: "thurs 22", want: "2027-04-22"},
		{said: "thurs 20", want: "2027-05-20"},
		{said: "tuesday the 20th at 10", want: "2027-04-20 from 09:45 before 10:16"},
		{said: "sat 24 or sun 25", want: "2027-04-24; 2027-04-25"},
		{said: "thurs 22 to sat 24", want: ">=2027-04-22 <2027-04-25"},
		{said: "thurs 23", want: "?mismatch 2027-04-23 2027-04-22"},
		{said: "friday 15 quid", want: "Fri; ~15 quid"},
		{said: "mon 14-16", want: "Mon from 14:00 before 16:01; ?start or end"},
		// What does not suit is struck out.
		{said: "tues 20th 12 is no good", want: "x 2027-04-20 from 11:45 before 12:16"},
		{said: "not tuesday at 12", want: "x Tue from 11:45 before 12:16"},
		{said: "not available tuesday at 12", want: "x Tue from 11:45 before 12:16"},
		{said: "the 12 oclock is no good for me", want: "x from 11:45 before 12:16"},
		{said: "12 doesn't work", want: "x from 11:45 before 12:16"},
		{said: "friday is no good, thursday?", want: "!-Fri; Thu"},
		{said: "thursday or friday is no good", want: "!-Thu -Fri"},
		{said: "thursday is fine, friday isn't possible", want: "!-Fri; Thu"},
		{said: "tuesday afternoon doesnt work", want: "x Tue from 12:00"},
		// The next such day after the one that was named, or is on the table.
		{said: "the saturday after", want: "2027-04-24", told: true},
		{said: "the weekend after that", want: ">=2027-04-24 <2027-04-26", told: true},
		{said: "friday 16th or the saturday after", want: "2027-04-16; 2027-04-17"},
		{said: "saturday after 2", want: "Sat from 14:00"},
	} {
		m, told := when.ReadFrom(tt.said, now, table)
		if got := brief(m); got != tt.want || told != tt.told {
			t.Errorf("%q:\n got %s (told: %v)\nwant %s (told: %v)", tt.said, got, told, tt.want, tt.told)
		}
	}
	if got := when.Read("we fly on the 24th, so before that", now).Ahead.Format(time.DateOnly); got != "2027-04-24" {
		t.Errorf("before the 24th is ahead of %s", got)
	}
	// With nothing on the table.
	for said, want := range map[string]string{
		"the saturday after": "2027-04-24", "thurs or wed before?": "Thu; Wed; ~before", "anything before that?": "~anything before",
	} {
		if got := brief(when.Read(said, now)); got != want {
			t.Errorf("%q: got %s, want %s", said, got, want)
		}
	}
}
