package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// At the end of a job the owner is asked how long it took, what it came to and what was
// put on. He answers in his own words, or speaks of something else: then that is done, and
// the question stays open with a button that leads back to it.

// endSaid takes what he types while a question about the end of a job is open.
func (t *turn) endSaid(c *Chat, text string) {
	e := t.enquiry(c.Finishing)
	if e == nil || e.Stage != Booked {
		c.Finishing = ""
		t.tell(c.ID, wording.OwnerStale, wording.Facts{})
		return
	}
	about := t.exceptOwnName(e, text)
	var answered bool
	switch {
	case e.Work == nil:
		answered = t.minutesSaid(c, e, about)
	case e.Work.Price == 0:
		answered = t.priceSaid(c, e, about)
	default:
		answered = t.putOn(c, e, about)
	}
	if answered {
		return
	}
	if t.besideEnd(c, e, text) {
		t.tell(c.ID, wording.OwnerEndOpen, wording.Facts{Name: e.Name, Car: carName(e)}, t.backToEndRow(e))
		return
	}
	t.askEndAgain(c, e)
}

// besideEnd follows words about something else than the job being finished: another
// customer, a day. It reports whether they were any.
func (t *turn) besideEnd(c *Chat, e *Enquiry, text string) bool {
	of, _ := t.spokenOf(strings.Fields(wording.Plain(text)))
	of = slices.DeleteFunc(of, func(o *Enquiry) bool { return o.Chat == e.Chat })
	if len(of) == 0 {
		return t.erasureSaid(c, text) || t.dayNamed(c, text)
	}
	finishing := c.Finishing
	if t.daySaid(c, text) {
		return c.Finishing == finishing // else another job is being finished, and that is asked about
	}
	return t.namedSaid(c, text)
}

// exceptOwnName is a text without the name of the customer whose job is being finished
// and a word that it is done: "ann done 90 mins".
func (t *turn) exceptOwnName(e *Enquiry, text string) string {
	words := strings.Fields(text)
	names := t.namesIn(e.Name)
	named := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return isName(names, wording.Plain(w)) })
	if len(named) == len(words) || len(named) == 0 {
		return text
	}
	if t.means(wording.Plain(named[0]), wording.SayJobDone) && len(named) > 1 {
		named = named[1:]
	}
	return strings.Join(named, " ")
}

// minutesSaid takes how long the job took, and asks what it came to.
func (t *turn) minutesSaid(c *Chat, e *Enquiry, text string) bool {
	if t.saysJust(text, t.typed(wording.SayAsReckoned)) {
		t.took(c, e, e.Quote.reckoned(), nil)
		return true
	}
	n, byArea, ok := t.readMinutes(text)
	if ok {
		t.took(c, e, n, byArea)
	}
	return ok
}

// priceSaid takes the price of a job as typed. What came of it so far is not its price.
func (t *turn) priceSaid(c *Chat, e *Enquiry, text string) bool {
	words := strings.Fields(wording.Plain(apart(text)))
	partly := t.among(words, wording.SayPartly)
	if t.among(words, wording.SayHalf) && !slices.ContainsFunc(words, isSum) {
		e.Work.Half, e.Work.Part = true, 0
		e.Rev++
		t.tell(c.ID, wording.OwnerHalfOfWhat, wording.Facts{Name: e.Name}, t.priceWays(e)...)
		return true
	}
	p, err := pricing.ParsePence(t.sumSaid(text))
	switch {
	case err == nil && p > 0:
	case partly && sumIn(words) > 0:
		t.soFar(c, e, sumIn(words))
		return true
	default:
		return false
	}
	pence := int64(p)
	if partly {
		t.soFar(c, e, pence)
		return true
	}
	t.priceNamed(c, e, pence, t.among(words, wording.SayPaid) && !t.among(words, wording.SayNotPaid)) // "190 cash paid"
	return true
}

