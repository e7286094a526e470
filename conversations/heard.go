package conversations

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// askHeard stands in the trail for everything that was understood of one text
// beyond the question it answered. Its answer lists the questions, so that one
// step back takes all of it back; of several texts each begins with heardNext.
const askHeard = "heard"

// What stands in the list of what was heard beside the names of questions.
const (
	heardNext  = "-"     // here begins what the next text said
	heardTimes = "times" // when it suits
	heardFlag  = "flag:" // and a flag of the rules
	heardMind  = "mind:" // and an area they seem to mind
)

// hear takes from a text in own words what answers questions that are still
// open, and returns it in words, to be said back. What is uncertain is left to be
// asked.
func (t *turn) hear(e *Enquiry, text string) []string {
	if t.Reader == nil || text == "" {
		return nil
	}
	return t.hearWhat(e, text, t.heardIn(text))
}

// hearWhat is hear of what has been read already.
func (t *turn) hearWhat(e *Enquiry, text string, r reading.Reading) []string {
	h := &heard{turn: t, e: e, text: text, r: r}
	h.vehicle()
	h.wants()
	h.condition()
	h.money()
	h.place()
	h.when()
	if len(h.filled) > 0 {
		if before := e.Answers[askHeard]; len(before) > 0 {
			h.filled = append([]string{heardNext}, h.filled...)
		}
		e.Answers[askHeard] = append(e.Answers[askHeard], h.filled...)
		e.Trail = append(e.Trail, askHeard)
		e.Rev++
	}
	return h.said
}

// heardIn is what a text says; one text is mostly looked at more than once in a turn.
func (t *turn) heardIn(text string) reading.Reading {
	if t.reading == nil || t.reading.text != text {
		read := t.Reader.Read
		if tag := t.languageOf(t.event.Chat); tag != "" {
			read = func(text string) reading.Reading { return t.Reader.ReadIn(t.glossOf(tag), text) }
		}
		t.reading = &textRead{text, read(text)}
	}
	return t.reading.Reading
}

// glossOf is what is known of a language that customers write, nil if nothing is.
func (t *turn) glossOf(tag string) *reading.Gloss {
	for _, l := range t.Languages {
		if l.Words.Language() == tag {
			return l.Gloss
		}
	}
	return nil
}

// asRead is a text of whoever writes in the words the readers know.
func (t *turn) asRead(text string) string {
	tag := t.languageOf(t.event.Chat)
	if g := t.glossOf(tag); tag != "" && g != nil {
		return g.English(text)
	}
	return text
}

// textRead is a text, and what it says.
type textRead struct {
	text string
	reading.Reading
}

// hearRest takes what else stands in the words that answered a question: "outside,
// and I'd bring it to you". Only what is new is said back. Once the price is named
// there is nothing left that could be filled by the way.
func (t *turn) hearRest(e *Enquiry, q *question, text string) string {
	if _, named := e.Answers[askQuote]; named || q.id == askQuote || q.id == askVehicle || q.id == askHazards {
		return ""
	}
	rev := e.Rev
	said := t.hear(e, text)
	if e.Rev == rev {
		return ""
	}
	return t.understood(said)
}

// heard is one text being taken in.
type heard struct {
	*turn
	e    *Enquiry
	text string
	r    reading.Reading
	// filled are the questions answered by it, said how we put it back.
	filled, said []string
}

// fill answers a question that is still open, and reports whether it was.
func (h *heard) fill(question string, answer ...string) bool {
	if _, answered := h.e.Answers[question]; answered || len(answer) == 0 {
		return false
	}
	h.e.Answers[question] = answer
	h.filled = append(h.filled, question)
	return true
}

func (h *heard) tell(words string) { h.said = append(h.said, words) }

func (h *heard) words(s reading.Span) string { return h.text[s.From:s.To] }

