package conversations

import (
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What a text in own words says of the car: which it is, what is to be done with it and
// what was seen on it.

func (h *heard) vehicle() {
	v := h.r.Vehicle()
	switch {
	case v != nil && h.fill(askVehicle, h.words(v.Span)):
		h.e.Car, h.e.Cars = v.Car, v.Ambiguous
		if had := h.hadBefore(v.Ambiguous); had != nil {
			h.e.Car, h.e.Cars = had, nil
		}
	case v == nil && h.r.Shape != "" && h.fill(askVehicle, h.bodyName()):
		// A body style alone is no car, but it is what we would have asked for.
	default:
		return
	}
	if h.e.Car == nil && len(h.e.Cars) == 0 && h.r.Shape != "" {
		for _, s := range shapes {
			if s.body == h.r.Shape && h.fill(askBody, s.key) {
				tookBody(h.turn, h.e)
				break
			}
		}
	}
	if h.e.Car != nil {
		h.tell(h.e.Car.Name)
	}
	if h.r.Cars > 1 {
		h.tell(h.word(wording.SaidCars, wording.Facts{Count: h.r.Cars}))
	}
}

// hadBefore is the one of some cars that was here before, nil if none was or several were:
// the golf of somebody whose Golf estate we had is that.
func (h *heard) hadBefore(cars []pricing.Vehicle) (had *pricing.Vehicle) {
	for _, e := range h.jobs(h.chat(h.e.Chat)) {
		switch {
		case e.Car == nil || !slices.Contains(cars, *e.Car):
		case had != nil && *had != *e.Car:
			return nil
		default:
			had = e.Car
		}
	}
	return had
}

// bodyName is what a car is called of which only the body style was named.
func (h *heard) bodyName() string {
	if h.languageOf(h.event.Chat) != "" {
		for _, s := range shapes {
			if s.body == h.r.Shape {
				return strings.ToLower(h.Words.Label(s.label))
			}
		}
	}
	return h.r.Body
}

func (h *heard) wants() {
	wants := h.asksFor(h.r)
	if side := h.leftOver(); len(wants) == 0 && side != "" {
		wants = []string{side}
	}
	if len(wants) == 0 {
		wants = h.complainedOf()
	}
	// A roof that is said to be green is meant as well: "roof has gone green, wash too".
	if top := string(pricing.SoftTop); len(wants) > 0 && h.r.Grades[pricing.SoftTop] >= pricing.Poor && !slices.Contains(wants, top) && !slices.Contains(h.r.Excludes, top) {
		wants = append(wants, top)
	}
	if len(wants) == 0 || !h.fill(askWants, wants...) {
		return
	}
	h.tell(strings.Join(labels(putWants(h.turn, h.e), wants), ", "))
}

// leftOver is the side of the car that is meant by "not the outside", if something
// was seen on it; empty if that is not clear.
func (h *heard) leftOver() string {
	for side, other := range map[string]string{"interior": "exterior", "exterior": "interior"} {
		in := map[string]string{"interior": string(pricing.Interior), "exterior": string(pricing.Paintwork)}[side]
		if slices.Contains(h.r.Excludes, other) && !slices.Contains(h.r.Excludes, side) &&
			slices.ContainsFunc(h.r.Hints, func(s reading.Hint) bool { return s.Area == in }) {
			return side
		}
	}
	return ""
}

// complainedOf are the sides of the car that are meant by whoever says where it is bad
// and no more: "a state inside, how much?", "milk over the back seat, it stinks". Of a thing
// that can only be in one place, as a dog's hair, it has to be asked with it what that costs,
// or be said of another side where it is bad: "hair everywhere and the outside is filthy".
func (h *heard) complainedOf() (wants []string) {
	if len(h.r.Excludes) > 0 {
		return nil
	}
	priced := slices.Contains(h.r.Asks, "price")
	placed := map[string]bool{}
	whole := false
	for _, s := range h.r.Hints {
		want := s.Area
		switch pricing.Area(s.Area) {
		case "car":
			whole = true
			continue
		case pricing.Paintwork:
			want = "exterior"
		case pricing.Interior, pricing.Wheels, pricing.Headlights, pricing.SoftTop:
		default:
			return nil // something too small to be all that is meant
		}
		if s.Evidence == "clean-enough" {
			return nil
		}
		placed[want] = placed[want] || s.Placed || priced
		if !slices.Contains(wants, want) {
			wants = append(wants, want)
		}
	}
	if placed[string(pricing.SoftTop)] { // what lies about the car, lime trees, is why its roof is green
		wants = slices.DeleteFunc(wants, func(w string) bool { return !placed[w] })
	}
	named := slices.ContainsFunc(wants, func(w string) bool { return placed[w] })
	if !named || whole && !(placed["exterior"] && placed["interior"]) { // of all of the car it is not said what is meant
		return nil
	}
	return wants
}

// condition takes what was seen on the car. In the customer's own words it goes
// back to them; what it says of a grade answers that question.
func (h *heard) condition() {
	for _, a := range h.Rules.Areas() {
		if g, ok := h.r.Grades[a.ID]; ok && g > 0 && !h.inTheSick(a.ID) {
			if h.fill(askCond+string(a.ID), strconv.Itoa(int(g))) && g >= pricing.Poor && !slices.Contains(h.e.Minds, a.ID) {
				h.e.Minds = append(h.e.Minds, a.ID)
				h.filled = append(h.filled, heardMind+string(a.ID))
			}
		}
	}
	// How much hair there is has been said: that there are dogs tells no more.
	told := slices.DeleteFunc(slices.Clone(h.r.Tells), func(s reading.Told) bool { return h.e.answer(askCond+string(s.Area)) != "" })
	h.ownState()
	seen := map[string]bool{}
	for _, span := range joined(h.r.Hints, told) {
		if h.wasSick(span) {
			continue
		}
		if w := h.onItsSide(span, h.Reader.Whole(strings.ToLower(h.words(span)))); !seen[w] {
			seen[w] = true
			h.tell(h.asYours(w))
		}
	}
	for _, s := range h.r.Absent {
		if w := strings.ToLower(h.words(s.Span)); !seen[w] {
			seen[w] = true
			h.tell(h.asYours(w))
		}
	}
	for _, s := range told {
		if _, known := h.Rules.Area(s.Area); known && !slices.Contains(h.e.Tells, s.Area) {
			h.e.Tells = append(h.e.Tells, s.Area)
			h.filled = append(h.filled, heardTells+string(s.Area))
		}
	}
	for _, f := range h.r.Flags {
		if _, known := h.Rules.Flag(f); known && !slices.Contains(h.e.Told, f) {
			h.e.Told = append(h.e.Told, f)
			h.sick = h.sick || slices.ContainsFunc(h.r.Hints, func(s reading.Hint) bool { return s.Evidence == "sick" })
			h.sorry = h.sorry || slices.ContainsFunc(h.r.Hints, func(s reading.Hint) bool { return s.Evidence == "sick" || s.Evidence == "blood" })
			h.filled = append(h.filled, heardFlag+f)
		}
	}
}

// inTheSick tells whether a grade of the inside rests on what somebody was sick with, "just
// milk and cereal", which tells nothing of crumbs.
func (h *heard) inTheSick(a pricing.Area) bool {
	sick := slices.Contains(h.e.Told, bodyFluids) || slices.Contains(h.r.Flags, bodyFluids)
	return a == pricing.Interior && sick && h.r.Grades[a] < pricing.Poor && slices.ContainsFunc(h.r.Hints, func(s reading.Hint) bool { return s.Evidence == "crumbs" })
}

// bodyFluids is the flag of the rules for them.
const bodyFluids = "body-fluids"

// wasSick tells whether some words are of somebody who was sick, told for the first time:
// that is no item of a list, a kind word names it.
func (h *heard) wasSick(span reading.Span) bool {
	in := slices.DeleteFunc(slices.Clone(h.r.Hints), func(s reading.Hint) bool { return s.Span.From < span.From || s.Span.To > span.To })
	return len(h.said) > 0 && h.newly(bodyFluids) && len(in) > 0 && !slices.ContainsFunc(in, func(s reading.Hint) bool { return s.Evidence != "sick" })
}

// newly tells whether a text raises a flag that was not known before.
func (h *heard) newly(flag string) bool {
	_, known := h.Rules.Flag(flag)
	return known && slices.Contains(h.r.Flags, flag) && !slices.Contains(h.e.Told, flag)
}

// onItsSide puts to what was seen the side of the car it was seen on, where it could be
// the other just as well: "filthy outside, not too bad inside" must not come back as
// "filthy; not too bad".
func (h *heard) onItsSide(span reading.Span, words string) string {
	sides := map[pricing.Area]wording.Key{pricing.Paintwork: wording.LabelOutside, pricing.Interior: wording.LabelInside}
	where := wording.Key("")
	for _, s := range h.r.Hints {
		if s.Span.From < span.From || s.Span.To > span.To {
			continue
		}
		side := sides[pricing.Area(s.Area)]
		if side == "" || !s.Placed || !h.Reader.Anywhere(s.Evidence) || where != "" && where != side {
			return words
		}
		where = side
	}
	if where == "" {
		return words
	}
	return h.word(wording.SaidThere, wording.Facts{Text: words, Inside: where == wording.LabelInside})
}

// ownState keeps what they tell of the state of the car as they told it, for the owner to
// read: a grade says less than "a coffee stain".
func (h *heard) ownState() {
	kept := opening(h.text, leastState)
	if len(h.r.Hints)+len(h.r.Tells) == 0 || kept == "" || kept == h.e.First || isGuest(h.e.Chat) || len(h.e.Noted) >= mostNoted {
		return
	}
	if !slices.ContainsFunc(h.e.Noted, func(n string) bool { return strings.Contains(n, kept) }) {
		h.e.Noted = append(h.e.Noted, kept)
	}
}

// less takes a word that makes less of what was spilt, "it was only a splash and I wiped
// it up", where we know of it from before: it counts a grade less. The owner reads it too.
func (h *heard) less() {
	q := askCond + string(pricing.Stains)
	was, _ := strconv.Atoi(h.e.answer(q))
	if len(h.r.PlayedDown) == 0 || h.r.Grades[pricing.Stains] > 0 || pricing.Grade(was) != pricing.Poor || h.e.At == askConfirm {
		return
	}
	h.revise(h.e, q)
	h.e.Answers[q] = []string{strconv.Itoa(was - 1)}
	h.filled = append(h.filled, heardLess+string(pricing.Stains))
	h.notes(h.e, h.text)
	for _, s := range h.r.PlayedDown {
		h.tell(h.asYours(h.words(s)))
	}
}

// named takes what was spoken of by name: pieces of the work asked for, and what is only
// looked for where somebody tells of it, such as a dog's hair.
// Once the price is agreed to it is too late for that.
func (h *heard) named() {
	if _, priced := h.e.Answers[askQuote]; priced {
		return
	}
	names := slices.DeleteFunc(slices.Clone(h.r.Named), func(id string) bool {
		_, ok := h.Rules.Task(id)
		return !ok
	})
	for _, a := range h.Rules.Areas() {
		if a.OnlyIfTold && h.r.Grades[a.ID] > pricing.Light {
			names = append(names, string(a.ID))
		}
	}
	for _, n := range names {
		if !slices.Contains(h.e.Named, n) {
			h.e.Named = append(h.e.Named, n)
			if len(h.filled) > 0 { // alone it is nothing that anybody would want to take back
				h.filled = append(h.filled, heardName+n)
			}
		}
	}
}

// joined are the places of hints in the text, in its order; what stands side by side
// is said back in one: "smells of" and "smoke".
func joined(hints []reading.Hint, told []reading.Told) (out []reading.Span) {
	var all []reading.Span
	for _, h := range hints {
		all = append(all, h.Span)
	}
	for _, s := range told {
		all = append(all, s.Span)
	}
	slices.SortFunc(all, func(a, b reading.Span) int { return a.From - b.From })
	for _, s := range all {
		if n := len(out); n > 0 && s.From <= out[n-1].To+1 {
			out[n-1].To = max(out[n-1].To, s.To)
		} else {
			out = append(out, s)
		}
	}
	return out
}
