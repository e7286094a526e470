package conversations

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
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
	if strings.Contains(text, "?") || t.among(words, wording.SayPaid) || t.among(words, wording.SayTook) || t.noted(text) != text || length {
		return false
	}
	sum := sumIn(words)
	rest := slices.DeleteFunc(slices.Clone(words), isSum)
	shown := c.Shown != nil && strings.Contains(c.Shown.at(0), "|"+pressExtra+"|")
	added := plus || longestOf(t.typed(wording.SayAddWork), words) > 0 || shown
	work, free := t.workNamed(rest), t.among(words, wording.SayNoCharge)
	switch {
	case t.among(words, wording.SayDamage) && !(shown && len(work) > 0 && (free || t.isFiner(work))):
		return false // but a stain, where he is asked what is to be added, is work
	case len(rest) == 0, sum > 0 && sum < leastExtra, sum == 0 && len(work) == 0:
		return false
	case !added && (sum == 0 || !t.among(words, wording.SayAsWell)):
		return false
	}
	t.takeNote(e, text)
	t.offerExtrasOf(e, work, sum, free, text)
	return true
}

// seesSome grades a part as fair where nobody has graded it worse: there is something to do
// to it, as the owner says so.
func (e *Enquiry) seesSome(a pricing.Area) {
	if said := pricing.Grade(atoi(e.answer(askCond + string(a)))); max(e.Graded[a], said) >= pricing.Fair {
		return
	}
	if e.Graded == nil {
		e.Graded = map[pricing.Area]pricing.Grade{}
	}
	e.Graded[a] = pricing.Fair
}

// isFiner tells whether some work is all about parts within a side of the car.
func (t *turn) isFiner(work []string) bool {
	return !slices.ContainsFunc(work, func(w string) bool {
		return !slices.ContainsFunc(t.Rules.Areas(), func(a pricing.AreaRule) bool { return a.OnlyIfTold && string(a.ID) == w })
	})
}

// workNamed are the parts and the pieces of work some words name; a whole side only where
// nothing on it is named.
func (t *turn) workNamed(words []string) (named []string) {
	if t.Reader == nil {
		return nil
	}
	r := t.Reader.Read(t.asRead(strings.Join(words, " ")))
	named = append(named, r.Tasks...)
	finer := t.finer(r)
	for _, h := range r.Hints {
		if len(finer) == 0 || pricing.Area(h.Area) != pricing.Interior { // a stain is not all of the inside
			named = append(named, h.Area)
		}
	}
	named = append(named, finer...)
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

// finer are the parts within one side of a car that a text tells of: stains, a smell, hair.
func (t *turn) finer(r reading.Reading) (areas []string) {
	for _, a := range t.Rules.Areas() {
		told := slices.ContainsFunc(r.Tells, func(x reading.Told) bool { return pricing.Area(x.Area) == a.ID })
		if a.OnlyIfTold && (told || r.Grades[a.ID] > pricing.Light) {
			areas = append(areas, string(a.ID))
		}
	}
	return areas
}

// offerExtrasOf offers what could be added of the work that was named, and the sum that was
// named on top of the price, or none of it with anything on top; without either, all that
// could be added.
func (t *turn) offerExtrasOf(e *Enquiry, work []string, sum int64, free bool, text string) {
	seen := *e
	if t.isFiner(work) { // he stands before it, whatever was said of it
		seen.Graded = maps.Clone(e.Graded)
		for _, w := range work {
			seen.seesSome(pricing.Area(w))
		}
	}
	rows, ok := t.extraRows(&seen, work, free)
	if !ok {
		return
	}
	if len(rows) == 0 && sum == 0 {
		rows, _ = t.extraRows(e, nil, free)
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
