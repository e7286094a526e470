package conversations

import (
	"time"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
)

// deskBring shows what to load for a day; it carries the date.
const deskBring = "bring:"

// showBring puts before the owner what all jobs of a day need between them.
func (t *turn) showBring(c *Chat, date string) {
	at, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
	if err != nil || t.Sheet == nil {
		return
	}
	var sheets []jobsheet.Sheet
	for _, e := range t.jobsOn(date) {
		if e.Quote == nil {
			continue
		}
		s, ok := t.workSheet(e)
		if !ok {
			return
		}
		sheets = append(sheets, s)
	}
	bring, products := jobsheet.Together(sheets...)
	t.tell(c.ID, wording.OwnerBring, wording.Facts{Day: t.Words.Date(at), Count: len(sheets), Items: bring, In: t.Sheet.Amounts(products)})
}
