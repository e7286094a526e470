package conversations

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// priced is the enquiry in the words pricing understands.
func (t *turn) priced(e *Enquiry) pricing.Enquiry {
	p := pricing.Enquiry{Graded: e.Graded, Said: map[pricing.Area]pricing.Grade{}, Site: t.site(e),
		Flags: flagged(e), Budget: budgetOf(e), Priorities: e.Minds, Earlier: e.earlier()}
	p.Without = t.leftOutFor(e)
	if p.Budget > 0 { // it says nothing else
		p.Named = t.namedBy(e)
	}
	if e.Car != nil {
		p.Vehicle = *e.Car
	}
	for _, a := range t.Rules.Areas() {
		if n, err := strconv.Atoi(e.answer(askCond + string(a.ID))); err == nil {
			p.Said[a.ID] = pricing.Grade(n)
		}
	}
	p.Wants = append(t.plainly(e, p), e.Extra...)
	if e.ByHand != nil && len(e.ByHand.Tasks) > 0 {
		p.Wants = append(slices.Clone(e.ByHand.Tasks), e.Extra...)
	}
	return p
}

func (t *turn) site(e *Enquiry) pricing.Site {
	if e.answer(askSite) != "theirs" {
		return pricing.Site{Own: true, Tap: true, Socket: true}
	}
	s := pricing.Site{Surface: e.answer(askSurface), Drain: e.answer(askDrain)}
	a := e.answer(askServices)
	s.Tap, s.Socket = a == "both" || a == "tap", a == "both" || a == "socket"
	s.Miles, _ = strconv.ParseFloat(e.answer(askMiles), 64)
	return s
}

// quote brings the enquiry's guide price up to date. One that was named for the
// same answers stands until its date, whatever the rules have become since.
func (t *turn) quote(e *Enquiry) bool {
	t.recognise(e)
	asked := t.priced(e)
	of := t.digest(asked)
	if e.Quote != nil && e.Quote.Of == of && !e.Quote.lapsed(t.now) {
		return true
	}
	fitted, err := t.fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: pricing enquiry %s: %w", e.ID, err))
		return false
	}
	if e.Quote == nil {
		t.count(e.Chat, Count{Quotes: 1})
	}
	e.Quote = t.remember(fitted, asked.Budget, asked.Wants...)
	e.Quote.Of = of
	t.byWord(asked, e)
	if m, ok := t.setting().OpenQuote(t.now, e.Quote.Until); ok && !e.PriceAsked {
		t.set(m.At, Came{Kind: CameQuote, Enquiry: e.ID})
	}
	return true
}

// Spread is how the price an enquiry has been named is spread, by the rules in force
// (those of the file with what the owner has set over them). It has no steps if no price
// is named, or if it was made of other answers or other rules.
func Spread(rules *pricing.Rules, e Enquiry) (pricing.Spread, error) {
	if e.Quote == nil || e.Quote.Rules != rules.Version() {
		return pricing.Spread{}, nil
	}
	t := turn{Talk: Talk{Rules: rules}}
	asked := t.priced(&e)
	if t.digest(asked) != e.Quote.Of || t.err != nil {
		return pricing.Spread{}, t.err
	}
	return rules.Spread(asked)
}

// digest is equal for two enquiries that ask for the price of the same thing. The step
// fails if there is no telling.
func (t *turn) digest(e pricing.Enquiry) string {
	body, err := json.Marshal(e)
	if err != nil {
		t.fail(fmt.Errorf("conversations: what a price is of: %w", err))
	}
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:8])
}

// lapsed tells whether the price no longer stands.
func (q *Quoted) lapsed(now time.Time) bool { return now.After(q.Until) }

// quoteFacts are what a quote's sentences speak of.
func (t *turn) quoteFacts(e *Enquiry) wording.Facts {
	q := e.Quote
	f := wording.Facts{Name: e.Name, Car: carName(e), Low: t.pounds(q.Low), Likely: t.pounds(q.Likely), Most: t.pounds(q.High),
		Until: t.Words.Date(q.Until.In(t.Zone)), Hours: t.length(q.P50), In: q.Main, Out: q.Out, Stays: q.Stays, Why: q.Why,
		Refer: q.Refer, Items: q.Notes, Minutes: len(q.In) - len(q.Main)}
	f.In, f.Out, f.Stays = t.ofVan(e, f.In), t.ofVan(e, f.Out), t.ofVan(e, f.Stays)
	f.Price = t.word(wording.PriceRange, f)
	if q.Way > 0 {
		f.Way = t.pounds(q.Way)
	}
	if q.Budget > 0 {
		f.Budget = t.pounds(q.Budget)
	}
	if len(f.Out) > mostLeftOut {
		f.Count = len(f.Out) - mostLeftOut
		f.Out = f.Out[:mostLeftOut]
	}
	return f
}

