package conversations

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Finishing a job takes the owner a number, a price and a few ticks. Then, in one
// go: what was applied is remembered, the customer told how to look after it, and
// what comes due is set.

// pressPaid is the question name of the buttons under the price of a job.
const pressPaid = "paid"

// took keeps how long the job took, and asks what it came to.
func (t *turn) took(c *Chat, e *Enquiry, n int, byArea map[pricing.Area]int) {
	e.Work = &Work{Minutes: n, ByArea: byArea}
	e.Rev++
	if e.Job != nil && e.Job.Sum > 0 {
		sum := e.Job.Sum
		e.Job.Sum = 0
		t.priceNamed(c, e, sum, false)
		return
	}
	t.askPrice(c, e)
}

// priceRow are the likely price of a job and the most, to be tapped.
func (t *turn) priceRow(e *Enquiry) []bot.Choice {
	var row []bot.Choice
	for _, p := range []int64{e.Quote.Likely, e.Quote.High} {
		label := t.pounds(p)
		if len(row) == 0 || row[0].Label != label {
			row = append(row, bot.Choice{Label: label, Data: press{e.ID, e.Rev, pressPaid, strconv.FormatInt(p, 10)}.data()})
		}
	}
	return row
}

// paidPressed takes the price of a job by a tap.
func (t *turn) paidPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage == Booked && e.Work != nil && p.rev == e.Rev && t.endPressed(c, e, p.choice, w) {
		return
	}
	pence, err := strconv.ParseInt(p.choice, 10, 64)
	if e.Stage != Booked || e.Work == nil || p.rev != e.Rev || err != nil || pence <= 0 {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	t.price(c, e, pence)
}

// amountOf is the sum in a text that says how it was paid as well: "85 cash".
func (t *turn) amountOf(text string) string {
	var sum []string
	for _, w := range strings.Fields(text) {
		if f := strings.Fields(wording.Plain(w)); len(f) > 1 || len(f) == 1 && !t.onlyOf(f, nil) {
			sum = append(sum, w)
		}
	}
	return strings.Join(sum, " ")
}

// price keeps what the job came to, and asks what was applied.
func (t *turn) price(c *Chat, e *Enquiry, pence int64) {
	e.Work.Price = pence
	if e.Work.Half {
		e.Work.Part, e.Work.Half = pence/2, false
	}
	e.Rev++
	e.Work.Protections = nil
	for _, p := range t.Rules.Protections() {
		if slices.ContainsFunc(e.Quote.Tasks, func(id string) bool { task, _ := t.Rules.Task(id); return task.Applies == p.ID }) {
			e.Work.Protections = append(e.Work.Protections, p.ID)
		}
	}
	t.tell(c.ID, wording.OwnerProtect, wording.Facts{Name: e.Name, Text: t.pounds(pence)}, t.protections(e)...)
}

// protections are what may have been applied, ticked where it was.
func (t *turn) protections(e *Enquiry) [][]bot.Choice {
	var rows [][]bot.Choice
	var row []bot.Choice
	for _, p := range t.Rules.Protections() {
		label, choice := p.Words, "+"+p.ID
		if slices.Contains(e.Work.Protections, p.ID) {
			label, choice = "✓ "+p.Words, "-"+p.ID
		}
		row = append(row, bot.Choice{Label: label, Data: press{e.ID, e.Rev, pressKind, choice}.data()})
		if len(row) == 2 {
			rows, row = append(rows, row), nil
		}
	}
	if row != nil {
		rows = append(rows, row)
	}
	done := wording.LabelFinish
	if len(e.Work.Protections) == 0 {
		done = wording.LabelPutOnNothing
	}
	return append(rows, t.presses(e, pressKind, named{choiceDone, done})...)
}

// protected takes the ticks of what was applied, and finishes the job.
func (t *turn) protected(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Booked || e.Work == nil || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	if p.choice != choiceDone {
		if len(p.choice) > 1 {
			id := p.choice[1:]
			e.Work.Protections = slices.DeleteFunc(e.Work.Protections, func(x string) bool { return x == id })
			if _, ok := t.Rules.Protection(id); ok && p.choice[0] == '+' {
				e.Work.Protections = append(e.Work.Protections, id)
			}
		}
		if w.Message != 0 {
			t.say(bot.Message{Chat: c.ID, Edit: w.Message, Choices: t.protections(e), Kind: "ticks"})
		}
		return
	}
	t.takeOff(w)
	c.Finishing = ""
	t.finish(e)
}

