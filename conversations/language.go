package conversations

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Who writes here may read another language than the owner does, and one event is
// often told to both. So a step is taken once in each language that is spoken in
// it: same documents, same decisions, other words. Everybody is then told what the
// turn in their language says, and what is kept of an enquiry is in its customer's
// words. Nothing else needs to know that there is more than one language.

// Language is a language somebody may choose beside the business's own.
type Language struct {
	Words *wording.Words
	// Rules are the rules with what customers read of them in it.
	Rules *pricing.Rules
	// Sheet words the job sheet in it. It is nil as long as any text of the rules has
	// no words: half a sheet of cautions and mixes would be worse than one that stands
	// as the rules have it.
	Sheet *jobsheet.Words
	// Gloss puts what customers write in it into words that are read; nil if the
	// wording has none.
	Gloss *reading.Gloss
	// Without are the texts of the rules that have no words in it: those customers
	// read, who then read them as they stand, and after them those only of the sheet.
	Without []string
}

// Languages are the rules in the languages of the wordings. The error tells of words
// of the job sheet that are missing or wrong, and of phrases that cannot be read.
func Languages(rules *pricing.Rules, words []*wording.Words) ([]Language, error) {
	var in []Language
	for _, w := range words {
		worded, _ := rules.Worded(w.Rules())
		if !w.Sheet().Given() {
			return nil, fmt.Errorf("conversations: %s: \"sheet\", the words of the job sheet, is missing", w.File())
		}
		sheet, err := jobsheet.ParsePart(w.Sheet(), w.Rules())
		if err != nil {
			return nil, fmt.Errorf("conversations: %w", err)
		}
		l := Language{Words: w, Rules: worded, Sheet: sheet, Without: sheet.Without(rules)}
		if reads := w.Reads(); len(reads) > 0 {
			if l.Gloss, err = reading.NewGloss(reads); err != nil {
				return nil, fmt.Errorf("conversations: %s, reads: %w", w.File(), err)
			}
		}
		if len(l.Without) > 0 {
			l.Sheet = nil
		}
		in = append(in, l)
	}
	return in, nil
}

// other is a language besides the business's own, nil if there is none of that tag.
func (talk *Talk) other(tag string) *Language {
	for i := range talk.Languages {
		if talk.Languages[i].Words.Language() == tag {
			return &talk.Languages[i]
		}
	}
	return nil
}

// in is how a business talks in another language.
func (talk Talk) in(l *Language) Talk {
	talk.Words, talk.Rules, talk.sheetIn = l.Words, l.Rules, l.Sheet
	return talk
}

// offered is the language to begin with for somebody whose own programs are in one
// (an IETF tag such as "pl" or "pl-PL"), empty for the business's own.
func (talk Talk) offered(tag string) string {
	first := func(tag string) string { s, _, _ := strings.Cut(strings.ToLower(tag), "-"); return s }
	for _, l := range talk.Languages {
		if first(l.Words.Language()) == first(tag) && first(tag) != "" {
			return l.Words.Language()
		}
	}
	return ""
}

// languageOf is what somebody reads, empty for the business's own. A chat that has
// not been loaded reads that as well.
func (t *turn) languageOf(id bot.ChatID) string {
	tag := ""
	switch c := t.chats[id]; {
	case t.Owner != 0 && (id == t.Owner || isGuest(id)):
		tag = t.layer.Language // what guests are told comes to him, to pass on
	case c != nil:
		tag = c.Reads
	}
	if t.other(tag) == nil {
		return ""
	}
	return tag
}

// wordsOf are the words somebody reads.
func (t *turn) wordsOf(id bot.ChatID) *wording.Words {
	if l := t.other(t.languageOf(id)); l != nil {
		return l.Words
	}
	return t.native
}

// wordTo words a sentence for somebody, whatever this turn is worded in.
func (t *turn) wordTo(id bot.ChatID, k wording.Key, f wording.Facts) string {
	f.Business, f.Town = t.Rules.Business.Name, t.Rules.Business.Town
	return said(t.wordsOf(id), k, f)
}

