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
	// listed: an answer may be named by its place on the list, "the second one". At the
	// price, the photos and the last yes the buttons are ways on and no list; the times see
	// to it themselves.
	listed bool
	// oneWay: a first clause may answer it for good. The car, the price, the times and the
	// last yes are read as a whole: there the rest decides.
	oneWay bool
	// namesPlace: the name of a place may be part of the answer.
	namesPlace bool
	// aside says something about the question that answers nothing: the
	// question stays on the table.
	aside func(t *turn, e *Enquiry, choice string) (string, bool)
	// read makes an answer of what was typed, where the options do not.
	read func(t *turn, e *Enquiry, text string) ([]string, bool)
	// unsure leads on somebody who does not know. Without it that is the option for not
	// knowing, if there is one.
	unsure func(*turn, *reply)
	// valid accepts a choice that is no longer among the options because time
	// has moved on; took decides what it is worth.
	valid func(choice string) bool
	// took is what follows from the answer beyond remembering it. It returns
	// words to say first, if any.
	took func(*turn, *Enquiry) string
	// undo takes back what took did.
	undo func(*turn, *Enquiry)

	// label is what the answer is called where it is told back, "Car". told words it
	// there, where it can be changed by that name; nil where it is told along with another.
	label wording.Key
	told  func(*turn, *Enquiry) string
	// place are the answers to a question about the place of the work, as they are told
	// back together in a summary. All but where that is fall away when the car is brought to us.
	place []named
	// restsOn is the question whose answer this one rests on: where that is taken back to
	// be given anew, this goes too.
	restsOn string
	// kept: the answer holds when the car comes again. again is what is taken as the
	// answer then instead of asking.
	kept  bool
	again []string
}

// form is every question, in the order they are asked by default. The entry of askCond
// stands for the conditions, of which only the one worth asking applies at any time, see
// doubt; what all of them have in common stands in it.
//
// It is filled by init, as what its functions do leads back to it, which a variable that
// is given its value here may not.
var form []question