// priceNamed keeps the price of a job, or asks where it is more than was promised, or so
// little that it may be a part. It may have been paid with the same word.
func (t *turn) priceNamed(c *Chat, e *Enquiry, pence int64, paid bool) {
	press := func(choice string) string { return press{e.ID, e.Rev, pressPaid, choice}.data() }
	whole := strconv.FormatInt(pence, 10)
	if most := e.Quote.High; pence > most {
		// They were promised to be asked first, so he is asked whether they were.
		said := whole
		if paid {
			said = endPaid + whole
		}
		t.tell(c.ID, wording.OwnerAboveMost, wording.Facts{Name: e.Name, Price: t.pounds(pence), Most: t.pounds(most)},
			[]bot.Choice{{Label: t.label(wording.LabelTheySaidYes), Data: press(said)}, {Label: t.pounds(most), Data: press(strconv.FormatInt(most, 10))}})
		return
	}
	if pence*4 < e.Quote.Low*3 { // so far below what was said that it may be a part
		t.tell(c.ID, wording.OwnerAllOrPart, wording.Facts{Name: e.Name, Price: t.pounds(pence), Likely: t.pounds(e.Quote.Low)},
			[]bot.Choice{{Label: t.pounds(pence), Data: press(whole)}, {Label: t.word(wording.PartButton, wording.Facts{Price: t.pounds(pence)}), Data: press(fmt.Sprint(endPart, pence))}})
		return
	}
	if paid {
		e.Work.Price, e.Work.Paid = pence, t.now
		t.tell(c.ID, wording.OwnerPaid, wording.Facts{Name: e.Name, Price: t.pounds(e.toPay())})
	}
	t.price(c, e, pence)
}

// The presses under a price that is asked for, besides a sum: one step back, that only so
// much is here, and that all of it is.
const (
	endBack = "back"
	endPart = "part:"
	endPaid = "paid:"
)

// endPressed takes these presses, and reports false if it was another.
func (t *turn) endPressed(c *Chat, e *Enquiry, choice string, w bot.Tap) bool {
	part, isPart := strings.CutPrefix(choice, endPart)
	paid, isPaid := strings.CutPrefix(choice, endPaid)
	switch {
	case isPaid && atoi(paid) > 0:
		t.takeOff(w)
		e.Work.Price, e.Work.Paid = int64(atoi(paid)), t.now
		t.tell(c.ID, wording.OwnerPaid, wording.Facts{Name: e.Name, Price: t.pounds(e.toPay())})
		t.price(c, e, e.Work.Price)
	case choice == endBack && e.Work.Price > 0:
		t.takeOff(w)
		e.Work.Price, e.Work.Part, e.Work.Paid = 0, 0, time.Time{}
		e.Rev++
		c.Finishing = e.ID
		t.askPrice(c, e)
	case choice == endBack:
		t.takeOff(w)
		t.askMinutes(c, e)
	case isPart && e.Work.Price == 0 && atoi(part) > 0:
		t.takeOff(w)
		t.soFar(c, e, int64(atoi(part)))
	default:
		return false
	}
	return true
}

// soFar keeps what is here of a price that is still to be said, and asks for that.
func (t *turn) soFar(c *Chat, e *Enquiry, pence int64) {
	e.Work.Part, e.Work.Half = pence, false
	e.Rev++
	t.tell(c.ID, wording.OwnerPartOfWhat, wording.Facts{Name: e.Name, Price: t.pounds(pence)}, t.priceWays(e)...)
}

// askPrice asks what a job came to.
func (t *turn) askPrice(c *Chat, e *Enquiry) {
	f := t.toOwnerAs(t.agreed(e), e.Quote)
	f.Minutes = e.Work.Minutes
	t.tell(c.ID, wording.OwnerPrice, f, t.priceRow(e), t.endBackRow(e))
}

// priceWays are the prices that were said, to be tapped, and the way back.
func (t *turn) priceWays(e *Enquiry) [][]bot.Choice {
	return [][]bot.Choice{t.priceRow(e), t.endBackRow(e)}
}

