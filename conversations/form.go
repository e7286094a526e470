package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/dryhand/bot"
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
func (t *turn) form(e *Enquiry) []question {
	f := []question{
		{id: askVehicle, ask: sentence(wording.AskVehicle), read: readVehicle, took: tookVehicle, undo: undoVehicle},
		{id: askWhich, applies: severalCars, ask: putWhich, took: tookWhich, undo: undoCar},
		{id: askBody, applies: carUnknown, ask: putBody, took: tookBody, undo: undoCar},
		{id: askWants, ask: putWants, several: true, read: readWants},
	}
	f = append(f,
		question{id: askSite, ask: sited(wording.AskSite, bringOrMine)},
		question{id: askSurface, applies: atTheirs, ask: sited(wording.AskSurface, surfaces)},
		question{id: askServices, applies: workable, ask: sited(wording.AskServices, services)},
		question{id: askDrain, applies: workable, ask: sited(wording.AskDrain, drains)},
		question{id: askMiles, applies: workable, ask: sited(wording.AskMiles, distances), read: readMiles, undo: undoMiles},
	)
	// Of the conditions only the one worth asking applies at any time, see doubt.
	for _, a := range t.Rules.Areas() {
		f = append(f, question{id: askCond + string(a.ID), ask: putCondition(a), read: readGrade(a.ID)})
	}
	return append(f,
		question{id: askQuote, ask: putQuote, aside: asideQuote, read: readQuote, valid: isFigure, took: tookQuote},
		question{id: askBudget, applies: fitting, ask: putBudget, read: readBudget, valid: isFigure, took: tookBudget},
		question{id: askHazards, applies: priceAgreed, ask: putHazards, several: true, orNone: true, took: tookHazards},
		question{id: askPhoto, ask: putPhoto, took: tookPhoto},
		question{id: askSlot, applies: priceAgreed, ask: putSlot, read: readSlot, valid: isSlot, took: tookSlot, undo: undoSlot},
		question{id: askConsent, applies: priceAgreed, ask: putConsent},
		question{id: askConfirm, applies: priceAgreed, ask: putConfirm, took: tookConfirm},
	)
}

// find is the question of that name, nil if the form has none.
func (t *turn) find(e *Enquiry, id string) *question {
	for _, q := range t.form(e) {
		if q.id == id {
			return &q
		}
	}
	return nil
}

// next is the first question that matters and is not answered, nil when the
// form is complete.
func (t *turn) next(e *Enquiry) *question {
	doubt, looked := "", false
	for _, q := range t.form(e) {
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
			return &q
		}
	}
	return nil
}

// put asks the next question, after some words if there are any.
func (t *turn) put(e *Enquiry, lead string) {
	lead = t.together(e, t.renew(e, lead))
	q := t.next(e)
	if q == nil && e.Stage == Asking && e.answer(askQuote) == choiceLook && !t.chat(e.Chat).Person {
		// A look was asked for, and the desk has the word again: the way is still open.
		t.retract(e, askQuote)
		q = t.next(e)
	}
	if q == nil {
		if lead != "" && !isGuest(e.Chat) {
			t.say(bot.Message{Chat: e.Chat, Text: lead, Kind: "word"})
		}
		return
	}
	shown := e.At == q.id
	e.At = q.id
	p := q.ask(t, e)
	text := p.text
	if shown && p.again != "" {
		text = p.again
	}
	if lead != "" {
		text = lead + "\n\n" + text
	}
	t.say(bot.Message{Chat: e.Chat, Text: text, Choices: t.keyboard(e, q, p), Kind: "question"})
}

// keyboard lays the options out, with the way back and the way to a person
// below them.
func (t *turn) keyboard(e *Enquiry, q *question, p prompt) [][]bot.Choice {
	press := func(choice string) string {
		return press{enquiry: e.ID, rev: e.Rev, question: q.id, choice: choice}.data()
	}
	var rows [][]bot.Choice
	var row []bot.Choice
	width := 0
	flush := func() {
		if len(row) > 0 {
			rows = append(rows, row)
		}
		row, width = nil, 0
	}
	for _, o := range p.options {
		label, choice, room := o.label, o.key, utf8.RuneCountInString(o.label)+4
		if q.several && o.key != choiceDone {
			label, choice = ticked(e, o)
			room += 2 // so that a tick moves nothing
		}
		// About 32 characters of buttons fit beside each other on a phone.
		if o.own || width+room > 32 {
			flush()
		}
		row = append(row, bot.Choice{Label: label, Data: press(choice)})
		width += room
		if o.own {
			flush()
		}
	}
	flush()
	var ways []bot.Choice
	if len(e.Trail) > 0 {
		ways = append(ways, bot.Choice{Label: t.label(wording.LabelBack), Data: press(choiceBack)})
	}
	ways = append(ways, bot.Choice{Label: t.label(wording.LabelPerson), Data: press(choicePerson)})
	return append(rows, ways)
}

