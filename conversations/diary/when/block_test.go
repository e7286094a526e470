package when_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary/when"
)

// What an owner says of days and hours, on Thursday 10 December 2026 at noon.
func TestReadBlocks(t *testing.T) {
	now := time.Date(2026, time.December, 10, 12, 0, 0, 0, london(t))
	for said, want := range map[string]string{
		"Friday 2 to 4":                        "11 Dec 14:00-16:00",
		"friday 2-4pm":                         "11 Dec 14:00-16:00",
		"2 to 4 on Friday":                     "11 Dec 14:00-16:00",
		"Fri 14:00-16:30":                      "11 Dec 14:00-16:30",
		"Friday from 10 until 2":               "11 Dec 10:00-14:00",
		"Friday between half past 9 and 11":    "11 Dec 09:30-11:00",
		"Friday 8 to 8":                        "11 Dec 08:00-20:00",
		"Friday 10am for two hours":            "11 Dec 10:00-12:00",
		"tomorrow at 3 for an hour":            "11 Dec 15:00-16:00",
		"tomorrow at 3 for half an hour":       "11 Dec 15:00-15:30",
		"24 Dec to 2 Jan":                      "24 Dec-2 Jan all day",
		"from 24th December until 2nd January": "24 Dec-2 Jan all day",
		"off by 2 January":                     "10 Dec-2 Jan all day unread off",
		"24 December by 2 January":             "24 Dec-2 Jan all day",
		"between 24 and 26 December":           "24 Dec-26 Dec all day",
		"24-26 December":                       "24 Dec-26 Dec all day",
		"24 to 26 Dec":                         "24 Dec-26 Dec all day",
		"24th to the 26th":                     "24 Dec-26 Dec all day",
		"tomorrow morning":                     "11 Dec -12:00",
		"this afternoon":                       "10 Dec 12:00-",
		"2 to 4":                               "10 Dec 14:00-16:00",
		"tomorrow after 3":                     "11 Dec 15:00-",
		"tomorrow before 10":                   "11 Dec -10:00",
		"tomorrow after 7":                     "11 Dec 19:00-",
		"tomorrow until 7":                     "11 Dec -19:00",
		"all day Monday":                       "14 Dec all day",
		"Saturday 12th till 4":                 "12 Dec -16:00",
		"Saturday the 12th 9 till 4":           "12 Dec 09:00-16:00",
		"Sat 12 December":                      "12 Dec all day",
		"Monday and Wednesday":                 "14 Dec all day; 16 Dec all day",
		"Monday and Tuesday mornings":          "14 Dec-15 Dec -12:00",
		"Mon to Wed":                           "14 Dec-16 Dec all day",
		"the weekend":                          "12 Dec-13 Dec all day",
		"next week":                            "14 Dec-20 Dec all day",
		"today":                                "10 Dec all day",
		"tomorrow to Monday":                   "11 Dec-14 Dec all day",
		"Friday until the 20th":                "11 Dec-20 Dec all day",
		"Mon-16 Dec":                           "14 Dec-16 Dec all day",
		"until Monday":                         "10 Dec-13 Dec all day",
		"till the 16th":                        "10 Dec-15 Dec all day",
		"next Friday":                          "either 11 Dec all day or 18 Dec all day",
		"Thursday":                             "either 10 Dec all day or 17 Dec all day",
		"Thursday 2 to 4":                      "either 10 Dec 14:00-16:00 or 17 Dec 14:00-16:00",
		"Thursday 17th":                        "17 Dec all day",
		"Thursday 17 December after 2":         "17 Dec 14:00-",
		"Friday again":                         "11 Dec all day",
		"31 November":                          "doubt no such date",
		"Saturday 13th":                        "doubt mismatch",
		"1 June 2026":                          "doubt past",
		"Friday dentist 2 to 3":                "11 Dec 14:00-15:00 unread dentist",
		"street parking":                       "unread street parking",
		"Friday 3":                             "11 Dec all day unread 3",
		"":                                     "",
	} {
		if got := show(when.ReadBlocks(said, now)); got != want {
			t.Errorf("%q: got %q, want %q", said, got, want)
		}
	}
	sunday := time.Date(2026, time.December, 13, 12, 0, 0, 0, london(t))
	if got := show(when.ReadBlocks("the weekend", sunday)); got != "13 Dec all day" {
		t.Errorf("the weekend, on its Sunday: got %q", got)
	}
}

// show puts blocks in short.
func show(b when.Blocks) string {
	var parts []string
	for _, s := range b.Of {
		text := s.First.Format("2 Jan")
		if !s.Last.Equal(s.First) {
			text += "-" + s.Last.Format("2 Jan")
		}
		clock := func(minutes int, said bool) string {
			if !said {
				return ""
			}
			return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)
		}
		if s.Whole() {
			text += " all day"
		} else {
			text += " " + clock(s.From, s.FromSaid) + "-" + clock(s.To, s.ToSaid)
		}
		parts = append(parts, text)
	}
	text := strings.Join(parts, "; ")
	if b.Either {
		text = "either " + strings.Join(parts, " or ")
	}
	for _, d := range b.Doubts {
		text += " doubt " + string(d.Why)
	}
	if len(b.Unread) > 0 {
		text += " unread " + strings.Join(b.Unread, " ")
	}
	return strings.TrimSpace(text)
}

func FuzzReadBlocks(f *testing.F) {
	f.Add("off friday 2 to 4, the 12th until half an hour", int64(1_700_000_000))
	f.Fuzz(func(t *testing.T, text string, at int64) {
		now := time.Unix(at%4e9, 0).In(london(t))
		for _, b := range when.ReadBlocks(text, now).Of {
			if b.Last.Before(b.First) || b.From < 0 || b.To > 24*60 || b.To <= b.From || b.Last.Sub(b.First) > (when.MostDays+1)*25*time.Hour {
				t.Errorf("%q at %v: %+v", text, now, b)
			}
		}
	})
}
