package conversations

import (
	"slices"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What the owner agrees with a customer in his own words the desk does not follow. If he
// has written of a price or a time, he is shown what the desk has before it goes on, and
// can put it right; and the desk's next words to the customer say what stands.

// The owner's presses about what he has agreed himself.
const (
	pressSaidPrice = "said-price"
	pressSaidTime  = "said-time"
	pressSaidGo    = "said-go"
)

// speaksOfTerms tells whether a line of the owner's names a price or a time that the desk
// does not have so.
func (t *turn) speaksOfTerms(e *Enquiry, text string) bool {
	if t.Reader == nil || isGuest(e.Chat) || e.Stage == Done || e.Stage == Closed {
		return false
	}
	if r := t.heardIn(text); r.Budget.Kind != "" {
		q := e.Quote
		if sum := int64(r.Budget.Amount); q == nil || sum != q.Likely && sum != q.High {
			return true
		}
	}
	return len(when.Read(text, t.saidAt()).Prefer) > 0 && (e.Slot == nil || !t.meansTheirs(e, text))
}

// putStands shows the owner what the desk has of price and time, to be put right.
func (t *turn) putStands(e *Enquiry) {
	if t.Owner == 0 {
		return
	}
	c := t.chat(e.Chat)
	f := t.stands(e)
	f.Name, f.Car = e.Name, carName(e)
	if !c.Person {
		f.Now = "desk"
	}
	rows := [][]bot.Choice{t.termsRow(e), {t.ownAs(e, wording.LabelCarryOn, pressSaidGo)}}
	offered, at, price := t.offeredRow(e)
	f.Until, f.Money = at, price
	for _, more := range [][]bot.Choice{t.anywayRow(e), t.writtenRow(e, ""), offered} {
		if more != nil {
			rows = slices.Insert(rows, 0, more)
		}
	}
	t.tell(t.Owner, wording.OwnerStands, f, rows...)
}

// ownAs is a press of the owner's under another label.
func (t *turn) ownAs(e *Enquiry, k wording.Key, press string) bot.Choice {
	b := t.own(e, press)
	b.Label = t.label(k)
	return b
}

// termsRow are the buttons that set the price and the time he has agreed.
func (t *turn) termsRow(e *Enquiry) []bot.Choice {
	return []bot.Choice{t.ownAs(e, wording.LabelSetPrice, pressSaidPrice), t.ownAs(e, wording.LabelTheTime, pressSaidTime)}
}

// stands are the facts of price and time as the desk has them: When is a time asked for
// or booked, Day the first free one of those that were named, or with a Count the named one
// at which nothing is free.
func (t *turn) stands(e *Enquiry) (f wording.Facts) {
	q := e.Quote
	switch {
	case q != nil && q.NeedSee == "" && q.Refused == "":
		f.Price = t.brief(q)
	case q == nil && e.ByHand != nil && e.ByHand.Pence > 0:
		f.Price = t.word(wording.PriceBrief, wording.Facts{Likely: t.pounds(e.ByHand.Pence), Most: t.pounds(max(e.ByHand.Pence, e.ByHand.Most))})
	}
	switch {
	case e.Slot != nil:
		f.When = t.Words.Moment(e.Slot.Start.In(t.Zone))
	case len(e.Times) > 0:
		f.Day = t.inView(e.Times[0])
		if q == nil || t.need(q) <= 0 {
			break // what is free is only known with the work
		}
		free := t.free(e, time.Time{})
		if f.Count = 1; suited(free) {
			f.Day, f.Count = t.Words.Moment(t.few(e, free)[0].Start.In(t.Zone)), 0
		} else if start := t.settledStart(e); !start.IsZero() {
			f.Count = 0 // he takes it all the same
		} else if start := t.momentOf(e); !start.IsZero() {
			f.Text, _ = t.whyNot(e, start)
		}
	}
	return f
}

// inView words the first day of those somebody means, with the hour if there is one.
func (t *turn) inView(w diary.Times) string {
	for _, date := range t.horizon() {
		day, err := time.ParseInLocation(time.DateOnly, date, t.Zone)
		if err != nil || !w.HasDay(day.Weekday(), date) || day.Before(w.From) {
			continue
		}
		if w.StartFrom == 0 {
			return t.Words.Date(day)
		}
		y, m, d := day.Date()
		return t.Words.Moment(time.Date(y, m, d, 0, w.StartFrom+aroundHour, 0, 0, t.Zone))
	}
	return ""
}

// standsPressed takes the owner's press on one of these buttons.
func (t *turn) standsPressed(c *Chat, e *Enquiry, choice string, w bot.Tap) {
	settled := e.Stage == Waits || e.Stage == Booked
	switch {
	case e.Stage == Done || e.Stage == Closed:
		t.staleVisit(c, e)
	case choice == pressSaidPrice && settled:
		t.expect(c, typingPrice, e)
		t.tell(c.ID, wording.OwnerSetPrice, wording.Facts{Name: e.Name, Price: t.brief(e.Quote)})
	case choice == pressSaidPrice:
		t.expect(c, typingSaidPrice, e)
		t.tell(c.ID, wording.OwnerSaidPrice, wording.Facts{Name: e.Name})
	case choice == pressSaidTime && e.Stage == Booked:
		t.startMove(e, Owner)
	case choice == pressSaidTime:
		t.expect(c, typingSaidTime, e)
		t.tell(c.ID, wording.OwnerSaidTime, wording.Facts{Name: e.Name})
	default:
		t.takeOff(w)
		t.goOnWith(c, e)
	}
}

// goOnWith lets the desk go on, with what stands.
func (t *turn) goOnWith(c *Chat, e *Enquiry) {
	if t.goOnSettled(c, e) {
		return
	}
	t.backWith(e)
	t.handedBack(c, e)
}

// handedBack tells the owner that the desk has somebody again, and what of theirs still
// waits for him.
func (t *turn) handedBack(c *Chat, e *Enquiry) {
	f, ways := wording.Facts{Name: e.Name}, [][]bot.Choice(nil)
	if e.Stage == Waits && e.Slot != nil {
		f.When, ways = t.Words.Moment(e.Slot.Start.In(t.Zone)), t.cardWays(e)
	}
	t.tell(c.ID, wording.OwnerHanded, f, ways...)
}

// backWith gives a chat back to the desk, whose next words say what stands.
func (t *turn) backWith(e *Enquiry) {
	customer := t.chat(e.Chat)
	customer.Person, customer.Passed, customer.Spoke = false, false, false
	if !customer.Stopped {
		f := t.stands(e)
		if f.Count > 0 {
			f.Day = "" // he has read that nothing is free then
		}
		t.lead(customer, t.word(wording.HandedBackAs, f))
	}
}

// standsTyped takes the price or the time he has agreed before anything was asked for.
func (t *turn) standsTyped(c *Chat, e *Enquiry, what, text string) {
	switch {
	case e.Stage == Done || e.Stage == Closed || e.Stage == Booked:
		t.staleVisit(c, e)
		return
	case what != typingSaidTime:
		likely, most, ok := t.sumsSaid(text)
		if terms, both := t.termsIn(text); !ok && both && what == typingSaidPrice {
			t.setTerms(e, terms)
			break
		}
		if !ok {
			t.expect(c, what, e)
			t.tell(c.ID, wording.OwnerNotPrice, wording.Facts{})
			return
		}
		t.agreedPrice(e, likely, most)
		t.priceSettled(c, e, what == typingKeptPrice)
		return
	default:
		m := when.Read(text, t.saidAt())
		if len(m.Prefer) == 0 {
			m = when.Read(t.asRead(text), t.saidAt())
		}
		if len(m.Prefer) == 0 {
			t.expect(c, what, e)
			t.tell(c.ID, wording.OwnerSaidTime, wording.Facts{Name: e.Name})
			return
		}
		if e.Slot != nil {
			t.reopen(e)
		}
		e.Times, e.Only, e.Unclear = m.Prefer, bounds(m), t.unclear(m)
		e.From = time.Time{}
		e.Rev++
	}
	t.putStands(e)
}

// agreedPrice is what the owner has agreed on for the work as it is told by now.
func (t *turn) agreedPrice(e *Enquiry, likely, most int64) {
	h := ByHand{Pence: likely, Most: most}
	if e.ByHand != nil {
		h.Start = e.ByHand.Start
	}
	e.ByHand = &h
	e.Rev++
	if e.Quote == nil {
		return // it is the price once the work is told
	}
	e.Before = append(e.Before, *e.Quote)
	q := *e.Quote
	h.Of = q.Of
	if e.answer(askSite) == "" {
		h.Work = t.anywhere(t.priced(e))
	}
	q.Low, q.Likely, q.High, q.NeedSee = likely, likely, max(likely, most), ""
	e.Quote = &q
}

// byWord puts the price the owner has agreed on over one that has been worked out, if it
// was for this work.
func (t *turn) byWord(asked pricing.Enquiry, e *Enquiry) {
	h := e.ByHand
	if h == nil || h.Pence == 0 || e.Stage != Asking {
		return
	}
	if h.Of != "" && h.Of != e.Quote.Of && (h.Work == "" || h.Work != t.anywhere(asked)) {
		e.ByHand = nil // they want something else since
		return
	}
	h.Of = e.Quote.Of
	t.handled(asked, e.Quote, h)
}

// anywhere is the digest of some work wherever it is done.
func (t *turn) anywhere(asked pricing.Enquiry) string {
	asked.Site = pricing.Site{}
	return t.digest(asked)
}

// carriesOn takes a customer's word that the desk shall go on. What the owner has agreed with
// them meanwhile he is asked to put in.
func (t *turn) carriesOn(c *Chat, e *Enquiry) {
	if !c.Spoke || e == nil {
		c.Person, c.Passed = false, false
		t.lead(c, t.word(wording.HandedBack, wording.Facts{}))
		return
	}
	t.backWith(e)
	t.putStands(e)
}