// ticked shows whether an option of several is chosen. The button says what it
// makes of it, "+" or "-", so that a double press does no more than one.
func ticked(e *Enquiry, o option) (label, choice string) {
	for _, k := range e.Pending {
		if k == o.key {
			return "✓ " + o.label, "-" + o.key
		}
	}
	return o.label, "+" + o.key
}

// choose makes an option whose typed forms stand beside its label.
func (t *turn) choose(key string, k wording.Key) option {
	return option{key: key, label: t.Words.Label(k), typed: t.Words.Typed(k)}
}

// sentence asks a question that is a sentence and takes free text.
func sentence(k wording.Key) func(*turn, *Enquiry) prompt {
	return func(t *turn, e *Enquiry) prompt {
		return prompt{text: t.word(k, wording.Facts{Name: e.Name, Car: carName(e)})}
	}
}

// named is an option's key with the label it goes by.
type named struct {
	key   string
	label wording.Key
}

var (
	bringOrMine = []named{{"own", wording.LabelBring}, {"theirs", wording.LabelMyPlace}}
	surfaces    = []named{{"driveway", wording.LabelDriveway}, {"garage", wording.LabelGarage}, {"shared", wording.LabelShared}, {"street", wording.LabelStreet}}
	services    = []named{{"both", wording.LabelTapSocket}, {"tap", wording.LabelTapOnly}, {"socket", wording.LabelSocketOnly}, {"neither", wording.LabelNeither}}
	drains      = []named{{"soil", wording.LabelSoil}, {"foul", wording.LabelFoul}, {"surface", wording.LabelSurface}, {"unknown", wording.LabelDontKnow}}
	distances   = []named{{"5", wording.LabelNear}, {"12", wording.LabelMiddling}, {"20", wording.LabelFar}}
)

// sited asks a question with a fixed list of answers.
func sited(k wording.Key, list []named) func(*turn, *Enquiry) prompt {
	return func(t *turn, e *Enquiry) prompt {
		p := sentence(k)(t, e)
		for _, n := range list {
			p.options = append(p.options, t.choose(n.key, n.label))
		}
		return p
	}
}

func atTheirs(_ *turn, e *Enquiry) bool { return e.answer(askSite) == "theirs" }

// workable: at the customer's place, and not in the street, where nothing further
// about the place would change the answer.
func workable(t *turn, e *Enquiry) bool { return atTheirs(t, e) && e.answer(askSurface) != "street" }

// rareWants are understood when somebody writes them, and not offered.
var rareWants = []named{
	{string(pricing.Paintwork), wording.LabelPaint}, {string(pricing.Wheels), wording.LabelWheels}, {string(pricing.Glass), wording.LabelGlass},
	{string(pricing.Trim), wording.LabelTrim}, {string(pricing.EngineBay), wording.LabelEngineBay}, {"polish", wording.LabelPolish},
}

func putWants(t *turn, e *Enquiry) prompt {
	p := sentence(wording.AskWants)(t, e)
	p.options = []option{t.choose("exterior", wording.LabelOutside), t.choose("interior", wording.LabelInside)}
	if e.Car != nil && e.Car.SoftTopArea() > 0 {
		p.options = append(p.options, t.choose(string(pricing.SoftTop), wording.LabelSoftTop))
	}
	p.options = append(p.options, t.choose(string(pricing.Headlights), wording.LabelLamps), t.choose("protection", wording.LabelProtection))
	for _, rare := range rareWants {
		if e.has(askWants, rare.key) || slices.Contains(e.Pending, rare.key) {
			p.options = append(p.options, t.choose(rare.key, rare.label))
		}
	}
	for _, kind := range t.Rules.Protections() {
		if e.has(askWants, kind.ID) || slices.Contains(e.Pending, kind.ID) {
			p.options = append(p.options, option{key: kind.ID, label: firstUpper(kind.Words), typed: []string{kind.Words}})
		}
	}
	done := t.choose(choiceDone, wording.LabelThatsAll)
	done.own = true
	p.options = append(p.options, done)
	return p
}

