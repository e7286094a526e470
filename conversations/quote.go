package conversations

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
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

// remember keeps of a quote what people were told, what is wanted by name before the
// rest.
func (t *turn) remember(f pricing.Fitted, budget pricing.Pence, wants ...string) *Quoted {
	q := f.Quote
	k := &Quoted{Rules: q.Rules, Low: int64(q.Price.Low), Likely: int64(q.Price.Likely), High: int64(q.Price.High),
		P10: q.Minutes.P10, P50: q.Minutes.P50, P80: q.Minutes.P80, P90: q.Minutes.P90,
		Until: t.now.AddDate(0, 0, t.Rules.Quotes.StandsDays), Budget: int64(budget), Small: budget > 0 && !f.Fits, Language: t.language,
		QuoteWords: QuoteWords{NeedSee: q.NeedToSee, Refused: q.Refused, Stays: q.WontComeOut, Notes: q.Notes}}
	k.In = t.worth(q.In)
	k.Main = t.worth(weightiest(q.In, mostNamed, t.askedByName(q.In, wants)))
	for _, l := range q.In {
		if task, ok := t.Rules.Task(l.Task); ok {
			k.Tasks = append(k.Tasks, l.Task)
			k.Dry = max(k.Dry, task.DryMinutes)
			if l.AtMost > 0 {
				if k.Stops == nil {
					k.Stops = map[string]int{}
				}
				k.Stops[l.Task] = stopsAfter(l)
			}
		}
	}
	for _, l := range t.nearest(q.Out, f.Missed...) {
		k.Out = append(k.Out, t.leftOut(l))
		if l.Why == t.Rules.Quotes.LeftBudget {
			k.Over = append(k.Over, l.Words)
		}
	}
	k.Step = int64(f.Step)
	for _, l := range f.Further {
		k.Further = append(k.Further, l.Words)
	}
	for _, l := range f.Missed {
		k.Unreached = append(k.Unreached, l.Words)
		k.Named = &[2]int64{int64(f.Named.Likely), int64(f.Named.High)}
	}
	k.Way = t.wayOf(q)
	k.Why = t.because(q)
	for _, r := range q.Refer {
		k.Refer = append(k.Refer, r.Words)
	}
	return k
}

// because are the lines of what moves a price most.
func (t *turn) because(q pricing.Quote) (lines []string) {
	for _, d := range q.Because {
		lines = append(lines, t.word(wording.LineWhy, wording.Facts{Text: d.Words, Most: t.pounds(int64(d.Effect))}))
	}
	return lines
}

// wayOf is what the way beyond the free miles is of a likely price, in pence: as among its
// reasons, if it is one of them. It is 0 where it is hardly worth a word.
func (t *turn) wayOf(q pricing.Quote) (way int64) {
	const least = 5_00
	for _, l := range q.In {
		if l.Task == pricing.TravelLine {
			way = int64(l.Price.Near(1_00))
		}
	}
	for _, d := range q.Because {
		if way > 0 && d.Words == t.Rules.Place.Travel {
			way = int64(d.Effect)
		}
	}
	if way < least {
		return 0
	}
	return way
}

// nearest puts first what the customer came closest to having: what they named and their
// figure left out, what else it did, then a step more of what they asked for, then the rest.
func (t *turn) nearest(out []pricing.Left, missed ...pricing.Left) []pricing.Left {
	why := map[string]int{t.Rules.Quotes.LeftBudget: -2, t.Rules.Quotes.LeftDeeper: -1}
	rank := func(l pricing.Left) int {
		if slices.ContainsFunc(missed, func(m pricing.Left) bool { return m.Task == l.Task }) {
			return -3
		}
		return why[l.Why]
	}
	sorted := slices.Clone(out)
	slices.SortStableFunc(sorted, func(a, b pricing.Left) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(b.Adds, a.Adds))
	})
	return sorted
}

// leastStated is the least time, in minutes, after which work is said to stop.
const leastStated = 5

// stopsAfter are the minutes after which work that is cut short stops, as people are told.
func stopsAfter(l pricing.Line) int { return max(leastStated, toFive(l.AtMost)) }

// How much of a quote its first message names. Nobody reads more on a phone; the
// whole list is a tap away.
const (
	mostNamed   = 6
	mostLeftOut = 3
)

