package conversations

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
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
	if of := t.holdsBack(); of != 0 {
		t.holdBack(of)
	}
	t.passOnGuests()
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

// read decodes a document. Missing documents leave into as it is.
func (t *turn) read(key string, into any) {
	body, loaded := t.docs[key]
	if !loaded {
		t.out.Need = append(t.out.Need, key)
		return
	}
	if body == nil {
		return
	}
	if err := json.Unmarshal(body, into); err != nil && t.err == nil {
		t.err = fmt.Errorf("conversations: document %s: %w", key, err)
	}
}

func (t *turn) chat(id bot.ChatID) *Chat {
	if c, ok := t.chats[id]; ok {
		return c
	}
	c := &Chat{ID: id}
	t.read(chatKey(id), c)
	t.chats[id] = c
	return c
}

// enquiry is the enquiry of that id, nil if there is none.
func (t *turn) enquiry(id string) *Enquiry {
	if id == "" {
		return nil
	}
	if e, ok := t.enquiries[id]; ok {
		return e
	}
	var e Enquiry
	t.read(enquiryKey(id), &e)
	if e.ID == "" {
		t.enquiries[id] = nil
		return nil
	}
	if e.Answers == nil {
		e.Answers = map[string][]string{}
	}
	t.enquiries[id] = &e
	t.were[id] = before{e.Stage, e.Rev}
	t.reads(&e)
	return &e
}

// current is the enquiry a chat has in hand, nil if none.
func (t *turn) current(c *Chat) *Enquiry { return t.enquiry(c.Enquiry) }

// day is the diary of one local day, by its date.
func (t *turn) day(date string) *diary.Day {
	if d, ok := t.days[date]; ok {
		return d
	}
	var d diary.Day
	t.read(dayKey(date), &d)
	t.days[date] = &d
	return &d
}

// keep puts every document whose content has changed into the decision.
func (t *turn) keep() {
	for _, c := range t.chats {
		// The next enquiry's key comes along, so that beginning it needs no
		// second load.
		links := []string{enquiryKey(enquiryID(c.ID, c.Count+1))}
		if c.Enquiry != "" {
			links = append(links, enquiryKey(c.Enquiry))
		}
		if !reflect.DeepEqual(*c, Chat{ID: c.ID}) || t.docs[chatKey(c.ID)] != nil {
			t.write(chatKey(c.ID), links, c)
		}
	}
	for id, e := range t.enquiries {
		if e != nil {
			t.home(e)
			t.keepEnquiry(id, e)
		}
	}
	for date, d := range t.days {
		if len(d.Entries)+len(d.Extra) > 0 || t.docs[dayKey(date)] != nil {
			t.write(dayKey(date), nil, d)
		}
	}
	for key, y := range t.tallies {
		if len(y) > 0 {
			t.write(key, nil, y)
		}
	}
	if t.hands != nil && (t.hands.Enquiry != "" || t.docs[handsKey] != nil) {
		t.write(handsKey, nil, t.hands)
	}
	slices.SortFunc(t.out.Put, func(a, b Doc) int { return strings.Compare(a.Key, b.Key) })
}

// keepEnquiry writes an enquiry if something has changed in it, and when that was. Who
// has just done something need not be told so soon that time is running out.
func (t *turn) keepEnquiry(id string, e *Enquiry) {
	was, old := t.were[id]
	if old && was.rev == e.Rev { // nothing was accepted: perhaps nothing has changed
		if body, err := json.Marshal(e); err == nil && bytes.Equal(body, t.docs[enquiryKey(id)]) {
			return
		}
	}
	t.stamp(e)
	if e.Stage == Held && t.event.Chat != 0 && !e.HeldUntil.IsZero() {
		t.warnOfLapse(e)
	}
	if !old || was.stage != e.Stage {
		t.out.Reached = append(t.out.Reached, e.Stage)
	}
	t.write(enquiryKey(id), t.links(e), e)
}

func (t *turn) write(key string, links []string, v any) {
	body, err := json.Marshal(v)
	if err != nil {
		t.err = fmt.Errorf("conversations: document %s: %w", key, err)
		return
	}
	if !bytes.Equal(body, t.docs[key]) {
		t.out.Put = append(t.out.Put, Doc{Key: key, Links: links, Body: body})
	}
}

// links are what the next event about an enquiry will need beside it.
func (t *turn) links(e *Enquiry) []string {
	links := []string{chatKey(e.Chat)}
	if e.At == askSlot || e.Move != nil && e.Move.To == nil {
		for _, d := range t.horizon() {
			links = append(links, dayKey(d))
		}
		return links
	}
	if e.Slot != nil && e.Stage != Done && e.Stage != Closed {
		links = append(links, t.daysOf(*e.Slot)...)
	}
	if e.Move != nil && e.Move.To != nil {
		links = append(links, t.daysOf(*e.Move.To)...)
	}
	return links
}

// daysOf are the documents of the days a time takes part of.
func (t *turn) daysOf(s Span) []string {
	var out []string
	for _, st := range t.diaryRules().Stretches(s.Start, s.End) {
		out = append(out, dayKey(st.Date))
	}
	return out
}

// say adds a message to be sent. Nothing goes to a customer who shut us out.
func (t *turn) say(m bot.Message) {
	if m.Chat != t.Owner && t.chat(m.Chat).Blocked {
		return
	}
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
	return t.Words.Say(k, f)
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

func dueID(w Came) string {
	id := w.Kind + ":" + w.Enquiry + w.Day
	if w.Say != "" {
		id += ":" + string(w.Say)
	}
	if w.Kind == CamePhoto {
		id += ":" + strconv.Itoa(w.Photo)
	}
	if w.Kind == CameClock {
		id += ":" + strconv.Itoa(w.Clock)
	}
	return id
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
