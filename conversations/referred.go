package conversations

import (
	"slices"
	"strings"
	"unicode"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// offerReferrals shows the owner what on this car may be for another trade, and
// what of it he has said already.
func (t *turn) offerReferrals(e *Enquiry) {
	var rows [][]bot.Choice
	var row []bot.Choice
	for _, f := range t.Rules.Flags() {
		if f.Outcome != pricing.Refer {
			continue
		}
		label := sentenceCase(f.ID)
		if slices.Contains(e.Told, f.ID) {
			label = "✓ " + label
		}
		row = append(row, bot.Choice{Label: label, Data: press{e.ID, e.Rev, pressGrade, gradeRefer + ":" + f.ID}.data()})
		if len(row) == 2 {
			rows, row = append(rows, row), nil
		}
	}
	if row != nil {
		rows = append(rows, row)
	}
	t.tell(t.Owner, wording.OwnerReferrals, wording.Facts{Name: e.Name}, append(rows, t.presses(e, pressGrade, named{gradePanel, wording.LabelBack})...)...)
}

// sentenceCase makes a label of the name of a flag.
func sentenceCase(id string) string {
	r := []rune(strings.ReplaceAll(id, "-", " "))
	r[0] = unicode.ToUpper(r[0])
	return string(r)
}

// referred says that something is for another trade, or that it is not after all,
// and works out what that makes of the work and the price.
func (t *turn) referred(e *Enquiry, id string) {
	f, ok := t.Rules.Flag(id)
	if !ok || f.Outcome != pricing.Refer {
		return
	}
	if slices.Contains(e.Told, id) {
		e.Told = slices.DeleteFunc(slices.Clone(e.Told), func(x string) bool { return x == id })
	} else {
		e.Told = append(e.Told, id)
	}
	e.Rev++
	t.reckon(e)
}
