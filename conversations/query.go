package conversations

import (
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The owner asks a customer one thing, in words or for a certain photo. The answer
// lands on his card, and the desk goes on with the customer where it was.

// Query is one question of the owner's to a customer.
type Query struct {
	Asked string    `json:"asked"`
	At    time.Time `json:"at"`
	// Photo: a picture is wanted; Had is how many there were before. Picture names what
	// is to be on it, so that each side reads it in their own language; a query of
	// before there was more than one has it in Asked.
	Photo   bool   `json:"photo,omitempty"`
	Picture string `json:"picture,omitempty"`
	Had     int    `json:"had,omitempty"`
	// Answer is theirs in words, empty until it has come.
	Answer string `json:"answer,omitempty"`
}

// pressQuery is the question name of the buttons about it.
const pressQuery = "query"

// The presses; those for a picture carry what is to be on it.
const (
	queryWords = "words"
	queryPhoto = "photo:"
	queryNone  = "none" // the customer: I can't say
)

// askable are what can be asked for with a tap.
var askable = []struct {
	key   string
	area  pricing.Area
	label wording.Key
	view  wording.Key
}{
	{"whole", "", wording.LabelViewWhole, wording.ViewWhole},
	{string(pricing.Paintwork), pricing.Paintwork, wording.LabelPaint, wording.ViewPaint},
	{string(pricing.Wheels), pricing.Wheels, wording.LabelWheels, wording.ViewWheels},
	{string(pricing.Headlights), pricing.Headlights, wording.LabelLamps, wording.ViewLamps},
	{string(pricing.SoftTop), pricing.SoftTop, wording.LabelSoftTop, wording.ViewSoftTop},
	{string(pricing.Interior), pricing.Interior, wording.LabelInside, wording.ViewInside},
}

// askWhat asks the owner what he wants to know.
func (t *turn) askWhat(e *Enquiry) {
	var rows [][]bot.Choice
	var row []bot.Choice
	for _, p := range askable {
		if p.area != "" && !t.touched(e, p.area) {
			continue
		}
		row = append(row, bot.Choice{Label: t.label(p.label), Data: press{e.ID, e.Rev, pressQuery, queryPhoto + p.key}.data()})
		if len(row) == 3 {
			rows, row = append(rows, row), nil
		}
	}
	if row != nil {
		rows = append(rows, row)
	}
	rows = append(rows, t.presses(e, pressQuery, named{queryWords, wording.LabelAskWords}, named{choiceBack, wording.LabelBack})...)
	t.tell(t.Owner, wording.OwnerAskWhat, wording.Facts{Name: e.Name}, rows...)
}

// queryPressed takes a press about a question, from either side.
func (t *turn) queryPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if t.sideOf(c) == Customer {
		if c.Answering != e.ID || p.choice != queryNone {
			t.staleVisit(c, e)
			return
		}
		t.takeOff(w)
		t.queryAnswered(c, t.wordsOf(t.Owner).Label(wording.LabelCantSay)) // he is who reads it
		return
	}
	if e.Stage == Closed || e.Stage == Done || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	switch {
	case p.choice == queryWords:
		t.expect(c, typingQuery, e)
		t.tell(c.ID, wording.OwnerAskWords, wording.Facts{Name: e.Name})
	case p.choice == choiceBack:
		t.tell(t.Owner, wording.OwnerCardBack, wording.Facts{Name: e.Name}, t.cardWays(e)...)
	default:
		for _, pic := range askable {
			if queryPhoto+pic.key == p.choice {
				t.query(e, Query{Picture: pic.key, Photo: true})
				return
			}
		}
		t.askWhat(e)
	}
}

// query asks the customer.
func (t *turn) query(e *Enquiry, q Query) {
	customer := t.chat(e.Chat)
	if customer.Blocked || customer.Stopped || e.Stage == Closed || e.Stage == Done {
		t.tell(t.Owner, wording.OwnerCantAsk, wording.Facts{Name: e.Name})
		return
	}
	q.At, q.Had = t.now, len(e.Photos)
	if !q.Photo {
		q.Asked = pieces(q.Asked)[0]
	}
	e.Queries = append(e.Queries, q)
	customer.Answering = e.ID
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: t.asked(q)}
	k := wording.AskQuery
	if q.Photo {
		k = wording.AskPicture
	}
	t.tell(e.Chat, k, f, t.presses(e, pressQuery, named{queryNone, wording.LabelCantSay})...)
	t.tell(t.Owner, wording.OwnerQueryAsked, f)
}

// asked is what a question asks.
func (t *turn) asked(q Query) string {
	for _, pic := range askable {
		if q.Picture == pic.key {
			return t.word(pic.view, wording.Facts{})
		}
	}
	return q.Asked
}

// openQuery is the question a customer has not answered yet, nil if there is none.
func (t *turn) openQuery(c *Chat) (*Enquiry, *Query) {
	if c.Answering == "" {
		return nil, nil
	}
	e := t.enquiry(c.Answering)
	if e == nil || len(e.Queries) == 0 {
		return nil, nil
	}
	return e, &e.Queries[len(e.Queries)-1]
}

// queryAnswered takes a customer's words as the answer, shows the owner the card
// with it, and goes on with the customer where things were. It reports false if
// nothing was asked.
func (t *turn) queryAnswered(c *Chat, words string) bool {
	e, q := t.openQuery(c)
	c.Answering = ""
	if q == nil {
		return false
	}
	const longest = 600 // on the card; all of it comes as it was written
	q.Answer = strings.TrimSpace(words)
	if r := []rune(q.Answer); len(r) > longest {
		for _, part := range pieces(q.Answer) {
			t.toOwner(wording.OwnerTheirText, e, wording.Facts{Text: part})
		}
		q.Answer = string(r[:longest]) + "…"
	}
	t.keepsAddress(e, words)
	t.answerOnCard(e, *q)
	t.afterQuery(c, t.word(wording.QueryThanks, wording.Facts{Name: c.Name}))
	return true
}

// queryPictured takes a picture that has come and been looked at as the answer. It
// reports false if none was asked for.
func (t *turn) queryPictured(e *Enquiry, words string) bool {
	c := t.chat(e.Chat)
	asked, q := t.openQuery(c)
	if q == nil || asked != e || !q.Photo {
		return false
	}
	c.Answering = ""
	q.Answer = t.wordsOf(t.Owner).Label(wording.LabelPhotoCame)
	if t.Owner != 0 {
		t.showPhotos(e, worthSeeing(e.Photos[min(q.Had, len(e.Photos)):]))
	}
	t.answerOnCard(e, *q)
	t.afterQuery(c, t.word(wording.QueryPictured, wording.Facts{Text: words}))
	return true
}

// answerOnCard shows the owner the card again, with the answer above it.
func (t *turn) answerOnCard(e *Enquiry, q Query) {
	if t.Owner == 0 {
		return
	}
	f := wording.Facts{Name: e.Name, Question: t.asked(q), Text: q.Answer}
	text := t.word(wording.OwnerQueryAnswer, f)
	if e.Quote != nil && e.Stage == Waits {
		card := t.card(e)
		card.Question = text
		text = t.word(wording.OwnerAsk, card)
	}
	t.say(bot.Message{Chat: t.Owner, Text: text, Choices: t.cardWays(e), Kind: "card"})
}

// afterQuery thanks, and shows the question that is open or how things stand.
func (t *turn) afterQuery(c *Chat, thanks string) {
	if c.Person {
		t.say(bot.Message{Chat: c.ID, Text: thanks, Kind: "query"})
		return
	}
	t.lead(c, thanks)
}
