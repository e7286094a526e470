package conversations

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

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
	heardNext   = "-"       // here begins what the next text said
	heardTimes  = "times"   // when it suits
	heardFlag   = "flag:"   // and a flag of the rules
	heardMind   = "mind:"   // and an area they seem to mind
	heardLess   = "less:"   // and an area of which they said that it is less than it was
	heardSaid   = "said:"   // and how we put all of it back to them
	heardName   = "name:"   // and a task or an area they named
	heardSpared = "spared:" // and a task they want left out
	heardTells  = "tells:"  // and an area of which they told that there is something to it
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
	h.cab()
	h.wants()
	h.spares()
	h.condition()
	h.less()
	h.money()
	h.place()
	h.address()
	h.when()
	h.named()
	h.keep()
	return h.said
}

// keep remembers what was filled, so that one step back takes it back.
func (h *heard) keep() {
	if len(h.filled) == 0 {
		return
	}
	if len(h.said) > 0 {
		h.filled = append(h.filled, heardSaid+strings.Join(h.said, "; "))
	}
	if before := h.e.Answers[askHeard]; len(before) > 0 {
		h.filled = append([]string{heardNext}, h.filled...)
	}
	h.e.Answers[askHeard] = append(h.e.Answers[askHeard], h.filled...)
	h.e.Trail = append(h.e.Trail, askHeard)
	h.e.Rev++
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
	if q.id == askQuote && text != "" && t.Reader != nil {
		h := &heard{turn: t, e: e, text: text, r: t.heardIn(text)}
		h.when() // "yes please, could it be Thursday?"
		h.keep()
		return t.understood(h.said)
	}
	if _, named := e.Answers[askQuote]; named || q.id == askVehicle || q.id == askHazards {
		return ""
	}
	const only = 4 // words
	if q.id == askMiles && len(strings.Fields(text)) <= only {
		return "" // "roughly 30" is no money
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

func (h *heard) money() {
	b := h.r.Budget
	if b.Kind != reading.About && b.Kind != reading.Most || h.r.Cars > 1 && h.r.Together {
		return // nobody said how much of it is for this car
	}
	if isCarNumber(h.r, h.text, b.Amount) {
		return
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
		if n, ok := milesSaid(h.asRead(h.text)); ok {
			h.beside = joinLines(h.beside, h.milesDiffer(h.e, n))
		}
	}
	inTown := func() bool { return slices.ContainsFunc(sentences(h.text), h.inOurTown) }
	if h.e.answer(askSite) != "own" && h.e.answer(askMiles) == "" && inTown() && h.fill(askMiles, distances[0].key) {
		h.tell(h.Rules.Business.Town)
	}
	if n, ok := milesSaid(h.asRead(h.text)); ok && h.e.Place == nil && (h.e.answer(askSite) == "theirs" || h.e.answer(askSite) == "" && h.speaksOf(wording.Plain(h.text), wording.SayFromYou)) && h.fill(askMiles, n) {
		h.tell(h.word(wording.SaidMiles, wording.Facts{Text: n}))
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
		if isAge(h.words(s)) {
			continue
		}
		phrases = append(phrases, h.dueBy(s)+h.words(s))
	}
	phrases = slices.DeleteFunc(slices.Clone(phrases), func(p string) bool { // "is it Friday? I need it by Friday"
		return slices.ContainsFunc(phrases, func(o string) bool {
			return len(o) > len(p) && strings.HasSuffix(strings.ToLower(o), " "+strings.ToLower(p))
		})
	})
	phrases = h.ahead(phrases)
	if len(phrases) == 0 || !h.suits(h.e, strings.Join(phrases, ", ")) {
		return
	}
	h.filled = append(h.filled, heardTimes)
	for _, p := range phrases {
		m := when.Read(h.asRead(p), h.saidAt())
		if len(m.Prefer) == 0 && !m.Only.To.IsZero() && m.Only.From.IsZero() && h.e.Needed == lastDay(m.Only.To.In(h.Zone)) {
			if h.e.Ahead != "" {
				h.tell(h.word(wording.SaidBefore, wording.Facts{When: h.aheadWords(h.e)}))
				continue
			}
			h.tell(h.word(wording.SaidNeeded, wording.Facts{Until: h.neededWords(h.e)}))
			continue
		}
		h.tell(h.asYours(p))
	}
}

// asYours is what they wrote as we say it back: before your niece's wedding.
func (t *turn) asYours(text string) string {
	words := strings.Split(text, " ")
	for i, w := range words {
		if slices.Contains(t.typed(wording.SayMine), wording.Plain(w)) {
			words[i] = t.word(wording.YourOwn, wording.Facts{})
		}
	}
	return strings.Join(words, " ")
}

// ahead are some phrases about times, with the day before which it is to be in place of that
// day, where the text says so elsewhere: "we fly on the 24th, so before that".
func (h *heard) ahead(phrases []string) []string {
	if h.languageOf(h.event.Chat) != "" {
		return phrases
	}
	m := when.Read(h.text, h.saidAt())
	day := m.Ahead
	if !m.Then || day.IsZero() || !when.Read(strings.Join(phrases, ", "), h.saidAt()).Ahead.IsZero() {
		return phrases
	}
	date := diary.Key(day, h.Zone)
	phrases = slices.DeleteFunc(slices.Clone(phrases), func(p string) bool {
		return slices.ContainsFunc(when.Read(p, h.saidAt()).Prefer, func(w diary.Times) bool {
			return len(w.Weekdays)+len(w.On) > 0 && w.HasDay(day.Weekday(), date)
		})
	})
	return append(phrases, "before "+day.Format("2 January"))
}

// isAge tells whether a time begins with a number that no date has: who is "70 in May" has
// a birthday then.
func isAge(words string) bool {
	first, rest, _ := strings.Cut(words, " ")
	n, err := strconv.Atoi(first)
	return err == nil && n > 31 && n < 120 && strings.HasPrefix(rest, "in ")
}

// dueBy is "before " if a time is that at which somebody parts with the car, "handing it
// back on the 26th", and what they say is read as it stands.
func (h *heard) dueBy(s reading.Span) string {
	if h.languageOf(h.event.Chat) != "" {
		return ""
	}
	clause := h.text[:s.From]
	clause = clause[strings.LastIndexAny(clause, ".,;!?\n")+1:]
	words := strings.Fields(wording.Plain(clause))
	const most = 9 // words of the clause that may stand between
	if words = words[max(0, len(words)-most):]; !h.speaksOf(strings.Join(words, " "), wording.SayPartsWith) {
		return ""
	}
	return "before "
}

// unhear takes back what was understood of the last text in own words, and returns how
// it had been put back.
func (t *turn) unhear(e *Enquiry) (said string) {
	all := e.Answers[askHeard]
	from := len(all)
	for from > 0 && all[from-1] != heardNext {
		from--
	}
	for _, h := range all[from:] {
		kind, of, _ := strings.Cut(h, ":")
		switch kind + ":" {
		case heardFlag:
			e.Told = slices.DeleteFunc(e.Told, func(f string) bool { return f == of })
		case heardMind:
			e.Minds = slices.DeleteFunc(e.Minds, func(a pricing.Area) bool { return string(a) == of })
		case heardName:
			e.Named = slices.DeleteFunc(e.Named, func(n string) bool { return n == of })
		case heardSpared:
			e.Spared = slices.DeleteFunc(e.Spared, func(id string) bool { return id == of })
		case heardTells:
			e.Tells = slices.DeleteFunc(e.Tells, func(a pricing.Area) bool { return string(a) == of })
		case heardLess:
			if g := t.gradeOf(e, pricing.Area(of)); g > 0 {
				t.revise(e, askCond+of)
				e.Answers[askCond+of] = []string{strconv.Itoa(int(g) + 1)}
			}
		case heardSaid:
			said = of
		case heardTimes + ":":
			e.Times, e.Only, e.Struck, e.Unclear, e.Needed, e.Ahead = nil, nil, nil, nil, "", ""
		default:
			t.forget(e, h)
		}
	}
	if from > 0 {
		e.Answers[askHeard] = all[:from-1]
		return said
	}
	// Documents of earlier releases list no more than the questions.
	delete(e.Answers, askHeard)
	e.Times, e.Only, e.Struck, e.Unclear, e.Needed, e.Ahead, e.Told, e.Minds, e.Tells = nil, nil, nil, nil, "", "", nil, nil, nil
	return said
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
	if sides := t.label(wording.LabelOutside) + ", " + t.label(wording.LabelInside); len(said) == 1 {
		said[0] = strings.Replace(said[0], sides, t.word(wording.InsideAndOut, wording.Facts{}), 1)
	}
	if r, n := utf8.DecodeRuneInString(said[0]); len(said) == 1 { // it begins the line
		said[0] = string(unicode.ToUpper(r)) + said[0][n:]
	}
	words := t.word(wording.Understood, wording.Facts{Items: said})
	if t.sorry { // once: it is told once
		f := wording.Facts{}
		if t.sick {
			f.Now = "sick"
		}
		t.sorry, t.sick = false, false
		words = t.word(wording.KindWord, f) + " " + words
	}
	return words
}