func init() {
	form = []question{
		{id: askVehicle, ask: sentence(wording.AskVehicle), read: readVehicle, took: tookVehicle, undo: undoVehicle,
			unsure: unsureCar, namesPlace: true, label: wording.LabelTheCar, told: carTold, kept: true},
		{id: askWhich, applies: severalCars, ask: putWhich, took: tookWhich, undo: undoCar,
			unsure: forNow(biggest), listed: true, label: wording.LabelTheCar, restsOn: askVehicle, kept: true},
		{id: askBody, applies: carUnknown, ask: putBody, aside: asideBody, took: tookBody, undo: undoCar,
			listed: true, oneWay: true, label: wording.LabelTheCar, restsOn: askVehicle, kept: true},
		{id: askWants, ask: putWants, several: true, read: readWants,
			unsure: forNow(always("exterior", "interior")), label: wording.LabelTheWork, told: (*turn).wanted},

		{id: askSite, applies: mayBring, ask: sited(wording.AskSite, bringOrMine), place: bringOrMine,
			unsure: forNow(always("own")), listed: true, oneWay: true, namesPlace: true,
			label: wording.LabelThePlace, told: siteTold, kept: true},
		{id: askSurface, applies: atTheirs, ask: sited(wording.AskSurface, surfaces), place: surfaces,
			unsure: forNow(always("driveway")), listed: true, oneWay: true,
			label: wording.LabelTheGround, told: placeTold(askSurface), restsOn: askSite, kept: true},
		{id: askServices, applies: workable, ask: sited(wording.AskServices, services), read: readServices, place: services,
			unsure: forNow(always("neither")), // we bring both, then
			listed: true, oneWay: true, label: wording.LabelTheSupply, told: placeTold(askServices), restsOn: askSite, kept: true},
		{id: askDrain, applies: washed, ask: sited(wording.AskDrain, drains), read: readDrain, place: drains,
			unsure: forNow(always(choiceUnknown)), listed: true, oneWay: true,
			label: wording.LabelTheDrain, told: placeTold(askDrain), restsOn: askSite, kept: true},
		{id: askMiles, applies: workable, ask: putMiles, aside: asideMiles, read: readMiles, took: tookMiles, undo: undoMiles, place: distances,
			unsure: forNow(always(distances[len(distances)/2].key)), listed: true, namesPlace: true,
			label: wording.LabelTheWay, told: wayTold, restsOn: askSite, kept: true},

		{id: askCond, listed: true, oneWay: true},

		{id: askQuote, ask: putQuote, aside: asideQuote, read: readQuote, valid: isFigure, took: tookQuote, unsure: unsurePrice},
		{id: askBudget, applies: fitting, ask: putBudget, read: readBudget, valid: isFigure, took: tookBudget,
			unsure: unsureSum, listed: true, label: wording.LabelTheMoney, told: sumTold},
		{id: askHazards, applies: wantsHazards, ask: putHazards, read: readHazards, several: true, orNone: true, took: tookHazards,
			unsure: unsureHazards, oneWay: true, label: wording.LabelTheHazards, told: hazardsTold, again: []string{choiceDone}},
		{id: askPhoto, applies: wantsPhoto, ask: putPhoto, read: readPhoto, took: tookPhoto,
			unsure: unsurePhoto, oneWay: true, again: []string{choiceSkip}},
		{id: askSlot, applies: priceAgreed, ask: putSlot, read: readSlot, valid: isSlot, took: tookSlot, undo: undoSlot,
			unsure: unsureTime, label: wording.LabelTheTime, told: timeTold},
		{id: askAddress, applies: wantsAddress, ask: putAddress, read: readAddress, took: tookAddress, undo: undoAddress,
			unsure: unsureAddress, namesPlace: true, label: wording.LabelTheAddress, told: (*turn).whereExactly, restsOn: askSite, kept: true},
		{id: askConsent, applies: wearsOff, ask: putConsent, read: readReminder,
			unsure: unsureReminder, listed: true, oneWay: true, label: wording.LabelTheReminder, told: reminderTold, kept: true},
		{id: askConfirm, applies: priceAgreed, ask: putConfirm, aside: asideConfirm, took: tookConfirm, unsure: unsureConfirm},
	}
}

// placeOf is where in the form a question of that name stands, -1 for a condition and what
// is no question.
func placeOf(id string) int {
	return slices.IndexFunc(form, func(q question) bool { return q.id == id })
}

// find is the question of that name, nil if the form has none.
func (t *turn) find(id string) *question {
	of, isCond := strings.CutPrefix(id, askCond)
	if !isCond {
		if i := placeOf(id); i >= 0 {
			return &form[i]
		}
		return nil
	}
	area, known := t.Rules.Area(pricing.Area(of))
	if !known {
		return nil
	}
	q := form[placeOf(askCond)]
	q.id, q.ask, q.read = id, putCondition(area), readGrade(area.ID)
	return &q
}

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

// restingOn are a question and those whose answers rest on its answer, by name.
func restingOn(id string) []string {
	ids := []string{id}
	for _, q := range form {
		if q.restsOn == id {
			ids = append(ids, q.id)
		}
	}
	return ids
}

// comesAgain gives the enquiry of a car that was here before, at the same place, what was
// answered of it then.
func comesAgain(from, next *Enquiry) {
	for _, q := range form {
		if a, ok := from.Answers[q.id]; ok && q.kept {
			next.Answers[q.id] = a
		}
		if q.again != nil {
			next.Answers[q.id] = slices.Clone(q.again)
		}
	}
}

// next is the first question that matters and is not answered, nil when the
// form is complete.
func (t *turn) next(e *Enquiry) *question {
	t.settleSite(e)
	if q := t.reopened(e); q != nil {
		return q
	}
	for i := range form {
		q := &form[i]
		if q.id == askCond {
			if q = t.find(t.doubt(e)); q == nil {
				continue
			}
		}
		_, answered := e.Answers[q.id]
		if answered || t.mayWait(e, q) {
			continue
		}
		if q.applies == nil || q.applies(t, e) {
			return q
		}
	}
	return nil
}
