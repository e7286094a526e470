package conversations

import (
	"fmt"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
)

// What comes of a booking stands in the diary. What never came to one is counted
// here, by day: how many asked, and how many got a price.

// Tally is the content of a document "tally:<month>:<part>": counts by local date.
// A month is in parts, by chat, so that people who write at the same moment seldom
// wait for each other.
type Tally map[string]Count

// Count is what one day brought.
type Count struct {
	Enquiries int `json:"enquiries,omitempty"`
	Quotes    int `json:"quotes,omitempty"`
}

// tallyParts is how many parts a month is in.
const tallyParts = 16

func tallyKey(month time.Time, part int) string {
	return fmt.Sprintf("tally:%s:%d", month.Format("2006-01"), part)
}

// count counts something a chat has brought just now.
func (t *turn) count(chat bot.ChatID, add Count) {
	part := int(chat % tallyParts)
	if part < 0 {
		part += tallyParts
	}
	key := tallyKey(t.now, part)
	day := t.tally(key)
	date := diary.Key(t.now, t.Zone)
	is := day[date]
	day[date] = Count{is.Enquiries + add.Enquiries, is.Quotes + add.Quotes}
}

// tally is a part of a month's counts.
func (t *turn) tally(key string) Tally {
	if y, ok := t.tallies[key]; ok {
		return y
	}
	y := Tally{}
	t.read(key, &y)
	t.tallies[key] = y
	return y
}

// counted sums up what some days brought, both ends included.
func (t *turn) counted(from, to time.Time) (sum Count) {
	first, last := diary.Key(from, t.Zone), diary.Key(to, t.Zone)
	for m := time.Date(from.Year(), from.Month(), 1, 0, 0, 0, 0, t.Zone); !m.After(to); m = m.AddDate(0, 1, 0) {
		for part := range tallyParts {
			for date, c := range t.tally(tallyKey(m, part)) {
				if date >= first && date <= last {
					sum.Enquiries += c.Enquiries
					sum.Quotes += c.Quotes
				}
			}
		}
	}
	return sum
}