func (t *turn) endBackRow(e *Enquiry) []bot.Choice {
	return []bot.Choice{{Label: t.label(wording.LabelBack), Data: press{e.ID, e.Rev, pressPaid, endBack}.data()}}
}

// askEndAgain asks once more what could not be read, with a way out.
func (t *turn) askEndAgain(c *Chat, e *Enquiry) {
	switch {
	case e.Work == nil:
		t.tell(c.ID, wording.OwnerNotNumber, wording.Facts{}, t.minutesRows(e)...)
	case e.Work.Price == 0:
		t.tell(c.ID, wording.OwnerNotPrice, wording.Facts{}, t.priceWays(e)...)
	default:
		t.askPutOn(c, e, t.endBackRow(e))
	}
}

// askPutOn asks what was applied.
func (t *turn) askPutOn(c *Chat, e *Enquiry, more ...[]bot.Choice) {
	t.tell(c.ID, wording.OwnerProtect, wording.Facts{Name: e.Name, Text: t.pounds(e.Work.Price)}, slices.Concat(t.protections(e), more)...)
}

// backToEnd asks again what is still open at the end of a job.
func (t *turn) backToEnd(c *Chat, e *Enquiry) {
	if e.Stage != Booked || e.Work == nil {
		t.staleVisit(c, e)
		return
	}
	c.Finishing, c.Writing, c.Noting = e.ID, "", ""
	if e.Work.Price == 0 {
		t.askPrice(c, e)
		return
	}
	t.askPutOn(c, e, t.endBackRow(e))
}

func (t *turn) backToEndRow(e *Enquiry) []bot.Choice {
	if e.Work == nil {
		return t.jobRow(e, named{jobFinish, wording.LabelCarryOn})
	}
	return []bot.Choice{{Label: t.label(wording.LabelCarryOn), Data: press{e.ID, e.Rev, pressOwner, pressEnd}.data()}}
}

// putOn takes what was applied as typed: the names of protections, that it was nothing,
// or that what is ticked is all of it. It reports whether the text was one of these.
func (t *turn) putOn(c *Chat, e *Enquiry, text string) bool {
	said := " " + wording.Plain(text) + " "
	named := false
	for _, p := range t.Rules.Protections() {
		if strings.Contains(said, " "+wording.Plain(p.Words)+" ") {
			named = true
			if !slices.Contains(e.Work.Protections, p.ID) {
				e.Work.Protections = append(e.Work.Protections, p.ID)
			}
		}
	}
	if one := t.protectionIn(text); !named && one != "" {
		named = true
		if t.among(strings.Fields(said), wording.SayJustThat) {
			e.Work.Protections = nil
		}
		if !slices.Contains(e.Work.Protections, one) {
			e.Work.Protections = append(e.Work.Protections, one)
		}
	}
	switch {
	case named:
		t.askPutOn(c, e)
	case t.saysJust(text, slices.Concat(t.typed(wording.LabelPutOnNothing), t.typed(wording.SayNone))):
		e.Work.Protections = nil
		c.Finishing = ""
		t.finish(e)
	case t.pleased(text) || t.saysJust(text, slices.Concat(t.typed(wording.LabelFinish), t.typed(wording.SayJobDone))):
		c.Finishing = ""
		t.finish(e)
	default:
		return false
	}
	return true
}

// protectionIn is the protection of which one word is enough in a text of small words:
// "just the spray one"; empty if there is none, or it may be of several.
func (t *turn) protectionIn(text string) (id string) {
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayPaidBeside), t.typed(wording.SayJustThat), t.typed(wording.LabelPutOnNothing))
	for _, w := range strings.Fields(wording.Plain(text)) {
		var of []string
		for _, p := range t.Rules.Protections() {
			if slices.Contains(strings.Fields(wording.Plain(p.Words)), w) {
				of = append(of, p.ID)
			}
		}
		switch {
		case len(of) == 1 && (id == "" || id == of[0]):
			id = of[0]
		case len(of) > 0 && id == "" || len(of) == 0 && !slices.Contains(small, w) && w != "put":
			return ""
		}
	}
	return id
}
