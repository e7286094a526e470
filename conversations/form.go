package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
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
	askAddress  = "address"
	askConsent  = "consent"
	askConfirm  = "confirm"
)

// Choices that mean the same under every question.
const (
	choiceBack    = "back"
	choicePerson  = "person"
	choiceOther   = "other"
	choiceUnsure  = "unsure"
	choiceUnknown = "unknown" // the drain: nobody knows where it goes
	choiceSkip    = "skip"
	choiceKeep    = "keep"
	choiceDone    = "done"
	choiceBoth    = "both" // inside and out, and on: what most want, in one tap
	choiceAgain   = "again"
	choiceBring   = "bring"
	choiceTell    = "tell"   // no more questions, just the price
	choiceFit     = "fit"    // fit it to a figure
	choiceAll     = "all"    // the whole of it after all
	choiceLook    = "look"   // have a look at the car first
	choiceInFull  = "full"   // the whole list
	choiceWhy     = "why"    // what moves the price
	choiceChange  = "change" // change an answer
	choiceWish    = "wish"   // a time named in own words
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

// order is the form: every question's name, in the order they are asked by default.
// askCond stands for the conditions, of which only the one worth asking applies at any
// time, see doubt.
var order = []string{
	askVehicle, askWhich, askBody, askWants,
	askSite, askSurface, askServices, askDrain, askMiles,
	askCond,
	askQuote, askBudget, askHazards, askPhoto, askSlot, askAddress, askConsent, askConfirm,
}

// find is the question of that name, nil if the form has none. It is made when it is
// looked at: a message has to do with two or three of them.
func (t *turn) find(id string) *question {
	q := question{id: id}
	switch id {
	case askVehicle:
		q.ask, q.read, q.took, q.undo = sentence(wording.AskVehicle), readVehicle, tookVehicle, undoVehicle
	case askWhich:
		q.applies, q.ask, q.took, q.undo = severalCars, putWhich, tookWhich, undoCar
	case askBody:
		q.applies, q.ask, q.aside, q.took, q.undo = carUnknown, putBody, asideBody, tookBody, undoCar
	case askWants:
		q.ask, q.several, q.read = putWants, true, readWants
	case askSite:
		q.applies, q.ask = mayBring, sited(wording.AskSite, bringOrMine)
	case askSurface:
		q.applies, q.ask = atTheirs, sited(wording.AskSurface, surfaces)
	case askServices:
		q.applies, q.ask = workable, sited(wording.AskServices, services)
	case askDrain:
		q.applies, q.ask = workable, sited(wording.AskDrain, drains)
	case askMiles:
		q.applies, q.ask, q.aside, q.read, q.took, q.undo = workable, putMiles, asideMiles, readMiles, tookMiles, undoMiles
	case askQuote:
		q.ask, q.aside, q.read, q.valid, q.took = putQuote, asideQuote, readQuote, isFigure, tookQuote
	case askBudget:
		q.applies, q.ask, q.read, q.valid, q.took = fitting, putBudget, readBudget, isFigure, tookBudget
	case askHazards:
		q.applies, q.ask, q.several, q.orNone, q.took = priceAgreed, putHazards, true, true, tookHazards
	case askPhoto:
		q.applies, q.ask, q.read, q.took = wantsPhoto, putPhoto, readPhoto, tookPhoto
	case askSlot:
		q.applies, q.ask, q.read, q.valid, q.took, q.undo = priceAgreed, putSlot, readSlot, isSlot, tookSlot, undoSlot
	case askAddress:
		q.applies, q.ask, q.read, q.took, q.undo = wantsAddress, putAddress, readAddress, tookAddress, undoAddress
	case askConsent:
		q.applies, q.ask = wearsOff, putConsent
	case askConfirm:
		q.applies, q.ask, q.aside, q.took = priceAgreed, putConfirm, asideConfirm, tookConfirm
	default:
		of, ok := strings.CutPrefix(id, askCond)
		area, known := t.Rules.Area(pricing.Area(of))
		if !ok || !known {
			return nil
		}
		q.ask, q.read = putCondition(area), readGrade(area.ID)
	}
	return &q
}

// beforePrice are the questions that nobody needs to be asked of whose car no price can be
// named before it has been seen.
var beforePrice = []string{askSite, askSurface, askServices, askDrain, askMiles}

// mustSee tells whether what was said already rules out a price before the car has been
// seen, wherever it stands.
func (t *turn) mustSee(e *Enquiry) bool {
	if len(e.Answers[askWants]) == 0 || e.Car == nil {
		return false
	}
	asked := t.priced(e)
	if len(asked.Flags)+len(asked.Said)+len(asked.Graded) == 0 {
		return false
	}
	asked.Site, asked.Budget = pricing.Site{Own: true, Tap: true, Socket: true}, 0
	q, err := t.quoted(asked)
	return err == nil && q.NeedToSee != "" && q.Refused == ""
}

// next is the first question that matters and is not answered, nil when the
// form is complete.
func (t *turn) next(e *Enquiry) *question {
	t.settleSite(e)
	for _, id := range order {
		if id == askCond {
			if id = t.doubt(e); id == "" {
				continue
			}
		}
		if _, answered := e.Answers[id]; answered || slices.Contains(beforePrice, id) && t.mustSee(e) {
			continue
		}
		if q := t.find(id); q.applies == nil || q.applies(t, e) {
			return q
		}
	}
	return nil
}