// hears are the words in which what is typed is looked for: those of whoever writes,
// and the business's own beside them. They are the same whatever the turn is worded
// in, for they decide.
func (t *turn) hears() []*wording.Words {
	theirs := t.wordsOf(t.event.Chat)
	if theirs == t.native {
		return []*wording.Words{t.native}
	}
	return []*wording.Words{theirs, t.native}
}

// typed is everything that may be typed for a label or as a word of its own.
func (t *turn) typed(k wording.Key) []string {
	var out []string
	for _, w := range t.hears() {
		out = append(out, w.Typed(k)...)
	}
	return out
}

// inEachLanguage takes the step in the other languages that are spoken in it, and
// puts together what everybody is told.
func (t *turn) inEachLanguage(talk Talk) {
	if _, stop := t.unfinished(); stop {
		return
	}
	others := map[string]*turn{}
	for id := range t.chats {
		others[t.languageOf(id)] = nil
	}
	others[t.languageOf(t.Owner)] = nil
	for _, e := range t.enquiries {
		// A new price is put into its customer's words also where only the owner acts.
		if e != nil && !e.worded(t.homeOf(e)) {
			others[t.homeOf(e)] = nil
		}
	}
	delete(others, "")
	for _, tag := range slices.Sorted(maps.Keys(others)) {
		o := newTurn(talk.in(talk.other(tag)), t.docs, t.event, t.now)
		o.language, o.native, o.written = tag, talk.Words, t.written
		o.take()
		if t.err, t.out.Need = o.err, o.out.Need; t.err != nil || len(t.out.Need) > 0 {
			return
		}
		others[tag] = o
	}
	if len(others) > 0 {
		t.putTogether(others)
	}
}

// putTogether takes from each turn what is told and kept in its language.
func (t *turn) putTogether(in map[string]*turn) {
	t.out.Say = t.told(in)
	if o := in[t.languageOf(t.event.Chat)]; o != nil {
		t.out.Toast = o.out.Toast
	}
	owners := t
	if o := in[t.languageOf(t.Owner)]; o != nil {
		owners = o
		t.out.Put = o.out.Put // what he reads of his settings again
	}
	for id, e := range t.enquiries {
		if e == nil {
			continue
		}
		as := e
		if o := in[t.homeOf(e)]; o != nil && o.enquiries[id] != nil {
			as = o.enquiries[id]
		}
		his := e
		if o := owners.enquiries[id]; o != nil {
			his = o
		}
		if t.chats[e.Chat] != nil || as != e {
			for i, q := range as.quotes() {
				if all := his.quotes(); i < len(all) {
					q.also(all[i])
				}
			}
		}
		t.enquiries[id] = as
	}
}

// told is what everybody is told, each in their language and where the same was to be
// told in this one. A long text may take another number of messages: then the last of
// them stand together.
func (t *turn) told(in map[string]*turn) []bot.Message {
	theirs := map[bot.ChatID][]bot.Message{}
	left := map[bot.ChatID]int{}
	for _, m := range t.out.Say {
		left[m.Chat]++
	}
	for id := range left {
		if o := in[t.languageOf(id)]; o != nil {
			theirs[id] = slices.DeleteFunc(slices.Clone(o.out.Say), func(m bot.Message) bool { return m.Chat != id })
		}
	}
	var out []bot.Message
	for _, m := range t.out.Say {
		left[m.Chat]--
		all, other := theirs[m.Chat]
		if !other {
			out = append(out, m)
			continue
		}
		n := min(1, len(all))
		if left[m.Chat] == 0 {
			n = len(all)
		}
		out, theirs[m.Chat] = append(out, all[:n]...), all[n:]
	}
	return out
}

// quotes are all prices that are kept of an enquiry.
func (e *Enquiry) quotes() []*Quoted {
	var out []*Quoted
	for _, q := range []*Quoted{e.Quote, e.Seen} {
		if q != nil {
			out = append(out, q)
		}
	}
	for i := range e.Before {
		out = append(out, &e.Before[i])
	}
	return out
}

// reads puts the prices of an enquiry that was loaded into the language of the turn.
func (t *turn) reads(e *Enquiry) {
	if e.Quote != nil {
		t.homes[e.ID] = e.Quote.Language
	}
	for _, q := range e.quotes() {
		q.speak(t.language)
	}
}