// putQuote puts the guide price, or why there is none.
func putQuote(t *turn, e *Enquiry) prompt {
	if !t.quote(e) {
		return prompt{}
	}
	q, f := e.Quote, t.quoteFacts(e)
	again := t.choose(choiceAgain, wording.LabelStartAgain)
	switch {
	case q.Refused != "":
		f.Text = q.Refused
		change := t.choose(choiceChange, wording.LabelChange)
		if t.refusedAnywhere(e) {
			return prompt{text: t.word(wording.QuoteNotForUs, f), options: []option{change, again}}
		}
		p := prompt{text: t.word(wording.QuoteRefused, f)}
		if atTheirs(t, e) && mayBring(t, e) {
			p.options = append(p.options, t.choose(choiceBring, wording.LabelBring))
		}
		p.options = append(p.options, change, again)
		return p
	case q.NeedSee != "":
		f.Text = q.NeedSee
		look := t.choose(choiceLook, wording.LabelLook)
		look.own = true
		p := prompt{text: t.word(wording.QuoteNeedSee, f), again: t.word(wording.QuoteNeedSeeAgain, f), options: []option{look, again}}
		if e.SeeFirst == q.NeedSee { // they have read why, whatever they have told since
			p.text = p.again
		}
		e.SeeFirst = q.NeedSee
		return p
	}
	find := t.choose(choiceDone, wording.LabelFindDay)
	if e.Slot != nil { // they have a day
		find.label, find.typed = t.label(wording.LabelCarryOn), slices.Concat(find.typed, t.typed(wording.SayCarryOn))
	}
	find.own = true
	stands := f
	if q.Small { // it is not fitted to a figure nothing could be fitted to
		stands.Budget = ""
	}
	p := prompt{text: t.word(wording.QuoteGuide, f), again: t.word(wording.QuoteStands, stands)}
	p.options = []option{find, t.choose(choiceInFull, wording.LabelInFull), t.choose(choiceWhy, wording.LabelWhy)}
	switch {
	case q.Small:
		f.Text = t.namedCosts(q)
		p.text = t.word(wording.QuoteTooSmall, f)
		fallthrough
	case q.Budget > 0:
		if !q.Small {
			f.Items, f.Text, f.Money = q.Further, t.namedCosts(q), t.pounds(q.Budget+int64(pricing.NextStep))
			if q.Step > 0 {
				f.Money = t.pounds(q.Budget + q.Step)
			}
			p.text = t.word(wording.QuoteFitted, f)
			if side := t.sideOut(e); side != "" {
				p.text = side + "\n\n" + p.text
			}
		}
		p.options = append(p.options, t.choose(choiceFit, wording.LabelOtherFigure), t.choose(choiceAll, wording.LabelAllOfIt))
	default:
		p.options = append(p.options, t.choose(choiceFit, wording.LabelFit))
	}
	p.options = append(p.options, t.choose(choiceChange, wording.LabelChange), again)
	if fit, ok := t.fitOption(e); ok {
		p.options[0].typed = slices.DeleteFunc(slices.Clone(p.options[0].typed), func(w string) bool { return slices.Contains(fit.typed, w) })
		p.options = slices.Insert(p.options, 0, fit)
	}
	return p
}

// refusedAnywhere tells whether it is not the place for which the work is refused.
func (t *turn) refusedAnywhere(e *Enquiry) bool {
	asked := t.priced(e)
	asked.Site = pricing.Site{Own: true, Tap: true, Socket: true}
	q, err := t.quoted(asked)
	return err != nil || q.Refused != ""
}

// asideQuote explains the price without moving on.
func asideQuote(t *turn, e *Enquiry, choice string) (string, bool) {
	f := t.quoteFacts(e)
	switch choice {
	case choiceInFull:
		f.In, f.Out = t.ofVan(e, e.Quote.In), t.ofVan(e, e.Quote.Out)
		return t.word(wording.QuoteInFull, f), true
	case choiceWhy:
		return t.whyPrice(e), true
	}
	return "", false
}

