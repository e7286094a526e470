package conversations

import (
	"fmt"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
)

// What comes of a booking stands in the diary. What never came to one is counted
// here, by day: how many asked, how many got a price, and what was kept of money in
// advance, for what was called off is in no diary.

// Tally is the content of a document "tally:<month>:<part>": counts by local date.
// A month is in parts, by chat, so that people who write at the same moment seldom
// wait for each other.
type Tally map[string]Count

// Count is what one day brought.
type Count struct {
	Enquiries int `json:"enquiries,omitempty"`
	Quotes    int `json:"quotes,omitempty"`
	// Kept is money in advance that became ours that day, in pence.
	Kept int64 `json:"kept,omitempty"`
}

// tallyParts is how many parts a month is in.
const tallyParts = 16

func tallyKey(month time.Time, part int) string {
	return fmt.Sprintf("tally:%s:%d", month.Format("2006-01"), part)
}

// count counts something a chat has brought just now.
func (t *turn) count(chat bot.ChatID, add Count) { t.countAt(t.now, chat, add) }

// countAt counts something of an earlier day, where that turns out otherwise.
func (t *turn) countAt(at time.Time, chat bot.ChatID, add Count) {
	part := int(chat % tallyParts)
	if part < 0 {
		part += tallyParts
	}
	key := tallyKey(at.In(t.Zone), part)
	day := t.tally(key)
	date := diary.Key(at, t.Zone)
	is := day[date]
	day[date] = Count{is.Enquiries + add.Enquiries, is.Quotes + add.Quotes, is.Kept + add.Kept}
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
					sum.Kept += c.Kept
				}
			}
		}
	}
	return sum
}
