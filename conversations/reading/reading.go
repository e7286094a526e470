// Package reading reads the first message somebody writes in their own words:
// which car, what is wanted and what is not, what was seen, what may be spent,
// where, when. It is pure, offline and deterministic: the same text and the same
// phrases give the same [Reading].
//
// What is uncertain is left empty rather than assumed; a question asked once too
// often costs a tap, a wrong assumption a wrong price. The phrases stand in a
// file ([Default] is British English) to which an owner may add what his own
// customers say.
package reading

import (
	"slices"
	"strings"

	"example.org/dryhand/pricing"
)

// Span is a part of the text read, in bytes: text[From:To].
type Span struct{ From, To int }

// Vehicle is one car named in the text. With neither Car nor Ambiguous it is a
// car by its make or name, but none whose size is known.
type Vehicle struct {
	Span Span
	// Car is the car, if it can be only one; Ambiguous are the cars it can be
	// otherwise.
	Car       *pricing.Vehicle
	Ambiguous []pricing.Vehicle
}

// Hint is something seen on the car.
type Hint struct {
	// Area is a [pricing.Area], or "car" for the whole of it.
	Area string
	// Evidence is the name of an entry under "hints" in the phrases file, such
	// as "dog-hair".
	Evidence string
	// Placed tells that it was said where on the car.
	Placed bool
	Span   Span
}

// Told is an area of which something tells that there is something to it, and where.
type Told struct {
	Area pricing.Area
	Span Span
}

// Limit says how a figure is meant.
type Limit string

// How a figure is meant: give or take, not more, not less.
const (
	About Limit = "about"
	Most  Limit = "most"
	Least Limit = "least"
)

// Budget is what somebody says they would spend. No Kind: nothing was said.
type Budget struct {
	Amount pricing.Pence
	Kind   Limit
	Span   Span
}

// Answer is yes, no, or nothing said.
type Answer string

// The two answers; the empty one is nothing said.
const (
	Yes Answer = "yes"
	No  Answer = "no"
)

// Place is what was said of where the work is to happen. Each field is empty
// where nothing was said.
type Place struct {
	// Whose is "unit" if the car is brought, "customer" if we are to come.
	Whose string
	// Postcode is the outward part of a postcode in capitals, such as "BS7".
	Postcode    string
	Tap, Socket Answer
	// Surface is "driveway", "garage", "shared" or "street".
	Surface string
}

// Reading is what was understood of a text. The zero value is nothing.
type Reading struct {
	// Vehicles are the cars named, in the order of the text, each once.
	Vehicles []Vehicle
	// Body is the name of an entry under "bodies" in the phrases file, if one
	// was named apart from a car; Shape is the body style it is reckoned as.
	Body  string
	Shape pricing.Body
	// Year is the model year as four digits, Plate the two digits of a
	// registration that tell its age; 0 is not said.
	Year, Plate int
	// Wants and Excludes are names under "wants" in the phrases file, in the
	// order of that file. No name is in both.
	Wants, Excludes []string
	// Tasks are single pieces of work asked for by name, by their ids in the rules
	// file, Spared those that are to be left out. ByTask are those of Wants of which
	// nothing was said but in naming such a piece: to "reproof the roof" says nothing
	// about the paint.
	Tasks, Spared, ByTask []string
	// Named are tasks of the rules file that are spoken of by name among what is asked
	// for, though by that name more than the one piece is mostly meant: "a wash and
	// hoover" asks for both sides of the car, and for these before all.
	Named []string
	Hints []Hint
	// Denied is what is said not to be there, or to be left: "no tar". No Area is named.
	Denied []Hint
	// Grades are the answers that the hints clearly give to questions of the
	// rules file.
	Grades map[pricing.Area]pricing.Grade
	// Tells are areas of which it is known that there is something to them, and not how
	// much: whoever carries two labradors has hair in the car.
	Tells []Told
	// Absent are areas of which it is said that there is nothing: "no pets, no stains".
	Absent []Told
	// PlayedDown are the words by which something spilt is said to have been little, or to
	// be gone already: "only a splash".
	PlayedDown []Span
	// Nearest are the descriptions that the hints come nearest to. They answer whoever is
	// asked about an area, and nobody else.
	Nearest map[pricing.Area]pricing.Grade
	// Flags are circumstances of the rules file, such as "needles".
	Flags  []string
	Budget Budget
	Place  Place
	// When are the words that name the time wanted, in the order of the text; what
	// they mean is not read here.
	When []Span
	// Asks are names under "asks" in the phrases file, in the order of the
	// alphabet: "human", "price", "stop" ….
	Asks []string
	// Cars is how many cars are meant, 0 if no more than one was spoken of; Together
	// that the budget is for all of them.
	Cars     int
	Together bool
	// Amends tells that the text is put as a change of what was said before:
	// "as well", "without"; Instead that it takes the place of that, and Corrects that
	// what was said before was not right: "actually", "I meant".
	Amends, Instead, Corrects bool
}

// Vehicle is the first car named, nil if none was.
func (r *Reading) Vehicle() *Vehicle {
	if len(r.Vehicles) == 0 {
		return nil
	}
	return &r.Vehicles[0]
}

// Reader reads texts. It does not change and may be used from many goroutines.
type Reader struct {
	rules *pricing.Rules
	book  book
	dict  dictionary
}

// Spelled is a text in small letters without marks, with each word as it is spelled when
// it is not thumbed in a hurry: "nah, ur place" is "no your place".
func (r *Reader) Spelled(text string) string {
	var out []string
	for _, t := range tokens(text, longest) {
		out = append(out, r.dict.spell(t.key))
	}
	return strings.Join(out, " ")
}

// Whole is what is left to be said back of words that stood in a sentence, without what
// only led on to the next: "sick all" over something is "sick". The first word stays.
func (r *Reader) Whole(words string) string {
	f := strings.Fields(words)
	for len(f) > 1 && slices.Contains(r.book.Onward, f[len(f)-1]) {
		if r.dict.has(aHint, f) && !r.dict.has(aHint, f[:len(f)-1]) {
			break // "threw up" is not "threw"
		}
		f = f[:len(f)-1]
	}
	return strings.Join(f, " ")
}

// longest bounds the work on one text, in words; nobody says more in a first
// message, and what they would is asked anyway.
const longest = 400

// Read reads a text. Words beyond the first 400 are not looked at.
func (r *Reader) Read(text string) Reading {
	p := r.prepare(text)
	var out Reading
	p.vehicles(&out)
	p.body(&out)
	p.age(&out)
	p.place(&out)
	p.money(&out)
	p.when(&out)
	p.seen = p.found()
	p.work(&out)
	p.hints(&out)
	p.asks(&out)
	p.cars(&out)
	out.Instead = len(p.of(instead)) > 0
	out.Corrects = len(p.of(corrects)) > 0
	out.Amends = out.Instead || out.Corrects || len(p.of(amends)) > 0
	return out
}

// NamesPart tells whether a word by itself names a part of a car or where on it something is:
// "wheels", "boot".
func (r *Reader) NamesPart(word string) bool {
	return slices.ContainsFunc(r.dict.first[word], func(e entry) bool {
		return len(e.words) == 1 && slices.Contains([]kind{aSpot, aPart, aBit}, e.kind)
	})
}
