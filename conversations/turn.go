package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// turn is one step being taken: the documents at hand, what has been changed in
// them, and the effects so far.
type turn struct {
	Talk
	// language is what this turn is worded in, empty for the business's own.
	language string
	// homes are the languages in which the quotes of enquiries were kept.
	homes map[string]string
	// written are the rules as the file words them.
	written *pricing.Rules
	// native are the words of the business's own language.
	native *wording.Words
	// file are the rules of the file; Rules have what was set from the chat (layer)
	// over them.
	file  *pricing.Rules
	layer pricing.Layer
	now   time.Time
	event bot.Event

	docs      map[string][]byte
	chats     map[bot.ChatID]*Chat
	enquiries map[string]*Enquiry
	were      map[string]before // how enquiries were
	days      map[string]*diary.Day
	tallies   map[string]Tally
	hands     *Hands
	reading   *textRead // see heardIn
	beside    string    // see asksBeside
	later     later     // see asksLater
	cabSaid   string    // see tellsCab
	carWords  string    // see readVehicle
	readBack  bool      // what was known of a car has just been read back, see sameagain.go
	sorry     bool      // somebody was sick or bled in the car, as was told just now
	sick      bool      // and was sick
	err       error

	out Decision
}

// before is how an enquiry was before the step.
type before struct {
	stage Stage
	rev   int
}

// Step decides what an event changes and what is said. docs holds what was
// loaded, with nil for a document that does not exist; one that is not in docs
// at all was not asked for, and the decision then names it under Need. It fails
// only on a document it cannot read.
func Step(talk Talk, docs map[string][]byte, e bot.Event, now time.Time) (Decision, error) {
	if _, loaded := docs[LayerKey]; !loaded {
		return Decision{Need: []string{LayerKey}}, nil
	}
	t := newTurn(talk, docs, e, now)
	t.take()
	t.inEachLanguage(talk)
	if d, stop := t.unfinished(); stop {
		return d, t.err
	}
	of := t.holdsBack()
	t.sayWhoseFirst(of)
	if of != 0 {
		t.holdBack(of)
	}
	t.noteAsked()
	t.passOnGuests()
	t.fitAll()
	if d, stop := t.unfinished(); stop {
		return d, t.err
	}
	t.keep()
	// What is only for the looks waits for what people wait for.
	slices.SortStableFunc(t.out.Say, func(a, b bot.Message) int { return cosmetic(a) - cosmetic(b) })
	return t.out, t.err
}

// take does what the event asks for.
func (t *turn) take() {
	switch what := t.event.What.(type) {
	case Came:
		t.came(what)
	case Measured:
		t.measured(what)
	case bot.Undelivered:
		t.undelivered(what)
	default:
		if text, ok := what.(bot.Text); ok {
			text.Body = t.slashed(strings.ReplaceAll(text.Body, "…", "..."))
			t.event.What = text
		}
		if t.byOwner() {
			t.owner()
			return
		}
		t.customer()
		t.onward()
		t.excuse()
	}
}

// byOwner tells whether the event is of the owner's doing.
func (t *turn) byOwner() bool { return t.Owner != 0 && t.event.Chat == t.Owner }

// holdsBack is whose event it is, if what it would tell the owner waits while his
// hands are full, and else 0.
func (t *turn) holdsBack() bot.ChatID {
	switch what := t.event.What.(type) {
	case Came, bot.Undelivered:
		return 0
	case Measured:
		if e := t.enquiry(what.Enquiry); e != nil {
			return e.Chat
		}
		return 0
	}
	if t.byOwner() {
		return 0
	}
	return t.event.Chat
}

// unfinished is what there is to return of a step that failed or misses documents.
func (t *turn) unfinished() (Decision, bool) {
	slices.Sort(t.out.Need)
	return Decision{Need: slices.Compact(t.out.Need)}, t.err != nil || len(t.out.Need) > 0
}

// onward shows the open question again under an answer that leads nowhere by
// itself, such as that to a button of an earlier car.
func (t *turn) onward() {
	c := t.chat(t.event.Chat)
	if c.Stopped || c.Person || c.Blocked {
		return
	}
	for i := len(t.out.Say) - 1; i >= 0; i-- {
		m := t.out.Say[i]
		if m.Chat != c.ID || m.Edit != 0 {
			continue
		}
		if e := t.current(c); len(m.Choices) == 0 && e != nil && e.open() {
			t.put(e, "")
		}
		return
	}
}

