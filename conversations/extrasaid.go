package conversations

import (
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// At the car work comes to mind that nobody has asked for: "+ pet hair 20", "dash as well
// 15". It is theirs to say yes to, so that it is offered with the buttons that ask them.

// leastExtra is the least sum, in pence, that an extra is said with; less is a grade or a
// number of something.
const leastExtra = 500

// extraSaid takes work that is to be added at the car, and reports whether the text was that.
// What he typed is kept with the job's notes.
func (t *turn) extraSaid(c *Chat, e *Enquiry, text string) bool {
	plus := strings.HasPrefix(strings.TrimSpace(text), "+")
	words := strings.Fields(wording.Plain(apart(strings.ReplaceAll(text, "£", " "))))
	n, left := t.lengthIn(words)
	length := n > 0 && !bareNumber(words, left)
	if strings.Contains(text, "?") || t.among(words, wording.SayDamage) || t.among(words, wording.SayPaid) || t.among(words, wording.SayTook) || t.noted(text) != text || length {
		return false
	}
	sum := sumIn(words)
	rest := slices.DeleteFunc(slices.Clone(words), isSum)
	shown := c.Shown != nil && strings.Contains(c.Shown.at(0), "|"+pressExtra+"|")
	added := plus || longestOf(t.typed(wording.SayAddWork), words) > 0 || shown
	work := t.workNamed(rest)
	switch {
	case len(rest) == 0, sum > 0 && sum < leastExtra, sum == 0 && len(work) == 0:
		return false
	case !added && (sum == 0 || !t.among(words, wording.SayAsWell)):
		return false
	}
	t.takeNote(e, text)
	t.offerExtrasOf(e, work, sum, text)
	return true
}

// workNamed are the parts and the pieces of work some words name; a whole side only where
// nothing on it is named.
func (t *turn) workNamed(words []string) (named []string) {
	if t.Reader == nil {
		return nil
	}
	r := t.Reader.Read(t.asRead(strings.Join(words, " ")))
	named = append(named, r.Tasks...)
	for _, h := range r.Hints {
		named = append(named, h.Area)
	}
	for _, a := range t.Rules.Areas() {
		if slices.Contains(words, wording.Plain(a.Name)) {
			named = append(named, string(a.ID))
		}
	}
	if len(named) > 0 {
		return named
	}
	return r.Wants
}

// offerExtrasOf offers what could be added of the work that was named, and the sum that was
// named on top of the price; without either, all that could be added.
func (t *turn) offerExtrasOf(e *Enquiry, work []string, sum int64, text string) {
	rows, ok := t.extraRows(e, work)
	if !ok {
		return
	}
	if len(rows) == 0 && sum == 0 {
		rows, _ = t.extraRows(e, nil)
	}
	rows = slices.Clone(rows[:min(mostExtras, len(rows))])
	found := len(rows)
	now := e.Quote
	if e.Seen != nil {
		now = e.Seen
	}
	f := wording.Facts{Name: e.Name, Text: text, Count: found}
	if sum > 0 {
		f.Price = t.pounds(now.Likely + sum)
		rows = append(rows, []bot.Choice{{Label: t.word(wording.InAllButton, f), Data: press{e.ID, e.Rev, pressByHand, fmt.Sprint(byHandSum, now.Likely+sum)}.data()}})
	}
	if found == 0 {
		rows = append(rows, []bot.Choice{t.own(e, pressWrite)})
	}
	t.tell(t.Owner, wording.OwnerExtraSaid, f, append(rows, t.backToJob(e)...)...)
}