// whyPrice says what moves the price, and where it ends: at the figure it is fitted to,
// or, nine times in ten, at the most it was named with.
func (t *turn) whyPrice(e *Enquiry) string {
	f := t.quoteFacts(e)
	if e.Quote.Small {
		f.Budget = "" // it is not fitted to that
	}
	if rest := t.unmoved(e); rest > 0 {
		f.Why = append(slices.Clone(f.Why), t.word(wording.LineRest, wording.Facts{Most: t.pounds(rest)}))
	}
	return t.word(wording.QuoteWhy, f)
}

// unmoved is what of a price, in pence, is left beside what moves it most, so that the
// reasons add up; 0 if none are given, or the price is not the rules'.
func (t *turn) unmoved(e *Enquiry) int64 {
	fitted, err := t.fit(t.priced(e))
	if err != nil || len(fitted.Quote.Because) == 0 || int64(fitted.Quote.Price.Likely) != e.Quote.Likely {
		return 0
	}
	rest := e.Quote.Likely
	for _, d := range fitted.Quote.Because {
		rest -= int64(d.Effect)
	}
	return max(0, rest)
}

// tookQuote follows the answers that are not a plain yes. Bringing the car and a
// figure lead back to the price.
func tookQuote(t *turn, e *Enquiry) string {
	a := e.answer(askQuote)
	switch {
	case a == choiceLook && len(e.Answers[askPhoto]) > 0: // once more, with what he has got
		return t.look(e)
	case a == choiceDone && e.Slot != nil && t.outgrown(e):
		t.release(e)
		t.retract(e, askSlot)
	case a == choiceBring:
		t.retract(e, askQuote)
		e.Answers[askSite] = []string{"own"}
	case a == choiceAll:
		t.retract(e, askQuote)
		t.retract(e, askBudget)
	case a == choiceFit:
		t.retract(e, askBudget)
	case isFigure(a):
		t.retract(e, askQuote)
		t.retract(e, askBudget)
		e.Answers[askBudget] = []string{a}
		e.Trail = append(e.Trail, askBudget)
	}
	return ""
}

// renew takes back a price that was agreed to and no longer stands, so that
// today's is put.
func (t *turn) renew(e *Enquiry, lead string) string {
	if !e.open() || !priceAgreed(t, e) || e.Quote == nil || !e.Quote.lapsed(t.now) {
		return lead
	}
	t.retract(e, askQuote)
	return t.word(wording.QuoteRenewed, wording.Facts{Until: t.Words.Date(e.Quote.Until.In(t.Zone))})
}

// priceAgreed: there is a price, and the customer goes on with it.
func priceAgreed(_ *turn, e *Enquiry) bool { return e.answer(askQuote) == choiceDone }

// length words a stretch of minutes the way people say it: "about 3½ hours".
func (t *turn) length(minutes float64) string {
	halves := int(math.Round(minutes / 30))
	if halves < 2 {
		return t.word(wording.LengthMinutes, wording.Facts{Minutes: max(15, int(math.Round(minutes/15))*15)})
	}
	whole, half := halves/2, ""
	if halves%2 == 1 {
		half = "½"
	}
	return t.word(wording.LengthHours, wording.Facts{Count: halves, Text: strconv.Itoa(whole) + half})
}

// lengthOf is length to the quarter of an hour, as times are offered and end.
func (t *turn) lengthOf(d time.Duration) string {
	quarters := int(math.Round(d.Minutes() / 15))
	if quarters < 4 || quarters%2 == 0 {
		return t.length(d.Minutes())
	}
	return t.word(wording.LengthHours, wording.Facts{Count: quarters/2*2 + 1, Text: strconv.Itoa(quarters/4) + map[int]string{1: "¼", 3: "¾"}[quarters%4]})
}

// outgrown tells whether the job has become longer than the time kept for it.
func (t *turn) outgrown(e *Enquiry) bool {
	end, ok := t.doneBy(e)
	return !ok || end.After(e.Slot.End)
}

// need is how long the diary must be kept free for a quote: four times in five
// the job is done by then, with setting up, packing and a little air.
func (t *turn) need(q *Quoted) time.Duration {
	const grid = 15 * time.Minute
	d := time.Duration(q.P80 * float64(time.Minute))
	return (d + grid - 1).Truncate(grid)
}