// mostDoubts is how many conditions are asked about at most. They come in the
// order of what they tell about the price; past these few a wider range is kinder
// than another question.
const mostDoubts = 5

// doubt is the condition most worth asking about next, empty if none is: the
// range is narrow enough, nothing left would move the price by a step, or the
// customer has heard enough questions.
func (t *turn) doubt(e *Enquiry) string {
	asked := 0
	for q, a := range e.Answers {
		if strings.HasPrefix(q, askCond) {
			if slices.Contains(e.Trail, q) { // what was said unasked costs nobody a tap
				asked++
			}
			if a[0] == choiceTell {
				return ""
			}
		}
	}
	if asked >= mostDoubts || e.Renews != "" && asked > 0 {
		return ""
	}
	if !t.quote(e) || e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		return "" // no answer would bring a price
	}
	next, err := t.Rules.NextQuestions(t.priced(e))
	if err != nil {
		t.fail(fmt.Errorf("conversations: what to ask about enquiry %s: %w", e.ID, err))
		return ""
	}
	if next.Enough {
		return ""
	}
	for _, q := range next.Ask {
		if q.Moves < t.Rules.Money.RoundTo {
			return ""
		}
		if id := askCond + string(q.Area); e.answer(id) == "" {
			return id
		}
	}
	return ""
}

// readWants takes what is wanted in own words.
func readWants(t *turn, _ *Enquiry, text string) ([]string, bool) {
	if t.Reader == nil {
		return nil, false
	}
	wants := slices.DeleteFunc(t.Reader.Read(text).Wants, func(w string) bool { return !slices.Contains(formWants, w) })
	return wants, len(wants) > 0
}

// readGrade takes what somebody writes about an area for one of its grades, where
// that is clear.
func readGrade(a pricing.Area) func(*turn, *Enquiry, string) ([]string, bool) {
	return func(t *turn, _ *Enquiry, text string) ([]string, bool) {
		if t.Reader == nil {
			return nil, false
		}
		g := t.Reader.Read(text).Grades[a]
		return []string{strconv.Itoa(int(g))}, g > 0
	}
}

func putCondition(a pricing.AreaRule) func(*turn, *Enquiry) prompt {
	return func(t *turn, e *Enquiry) prompt {
		var p prompt
		var lines []string
		for i, d := range a.Grades {
			n := string(rune('1' + i))
			lines = append(lines, n+" – "+d)
			o := option{key: n, label: n, typed: []string{n, d}}
			if i == 0 && a.OnlyIfTold {
				o.typed = append(o.typed, t.Words.Typed(wording.SayNone)...)
			}
			p.options = append(p.options, o)
		}
		unsure := t.choose(choiceUnsure, wording.LabelNotSure)
		tell := t.choose(choiceTell, wording.LabelJustPrice)
		tell.own = true
		p.options = append(p.options, unsure, tell)
		p.text = t.word(wording.AskCondition, wording.Facts{Question: a.Ask, Items: lines})
		return p
	}
}

// pick finds the option that was typed: its label, its number in the list, or
// one of the ways people say it.
func pick(p prompt, text string) (option, bool) {
	said := plain(text)
	for _, o := range p.options {
		for _, w := range append([]string{o.label, o.key}, o.typed...) {
			if said == plain(w) {
				return o, true
			}
		}
	}
	// Otherwise one option alone must be spoken of.
	var found option
	hits := 0
	for _, o := range p.options {
		for _, w := range o.typed {
			if w := plain(w); len(w) > 2 && strings.Contains(" "+said+" ", " "+w+" ") {
				found = o
				hits++
				break
			}
		}
	}
	return found, hits == 1
}

// pickSeveral finds every option that was spoken of.
func pickSeveral(p prompt, text string) []string {
	said := " " + plain(text) + " "
	var keys []string
	for _, o := range p.options {
		if o.key == choiceDone {
			continue
		}
		for _, w := range o.typed {
			if w := plain(w); len(w) > 2 && strings.Contains(said, " "+w+" ") {
				keys = append(keys, o.key)
				break
			}
		}
	}
	return keys
}

// plain is text without case, punctuation and doubled spaces, for comparing.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r == '\'' || r == '’':
			return -1
		case r < 128 && !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9'):
			return ' '
		}
		return r
	}, strings.ToLower(s))
	return strings.Join(strings.Fields(s), " ")
}
