package conversations

import (
	"regexp"
	"strings"
	"unicode/utf8"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What a car is called of which no table knows the size: a name of a few words, whatever
// else was said in the same breath. It stands in every sentence about it from then on.

// The most a name has.
const (
	mostNameWords   = 5
	mostNameLetters = 30
)

// calledBy is what the car of a text is called: its make and model, if the text names
// them, else what was said first, if that is short enough for a name.
func (t *turn) calledBy(text string) string {
	const few = 3 // words that are a name as they stand: "the little fiat"
	name := text
	if i := strings.IndexAny(text, ".,;:!?\n"); i > 0 {
		name = text[:i]
	}
	if t.Reader != nil && (name != text || len(strings.Fields(unarticled(text))) > few) {
		if r := t.heardIn(text); r.Vehicle() != nil {
			name = nameIn(text, *r.Vehicle())
		}
	}
	name = strings.TrimSpace(unarticled(strings.TrimSpace(name)))
	if len(strings.Fields(name)) > mostNameWords || utf8.RuneCountInString(name) > mostNameLetters || wording.Plain(name) == "" {
		return t.word(wording.SomeCar, wording.Facts{})
	}
	return name
}

// modelNumber is a number right behind the name of a car, that belongs to it.
var modelNumber = regexp.MustCompile(`^ ([0-9]{3,4})\b`)

// nameIn is a car's name as it stands in a text, with the number behind it that a reader
// would take for a year: "rover 2000".
func nameIn(text string, v reading.Vehicle) string {
	name := text[v.Span.From:v.Span.To]
	if v.Car == nil && len(v.Ambiguous) == 0 {
		name += modelNumber.FindString(text[v.Span.To:])
	}
	return name
}

// isCarNumber tells whether an amount is that of a model named in the text, and no money.
func isCarNumber(r reading.Reading, text string, amount pricing.Pence) bool {
	for _, v := range r.Vehicles {
		if m := modelNumber.FindStringSubmatch(text[v.Span.To:]); m != nil && v.Car == nil && len(v.Ambiguous) == 0 {
			if p, err := pricing.ParsePence(m[1]); err == nil && p == amount {
				return true
			}
		}
	}
	return false
}

// renamed takes another name for a car that no table knows, "no that's wrong, it's just a
// rover 2000", and a figure back that was its name. It returns the new name, empty if there
// is none.
func (t *turn) renamed(e *Enquiry, r reading.Reading, text string) string {
	v := r.Vehicle()
	unknown := len(e.Cars) == 0 && (e.Car == nil || e.answer(askBody) != "")
	if _, answered := e.Answers[askVehicle]; !answered || !unknown || v == nil || v.Car != nil || len(v.Ambiguous) > 0 || r.Cars > 1 {
		return ""
	}
	name := unarticled(nameIn(text, *v))
	figure := budgetOf(e) > 0 && isCarNumber(r, text, budgetOf(e))
	if figure || isCarNumber(r, text, r.Budget.Amount) && r.Budget.Kind != "" {
		t.retract(e, askBudget)
	} else if !r.Corrects && 2*len(name) < len(text) {
		return ""
	}
	if !figure && strings.EqualFold(name, unarticled(e.answer(askVehicle))) {
		return ""
	}
	e.Answers[askVehicle] = []string{name}
	if e.Car != nil {
		car := *e.Car
		car.Name = name
		e.Car = &car
	}
	e.Rev++
	return name
}
