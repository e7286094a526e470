package when_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"github.com/google/go-cmp/cmp"
)

func london(t testing.TB) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// brief writes a meaning in few words: bounds after "!", alternatives, doubts
// after "?", and what was not read after "~".
func brief(m when.Meaning) string {
	var out []string
	if !m.Only.Any() {
		out = append(out, "!"+times(m.Only))
	}
	for _, t := range m.Prefer {
		out = append(out, times(t))
	}
	for _, t := range m.Not {
		out = append(out, "x "+times(t))
	}
	for _, d := range m.Doubts {
		out = append(out, strings.TrimSpace("?"+string(d.Why)+" "+strings.Join(d.Dates, " ")))
	}
	if len(m.Unread) > 0 {
		out = append(out, "~"+strings.Join(m.Unread, " "))
	}
	return strings.Join(out, "; ")
}

func times(t diary.Times) string {
	var out []string
	day := func(label string, at time.Time) {
		if !at.IsZero() {
			out = append(out, label+at.Format("2006-01-02"))
		}
	}
	day(">=", t.From)
	day("<", t.To)
	for _, d := range t.Weekdays {
		out = append(out, d.String()[:3])
	}
	out = append(out, t.On...)
	for _, d := range t.Not {
		out = append(out, "-"+d.String()[:3])
	}
	for _, d := range t.NotOn {
		out = append(out, "-"+d)
	}
	for _, c := range []struct {
		label   string
		minutes int
	}{{"from ", t.StartFrom}, {"before ", t.StartBefore}, {"done ", t.DoneBy}} {
		if c.minutes > 0 {
			out = append(out, fmt.Sprintf("%s%02d:%02d", c.label, c.minutes/60, c.minutes%60))
		}
	}
	return strings.Join(out, " ")
}

