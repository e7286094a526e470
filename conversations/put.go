package conversations

import (
	"slices"
	"strings"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// put asks the next question, after some words if there are any.
func (t *turn) put(e *Enquiry, lead string) {
	if e.Chat == t.event.Chat && t.beside != "" {
		lead, t.beside = strings.TrimPrefix(lead+"\n\n"+t.beside, "\n\n"), ""
	}
	lead = t.together(e, t.settled(e, t.renew(e, lead)))
	q, looked := t.next(e), false
	if q == nil && e.Stage == Asking && e.answer(askQuote) == choiceLook && !t.chat(e.Chat).Person {
		// A look was asked for, and the desk has the word again: the way is still open.
		t.retract(e, askQuote)
		q, looked = t.next(e), true
	}
	if q == nil {
		if lead != "" && !isGuest(e.Chat) {
			t.say(bot.Message{Chat: e.Chat, Text: lead, Kind: "word"})
		}
		if d := e.deposit(); d != nil && d.Rev == e.Rev && e.Stage == Waits {
			t.sayDeposit(e)
		}
		return
	}
	lead = joinLines(lead, t.saysLater(e, q))
	shown := e.At == q.id
	e.At = q.id
	p := q.ask(t, e)
	text := p.text
	if shown && p.again != "" {
		text = p.again
	}
	if looked && (e.Quote == nil || e.Quote.NeedSee != "") {
		text = t.word(wording.QuoteStillToSee, t.quoteFacts(e))
	}
	if lead != "" {
		text = lead + "\n\n" + text
	}
	rows := t.keyboard(e, q, p)
	if e.Chat == t.event.Chat && t.readBack {
		rows, t.readBack = slices.Insert(rows, max(0, len(rows)-1), t.againRow(e)...), false
	}
	t.say(bot.Message{Chat: e.Chat, Text: text, Choices: rows, Kind: "question"})
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
		if q.several && o.key != choiceDone && o.key != choiceBoth {
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
	return option{key: key, label: t.Words.Label(k), typed: t.typed(k)}
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
