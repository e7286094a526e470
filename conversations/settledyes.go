package conversations

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// What the owner writes to a customer, "thats £160, thurs 9am", is said as much as what they
// write to him: their yes to it is as good as the day and hour in their own words.

// sumsBehind parts the time on a button from the price that is set with it.
const sumsBehind = "/"

// clauses are the parts of a line that may each name a price or a time.
func clauses(line string) []string {
	return strings.FieldsFunc(strings.NewReplacer(", ", "\n", "; ", "\n", ". ", "\n", "? ", "?\n", "! ", "\n", " - ", "\n", " – ", "\n").Replace(line), func(r rune) bool { return r == '\n' })
}

// markedSum is a sum with its sign.
var markedSum = regexp.MustCompile(`£ ?[0-9][0-9,]*(\.[0-9]{1,2})?`)

// sumsIn is the price a line of the owner's names, 0 if it names none: what is below the
// smallest price there is may be an hour.
func (t *turn) sumsIn(line string) (likely, most int64) {
	least := int64(t.Rules.Money.Minimum)
	for _, part := range slices.Concat(sentences(line), clauses(line)) {
		part = strings.Trim(part, " .,!?\n")
		if likely, most, ok := t.sumsSaid(part); ok && likely >= least {
			return likely, most
		}
		if of, ok := t.termsIn(part); ok {
			return of.likely, of.most
		}
	}
	if marked := markedSum.FindAllString(line, -1); len(marked) == 1 {
		if sums := poundsIn(marked[0]); len(sums) == 1 && sums[0] >= least {
			return sums[0], 0
		}
	}
	return 0, 0
}

// notesOffered keeps the day and hour a line of the owner's names, if it is one.
func (t *turn) notesOffered(e *Enquiry, line string) {
	if e.Slot != nil || isGuest(e.Chat) {
		return
	}
	var found []time.Time
	for _, part := range clauses(line) {
		if of, ok := t.termsIn(part); ok {
			part = of.at
		}
		at := t.momentNamed(e, hourBehindDay(markedSum.ReplaceAllString(part, "")))
		if !at.IsZero() && !slices.ContainsFunc(found, at.Equal) {
			found = append(found, at)
		}
	}
	if len(found) == 1 {
		e.Offered = found[0]
	} else if len(found) > 1 {
		e.Offered = time.Time{}
	}
}

// hasOffer tells whether the owner has written somebody a time that can still be kept.
func (t *turn) hasOffer(e *Enquiry) bool {
	return e != nil && e.open() && e.Slot == nil && e.Quote != nil && e.Quote.Refused == "" && t.need(e.Quote) > 0 && e.Offered.After(t.now)
}

// agreesToOffered tells whether a customer's words are a yes to the time the owner has written
// to them: a yes or a friendly word, or his day again. Who names another time has not agreed,
// and his counts no more.
func (t *turn) agreesToOffered(c *Chat, e *Enquiry, text string) bool {
	if !c.Person || !t.hasOffer(e) {
		return false
	}
	m := when.Read(t.asRead(text), t.saidAt())
	start := e.Offered.In(t.Zone)
	for _, w := range m.Prefer {
		w.To, w.DoneBy = time.Time{}, 0 // these are about its end
		if !w.Has(start, start.Add(t.need(e.Quote))) {
			e.Offered = time.Time{}
			return false
		}
	}
	if len(m.Not) > 0 {
		e.Offered = time.Time{}
		return false
	}
	if t.bargains(e, text) {
		return false
	}
	yes, parts := slices.Concat(t.typed(wording.SayYes), t.typed(wording.SayAgreed)), clauses(text)
	return slices.ContainsFunc(parts, func(part string) bool {
		thanks := len(parts) > 1 && t.allOf(part, t.typed(wording.SayThankYou)) // "thanks, I'll ask my wife"
		return !thanks && !strings.Contains(part, "?") && (t.isFriendly(part) || t.allOf(part, yes))
	})
}

// bargains tells whether a customer names another sum than the owner has.
func (t *turn) bargains(e *Enquiry, text string) bool {
	if t.Reader == nil {
		return false
	}
	b := t.heardIn(text).Budget
	likely, _ := t.sumsWritten(e)
	return b.Kind != "" && int64(b.Amount) != likely
}

// agreedRow is the button that keeps a time for them, with the price it sets or that is set.
// He has named that price with the time, so that one tap is enough.
func (t *turn) agreedRow(e *Enquiry, start time.Time) (row []bot.Choice, price string) {
	brief := func(likely, most int64) string {
		return t.word(wording.PriceBrief, wording.Facts{Likely: t.pounds(likely), Most: t.pounds(max(likely, most))})
	}
	choice := pressAgreed + start.UTC().Format(slotKey)
	switch likely, most := t.sumsWritten(e); {
	case e.ByHand.priced():
		price = brief(e.ByHand.Pence, e.ByHand.Most)
	case likely > 0 && e.Stage == Asking && start.Equal(e.Offered) && (e.Quote.NeedSee != "" || likely != e.Quote.Likely):
		price = brief(likely, most)
		choice += sumsBehind + sumsKey(likely, most)
	}
	label := t.word(wording.AgreedButton, wording.Facts{Name: e.Name, When: t.Words.Moment(start.In(t.Zone))})
	return []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressOwner, choice}.data()}}, price
}

// offeredRow is the button that keeps the time he has written to them, with that time and the
// price he wrote in words; nil where there is none, or another has been set since.
func (t *turn) offeredRow(e *Enquiry) (row []bot.Choice, at, price string) {
	if likely, most := t.sumsWritten(e); likely > 0 {
		price = t.word(wording.PriceBrief, wording.Facts{Likely: t.pounds(likely), Most: t.pounds(max(likely, most))})
	}
	if !t.hasOffer(e) || len(e.Times) > 0 {
		return nil, "", price
	}
	start := e.Offered.In(t.Zone)
	at = t.Words.Moment(start)
	if _, free := t.freeAt(e, start); !free {
		if why, taken := t.whyNot(e, start); taken || why == "" {
			return nil, at, price
		}
	}
	row, _ = t.agreedRow(e, start)
	return row, at, price
}