func (h *heard) vehicle() {
	v := h.r.Vehicle()
	switch {
	case v != nil && h.fill(askVehicle, h.words(v.Span)):
		h.e.Car, h.e.Cars = v.Car, v.Ambiguous
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
// and no more: "a state inside, how much?" Of a thing that can only be in one place, as
// a dog's hair, it has to be asked with it what that costs.
func (h *heard) complainedOf() (wants []string) {
	if len(h.r.Excludes) > 0 {
		return nil
	}
	priced := slices.Contains(h.r.Asks, "price")
	for _, s := range h.r.Hints {
		want := s.Area
		switch pricing.Area(s.Area) {
		case pricing.Paintwork:
			want = "exterior"
		case pricing.Interior, pricing.Wheels, pricing.Headlights, pricing.SoftTop:
		default:
			return nil // all of the car, or something too small to be all that is meant
		}
		if s.Evidence == "clean-enough" || !s.Placed && !priced {
			return nil
		}
		if !slices.Contains(wants, want) {
			wants = append(wants, want)
		}
	}
	return wants
}

// condition takes what was seen on the car. In the customer's own words it goes
// back to them; what it says of a grade answers that question.
func (h *heard) condition() {
	for _, a := range h.Rules.Areas() {
		if g, ok := h.r.Grades[a.ID]; ok && g > 0 {
			if h.fill(askCond+string(a.ID), strconv.Itoa(int(g))) && g >= pricing.Poor && !slices.Contains(h.e.Minds, a.ID) {
				h.e.Minds = append(h.e.Minds, a.ID)
				h.filled = append(h.filled, heardMind+string(a.ID))
			}
		}
	}
	seen := map[string]bool{}
	for _, span := range joined(h.r.Hints) {
		if w := h.Reader.Whole(strings.ToLower(h.words(span))); !seen[w] {
			seen[w] = true
			h.tell(w)
		}
	}
	for _, f := range h.r.Flags {
		if _, known := h.Rules.Flag(f); known && !slices.Contains(h.e.Told, f) {
			h.e.Told = append(h.e.Told, f)
			h.filled = append(h.filled, heardFlag+f)
		}
	}
}

// joined are the places of hints in the text, in its order; what stands side by side
// is said back in one: "smells of" and "smoke".
func joined(hints []reading.Hint) (out []reading.Span) {
	var all []reading.Span
	for _, h := range hints {
		all = append(all, h.Span)
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

func (h *heard) money() {
	b := h.r.Budget
	if b.Kind != reading.About && b.Kind != reading.Most || h.r.Cars > 1 && h.r.Together {
		return // nobody said how much of it is for this car
	}
	pounds := strconv.Itoa(int(b.Amount / 100))
	if isFigure(pounds) && h.fill(askBudget, pounds) {
		h.tell(h.word(wording.SaidBudget, wording.Facts{Budget: h.pounds(int64(b.Amount))}))
	}
}

func (h *heard) place() {
	p := h.r.Place
	if point, ok := diary.Outward(p.Postcode); ok && p.Postcode != "" && h.e.Place == nil {
		h.locate(h.e, point)
		h.filled = append(h.filled, askMiles)
		h.tell(p.Postcode)
	}
	site := map[string]string{"unit": "own", "customer": "theirs"}[p.Whose]
	if site == "" && p.Tap != "" && p.Socket != "" {
		site = "theirs" // nobody tells of a tap and a socket who means to bring the car
	}
	if site != "" && h.fill(askSite, site) {
		h.tell(labels(sited(wording.AskSite, bringOrMine)(h.turn, h.e), []string{site})[0])
	}
	if h.e.answer(askSite) == "own" {
		return
	}
	// Whose place it is may still be asked: what is told of it is for when we come.
	if p.Surface != "" && h.fill(askSurface, p.Surface) {
		h.tell(labels(sited(wording.AskSurface, surfaces)(h.turn, h.e), []string{p.Surface})[0])
	}
	if p.Tap != "" && p.Socket != "" {
		said := map[[2]reading.Answer]string{
			{reading.Yes, reading.Yes}: "both", {reading.Yes, reading.No}: "tap",
			{reading.No, reading.Yes}: "socket", {reading.No, reading.No}: "neither",
		}[[2]reading.Answer{p.Tap, p.Socket}]
		if h.fill(askServices, said) {
			h.tell(labels(sited(wording.AskServices, services)(h.turn, h.e), []string{said})[0])
		}
	}
}

func (h *heard) when() {
	var phrases []string
	for _, s := range h.r.When {
		phrases = append(phrases, h.words(s))
	}
	if len(phrases) > 0 && h.suits(h.e, strings.Join(phrases, ", ")) {
		h.filled = append(h.filled, heardTimes)
		h.tell(strings.Join(phrases, ", "))
	}
}

// suits takes what somebody says of when it suits them, and reports whether it
// said anything. What was said before counts no more. From are the times "an hour
// later" may be told from.
func (t *turn) suits(e *Enquiry, text string, from ...time.Time) bool {
	as := t.asRead(text)
	if as != text && len(when.Read(text, t.saidAt()).Unread) == 0 {
		as = text // all of it is a time as it stands: a date, or words in the business's own language
	}
	return t.suitsRead(e, as, text, from...)
}

// suitsRead is suits of a text in the words that are read, and as it was said.
func (t *turn) suitsRead(e *Enquiry, text, said string, from ...time.Time) bool {
	m, _ := when.ReadFrom(text, t.saidAt(), from...)
	unclear := t.unclear(m)
	if text != said {
		for i := range unclear {
			unclear[i].Said = said
		}
	}
	if len(m.Prefer)+len(unclear) == 0 && m.Only.Any() {
		return false
	}
	e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), unclear
	return true
}

// bounds are those that a meaning sets, nil for none.
func bounds(m when.Meaning) *diary.Times {
	if m.Only.Any() {
		return nil
	}
	return &m.Only
}

// unhear takes back what was understood of the last text in own words.
func (t *turn) unhear(e *Enquiry) {
	all := e.Answers[askHeard]
	from := len(all)
	for from > 0 && all[from-1] != heardNext {
		from--
	}
	for _, h := range all[from:] {
		flag, isFlag := strings.CutPrefix(h, heardFlag)
		mind, isMind := strings.CutPrefix(h, heardMind)
		switch {
		case isFlag:
			e.Told = slices.DeleteFunc(e.Told, func(f string) bool { return f == flag })
		case isMind:
			e.Minds = slices.DeleteFunc(e.Minds, func(a pricing.Area) bool { return string(a) == mind })
		case h == heardTimes:
			e.Times, e.Only, e.Unclear = nil, nil, nil
		default:
			t.forget(e, h)
		}
	}
	if from > 0 {
		e.Answers[askHeard] = all[:from-1]
		return
	}
	// Documents of earlier releases list no more than the questions.
	delete(e.Answers, askHeard)
	e.Times, e.Only, e.Unclear, e.Told, e.Minds = nil, nil, nil, nil, nil
}

// forget takes one answer back with what followed from it.
func (t *turn) forget(e *Enquiry, question string) {
	t.retract(e, question)
	if q := t.find(question); q != nil && q.undo != nil {
		q.undo(t, e)
	}
}

// understood puts back in one line what was taken from a text.
func (t *turn) understood(said []string) string {
	if len(said) == 0 {
		return ""
	}
	said = slices.Clone(said)
	if r, n := utf8.DecodeRuneInString(said[0]); len(said) == 1 { // it begins the line
		said[0] = string(unicode.ToUpper(r)) + said[0][n:]
	}
	return t.word(wording.Understood, wording.Facts{Items: said})
}

// sentPlace takes a shared location: where the car stands.
func (t *turn) sentPlace(c *Chat, w bot.Place) {
	e := t.current(c)
	if e == nil || e.Stage == Closed || e.Stage == Done {
		t.greet(c, "")
		e = t.current(c)
	}
	if !e.open() {
		t.lead(c, t.word(wording.NotReadable, wording.Facts{}))
		return
	}
	asked := e.At
	if _, answered := e.Answers[askSite]; !answered {
		e.Answers[askSite] = []string{"theirs"}
		e.Trail = append(e.Trail, askSite)
	}
	miles := t.locate(e, diary.Point{Lat: w.Lat, Lon: w.Lon})
	if !slices.Contains(e.Trail, askMiles) {
		e.Trail = append(e.Trail, askMiles)
	}
	e.Rev++
	if asked == askSite || asked == askMiles {
		e.At = ""
	}
	t.put(e, t.word(wording.PlaceSeen, wording.Facts{Count: miles}))
}

// farthest is how far away anybody can be, in miles; what is beyond counts as that.
const farthest = 500

// locate remembers where the car stands and answers how far that is, in miles by
// road.
func (t *turn) locate(e *Enquiry, at diary.Point) (miles int) {
	const kmPerMile = 1.609344
	e.Place = &Place{Lat: at.Lat, Lon: at.Lon, Within: at.Within}
	km := math.Hypot(diary.Distance(t.base(), at), at.Within)
	// From the far side of the earth a price would be no use, and is refused.
	miles = min(farthest, int(math.Ceil(km*t.Rules.Diary.RoadFactor/kmPerMile)))
	e.Answers[askMiles] = []string{strconv.Itoa(miles)}
	return miles
}

// readMiles takes a postcode, or its first half, or a number of miles.
func readMiles(t *turn, e *Enquiry, text string) ([]string, bool) {
	if at, ok := diary.Outward(strings.ToUpper(text)); ok {
		t.locate(e, at)
		return e.Answers[askMiles], true
	}
	fields := strings.Fields(wording.Plain(text))
	if len(fields) == 0 {
		return nil, false
	}
	n, err := strconv.Atoi(fields[0])
	if err != nil || n < 0 || n > farthest {
		return nil, false
	}
	return []string{strconv.Itoa(n)}, true
}

func undoMiles(_ *turn, e *Enquiry) { e.Place = nil }

// formWants are what can be wanted, by the names pricing knows.
var formWants = []string{
	"exterior", "interior", string(pricing.SoftTop), string(pricing.Headlights), "protection",
	string(pricing.Paintwork), string(pricing.Wheels), string(pricing.Glass), string(pricing.Trim), string(pricing.EngineBay), "polish",
}
