package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
)

// deskBring shows what to load for a day; it carries the date.
const deskBring = "bring:"

// showBring puts before the owner what all jobs of a day need between them.
func (t *turn) showBring(c *Chat, date string) {
	at, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
	if err != nil {
		return
	}
	sheets, ok := t.sheetsOf(t.jobsOn(date))
	if !ok {
		return
	}
	bring, products := jobsheet.Together(sheets...)
	t.tell(c.ID, wording.OwnerBring, wording.Facts{Day: t.Words.Date(at), Count: len(sheets), Items: t.sheetWords().Things(bring), In: t.sheetWords().Amounts(products)})
}

// toLoad is what the day's jobs away from the workshop take from the shelf, each
// thing once. What is in the van on every day stands behind the button.
func (t *turn) toLoad(date string) (out []string) {
	away := slices.DeleteFunc(t.jobsOn(date), func(e *Enquiry) bool { return !atTheirs(t, e) })
	sheets, _ := t.sheetsOf(away)
	_, products := jobsheet.Together(sheets...)
	for _, p := range products {
		out = append(out, t.atWork(p.What))
	}
	return out
}

// sheetsOf are the sheets of some jobs, false if one of them cannot be made.
func (t *turn) sheetsOf(jobs []*Enquiry) (out []jobsheet.Sheet, ok bool) {
	if t.Sheet == nil {
		return nil, false
	}
	for _, e := range jobs {
		if e.Quote == nil {
			continue
		}
		s, ok := t.workSheet(e)
		if !ok {
			return nil, false
		}
		out = append(out, s)
	}
	return out, true
}
