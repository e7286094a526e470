package conversations

import (
	"slices"
	"testing"

	"example.org/dryhand/conversations/wording"
)

// MadeUp is a question that tests put into the form.
type MadeUp struct {
	ID, Before, RestsOn string
	Text                string
	// Options are the labels, which are the keys and what is typed as well.
	Options []string
	// ForNow is the option that is taken for who does not know.
	ForNow string
	Label  wording.Key
	// OfPlace: it asks about the customer's place, and is told back with that.
	OfPlace bool
}

// WithQuestions has the form ask what is made up, until the test ends.
func WithQuestions(t *testing.T, asked ...MadeUp) {
	t.Helper()
	as := form
	t.Cleanup(func() { form = as })
	for _, m := range asked {
		q := question{id: m.ID, listed: true, oneWay: true, label: m.Label, restsOn: m.RestsOn, kept: true, unsure: forNow(always(m.ForNow))}
		q.ask = func(*turn, *Enquiry) prompt {
			p := prompt{text: m.Text}
			for _, o := range m.Options {
				p.options = append(p.options, option{key: o, label: o, typed: []string{o}})
			}
			return p
		}
		if m.OfPlace {
			q.applies, q.place = atTheirs, []named{{m.Options[0], m.Label}}
		} else {
			q.told = func(_ *turn, e *Enquiry) string { return e.answer(m.ID) }
		}
		form = slices.Insert(slices.Clone(form), placeOf(m.Before), q)
	}
}

// ComesAgain are the answers that go along when a car comes again.
func ComesAgain(from Enquiry) map[string][]string {
	next := Enquiry{Answers: map[string][]string{}}
	comesAgain(&from, &next)
	return next.Answers
}
