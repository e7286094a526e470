package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// The questions of the form by name. Conditions are "cond-" and the area.
const (
	askVehicle  = "vehicle"
	askWhich    = "which"
	askBody     = "body"
	askWants    = "wants"
	askCond     = "cond-"
	askPhoto    = "photo"
	askSite     = "site"
	askSurface  = "surface"
	askServices = "services"
	askDrain    = "drain"
	askMiles    = "miles"
	askQuote    = "quote"
	askBudget   = "budget"
	askHazards  = "hazards"
	askSlot     = "slot"
	askConsent  = "consent"
	askConfirm  = "confirm"
)

// Choices that mean the same under every question.
const (
	choiceBack   = "back"
	choicePerson = "person"
	choiceOther  = "other"
	choiceUnsure = "unsure"
	choiceSkip   = "skip"
	choiceKeep   = "keep"
	choiceDone   = "done"
	choiceBoth   = "both" // inside and out, and on: what most want, in one tap
	choiceAgain  = "again"
	choiceBring  = "bring"
	choiceTell   = "tell"   // no more questions, just the price
	choiceFit    = "fit"    // fit it to a figure
	choiceAll    = "all"    // the whole of it after all
	choiceLook   = "look"   // have a look at the car first
	choiceInFull = "full"   // the whole list
	choiceWhy    = "why"    // what moves the price
	choiceChange = "change" // change an answer
	choiceWish   = "wish"   // a time named in own words
)

// option is one answer a question offers.
type option struct {
	key   string
	label string
	// typed is what people write instead of tapping it.
	typed []string
	// own tells that the option stands in a row of its own.
	own bool
}

// prompt is a question as it is put.
type prompt struct {
	text    string
	options []option
	// again is what is said instead when it is still on the table, if the text
	// is too long to read twice.
	again string
}

// question is one question of the form. Its functions look at the enquiry and
// nothing else, so that the form can be asked in any order and gone back over.
type question struct {
	id string
	// applies tells whether the question matters for this enquiry.
	applies func(*turn, *Enquiry) bool
	// ask puts it.
	ask func(*turn, *Enquiry) prompt
	// several: more than one option may be ticked; orNone: or none of them.
	several bool
	orNone  bool
	// aside says something about the question that answers nothing: the
	// question stays on the table.
	aside func(t *turn, e *Enquiry, choice string) (string, bool)
	// read makes an answer of what was typed, where the options do not.
	read func(t *turn, e *Enquiry, text string) ([]string, bool)
	// valid accepts a choice that is no longer among the options because time
	// has moved on; took decides what it is worth.
	valid func(choice string) bool
	// took is what follows from the answer beyond remembering it. It returns
	// words to say first, if any.
	took func(*turn, *Enquiry) string
	// undo takes back what took did.
	undo func(*turn, *Enquiry)
}

// form is every question, in the order they are asked by default.
func (t *turn) form() []question {
	if t.questions == nil {
		t.questions = t.newForm()
	}
	return t.questions
}

func (t *turn) newForm() []question {
	areas := t.Rules.Areas()
	const others = 16
	f := append(make([]question, 0, others+len(areas)),
		question{id: askVehicle, ask: sentence(wording.AskVehicle), read: readVehicle, took: tookVehicle, undo: undoVehicle},
		question{id: askWhich, applies: severalCars, ask: putWhich, took: tookWhich, undo: undoCar},
		question{id: askBody, applies: carUnknown, ask: putBody, aside: asideBody, took: tookBody, undo: undoCar},
		question{id: askWants, ask: putWants, several: true, read: readWants},
		question{id: askSite, applies: mayBring, ask: sited(wording.AskSite, bringOrMine)},
		question{id: askSurface, applies: atTheirs, ask: sited(wording.AskSurface, surfaces)},
		question{id: askServices, applies: workable, ask: sited(wording.AskServices, services)},
		question{id: askDrain, applies: workable, ask: sited(wording.AskDrain, drains)},
		question{id: askMiles, applies: workable, ask: sited(wording.AskMiles, distances), read: readMiles, undo: undoMiles},
	)
	// Of the conditions only the one worth asking applies at any time, see doubt.
	for _, a := range areas {
		f = append(f, question{id: askCond + string(a.ID), ask: putCondition(a), read: readGrade(a.ID)})
	}
	return append(f,
		question{id: askQuote, ask: putQuote, aside: asideQuote, read: readQuote, valid: isFigure, took: tookQuote},
		question{id: askBudget, applies: fitting, ask: putBudget, read: readBudget, valid: isFigure, took: tookBudget},
		question{id: askHazards, applies: priceAgreed, ask: putHazards, several: true, orNone: true, took: tookHazards},
		question{id: askPhoto, applies: wantsPhoto, ask: putPhoto, took: tookPhoto},
		question{id: askSlot, applies: priceAgreed, ask: putSlot, read: readSlot, valid: isSlot, took: tookSlot, undo: undoSlot},
		question{id: askConsent, applies: priceAgreed, ask: putConsent},
		question{id: askConfirm, applies: priceAgreed, ask: putConfirm, aside: asideConfirm, took: tookConfirm},
	)
}

// find is the question of that name, nil if the form has none.
func (t *turn) find(id string) *question {
	f := t.form()
	if i := slices.IndexFunc(f, func(q question) bool { return q.id == id }); i >= 0 {
		return &f[i]
	}
	return nil
}

// next is the first question that matters and is not answered, nil when the
// form is complete.
func (t *turn) next(e *Enquiry) *question {
	t.settleSite(e)
	doubt, looked := "", false
	f := t.form()
	for i := range f {
		q := &f[i]
		if _, answered := e.Answers[q.id]; answered {
			continue
		}
		if strings.HasPrefix(q.id, askCond) {
			if !looked {
				doubt, looked = t.doubt(e), true
			}
			if q.id != doubt {
				continue
			}
		}
		if q.applies == nil || q.applies(t, e) {
			return q
		}
	}
	return nil
}