// finish ends a job.
func (t *turn) finish(e *Enquiry) {
	t.dropMove(e)
	e.Seen = nil
	e.Stage = Done
	e.Rev++
	e.Work.At = t.now
	t.unsetAll(finishes, e)
	if owner := t.chat(t.Owner); t.Owner != 0 && owner.Job == e.ID {
		owner.Job, owner.Noting = "", ""
	}
	t.learn(e)
	customer := t.chat(e.Chat)
	if !customer.Awaited {
		t.deskAgain(customer)
	}
	t.receipt(e)
	t.pairs(e)
	t.care(e)
	f := wording.Facts{Name: e.Name, Minutes: e.Work.Minutes, Count: e.Quote.reckoned(), Price: t.pounds(e.Work.Price)}
	t.remembered(customer, e)
	if e.has(askConsent, "yes") && !customer.Stopped && !customer.Blocked && !customer.NoNudge {
		t.plan(e)
		t.askWear(e)
		if !e.Work.Nudge.IsZero() {
			f.When = t.Words.DateYear(e.Work.Nudge.In(t.Zone))
			e.Work.NudgeTold = e.Work.Nudge
		}
	} else if e.has(askConsent, "no") {
		t.takeOver(e) // the latest word about this car counts
		e.Plan = nil
	} else if len(e.Work.Protections) > 0 && !isGuest(e.Chat) && !customer.Stopped && !customer.Blocked && !customer.NoNudge {
		t.askConsentFor(e)
	}
	t.goesOn(customer, e)
	if t.Owner != 0 {
		f.Car = carName(e)
		var rows [][]bot.Choice
		if e.toPay() == 0 {
			e.Work.Paid = t.now
		} else if e.Work.Part > 0 && e.Work.Paid.IsZero() {
			e.Work.Owed = true // part of it is here
			t.askAfter(e, unpaidAfter)
			f.Money = t.pounds(e.toPay())
		}
		if e.Work.Paid.IsZero() {
			rows = append(rows, t.jobRow(e, named{jobPaid, wording.LabelPaid}, named{jobUnpaid, wording.LabelUnpaid}))
		}
		rows = append(rows, t.afterRows(e)...)
		t.tell(t.Owner, wording.OwnerDone, f, rows...)
	}
}

// afterRows are what can be done about a finished job besides its money, wherever the owner
// is shown it.
func (t *turn) afterRows(e *Enquiry) (rows [][]bot.Choice) {
	if e.Every == 0 {
		rows = append(rows, []bot.Choice{{Label: t.label(wording.LabelRegular), Data: press{e.ID, e.Rev, pressOwner, pressRegular}.data()}})
	}
	return append(rows, t.remarkRow(e))
}

// receipt says what the job came to, with the VAT in it if the business is
// registered.
func (t *turn) receipt(e *Enquiry) {
	if t.chat(e.Chat).Blocked {
		return
	}
	f := t.agreed(e)
	f.Price, f.Text = t.pounds(e.Work.Price), ""
	f.In = t.doneOf(e.Quote)
	f.Day = t.Words.DateYear(e.Work.At.In(t.Zone))
	if t.Rules.Money.VATRegistered {
		f.Text = t.pounds(int64(pricing.VATIn(pricing.Pence(e.Work.Price), t.Rules.Money.VATPercent)))
	}
	t.lessDeposit(e, &f)
	var row []bot.Choice
	if !isGuest(e.Chat) {
		row = t.theirRow(e, named{theirSnag, wording.LabelNotRight})
	}
	t.tell(e.Chat, wording.Receipt, f, row)
}

// doneOf are the lines of a quote as a receipt has them: what was done, without after how
// many minutes it would have stopped.
func (t *turn) doneOf(q *Quoted) []string {
	out := slices.Clone(q.In)
	for i, line := range out {
		words := ""
		for _, id := range q.Tasks {
			if task, _ := t.Rules.Task(id); strings.HasPrefix(line, task.Words) && len(task.Words) > len(words) {
				words = task.Words
			}
		}
		out[i] = cmp.Or(words, line)
	}
	return out
}