// fail remembers the first thing that went wrong; nothing of the step counts then.
func (t *turn) fail(err error) {
	if t.err == nil {
		t.err = err
	}
}

func newTurn(talk Talk, docs map[string][]byte, e bot.Event, now time.Time) *turn {
	if talk.Worked == nil {
		talk.Worked = new(Worked)
	}
	t := &turn{
		Talk: talk, file: talk.Rules, now: now.In(talk.Zone), event: e, docs: docs,
		chats: map[bot.ChatID]*Chat{}, enquiries: map[string]*Enquiry{}, were: map[string]before{}, days: map[string]*diary.Day{}, tallies: map[string]Tally{},
		homes: map[string]string{}, native: talk.Words, written: talk.Rules,
	}
	t.layered()
	return t
}

// say adds a message to be sent. Nothing goes to a customer who shut us out.
func (t *turn) say(m bot.Message) {
	if m.Chat != t.Owner && t.chat(m.Chat).Blocked {
		return
	}
	t.noteShown(m)
	t.out.Say = append(t.out.Say, m)
}

// tell says a sentence to somebody, with buttons if there are any.
func (t *turn) tell(to bot.ChatID, k wording.Key, f wording.Facts, rows ...[]bot.Choice) {
	rows = slices.DeleteFunc(rows, func(row []bot.Choice) bool { return len(row) == 0 })
	t.say(bot.Message{Chat: to, Text: t.word(k, f), Choices: rows, Kind: string(k)})
}

// pieces are somebody's words in parts that leave room for ours in a message of
// 4096 UTF-16 units, the most the platform takes. Nearly always it is one.
func pieces(text string) []string {
	const most = 3900
	var out []string
	units, from, gap := 0, 0, 0
	for i, r := range text {
		if r == ' ' || r == '\n' {
			gap = i
		}
		if units += utf16.RuneLen(r); units > most {
			if gap <= from {
				gap = i
			}
			out = append(out, text[from:gap])
			units, from = len(utf16.Encode([]rune(text[gap:i])))+1, gap
		}
	}
	return append(out, text[from:])
}

// word words a sentence, with what is always known filled in.
func (t *turn) word(k wording.Key, f wording.Facts) string {
	f.Business, f.Town = t.Rules.Business.Name, t.Rules.Business.Town
	return said(t.Words, k, f)
}

func (t *turn) label(k wording.Key) string { return t.Words.Label(k) }

// set asks to be reminded.
func (t *turn) set(at time.Time, w Came) {
	id := dueID(w)
	t.out.Unset = slices.DeleteFunc(t.out.Unset, func(u string) bool { return u == id })
	t.out.Set = append(t.out.Set, Due{ID: id, At: at, What: w})
}

// unset drops a reminder, if it is there.
func (t *turn) unset(kind string, e *Enquiry) {
	id := dueID(Came{Kind: kind, Enquiry: e.ID})
	t.out.Set = slices.DeleteFunc(t.out.Set, func(d Due) bool { return d.ID == id })
	t.out.Unset = append(t.out.Unset, id)
}

// press is what a button carries back: which enquiry, which of its questions,
// as of which revision, and the choice. The customer's client sends it, so it is
// checked against the state before it counts.
type press struct {
	enquiry  string
	rev      int
	question string
	choice   string
}

func (p press) data() string {
	return strings.Join([]string{p.enquiry, strconv.Itoa(p.rev), p.question, p.choice}, "|")
}

func parsePress(data string) (press, bool) {
	f := strings.Split(data, "|")
	if len(f) != 4 {
		return press{}, false
	}
	rev, err := strconv.Atoi(f[1])
	if err != nil || f[0] == "" || f[2] == "" {
		return press{}, false
	}
	return press{enquiry: f[0], rev: rev, question: f[2], choice: f[3]}, true
}

func cosmetic(m bot.Message) int {
	if m.Delivery == bot.Cosmetic {
		return 1
	}
	return 0
}
