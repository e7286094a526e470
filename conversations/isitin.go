package conversations

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What people ask of a price before they take it: whether something is in it, what that
// would cost besides. To ask is not to order.

// asksIfIn is the sentence of a text that asks whether something is in the price, in plain
// words; empty if none does, or it is put as a wish: "could you include the wheels".
func (t *turn) asksIfIn(text string) string {
	for _, s := range sentences(text) {
		said := wording.Plain(s)
		asks := t.isQuestion(s) || longestOf(t.typed(wording.SayBeginsAsking), strings.Fields(said)) > 0
		if asks && t.speaksOf(said, wording.SayIncludes) && !t.speaksOf(said, wording.SayCouldYou) {
			return said
		}
	}
	return ""
}

// priceKnown: there is a price that says what is in it.
func (e *Enquiry) priceKnown() bool {
	return e.Quote != nil && e.Quote.NeedSee == "" && e.Quote.Refused == "" && (e.At == askQuote || e.answer(askQuote) != "")
}

// whatIsIn answers whoever asks if something is part of the price, or what it would cost
// besides: with the lines of it that name that, or with what it would add. Empty if neither
// is known, for then nobody but the boss knows.
func (t *turn) whatIsIn(e *Enquiry, text string) string {
	if !e.priceKnown() || t.Reader == nil {
		return ""
	}
	about := t.asksIfIn(text)
	if about == "" {
		if e.Quote.Budget == 0 && t.isQuestion(text) && t.speaksOf(t.spelled(text), wording.SayCostsWhat) {
			return t.wouldAdd(e, t.notIn(e, t.asksFor(t.heardIn(text))))
		}
		return ""
	}
	r := t.Reader.Read(about)
	wants := t.asksFor(r)
	listed := func(k wording.Key, lines []string) string {
		if len(lines) == 0 {
			return ""
		}
		return t.word(k, wording.Facts{Items: lines})
	}
	named := len(t.named(r)) > 0 // "hand wax" is not in because something is washed by hand
	for _, part := range t.partsIn(e, about) {
		side := part == "interior" || part == "exterior"
		if named && !side {
			continue // the wax itself is asked for, and no other protection
		}
		named = named || side
		if !slices.Contains(wants, part) {
			wants = append(wants, part)
		}
	}
	var in []string // by the names of the work, whatever the price calls it: "the windows"
	for _, w := range wants {
		in = append(in, t.linesOf(e, w)...)
	}
	const few = 3 // lines: "the inside" is in most of them
	in = in[:min(few, len(in))]
	missing := t.notIn(e, wants)
	if named {
		return cmp.Or(t.wouldAdd(e, missing), listed(wording.ItIsIn, in))
	}
	return cmp.Or(listed(wording.ItIsIn, t.naming(about, e.Quote.In)), t.wouldAdd(e, missing),
		listed(wording.ItIsIn, in), listed(wording.ItIsNotIn, t.naming(about, e.Quote.Out)))
}

// partsIn are the kinds of work that a question names by what their buttons say.
func (t *turn) partsIn(e *Enquiry, about string) (parts []string) {
	e.Pending = formWants
	defer func() { e.Pending = nil }()
	for _, o := range putWants(t, e).options {
		if slices.Contains(formWants, o.key) && slices.ContainsFunc(o.typed, func(w string) bool {
			return strings.Contains(" "+about+" ", " "+wording.Plain(w)+" ")
		}) {
			parts = append(parts, o.key)
		}
	}
	return parts
}

// naming are the lines in which a longer word of a question stands.
func (t *turn) naming(about string, lines []string) (found []string) {
	const least = 4 // letters of a word that can be looked for
	small := slices.Concat(t.typed(wording.SayIncludes), t.typed(wording.SayBeside), t.typed(wording.SayAsks),
		t.typed(wording.SayAnd), t.typed(wording.LabelInside), t.typed(wording.LabelOutside))
	for _, line := range lines {
		named := " " + wording.Plain(line) + " "
		if slices.ContainsFunc(strings.Fields(about), func(w string) bool {
			return len(w) >= least && !slices.Contains(small, w) && strings.Contains(named, " "+w)
		}) {
			found = append(found, line)
		}
	}
	return found
}

// notIn are the wants that nothing in the price answers.
func (t *turn) notIn(e *Enquiry, wants []string) []string {
	return slices.DeleteFunc(slices.Clone(wants), func(w string) bool { return len(t.linesOf(e, w)) > 0 })
}

