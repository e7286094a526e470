package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// While the car is looked over the owner writes grades and a price between the damage. The
// customer is shown what is filed as damage, so only what is plainly that is filed; what
// may be either he is asked.

// jobFound files words as damage, with a sum of them behind a colon.
const (
	jobFound    = "found:"
	typingFound = "found"
)

// walkSaid takes what he types during the look over.
func (t *turn) walkSaid(c *Chat, e *Enquiry, text string) bool {
	graded, rest := t.gradesSaid(e, text)
	if graded && rest == "" {
		t.panel(e)
		return true
	}
	if graded {
		text = rest
	}
	words := strings.Fields(wording.Plain(apart(strings.ReplaceAll(text, "£", " "))))
	damage := t.noted(text) != text || t.among(words, wording.SayDamage)
	switch {
	case !damage && t.priceAtCar(c, e, words):
	case !t.tellsDamage(text):
		if graded {
			t.panel(e)
		}
		return graded
	case t.grumbles(text):
		c.Typing = nil
		t.tell(c.ID, wording.OwnerGrumble, wording.Facts{Name: e.Name, Text: text}, t.jobRow(e, named{jobGrades, wording.LabelGrades}))
	case damage:
		t.fileDamage(e, text)
	default:
		return t.askFound(c, e, text)
	}
	return true
}

// fileDamage files words as damage that was there before us.
func (t *turn) fileDamage(e *Enquiry, text string) {
	if len(e.Job.Damage) < mostNotes {
		e.Job.Damage = append(e.Job.Damage, t.noted(text))
	}
	t.showWalk(e, 0)
}

// askFound asks whether words are damage, which the customer is shown. What names somebody
// else, or is a word for the desk, is none.
func (t *turn) askFound(c *Chat, e *Enquiry, text string) bool {
	if of, _ := t.spokenOf(strings.Fields(wording.Plain(text))); slices.ContainsFunc(of, func(o *Enquiry) bool { return o.Chat != e.Chat }) {
		return false
	}
	c.Draft = text
	t.expect(c, typingFound, e)
	press := press{e.ID, 0, pressJob, jobFound + lineSum(text)}.data()
	t.tell(c.ID, wording.OwnerIsItDamage, wording.Facts{Name: e.Name, Text: text},
		[]bot.Choice{{Label: t.label(wording.LabelFound), Data: press}, t.jobRow(e, named{jobWalk, wording.LabelNotFound})[0]})
	return true
}

// foundPressed files what he was asked about, if it is still that.
func (t *turn) foundPressed(c *Chat, e *Enquiry, sum string, w bot.Tap) {
	if e.Job != nil && !e.working() {
		if text, ok := t.takeDraft(c, sum, w); ok {
			t.fileDamage(e, text)
			return
		}
	}
	t.staleVisit(c, e)
}

// foundAnswered takes a yes or a no to whether words are damage, and reports whether the
// text was one.
func (t *turn) foundAnswered(c *Chat, e *Enquiry, text string) bool {
	switch {
	case c.Draft == "" || e.Stage != Booked || e.Job == nil || e.working():
		return false
	case t.saysJust(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.LabelFound))):
		t.foundPressed(c, e, lineSum(c.Draft), bot.Tap{})
	case t.saysJust(text, slices.Concat(t.typed(wording.SayNo), t.typed(wording.LabelNotFound))):
		c.Draft = ""
		t.showWalk(e, 0)
	default:
		return false
	}
	return true
}

// gradesSaid takes the grades in a text, "pet hair 3, wheels 2", and gives what is left of
// it: whatever stands between two commas and is none.
func (t *turn) gradesSaid(e *Enquiry, text string) (graded bool, rest string) {
	var left []string
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;\n", r) }) {
		if area, grade, ok := t.partGraded(e, part); ok {
			t.grade(e, area, grade)
			graded = true
			continue
		}
		left = append(left, strings.TrimSpace(part))
	}
	return graded, strings.Join(left, ", ")
}

// partGraded is the grade of a part in a text that says no more, the part as on the panel or
// as people call what is on it: "dog hair 3".
func (t *turn) partGraded(e *Enquiry, text string) (area pricing.Area, grade string, ok bool) {
	if area, grade, ok = t.gradeSaid(e, text); ok || t.Reader == nil {
		return area, grade, ok && area != ""
	}
	words := strings.Fields(wording.Plain(apart(text)))
	n := len(words) - 1
	if n < 1 || n > 3 || len(words[n]) != 1 || words[n] < "1" || words[n] > "4" || t.among(words, wording.SayDamage) {
		return "", "", false
	}
	hints := t.Reader.Read(strings.Join(words[:n], " ")).Hints
	called := func(a pricing.AreaRule) bool {
		name := strings.Fields(wording.Plain(a.Name))
		return name[len(name)-1] == words[n-1]
	}
	seen := func(a pricing.AreaRule) bool {
		return slices.ContainsFunc(hints, func(h reading.Hint) bool { return string(h.Area) == string(a.ID) })
	}
	all := t.gradable(e)
	for _, is := range []func(pricing.AreaRule) bool{called, seen} {
		if i := slices.IndexFunc(all, is); i >= 0 {
			return all[i].ID, words[n], true
		}
	}
	return "", "", false
}

// priceAtCar takes a sum that is said with small words as the price agreed at the car:
// "hes fine with 210". It reports whether the text was that.
func (t *turn) priceAtCar(c *Chat, e *Enquiry, words []string) bool {
	const least = 2000 // pence; less is a grade, an hour, a number of something
	var sums, rest []string
	for _, w := range words {
		if isSum(w) {
			sums = append(sums, w)
			continue
		}
		rest = append(rest, w)
	}
	small := slices.Concat(t.typed(wording.SayPleased), t.typed(wording.SayBeside), t.typed(wording.SayPaidBeside), t.typed(wording.SayRoughly), t.typed(wording.SayMakeIt), t.typed(wording.SayAgreedTime), t.typed(wording.SayThem))
	small = strings.Fields(wording.Plain(strings.Join(small, " ")))
	known := func(w string) bool {
		return slices.Contains(small, w) || slices.Contains(small, strings.TrimSuffix(w, "s"))
	}
	if len(sums) != 1 || sumIn(sums) < least || slices.ContainsFunc(rest, func(w string) bool { return !known(w) }) {
		return false
	}
	t.byHandTyped(c, e, typingPrice, sums[0])
	return true
}
