package conversations

import (
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// Where nothing at all is free, the customer hears why, and what would do: another place,
// two days, less work, or the boss, who may move things.

// The ways on where nothing is free, beside bringing the car.
const (
	choiceTwoDays = "twodays"
	choiceLess    = "less"
	choiceGap     = "gap"
)

// anyFree tells whether a book has room for a wish.
func anyFree(b *diary.Book, w diary.Wish) bool {
	for range b.Starts(w) {
		return true
	}
	return false
}

// putNoRoom says why there is no time for an enquiry, with the ways on that there are.
func (t *turn) putNoRoom(e *Enquiry) prompt {
	book, w := t.book(), t.wish(e)
	w.Only, w.Prefer = diary.Times{}, nil
	p := prompt{text: t.noRoom(book, w) + " " + t.word(wording.NoSlotWays, wording.Facts{})}
	if k := w; atTheirs(t, e) && mayBring(t, e) {
		k.Outdoor, k.Allowed, k.Point = false, nil, t.base()
		if anyFree(book, k) {
			p.options = append(p.options, t.choose(choiceBring, wording.LabelBring))
		}
	}
	if k := w; !k.Spread {
		k.Spread = true
		for s := range book.Starts(k) {
			if s.Days == 2 {
				p.options = append(p.options, t.choose(choiceTwoDays, wording.LabelTwoDays))
				break
			}
		}
	}
	p.options = append(p.options, t.choose(choiceLess, wording.LabelLess))
	if !e.Gap && !isGuest(e.Chat) {
		p.options = append(p.options, t.choose(choiceGap, wording.LabelGap))
	}
	return p
}

// noRoom says why no time is free: there is too little daylight, it fits into no day of
// ours, or all is taken.
func (t *turn) noRoom(book *diary.Book, w diary.Wish) string {
	k, indoors, empty := wording.NoSlot, w, diary.NewBook(nil, t.diaryRules(), t.now)
	indoors.Outdoor = false
	fits := anyFree(empty, w) // on some day, had we nothing else to do
	switch {
	case w.Outdoor && (anyFree(book, indoors) || !fits && anyFree(empty, indoors)):
		k = wording.NoSlotDaylight
	case !fits:
		k = wording.NoSlotLong
	}
	last := t.now.In(t.Zone).AddDate(0, 0, t.Rules.Diary.HorizonDays)
	return t.word(k, wording.Facts{Hours: t.lengthOf(w.Need), Until: t.Words.Date(last)})
}

// tookWay goes on where nothing was free, and reports whether the choice was one of the
// ways. It returns what is to be said.
func (t *turn) tookWay(e *Enquiry, choice string) (words string, ok bool) {
	switch choice {
	case choiceBring:
		t.revise(e, askSite)
		e.Answers[askSite] = []string{"own"}
		e.Trail = append(e.Trail, askSite)
		return echo([]string{t.label(wording.LabelBring)}), true
	case choiceTwoDays:
		t.untake(e)
		e.Spread, e.From = true, time.Time{}
		return t.word(wording.TwoDays, wording.Facts{Hours: t.lengthOf(t.need(e.Quote))}), true
	case choiceLess:
		t.revise(e, askWants)
		return t.word(wording.LessWork, wording.Facts{}), true
	case choiceGap:
		t.untake(e)
		if !e.Gap {
			w := t.wish(e)
			w.Only, w.Prefer = diary.Times{}, nil
			t.toOwner(wording.OwnerGap, e, wording.Facts{Text: t.noRoom(t.book(), w)}, pressWrite)
			e.Gap = true
		}
		return t.word(wording.GapAsked, wording.Facts{}), true
	}
	return "", false
}