// What a phrase means, said on Wednesday 10 March 2027 at twenty to seven in the
// evening. The clocks go forward on the 28th. The readings are the common ones of
// British English, from memory; where people differ, a doubt is wanted.
func TestRead(t *testing.T) {
	now := time.Date(2027, time.March, 10, 18, 40, 0, 0, london(t))
	for _, tt := range []struct{ said, want string }{
		{"Saturday morning", "Sat before 12:00"},
		{"tues mornin", "Tue before 12:00"},
		// What they are busy with is no hour to come at; a night is a day's end.
		{"Do you have anything on Tuesday next week, in the morning? I have the hairdresser at 2", ">=2027-03-15 <2027-03-22 Tue before 12:00 done 14:00; ~anything"},
		{"thursday, got the dentist at 10", "Thu done 10:00; Thu from 11:00"},
		{"friday please, i work till 3", "Fri from 15:00"},
		{"needs to be done by fri night", "!<2027-03-13; ~needs"},
		{"before friday night", "!<2027-03-13"},
		{"have you got anything thursday at 2", "Thu from 13:45 before 14:16; ~anything"},
		// What an hour and a "no" belong to (issue 10).
		{"ok friday then 12", "Fri from 11:45 before 12:16"},
		{"no friday this week at 12", ">=2027-03-10 <2027-03-15 Fri from 11:45 before 12:16"},
		{"no, friday at 12", "Fri from 11:45 before 12:16"},
		{"not friday at 12", "x Fri from 11:45 before 12:16"},
		{"no fridays", "!-Fri"},
		{"no friday", "!-Fri"},
		{"ok thursday 10 is fine thank you so much", "Thu from 09:45 before 10:16; ~much"},
		{"friday 2 people", "Fri; ~2 people"},
		{"friday 12", "Fri; ~12"}, // the 12th is one
		{"saturday 12", "Sat from 11:45 before 12:16"},
		{"the 22nd, 9", "2027-03-22; ~9"},
		{"cant make it tomorrow sorry", "!-2027-03-11"},
		{"can't come on Friday", "!-Fri"},
		{"no later than friday", "!<2027-03-13"},
		{"later than the 20th", "!>=2027-03-21"},
		{"next week only got 60 quid", ">=2027-03-15 <2027-03-22; ~60 quid"},
		{"saturday only", "!Sat"},
		{"only saturday mornings", "!Sat before 12:00"},
		{"wensday aft", "Wed from 12:00"},
		{"tomorow evenin", "2027-03-11 from 17:00"},
		{"satday morn or fri eve", "Sat before 12:00; Fri from 17:00"},
		{"fortnightly", "~fortnightly"},
		{"by the 14th", "!<2027-03-15"},
		{"next Tuesday after 2", "2027-03-16 from 14:00"},
		{"not Fridays", "!-Fri"},
		{"in a fortnight", ">=2027-03-21 <2027-03-28; ?roughly 2027-03-21 2027-03-27"},
		{"week of the 3rd", ">=2027-03-29 <2027-04-05"},
		{"any weekday pm", "Mon Tue Wed Thu Fri from 12:00"},
		{"14/3", "2027-03-14"},
		{"14 March", "2027-03-14"},
		{"3rd", "2027-04-03"},
		{"the 14th of March", "2027-03-14"},
		{"March 14th", "2027-03-14"},
		{"14/3/27", "2027-03-14"},
		{"2027-04-02", "2027-04-02"},
		{"today", "2027-03-10"},
		{"tomorrow", "2027-03-11"},
		{"day after tomorrow", "2027-03-12"},
		{"tomorrow afternoon", "2027-03-11 from 12:00"},
		{"this Friday", "2027-03-12"},
		{"next Friday", "2027-03-12 2027-03-19; ?next or this 2027-03-12 2027-03-19"},
		{"this weekend", "2027-03-13 2027-03-14"},
		{"next weekend", "2027-03-13 2027-03-14 2027-03-20 2027-03-21; ?next or this 2027-03-13 2027-03-14 2027-03-20 2027-03-21"},
		{"weekends", "Sat Sun"},
		{"a week on Tuesday", "2027-03-23"},
		{"Tuesday week", "2027-03-23"},
		{"a week today", "2027-03-17"},
		{"in 3 days", "2027-03-13"},
		{"in two weeks' time", ">=2027-03-21 <2027-03-28; ?roughly 2027-03-21 2027-03-27"},
		{"next week", ">=2027-03-15 <2027-03-22"},
		{"this week", ">=2027-03-10 <2027-03-15"},
		{"w/c 22nd", ">=2027-03-22 <2027-03-29"},
		{"week commencing 5/4", ">=2027-04-05 <2027-04-12"},
		{"the week after next", ">=2027-03-22 <2027-03-29"},
		{"next month", ">=2027-04-01 <2027-05-01"},
		{"in April", ">=2027-04-01 <2027-05-01"},
		{"end of the month", ">=2027-03-21 <2027-04-01"},
		{"early April", ">=2027-04-01 <2027-04-11"},
		{"mid-April", ">=2027-04-11 <2027-04-21"},
		{"Monday or Tuesday", "Mon; Tue"},
		{"Monday or Tuesday morning", "Mon; Tue before 12:00; ?scope"},
		{"Saturday morning or Tuesday after 2", "Sat before 12:00; Tue from 14:00"},
		{"Monday to Thursday", "Mon Tue Wed Thu"},
		{"mon-fri, 9-12", "Mon Tue Wed Thu Fri from 09:00 before 12:01; ?start or end"},
		{"between the 15th and the 20th", ">=2027-03-15 <2027-03-21"},
		{"24-26 March", ">=2027-03-24 <2027-03-27"},
		{"free 24 march to 2 april", ">=2027-03-24 <2027-04-03"},
		{"off 24 to 26 march", ">=2027-03-24 <2027-03-27; ~off"},
		{"3rd-10th April", ">=2027-04-03 <2027-04-11"},
		{"from the 15th", "!>=2027-03-15"},
		{"after the 15th", "!>=2027-03-16"},
		{"before the 20th", "!<2027-03-20"},
		{"before we fly on the 20th", "!<2027-03-20"},
		{"can we not do saturday 13th then", "2027-03-13"},
		{"could you not do Friday?", "Fri"},
		{"cant you do Friday?", "Fri"},
		{"can you not do Fridays please", "!-Fri"},
		{"we can't do Friday", "!-Fri"},
		{"before Saturday 19th June", "!<2027-06-19"},
		{"before my nieces wedding on Saturday 19th June", "!<2027-06-19"},
		{"before the wedding on Saturday, the 19th of June please", "!<2027-06-19"},
		{"by Friday 18 June", "!<2027-06-19"},
		{"from Monday 22nd March", "!>=2027-03-22"},
		{"before Friday 19th June", "?mismatch 2027-06-19 2027-06-18"},
		{"before my in-laws come this weekend", "!<2027-03-13"},
		{"before I forget, Saturday", "Sat; ~before forget"},
		{"any day bar Tuesday", "!-Tue"},
		{"by Friday", "!<2027-03-13"},
		{"until Friday", "!<2027-03-13"},
		{"before the end of the month", "!<2027-04-01"},
		{"before the end of next week", "!<2027-03-22"},
		{"by the end of next week", "!<2027-03-22"},
		{"not Fridays or Saturdays", "!-Fri -Sat"},
		{"not the 14th", "!-2027-03-14"},
		{"not mornings", "!from 12:00"},
		{"not before 10", "!from 10:00"},
		{"not Friday afternoon", "x Fri from 12:00"},
		{"not next week", "!-2027-03-15 -2027-03-16 -2027-03-17 -2027-03-18 -2027-03-19 -2027-03-20 -2027-03-21"},
		{"only Saturdays", "!Sat"},
		{"Saturdays only please", "!Sat"},
		{"at 10", "from 09:45 before 10:16"},
		{"10am", "from 09:45 before 10:16"},
		{"10.30am", "from 10:15 before 10:46"},
		{"14:30", "from 14:15 before 14:46"},
		{"half past two", "from 14:15 before 14:46"},
		{"half two", "from 14:15 before 14:46"},
		{"quarter to 3", "from 14:30 before 15:01"},
		{"noon", "from 11:45 before 12:16"},
		{"around 3", "from 14:15 before 15:46"},
		{"between 10 and 2", "from 10:00 before 14:01; ?start or end"},
		{"after 7", "?half of day"},
		{"at 7", "?half of day"},
		{"Saturday the 14th", "?mismatch 2027-03-14 2027-03-13"},
		{"Saturday the 13th", "2027-03-13"},
		{"Saturday, 13 March", "Sat 2027-03-13"},
		{"31 June", "?no such date"},
		{"3/14", "?no such date"},
		{"the 31st", "2027-03-31"},
		{"10/3", "2027-03-10"},
		{"the 10th", "2027-03-10 2027-04-10; ?today or later 2027-03-10 2027-04-10"},
		{"1/1/2020", "?past 2020-01-01"},
		{"Friday at the latest", "!<2027-03-13"},
		{"20th onwards", "!>=2027-03-20"},
		{"Saturday 10", "Sat; ~10"},
		{"could you do Thursday please?", "Thu"},
		{"no rush", "~not rush"},
		{"whenever", ""},
		{"asap", ""},
		{"not Fridays, Saturday morning is good", "!-Fri; ?scope"},
		{"Tues or Weds next week", ">=2027-03-15 <2027-03-22 Tue; >=2027-03-15 <2027-03-22 Wed"},
		{"evenings after 5pm", "from 17:00"},
		{"may be Saturday", "Sat"},
		{"in may", ">=2027-05-01 <2027-06-01"},
		{"Tuesday by 5", "Tue done 17:00"},
		{"I can do any day except the 12th", "!-2027-03-12"},
		{"within two weeks", "!<2027-03-25"},
		{"in the next fortnight", ">=2027-03-10 <2027-03-25"},
		{"first thing Monday", "Mon before 10:00"},
		{"late afternoon on Thursday", "Thu from 15:00 before 18:00"},
		{"Saturday 13/3 at 9.30", "Sat 2027-03-13 from 09:15 before 09:46"},
		{"not until the 20th", "!>=2027-03-20"},
		{"Mondays and Wednesdays", "Mon; Wed"},
		{"the 15th or 16th", "2027-03-15; 2027-03-16"},
		{"15th/16th", "2027-03-15; 2027-03-16"},
		{"by 5", "done 17:00"},
		{"not tomorrow", "!-2027-03-11"},
		{"tonight", "2027-03-10 from 17:00"},
		{"Friday but after 2 please", "Fri from 14:00"},
		{"Friday afternoon? I finish work at 2", "Fri from 14:00"},
		{"Friday. I'm home from 3", "Fri from 15:00"},
		{"Thursday or Friday. Mornings", "Thu before 12:00; Fri before 12:00"},
		{"Friday morning. Afternoon would do too", "Fri before 12:00; Fri from 12:00; ~too"},
		{"mornings. Friday", "before 12:00; Fri"},
		{"weekend after next", "Sat Sun; ~after next"},
		{"before next Friday", "?next or this 2027-03-12 2027-03-19"},
		{"Thurs pm", "Thu from 12:00"},
		{"anytime but not Sunday", "!-Sun"},
		{"the 29th of February", "2028-02-29"},
		{"before Easter", "~before easter"},
		{"any day but Friday", "!-Fri"},
		{"after work on a Tuesday", "Tue from 17:00"},
		{"next 2 weeks", ">=2027-03-10 <2027-03-25"},
		{"Wednesday", "Wed"},
		{"by Wednesday", "?today or later 2027-03-10 2027-03-17"},
		{"not on the 15th, 16th or 17th", "!-2027-03-15 -2027-03-16 -2027-03-17"},
	} {
		if got := brief(when.Read(tt.said, now)); got != tt.want {
			t.Errorf("%q:\n got %s\nwant %s", tt.said, got, tt.want)
		}
	}
}