// home puts the prices of an enquiry into the language in which they are kept: its
// customer's.
func (t *turn) home(e *Enquiry) {
	tag := t.homeOf(e)
	for _, q := range e.quotes() {
		q.speak(tag)
	}
}

// homeOf is the language in which the prices of an enquiry are kept. Where its customer's
// chat is not loaded, as when only the owner acts, the agreed price knows.
func (t *turn) homeOf(e *Enquiry) string {
	if t.chats[e.Chat] != nil {
		return t.languageOf(e.Chat)
	}
	if tag := t.homes[e.ID]; t.other(tag) != nil {
		return tag
	}
	return ""
}

// worded reports whether all prices of an enquiry have words in a language.
func (e *Enquiry) worded(tag string) bool {
	for _, q := range e.quotes() {
		if _, ok := q.Other[tag]; q.Language != tag && !ok {
			return false
		}
	}
	return true
}

// speak puts the words of a price in a language, if it has them.
func (q *Quoted) speak(tag string) {
	words, ok := q.Other[tag]
	if q.Language == tag || !ok {
		return
	}
	q.Other = maps.Clone(q.Other)
	delete(q.Other, tag)
	q.Other[q.Language] = q.QuoteWords
	q.Language, q.QuoteWords = tag, words
}

// also keeps beside the words of a price those of the same price in another turn.
func (q *Quoted) also(o *Quoted) {
	if o.Language != q.Language {
		q.Other = map[string]QuoteWords{o.Language: o.QuoteWords}
	}
}

// chooseLanguage notes the language somebody has chosen, and puts their prices into it.
func (t *turn) chooseLanguage(c *Chat, tag string) {
	if t.other(tag) == nil {
		tag = ""
	}
	c.Reads = tag
	for _, e := range append(t.jobs(c), t.current(c)) {
		if e != nil {
			t.reword(e)
		}
	}
}

// readable is the price of an enquiry in the language of the turn, to be shown and not
// kept: what was asked for before its reader changed languages has no words in the new.
func (t *turn) readable(e *Enquiry) *Quoted {
	if e.Quote == nil || e.Quote.Language == t.language {
		return e.Quote
	}
	q, shown := *e.Quote, *e
	shown.Quote = &q
	t.reword(&shown)
	return &q
}

// reword says a price that stands in the language of the turn. It is worded anew by the
// rules as they are; where these bring other work or other numbers it keeps the words it
// has, for those were promised.
func (t *turn) reword(e *Enquiry) {
	q := e.Quote
	if q == nil || q.Language == t.language {
		return
	}
	asked := t.priced(e)
	fitted, err := t.fit(asked)
	if err != nil {
		return // it was priced before, so the words it has will do
	}
	anew := t.remember(fitted, asked.Budget, asked.Wants...)
	if anew.Likely == q.Likely && anew.High == q.High && anew.Low == q.Low && slices.Equal(anew.Tasks, q.Tasks) {
		q.QuoteWords, q.Language = anew.QuoteWords, t.language
	}
}

// languageSaid is the language that somebody asks for by its name.
func (t *turn) languageSaid(said string) (tag string, ok bool) {
	is := func(w *wording.Words) bool {
		return slices.Contains(w.Typed(wording.LabelLanguage), said)
	}
	for _, l := range t.Languages {
		if is(l.Words) {
			return l.Words.Language(), true
		}
	}
	return "", len(t.Languages) > 0 && is(t.native)
}

// languageRow are buttons for the languages that somebody does not read yet, each in
// its own words.
func (t *turn) languageRow(id bot.ChatID, button func(label, tag string) bot.Choice) []bot.Choice {
	now := t.languageOf(id)
	var row []bot.Choice
	if now != "" {
		row = append(row, button(t.native.Label(wording.LabelLanguage), ""))
	}
	for _, l := range t.Languages {
		if tag := l.Words.Language(); tag != now {
			row = append(row, button(l.Words.Label(wording.LabelLanguage), tag))
		}
	}
	return row
}