// weightiest are n lines in the order of the work: those asked for by name, and the
// dearest of the others.
func weightiest(lines []pricing.Line, n int, named []string) []pricing.Line {
	sorted := slices.Clone(lines)
	slices.SortStableFunc(sorted, func(a, b pricing.Line) int {
		if by := slices.Contains(named, b.Task); by != slices.Contains(named, a.Task) {
			return map[bool]int{true: 1, false: -1}[by]
		}
		return int(b.Price - a.Price)
	})
	sorted = sorted[:min(n, len(sorted))]
	return slices.DeleteFunc(slices.Clone(lines), func(l pricing.Line) bool {
		return !slices.ContainsFunc(sorted, func(s pricing.Line) bool { return s.Task == l.Task })
	})
}

// askedByName are the tasks of some lines that answer to a name somebody asked for: a task
// itself, and of each want the dearest it alone brings. Whoever ticked "Protection" is not
// to look for it among the smaller steps.
func (t *turn) askedByName(lines []pricing.Line, wants []string) []string {
	named := slices.Clone(wants)
	for _, w := range wants {
		var alone, applied pricing.Line
		for _, l := range lines {
			task, ok := t.Rules.Task(l.Task)
			if !ok || len(task.For[w]) == 0 {
				continue
			}
			if !slices.ContainsFunc(wants, func(o string) bool { return o != w && len(task.For[o]) > 0 }) && (alone.Task == "" || l.Price > alone.Price) {
				alone = l
			}
			if task.Applies != "" && (applied.Task == "" || l.Price > applied.Price) {
				applied = l
			}
		}
		named = append(named, cmp.Or(alone.Task, applied.Task))
	}
	return named
}

// worth are the lines of a quote that a customer pays for and not merely meets:
// without setting up and looking the car over.
func (t *turn) worth(lines []pricing.Line) []string {
	var out []string
	for _, l := range lines {
		task, ok := t.Rules.Task(l.Task)
		switch {
		case !ok || task.Always:
		case l.AtMost > 0:
			out = append(out, t.word(wording.LineAtMost, wording.Facts{Text: l.Words, Minutes: stopsAfter(l)}))
		default:
			out = append(out, l.Words)
		}
	}
	return out
}

func (t *turn) leftOut(l pricing.Left) string {
	switch {
	case l.Adds <= 0 && l.Reckoned: // the smallest price has room for it
		return t.word(wording.LineAddsNothing, wording.Facts{Text: l.Words})
	case l.Adds <= 0:
		return l.Words
	}
	return t.word(wording.LineAdds, wording.Facts{Text: l.Words, Most: t.pounds(int64(l.Adds))})
}

// facts are what a quote's sentences speak of.
func (t *turn) quoteFacts(e *Enquiry) wording.Facts {
	q := e.Quote
	f := wording.Facts{Name: e.Name, Car: carName(e), Low: t.pounds(q.Low), Likely: t.pounds(q.Likely), Most: t.pounds(q.High),
		Until: t.Words.Date(q.Until.In(t.Zone)), Hours: t.length(q.P50), In: q.Main, Out: q.Out, Stays: q.Stays, Why: q.Why,
		Refer: q.Refer, Items: q.Notes, Minutes: len(q.In) - len(q.Main)}
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
		f.In, f.Out = e.Quote.In, e.Quote.Out
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

// look passes on to the owner that a car must be seen before there is a price,
// with everything that was said about it.
func (t *turn) look(e *Enquiry) string {
	f := t.card(e)
	if f.Text = strings.TrimSpace(e.Quote.NeedSee); t.seeFlagged(e) {
		f.Text = "" // it stands among what to mind
	}
	t.showCard(e, wording.OwnerLook, f)
	t.keepTalk(e)
	t.chat(e.Chat).Person = true
	return t.word(wording.LookAsked, wording.Facts{Name: e.Name, Car: carName(e)})
}

// seeFlagged tells whether a flag of the rules is why a car has to be seen first.
func (t *turn) seeFlagged(e *Enquiry) bool {
	return slices.ContainsFunc(t.Rules.Flags(), func(f pricing.Flag) bool {
		return f.Outcome == pricing.See && cmp.Or(f.Plain, f.Words) == e.Quote.NeedSee
	})
}

// notesUnseen keeps what is written beside the buttons about a car that has to be seen first,
// as the owner decides by it: "is it 50 or 500", "it's the middle seat".
func (t *turn) notesUnseen(e *Enquiry, q *question, p prompt, text string) {
	asks := q.id == askQuote && e.Quote != nil && e.Quote.NeedSee != "" && t.isQuestion(text)
	tells := q.id == askPhoto && e.answer(askQuote) == choiceLook
	if _, plain := bare(p, text); (asks || tells) && !plain {
		t.notes(e, text)
	}
}
