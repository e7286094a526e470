package when_test

import (
	"testing"
	"time"

	"example.org/dryhand/conversations/diary/when"
	"github.com/google/go-cmp/cmp"
)

// What is said of a job that stands on Friday 26 March 2027 from nine on, two days
// before the clocks go forward; a dash if it is not told from there. The readings are
// those of British English, from memory.
func TestReadFrom(t *testing.T) {
	loc := london(t)
	now := time.Date(2027, time.March, 10, 18, 40, 0, 0, loc)
	nine := time.Date(2027, time.March, 26, 9, 0, 0, 0, loc)
	for _, tt := range []struct{ said, want string }{
		{"an hour later", "2027-03-26 from 09:45 before 10:16"},
		{"could you come an hour later, please?", "2027-03-26 from 09:45 before 10:16"},
		{"two hours earlier", "2027-03-26 from 06:45 before 07:16"},
		{"2hrs earlier please", "2027-03-26 from 06:45 before 07:16"},
		{"half an hour later", "2027-03-26 from 09:15 before 09:46"},
		{"Half-an-hour later", "2027-03-26 from 09:15 before 09:46"},
		{"30 mins later", "2027-03-26 from 09:15 before 09:46"},
		{"90 minutes later", "2027-03-26 from 10:15 before 10:46"},
		{"an hour and a half later", "2027-03-26 from 10:15 before 10:46"},
		{"one and a half hours later", "2027-03-26 from 10:15 before 10:46"},
		{"an hour or two later", "2027-03-26 from 09:45 before 11:16"},
		{"1-2 hours later", "2027-03-26 from 09:45 before 11:16"},
		{"an hour or two earlier", "2027-03-26 from 06:45 before 08:16"},
		{"an hour or so later", "2027-03-26 from 09:45 before 10:16"},
		{"a couple of hours later", "2027-03-26 from 10:45 before 11:16"},
		{"an hour sooner", "2027-03-26 from 07:45 before 08:16"},
		{"an hour after that", "2027-03-26 from 09:45 before 10:16"},
		{"push it back an hour", "2027-03-26 from 09:45 before 10:16"},
		{"can you put it back by half an hour", "2027-03-26 from 09:15 before 09:46"},
		{"bring it forward by an hour", "2027-03-26 from 07:45 before 08:16"},
		{"bring us forward two days", "2027-03-24 from 08:45 before 09:16"},
		{"a bit later that day", "2027-03-26 from 09:01 before 12:01"},
		{"a bit later", "2027-03-26 from 09:01 before 12:01"},
		{"a little earlier on the day", "2027-03-26 from 06:00 before 09:00"},
		{"slightly earlier", "2027-03-26 from 06:00 before 09:00"},
		{"later that day", "2027-03-26 from 09:01"},
		{"later on the same day", "2027-03-26 from 09:01"},
		{"earlier in the day", "2027-03-26 before 09:00"},
		{"a day later", "2027-03-27 from 08:45 before 09:16"},
		{"two days later", "2027-03-28 from 08:45 before 09:16"}, // by the clock, over the change
		{"a day earlier", "2027-03-25 from 08:45 before 09:16"},
		{"a week later", "2027-04-02 from 08:45 before 09:16"},
		{"a fortnight later", "2027-04-09 from 08:45 before 09:16"},
		{"the day after", "2027-03-27"},
		{"the day before that", "2027-03-25"},
		{"the day before at 9", "2027-03-25 from 08:45 before 09:16"},
		{"the day after, 2pm please", "2027-03-27 from 13:45 before 14:16"},
		{"anything later in the day? im at work till 2", "2027-03-26 from 14:00; ~anything"},
		{"the following day", "2027-03-27"},
		{"the week after", ">=2027-03-29 <2027-04-05"},
		{"the week before", ">=2027-03-15 <2027-03-22"},
		{"the following week", ">=2027-03-29 <2027-04-05"},
		{"on Thursday, an hour later", "Thu from 09:45 before 10:16"},
		{"an hour later or Thursday", "Thu; 2027-03-26 from 09:45 before 10:16"},
		{"an hour later, but not Mondays", "!-Mon; 2027-03-26 from 09:45 before 10:16"},
		{"16 hours later", "2027-03-27 from 00:45 before 01:16"},
		// Not told from the job.
		{"later", "-"}, {"earlier", "-"}, {"sooner", "-"}, {"later days", "-"}, {"no later than 3pm", "-"},
		{"the day after tomorrow", "-"}, {"the week after next", "-"}, {"a week on Tuesday", "-"}, {"two weeks on Friday", "-"},
		{"an hour before work", "-"}, {"after an hour", "-"}, {"move it forward an hour", "-"}, {"bring it back an hour", "-"}, {"an hour late", "-"},
		{"300 hours later", "-"}, {"half a day later", "-"}, {"an hour", "-"}, {"later today", "-"}, {"Saturday morning", "-"},
	} {
		m, shifted := when.ReadFrom(tt.said, now, nine)
		got := brief(m)
		if !shifted {
			got = "-"
			if diff := cmp.Diff(when.Read(tt.said, now), m); diff != "" {
				t.Errorf("%q is read another way (-Read +ReadFrom):\n%s", tt.said, diff)
			}
		}
		if got != tt.want {
			t.Errorf("%q:\n%s\nwant\n%s", tt.said, got, tt.want)
		}
	}
}

// Of several times any may be meant, and what is told from none is nothing.
func TestReadFromSeveral(t *testing.T) {
	loc := london(t)
	now := time.Date(2027, time.March, 10, 18, 40, 0, 0, loc)
	noon := time.Date(2027, time.March, 27, 12, 0, 0, 0, loc)
	m, shifted := when.ReadFrom("an hour earlier", now, noon, noon.AddDate(0, 0, 2))
	if want := "2027-03-27 from 10:45 before 11:16; 2027-03-29 from 10:45 before 11:16"; !shifted || brief(m) != want {
		t.Errorf("%v %s", shifted, brief(m))
	}
	if m, shifted := when.ReadFrom("an hour earlier", now); !shifted || len(m.Prefer) != 0 {
		t.Errorf("%v %+v", shifted, m)
	}
}