// The same words on another day.
func TestReadDependsOnToday(t *testing.T) {
	for _, tt := range []struct{ now, said, want string }{
		{"2027-03-08", "next Tuesday", "2027-03-09 2027-03-16; ?next or this 2027-03-09 2027-03-16"}, // a Monday
		{"2027-03-09", "next Tuesday", "2027-03-16"},
		{"2027-03-14", "next Tuesday", "2027-03-16"}, // a Sunday
		{"2027-03-09", "this Tuesday", "2027-03-09 2027-03-16; ?today or later 2027-03-09 2027-03-16"},
		{"2027-03-09", "by Tuesday", "?today or later 2027-03-09 2027-03-16"},
		{"2027-03-09", "Tuesday week", "2027-03-16 2027-03-23; ?today or later 2027-03-16 2027-03-23"},
		{"2027-03-14", "this weekend", "2027-03-14"},
		{"2027-03-13", "next weekend", "2027-03-20 2027-03-21"},
		{"2027-03-14", "this week", ">=2027-03-14 <2027-03-15"},
		{"2027-12-30", "2/1", "2028-01-02"},
		{"2027-12-30", "in January", ">=2028-01-01 <2028-02-01"},
		{"2027-12-30", "next month", ">=2028-01-01 <2028-02-01"},
		{"2027-12-30", "in a month", ">=2028-01-27 <2028-02-03; ?roughly 2028-01-27 2028-02-02"},
		{"2027-12-31", "in two months", ">=2028-02-26 <2028-03-04; ?roughly 2028-02-26 2028-03-03"}, // 29 days
		{"2027-12-30", "28th to 3rd", ">=2028-01-28 <2028-02-04"},
		{"2027-06-10", "the 31st", "?no such date"},
		{"2027-06-30", "early in the month", "?past 2027-06-01 2027-06-10"},
		{"2028-02-10", "29 Feb", "2028-02-29"},
		{"2027-02-10", "29 Feb", "?no such date"},
		{"2027-03-27", "tomorrow", "2027-03-28"},  // 23 hours
		{"2027-10-30", "in 2 days", "2027-11-01"}, // over a day of 25
		{"2027-03-10", "", ""},
	} {
		now, err := time.ParseInLocation("2006-01-02 15:04", tt.now+" 00:10", london(t))
		if err != nil {
			t.Fatal(err)
		}
		if got := brief(when.Read(tt.said, now)); got != tt.want {
			t.Errorf("%s, %q:\n got %s\nwant %s", tt.now, tt.said, got, tt.want)
		}
	}
}