// linesOf are the lines of the price that answer a want, or are about that part of the car.
// Another protection is none: who asks for wax is not told that it is in when a sealant is.
func (t *turn) linesOf(e *Enquiry, want string) (lines []string) {
	_, protects := t.Rules.Protection(want)
	_, work := t.Rules.Task(want)
	for _, id := range e.Quote.Tasks {
		task, ok := t.Rules.Task(id)
		// What is done anyway, of what goes before a polish, is no polish.
		anyway := !work && task.Applies == "" && !e.has(askWants, want) && slices.ContainsFunc(e.Answers[askWants], func(w string) bool { return len(task.For[w]) > 0 })
		if ok && (protects && id == want || !protects && (string(task.Area) == want || !anyway && t.holdsWant([]string{id}, want))) {
			lines = append(lines, task.Words)
		}
	}
	if len(lines) > 0 || protects || work {
		return lines
	}
	for _, label := range t.labelled(e, []string{want}) { // "Inside of all the glass"
		lines = append(lines, t.naming(wording.Plain(label), e.Quote.In)...)
	}
	return lines
}

// labelled are wants in words, those that are not offered too.
func (t *turn) labelled(e *Enquiry, wants []string) []string {
	e.Pending = wants
	defer func() { e.Pending = nil }()
	return labels(putWants(t, e), wants)
}

// wouldAdd says what more work would add to the price without a figure to stay under;
// empty if that can't be said.
func (t *turn) wouldAdd(e *Enquiry, wants []string) string {
	as := t.priced(e)
	// What was asked for and a figure has left out is among what stands outside the price.
	if wants = slices.DeleteFunc(slices.Clone(wants), func(w string) bool { return slices.Contains(as.Wants, w) }); len(wants) == 0 {
		return ""
	}
	if len(wants) == 1 {
		if words := t.listedAs(e, t.broughtBy(e, wants[0])); words != "" {
			return words // as it stands in the list of what is left out
		}
	}
	as.Budget = 0
	with := as
	with.Wants, with.Without = slices.Concat(as.Wants, wants), t.leftOutBeside(e, wants)
	now, err := t.quoted(as)
	then, failed := t.quoted(with)
	if err = cmp.Or(err, failed); err != nil {
		t.fail(fmt.Errorf("conversations: what more work adds to enquiry %s: %w", e.ID, err))
		return ""
	}
	if then.Refused != "" || then.NeedToSee != "" {
		return ""
	}
	f := wording.Facts{Text: strings.Join(short(t.labelled(e, wants)), ", ")}
	if more := then.Price.Likely - now.Price.Likely; more > 0 {
		f.Money = t.pounds(int64(more))
	}
	return t.word(wording.ItWouldAdd, f)
}

// leftOutBeside is the work that stays left out of an enquiry once more is wanted, which may
// be what was to be left out.
func (t *turn) leftOutBeside(e *Enquiry, wants []string) []string {
	had := e.Answers[askWants]
	defer func() { e.Answers[askWants] = had }()
	e.Answers[askWants] = slices.Concat(had, wants)
	return t.leftOutFor(e)
}

// asksAdds tells whether a text asks what more work would add to the price, which orders none:
// "how much more with the wheels?"
func (t *turn) asksAdds(e *Enquiry, text string) bool {
	return e.priceKnown() && e.Quote.Budget == 0 && t.isQuestion(text) && t.speaksOf(t.spelled(text), wording.SayCostsWhat) && t.asksIfIn(text) == "" && t.whatIsIn(e, text) != ""
}

// isWithout answers whoever asks for a yes that something is left out of the price, where it
// is: "no wheels right?" Empty if it is in it, or something else is asked.
func (t *turn) isWithout(e *Enquiry, text string) string {
	if !e.priceKnown() || t.Reader == nil || !strings.Contains(text, "?") && !t.isQuestion(text) {
		return ""
	}
	words := strings.Fields(wording.Plain(text))
	for i := range words {
		if n := longestOf(t.typed(wording.SaySeeksYes), words[i:]); n > 0 && i+n == len(words) {
			words = words[:i]
			break
		}
	}
	out, _ := t.sparedIn(e, strings.Join(words, " "))
	in := func(s sparing) bool {
		return slices.ContainsFunc(s.tasks, func(id string) bool { return slices.Contains(e.Quote.Tasks, id) })
	}
	if len(out) == 0 || slices.ContainsFunc(out, in) || t.wantsNow(e, t.heardIn(text), text) != nil {
		return ""
	}
	var left []string
	for _, s := range out {
		left = append(left, s.words)
	}
	return t.word(wording.ItIsWithout, wording.Facts{Items: left})
}

// listedAs says what a piece of work would add, by the sum with which it stands in the list of
// what the price leaves out; empty if it stands in none.
func (t *turn) listedAs(e *Enquiry, task string) string {
	fitted, err := t.fit(t.priced(e))
	if err != nil || fitted.Quote.Price.Likely != pricing.Pence(e.Quote.Likely) {
		return ""
	}
	for _, l := range fitted.Quote.Out {
		if l.Task != task || l.Adds <= 0 && !l.Reckoned {
			continue
		}
		f := wording.Facts{Text: strings.Join(short(t.labelled(e, []string{task})), ", ")}
		if l.Adds > 0 {
			f.Money = t.pounds(int64(l.Adds))
		}
		return t.word(wording.ItWouldAdd, f)
	}
	return ""
}
