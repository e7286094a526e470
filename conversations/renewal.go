package conversations

import (
	"slices"
	"strings"
	"unicode/utf8"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// A renewal is the work a nudge offers: what was put on, put on again, or a quick
// top-up of the paint over what is left of it.

// The stages of [Enquiry.Renews].
const (
	renewsAsks   = "asks"   // the price is told together with the times
	renewsPriced = "priced" // it has been
)

// renewal is what to ask for: the outside washed, and the protections of these
// clocks, or the quickest there is on paint. It is empty if the rules have no such
// work.
func (t *turn) renewal(e *Enquiry, clocks []reminders.Clock, topUp bool) []string {
	var wants []string
	add := func(id string) {
		if _, ok := t.Rules.Task(id); ok && !slices.Contains(wants, id) {
			wants = append(wants, id)
		}
	}
	for _, c := range clocks {
		switch {
		case !topUp:
			add(t.puttingOn(c.Kind))
		case c.Protection.On == onPaint:
			if quick := t.quickest(); quick != c.Kind {
				add(quick)
			}
		}
	}
	if len(wants) == 0 {
		return nil
	}
	return append([]string{"exterior"}, wants...)
}

// puttingOn is the work that puts a protection on: what is called as it is, or else the
// least work there is for it, as lamps are polished before they are sealed.
func (t *turn) puttingOn(protection string) (id string) {
	if _, ok := t.Rules.Task(protection); ok {
		return protection
	}
	least := 0
	for _, of := range t.Rules.Order() {
		if task, ok := t.Rules.Task(of); ok && task.Applies == protection && (id == "" || task.Level < least) {
			id, least = of, task.Level
		}
	}
	return id
}

// onPaint is the surface a top-up is for.
const onPaint = "paint"

// quickest is the protection of paint with the lowest level.
func (t *turn) quickest() (id string) {
	least := 0
	for _, p := range t.Rules.Protections() {
		if task, ok := t.Rules.Task(p.ID); ok && p.On == onPaint && (id == "" || task.Level < least) {
			id, least = p.ID, task.Level
		}
	}
	return id
}

// toldOf are the clocks a customer has been told of, all of the car's if none.
func (t *turn) toldOf(e *Enquiry) []reminders.Clock {
	return e.Plan.Spoken(t.setting())
}

// likely is what work would likely cost this car now, where it was done last; false
// if nobody can say.
func (t *turn) likely(e *Enquiry, wants []string) (pricing.Pence, bool) {
	if e.Car == nil || len(wants) == 0 {
		return 0, false
	}
	q, err := t.quoted(pricing.Enquiry{Vehicle: *e.Car, Wants: wants, Site: t.site(e), Without: t.sparedBy(e)})
	if err != nil || q.Refused != "" || q.NeedToSee != "" {
		return 0, false
	}
	return q.Price.Likely, true
}

// priceRows are the buttons that take a nudge up, a price on each, and fill in what
// its words say about money.
func (t *turn) priceRows(e *Enquiry, clocks []reminders.Clock, f *wording.Facts) [][]bot.Choice {
	offer := func(k wording.Key, choice, price string) []bot.Choice {
		label := t.word(k, wording.Facts{Price: price})
		return []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressNudge, choice}.data()}}
	}
	anew, haveAnew := t.likely(e, t.renewal(e, clocks, false))
	top, haveTop := t.likely(e, t.renewal(e, clocks, true))
	if haveAnew {
		f.Likely = t.pounds(int64(anew))
	}
	if haveTop && haveAnew && top < anew {
		f.Low = t.pounds(int64(top))
		if p, ok := t.Rules.Protection(t.quickest()); ok {
			f.Text = p.Words
		}
		return [][]bot.Choice{offer(wording.NudgeTakeTop, nudgeTop, f.Low), offer(wording.NudgeTakeAnew, nudgeAnew, f.Likely)}
	}
	if haveAnew {
		return [][]bot.Choice{offer(wording.NudgeTakeAnew, nudgeAnew, f.Likely)}
	}
	return [][]bot.Choice{{{Label: t.label(wording.LabelTopUp), Data: press{e.ID, e.Rev, pressNudge, nudgeYes}.data()}}}
}

// renewalBegun begins the enquiry a nudge leads to: car, place and what is wanted
// are known, and only what may have changed is asked. Of what they wrote with their yes
// the times are taken along.
func (t *turn) renewalBegun(c *Chat, e *Enquiry, wants []string, wish string) {
	next := t.begin(c)
	next.Car, next.Place, next.Address, next.Renews = e.Car, e.Place, e.Address, renewsAsks
	comesAgain(e, next)
	next.Spared = slices.Clone(e.Spared)
	if len(wants) == 0 {
		wants = []string{"exterior", "protection"}
	}
	next.Answers[askWants] = wants
	next.Trail = []string{askWants}
	lead := t.word(wording.TopUpBegun, wording.Facts{Car: carName(e), Text: t.whereTo(next)})
	if said := t.understood(t.hear(next, wish)); said != "" {
		lead += "\n\n" + said
	}
	t.put(next, lead)
}

// together agrees to a renewal's price by itself, so that it is told together with
// the times to choose from; the customer can step back to it. It returns the words
// to begin with. What is no plain price is put as ever.
func (t *turn) together(e *Enquiry, lead string) string {
	if e.Renews != renewsAsks || e.Stage != Asking {
		return lead
	}
	if q := t.next(e); q == nil || q.id != askQuote || !t.quote(e) {
		return lead
	}
	if e.Renews = renewsPriced; e.Quote.Refused != "" || e.Quote.NeedSee != "" {
		return lead
	}
	e.Answers[askQuote] = []string{choiceDone}
	e.Trail = append(e.Trail, askQuote)
	e.At = ""
	price := t.word(wording.RenewalPrice, t.quoteFacts(e))
	if lead == "" {
		return price
	}
	return lead + "\n\n" + price
}

// firstUpper is a text that begins with a capital.
func firstUpper(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}
