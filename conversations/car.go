package conversations

import (
	"cmp"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// carName is what we call the car towards its owner.
func carName(e *Enquiry) string {
	if e.Car != nil {
		return e.Car.Name
	}
	return ""
}

// readVehicle takes any words as the name of a car; what is in no table is asked
// about next, never refused. What else is said in them stands beside the name.
func readVehicle(t *turn, _ *Enquiry, text string) ([]string, bool) {
	if wording.Plain(text) == "" {
		return nil, false
	}
	const longest = 120
	name := text
	if m := t.Rules.MatchVehicle(text); m.Vehicle == nil && len(m.Ambiguous) == 0 {
		name, t.carWords = t.calledBy(text), text
	}
	if r := []rune(name); len(r) > longest {
		name = string(r[:longest])
	}
	return []string{name}, true
}

// tookVehicle finds the car, and whatever else stands in the same words.
func tookVehicle(t *turn, e *Enquiry) string {
	name := e.answer(askVehicle)
	text := cmp.Or(t.carWords, name)
	m := t.Rules.MatchVehicle(text)
	e.Car, e.Cars = m.Vehicle, m.Ambiguous
	said := t.hear(e, text)
	switch {
	case e.Car != nil:
		said = append([]string{e.Car.Name}, said...)
	case text != name && len(e.Cars) == 0:
		t.notes(e, text) // all of it is the owner's to read
		if name != t.word(wording.SomeCar, wording.Facts{}) {
			said = append([]string{name}, said...)
		}
	}
	return t.understood(said)
}

func undoVehicle(_ *turn, e *Enquiry) { e.Car, e.Cars = nil, nil }

func severalCars(_ *turn, e *Enquiry) bool {
	return len(e.Cars) > 0 && (e.Car == nil || e.answer(askWhich) != "")
}

func putWhich(t *turn, e *Enquiry) prompt {
	p := sentence(wording.AskWhichCar)(t, e)
	for i, v := range e.Cars {
		typed := []string{v.Name, string(v.Body)}
		for _, s := range shapes {
			if s.body == v.Body && s.key != "small" {
				typed = append(typed, t.typed(s.label)...)
			}
		}
		p.options = append(p.options, option{key: string(rune('a' + i)), label: v.Name, typed: typed, own: true})
	}
	other := t.choose(choiceOther, wording.LabelOtherCar)
	other.own = true
	p.options = append(p.options, other)
	return p
}

func tookWhich(t *turn, e *Enquiry) string {
	a := e.answer(askWhich)
	if len(a) != 1 || int(a[0]-'a') >= len(e.Cars) {
		return "" // another car: its body style is asked next
	}
	v := e.Cars[a[0]-'a']
	e.Car = &v
	return t.understood([]string{v.Name})
}

func undoCar(_ *turn, e *Enquiry) { e.Car = nil }

func carUnknown(_ *turn, e *Enquiry) bool { return e.Car == nil || e.answer(askBody) != "" }

// shapes are the body styles a customer can choose from, with a length in
// millimetres typical of each (from memory; the range of the guide price is
// wider than what a wrong guess here would move).
var shapes = []struct {
	key    string
	label  wording.Key
	body   pricing.Body
	length int
}{
	{"small", wording.LabelSmallHatch, pricing.Hatchback, 3850},
	{"hatch", wording.LabelHatch, pricing.Hatchback, 4300},
	{"saloon", wording.LabelSaloon, pricing.Saloon, 4700},
	{"estate", wording.LabelEstate, pricing.Estate, 4650},
	{"suv", wording.LabelSUV, pricing.SUV, 4500},
	{"mpv", wording.LabelMPV, pricing.MPV, 4650},
	{"coupe", wording.LabelCoupe, pricing.Coupe, 4400},
	{"soft", wording.LabelConvertible, pricing.Convertible, 4200},
	{"van", wording.LabelVan, pricing.Van, 5000},
}

func putBody(t *turn, e *Enquiry) prompt {
	f := wording.Facts{}
	if m := t.Rules.MatchVehicle(e.answer(askVehicle)); m.Rest == "" {
		f.Car = e.answer(askVehicle) // a make we know, and no more was said
	}
	p := prompt{text: t.word(wording.AskBody, f)}
	for _, s := range shapes {
		p.options = append(p.options, t.choose(s.key, s.label))
	}
	unsure := t.choose(choiceUnsure, wording.LabelNotSure)
	unsure.own = true
	p.options = append(p.options, unsure)
	return p
}

// asideBody says how a shape is told, once: everything is priced by it. Who still cannot
// tell is not asked for ever, see tookBody.
func asideBody(t *turn, e *Enquiry, choice string) (string, bool) {
	if choice != choiceUnsure || e.Helped == askBody {
		return "", false
	}
	e.Helped = askBody
	return t.word(wording.BodyHelp, wording.Facts{}), true
}

// usualShape is the shape gone by for somebody who cannot tell theirs.
const usualShape = "hatch"

func tookBody(t *turn, e *Enquiry) string {
	key := e.answer(askBody)
	if key == choiceUnsure {
		key = usualShape
		e.Unsure = append(e.Unsure, askBody)
		t.beside = t.word(wording.ForNowShape, wording.Facts{})
	}
	for _, s := range shapes {
		if s.key == key {
			v := pricing.VehicleFromBody(s.body, s.length)
			v.Name = unarticled(e.answer(askVehicle))
			e.Car = &v
		}
	}
	return ""
}

// unarticled is a car as somebody calls it, without the word that would stand in
// the way of "your": "the little fiat" is "your little fiat".
func unarticled(name string) string {
	for _, article := range []string{"the ", "my ", "our ", "a ", "an ", "it's a ", "its a ", "it's an ", "its an ", "it's the ", "its the ", "it is a ", "it is an "} {
		if len(name) > len(article) && strings.EqualFold(name[:len(article)], article) {
			return name[len(article):]
		}
	}
	return name
}