// What was read finds its slots in a diary, and bounds keep to themselves.
func TestMeaningFindsSlots(t *testing.T) {
	loc := london(t)
	now := time.Date(2027, time.March, 10, 8, 0, 0, 0, loc)
	rules := diary.Rules{Loc: loc, Hours: diary.Hours{}, HorizonDays: 14}
	for d := time.Monday; d <= time.Saturday; d++ {
		rules.Hours[d] = []diary.Span{{From: 9 * 60, To: 12 * 60}, {From: 13 * 60, To: 17 * 60}}
	}
	for _, tt := range []struct {
		said, first, last string // of those that fit
		free              int
	}{
		{"Saturday morning", "Sat 13 Mar 09:00", "Sat 20 Mar 10:00", 104},
		{"next Tuesday after 2", "Tue 16 Mar 14:00", "Tue 16 Mar 15:00", 104},
		{"mornings, but not Fridays or Saturdays", "Wed 10 Mar 09:00", "Wed 24 Mar 10:00", 72},
		{"Friday, and by the 14th", "Fri 12 Mar 09:00", "Fri 12 Mar 15:00", 32},
	} {
		m := when.Read(tt.said, now)
		free := diary.Free(nil, diary.Wish{Need: 2 * time.Hour, Only: m.Only, Prefer: m.Prefer}, rules, now)
		fit := slices.DeleteFunc(slices.Clone(free), func(s diary.Slot) bool { return !s.Fits })
		if len(fit) == 0 {
			t.Fatalf("%q: nothing fits of %d", tt.said, len(free))
		}
		const layout = "Mon 2 Jan 15:04"
		got := []any{fit[0].Start.Format(layout), fit[len(fit)-1].Start.Format(layout), len(free)}
		if diff := cmp.Diff([]any{tt.first, tt.last, tt.free}, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", tt.said, diff)
		}
	}
}

