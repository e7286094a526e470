package conversations

import (
	"fmt"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// The owner is late for everybody who is still to come today: "30 late both", "everyone
// 30 mins late". He is shown who would read what, and one yes tells them all.

// The presses of the desk about being late for everybody. They carry the minutes, the
// second also a sum of the visits that were shown, so that nobody else is told.
const (
	deskLate     = "late:"
	deskTellLate = "tell-late:"
)

// everybodySaid tells whether words are of everybody, and which are left without them and
// without "tell them".
func (t *turn) everybodySaid(words []string) (rest []string, is bool) {
	beside := slices.Concat(t.typed(wording.SayTell), t.typed(wording.SayThem))
	for len(words) > 0 {
		n := longestOf(t.typed(wording.SayEverybody), words)
		switch k := longestOf(beside, words); {
		case n > 0:
			is, words = true, words[n:]
		case k > 0:
			words = words[k:]
		default:
			rest, words = append(rest, words[0]), words[1:]
		}
	}
	return rest, is
}

// askAllLate shows who would read what, or asks by how much he is late.
func (t *turn) askAllLate(c *Chat, of []*Enquiry, n int) {
	if n < leastLate {
		t.expect(c, typingAllLate, of[0])
		var row []bot.Choice
		for _, m := range howLate {
			row = append(row, bot.Choice{Label: t.word(wording.MinutesButton, wording.Facts{Minutes: m}), Data: press{noEnquiry, 0, pressDesk, fmt.Sprint(deskLate, m)}.data()})
		}
		t.tell(c.ID, wording.OwnerHowLateAll, wording.Facts{}, row[:3], row[3:])
		return
	}
	f := wording.Facts{Minutes: n}
	for _, e := range of {
		k, theirs := t.lateFacts(e, t.lateTo(e, n))
		f.Items = append(f.Items, t.word(wording.LineReads, wording.Facts{Name: e.Name, Text: t.word(k, theirs)}))
	}
	t.expect(c, fmt.Sprint(typingAllLate, ":", n, ":", visitsSum(of)), of[0])
	t.tell(c.ID, wording.OwnerAllLate, f, []bot.Choice{
		{Label: t.label(wording.LabelTellAll), Data: press{noEnquiry, 0, pressDesk, fmt.Sprint(deskTellLate, n, ":", visitsSum(of))}.data()},
		{Label: t.label(wording.LabelLeaveIt), Data: press{noEnquiry, 0, pressDesk, deskToday}.data()},
	})
}

// visitsSum is a sum of some visits and their times.
func visitsSum(of []*Enquiry) string {
	var b strings.Builder
	for _, e := range of {
		fmt.Fprintln(&b, e.ID, e.Slot.Start.Unix())
	}
	return lineSum(b.String())
}

// allLate tells everybody, if they are those who were shown; else they are shown anew.
func (t *turn) allLate(c *Chat, n int, sum string) {
	of := t.lateFor()
	switch {
	case n < leastLate || n > mostLate || len(of) == 0:
		t.tell(c.ID, wording.OwnerNobodyWaits, wording.Facts{})
		return
	case sum != visitsSum(of):
		t.askAllLate(c, of, n)
		return
	}
	lates := make([]delay, len(of))
	for i, e := range slices.Backward(of) { // the last makes room for the one before
		lates[i] = t.pushLate(e, n)
	}
	for i, e := range of {
		t.tellLate(c, e, lates[i])
	}
}

// allLatePressed takes the presses of these cards.
func (t *turn) allLatePressed(c *Chat, kind, rest string) {
	minutes, sum, _ := strings.Cut(rest, ":")
	n := atoi(minutes)
	if of := t.lateFor(); kind == deskLate && len(of) > 0 && n >= leastLate && n <= mostLate {
		t.askAllLate(c, of, n)
		return
	}
	t.allLate(c, n, sum)
}

// allLateTyped takes what he types under these cards: how late, that they are to be told,
// or not. It reports whether the text was one of these.
func (t *turn) allLateTyped(c *Chat, shown, text string) bool {
	minutes, sum, asked := strings.Cut(shown, ":")
	of := t.lateFor()
	words := slices.DeleteFunc(strings.Fields(wording.Plain(text)), func(w string) bool { return slices.Contains(t.typed(wording.SayMakeIt), w) })
	switch n, left := t.lengthIn(words); {
	case len(of) > 0 && n >= leastLate && n <= mostLate && t.saysJust(strings.Join(append(left, "late"), " "), []string{"late"}):
		t.askAllLate(c, of, n)
	case asked && t.saysJust(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.SaySendIt), t.typed(wording.LabelTellAll))):
		t.allLate(c, atoi(minutes), sum)
	case asked && t.saysJust(text, slices.Concat(t.typed(wording.SayNo), t.typed(wording.LabelLeaveIt))):
		t.tell(c.ID, wording.OwnerDraftLeft, wording.Facts{}, t.deskWays()...)
	default:
		return false
	}
	return true
}
