package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// panelTyped takes what is typed under the grading panel: a sum, "75" or "make it 75 quid",
// as the price by hand, "wheels 3" as a grade. A grade alone is asked for its part: nobody
// cleans a car for £4. It reports whether the text was one of these.
func (t *turn) panelTyped(c *Chat, e *Enquiry, text string) bool {
	if e.Stage != Waits && e.Stage != Booked {
		return false
	}
	if area, grade, ok := t.gradeSaid(e, text); ok && area != "" {
		t.grade(e, area, grade)
		t.panel(e)
		return true
	} else if ok {
		t.expect(c, typingPanel, e)
		t.tell(c.ID, wording.OwnerWhichPart, wording.Facts{Name: e.Name, Text: grade}, t.partRows(e)...)
		return true
	}
	sum := t.sumSaid(text)
	if p, err := pricing.ParsePence(sum); err != nil || p <= 0 || strings.HasPrefix(sum, "+") {
		return false
	}
	t.byHandTyped(c, e, typingPrice, sum)
	return true
}

// gradeSaid is a grade in a text that says no more than that and at most its part: "4",
// "its a 4", "paint 3". Without a part the area is empty.
func (t *turn) gradeSaid(e *Enquiry, text string) (area pricing.Area, grade string, ok bool) {
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly), t.typed(wording.SayMakeIt))
	if strings.ContainsAny(text, "£.,") {
		return "", "", false
	}
	var rest []string
	for _, w := range strings.Fields(wording.Plain(apart(text))) {
		switch {
		case grade == "" && len(w) == 1 && w >= "1" && w <= "4":
			grade = w
		case strings.Trim(w, "0123456789") == "" || slices.Contains(t.typed(wording.SayPounds), w):
			return "", "", false
		case !slices.Contains(small, w):
			rest = append(rest, w)
		}
	}
	if grade == "" || len(rest) == 0 {
		return "", grade, grade != ""
	}
	const shortest = 4 // letters of a part's name that stand for it: "paint"
	part := strings.Join(rest, " ")
	for _, a := range t.gradable(e) {
		if name := wording.Plain(a.Name); name == part || len(part) >= shortest && strings.HasPrefix(name, part) {
			return a.ID, grade, true
		}
	}
	return "", "", false
}

// sumSaid is the sum in a text that asks for it to be the price, or says how it was paid:
// "make it 75", "95 quid", "85 cash".
func (t *turn) sumSaid(text string) string {
	return t.amountOf(strings.Join(slices.DeleteFunc(strings.Fields(apart(text)), func(w string) bool { return slices.Contains(t.typed(wording.SayMakeIt), wording.Plain(w)) }), " "))
}

// partRows are the buttons of the parts that can be graded, three to a row.
func (t *turn) partRows(e *Enquiry) [][]bot.Choice {
	var row []bot.Choice
	for _, a := range t.gradable(e) {
		row = append(row, bot.Choice{Label: a.Name, Data: press{e.ID, e.Rev, pressGrade, string(a.ID)}.data()})
	}
	return slices.Collect(slices.Chunk(row, 3))
}