// Whatever is said, what is made of it can be: bounds in order, dates that exist
// and are not over, and hours of a day.
func FuzzRead(f *testing.F) {
	for _, said := range []string{"Saturday morning", "not the 31/12/9999 - 3rd", "between 10:99 and half to quarter", "next next week week of", "mon-sun-mon", "no thats the day we go before then the saturday after 12 is no good by then", "by by in a in a fortnight's", "w/c w/c 3rd,,,or", "£ é \xff 14.30.15", "no the 1/2/999 - 3rd", "an hour or two or a half and a half an hour later that day", "push it back by 9 to 999 weeks earlier"} {
		f.Add(said, int64(1_804_700_400))
	}
	loc := london(f)
	f.Fuzz(func(t *testing.T, said string, at int64) {
		now := time.Unix(at%4_000_000_000, 0).In(loc)
		m, shifted := when.Read(said, now), false
		if at%2 == 0 {
			m, shifted = when.ReadFrom(said, now, now.AddDate(0, 0, 1))
		}
		today := now.Format(time.DateOnly)
		for _, p := range append(m.Prefer, m.Only) {
			if !p.From.IsZero() && !p.To.IsZero() && !p.From.Before(p.To) {
				t.Errorf("from %v to %v", p.From, p.To)
			}
			for _, date := range p.On {
				if _, err := time.Parse(time.DateOnly, date); err != nil || len(date) == 10 && date < today && !shifted {
					t.Errorf("on %s, today is %s: %v", date, today, err)
				}
			}
			if min(p.StartFrom, p.StartBefore, p.DoneBy) < 0 || max(p.StartFrom, p.StartBefore, p.DoneBy) > 24*60 {
				t.Errorf("hours %d %d %d", p.StartFrom, p.StartBefore, p.DoneBy)
			}
			if p.StartBefore > 0 && p.StartFrom >= p.StartBefore {
				t.Errorf("starts from %d, before %d", p.StartFrom, p.StartBefore)
			}
		}
		for _, p := range m.Prefer {
			if p.Any() {
				t.Error("an alternative that says nothing")
			}
		}
	})
}
