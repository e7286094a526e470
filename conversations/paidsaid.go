package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// Money is spoken of in passing, "Mia paid cash", and is written down as the button
// does it.

// paidDays is how far back a job may lie that the owner says is paid.
const paidDays = 42

// paidSaid takes the owner's word that a job has been paid, or has not, and reports
// whether the text was that. Of several jobs whose money is open, the one whose customer,
// car or sum is named is meant; where that leaves more than one, he is asked.
func (t *turn) paidSaid(c *Chat, text string) bool {
	words := strings.Fields(wording.Plain(apart(text)))
	if !t.among(words, wording.SayPaid) {
		return t.moneySaid(c, words)
	}
	not := t.among(words, wording.SayNotPaid)
	if e := t.enquiry(c.Finishing); e != nil && e.Stage == Booked && e.Work != nil && e.Work.Price > 0 && !not {
		return t.paidAlready(c, e, words)
	}
	open := t.unpaidJobs()
	if e := t.justOpen(open); not && e != nil && c.Finishing == "" && t.enquiry(c.Job) == nil && t.beginsUnpaid(words) {
		if of, _ := t.spokenOf(words); len(of) == 0 || of[0].Chat == e.Chat {
			t.moneyPressed(e, jobUnpaid, "", bot.Tap{})
			return true
		}
	}
	meant := slices.DeleteFunc(slices.Clone(open), func(e *Enquiry) bool { return !t.onlyOf(words, e) })
	if named := slices.DeleteFunc(slices.Clone(meant), func(e *Enquiry) bool { return !t.namedIn(words, e) }); len(named) > 0 {
		meant = named
	}
	switch {
	case len(open) == 0 && !not && t.onlyOf(words, nil) && t.enquiry(c.Job) == nil:
		t.tell(c.ID, wording.OwnerNothingOpen, wording.Facts{}, t.deskWays()...)
	case len(meant) == 0:
		return !not && t.paidBefore(c, words)
	case len(meant) > 1:
		t.whoPaid(c, wording.OwnerWhoPaid, meant)
	case not:
		t.moneyPressed(meant[0], jobUnpaid, "", bot.Tap{})
	case t.anotherSum(words, meant[0]):
		t.allOfIt(c, meant[0], sumIn(words))
	default:
		t.moneyPressed(meant[0], jobPaid, "", bot.Tap{})
	}
	return true
}

// moneySaid takes what is said of money right behind a finished job: "cash", "half", "not
// yet". It is about the job whose money has just been asked about, and nothing else.
func (t *turn) moneySaid(c *Chat, words []string) bool {
	later := t.among(words, wording.SayPayLater)
	how, not, half := t.among(words, wording.SayHowPaid), t.among(words, wording.SayNotPaid), t.among(words, wording.SayHalf)
	if c.Finishing != "" || t.enquiry(c.Job) != nil || !how && !not && !half && !later {
		return false
	}
	e := t.justOpen(t.unpaidJobs())
	if e == nil || !later && !t.onlyOf(words, e) {
		return false
	}
	switch {
	case half:
		t.allOfIt(c, e, e.toPay()/2)
	case not, later:
		t.moneyPressed(e, jobUnpaid, "", bot.Tap{})
	case t.anotherSum(words, e):
		t.allOfIt(c, e, sumIn(words))
	default:
		t.moneyPressed(e, jobPaid, "", bot.Tap{})
	}
	return true
}

// beginsUnpaid tells whether words begin with that a job is not paid; how it will be may
// stand behind: "not paid, shes transferring it".
func (t *turn) beginsUnpaid(words []string) bool {
	n := longestOf(t.typed(wording.SayNotPaid), words)
	return n > 0 && longestOf(t.typed(wording.SayPaid), words[n:]) > 0
}

// justOpen is the one of some jobs whose money has just been asked about, nil if it is none
// or several.
func (t *turn) justOpen(open []*Enquiry) *Enquiry {
	open = slices.DeleteFunc(slices.Clone(open), func(e *Enquiry) bool { return t.now.Sub(e.Work.At) > justFinished })
	if len(open) != 1 {
		return nil
	}
	return open[0]
}

// justFinished is how long after a job words of money without a name are about that one.
const justFinished = 2 * time.Hour

// sumIn is the sum among some words, in pence, 0 for none.
func sumIn(words []string) int64 {
	if i := slices.IndexFunc(words, isSum); i >= 0 {
		return 100 * int64(atoi(words[i]))
	}
	return 0
}

// allOfIt asks whether all the money of a job is here, or only so much of it.
func (t *turn) allOfIt(c *Chat, e *Enquiry, part int64) {
	if part > e.toPay() {
		t.moreThanOpen(c, e, part)
		return
	}
	row := t.jobRow(e, named{jobPaid, wording.LabelPaid}, named{jobUnpaid, wording.LabelUnpaid})
	if part > 0 && part < e.toPay() {
		label := t.word(wording.PartButton, wording.Facts{Price: t.pounds(part)})
		row = append(row, bot.Choice{Label: label, Data: press{e.ID, 0, pressJob, fmt.Sprint(jobPart, ":", part, "/", e.toPay())}.data()})
	}
	t.tell(c.ID, wording.OwnerAllOfIt, wording.Facts{Name: e.Name, Price: t.pounds(e.toPay())}, row)
}

// moreThanOpen asks whether a job came to more than what is open of it, with the most that was
// named for it; what he says then is kept.
func (t *turn) moreThanOpen(c *Chat, e *Enquiry, sum int64) {
	f := wording.Facts{Name: e.Name, Price: t.pounds(e.toPay()), Low: t.pounds(sum)}
	if e.Quote != nil && sum > e.Quote.High {
		f.Most = t.pounds(e.Quote.High)
	}
	more := bot.Choice{Label: t.word(wording.MoreButton, wording.Facts{Price: f.Low}), Data: press{e.ID, 0, pressJob, fmt.Sprint(jobMore, ":", sum, "/", e.toPay())}.data()}
	only := bot.Choice{Label: t.word(wording.MoreButton, wording.Facts{Price: f.Price}), Data: press{e.ID, 0, pressJob, jobPaid}.data()}
	t.tell(c.ID, wording.OwnerMoreThanOpen, f, []bot.Choice{more, only}, t.jobRow(e, named{jobUnpaid, wording.LabelUnpaid}))
}

// paidBefore takes a sum that was paid for a job of today that is not said to be done yet: it
// is asked whether it is. It reports whether there is such a job, and one only.
func (t *turn) paidBefore(c *Chat, words []string) bool {
	of, _ := t.spokenOf(words)
	if of == nil {
		of = t.atHand(c)
	}
	of = slices.DeleteFunc(slices.Clone(of), func(e *Enquiry) bool {
		return e.Stage != Booked || e.Slot == nil || e.Slot.Start.After(t.now) || !t.sameDay(e.Slot.Start, t.now)
	})
	if sum := sumIn(words); c.Finishing == "" && len(of) == 1 && sum > 0 && t.onlyOf(words, of[0]) {
		t.askEnd(c, of[0], endFigures{pence: sum})
		return true
	}
	return false
}

// paidAlready notes that the job being finished is paid: what it came to is said, and
// what was put on still to be ticked.
func (t *turn) paidAlready(c *Chat, e *Enquiry, words []string) bool {
	if !t.onlyOf(words, e) {
		return false
	}
	if t.anotherSum(words, e) {
		if sumIn(words) > e.toPay() { // it came to more than he said just now
			t.priceNamed(c, e, sumIn(words), true)
			return true
		}
		return false
	}
	e.Work.Paid = t.now
	t.tell(c.ID, wording.OwnerPaid, wording.Facts{Name: e.Name, Price: t.pounds(e.toPay())})
	t.tell(c.ID, wording.OwnerProtect, wording.Facts{Name: e.Name, Text: t.pounds(e.Work.Price)}, t.protections(e)...)
	return true
}

// whoPaid asks which of several jobs was paid, the latest first.
func (t *turn) whoPaid(c *Chat, k wording.Key, open []*Enquiry) {
	const most = 8
	var rows [][]bot.Choice
	for _, e := range open[:min(most, len(open))] {
		label := t.word(wording.PaidButton, wording.Facts{Name: e.Name, Price: t.pounds(e.toPay()), Day: t.Words.Date(e.Work.At.In(t.Zone))})
		rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, 0, pressJob, jobPaid}.data()}})
	}
	t.tell(c.ID, k, wording.Facts{}, rows...)
}

// showOwed lists the jobs whose money is open, to be tapped when it has come.
// Jobs that are over and not finished with are named too: nobody has said how it is with those.
func (t *turn) showOwed(c *Chat) {
	open, unsaid := t.unpaidJobs(), t.notFinished(c)
	if len(open) > 0 {
		t.whoPaid(c, wording.OwnerOpen, open)
	}
	if len(unsaid) > 0 {
		f, rows := wording.Facts{}, [][]bot.Choice{}
		for _, e := range unsaid[:min(mostSpokenOf, len(unsaid))] {
			of := wording.Facts{Name: e.Name, Car: carName(e), Price: t.brief(e.Quote), Day: t.Words.Date(e.Slot.Start.In(t.Zone))}
			if e.Work != nil && e.Work.Price > 0 {
				of.Price = t.pounds(e.Work.Price)
			}
			f.Items = append(f.Items, t.word(wording.LineUnsaid, of))
			button := t.own(e, pressDone)
			if c.Finishing == e.ID {
				button = t.own(e, pressEnd)
			}
			button.Label = t.word(wording.UnsaidButton, of)
			rows = append(rows, []bot.Choice{button})
		}
		t.tell(c.ID, wording.OwnerUnsaid, f, rows...)
	}
	if len(open)+len(unsaid) == 0 {
		t.tell(c.ID, wording.OwnerNothingOpen, wording.Facts{}, t.deskWays()...)
	}
}

// notFinished are the jobs whose time is over, or which are being finished, and of which the
// end has not been said: what they came to, and whether that is here. The earliest first.
func (t *turn) notFinished(c *Chat) (of []*Enquiry) {
	for _, e := range t.visitsKnown() {
		if e.Stage == Booked && (e.ID == c.Finishing || !e.Slot.End.After(t.now)) {
			of = append(of, e)
		}
	}
	return of
}

// among tells whether one of the ways of saying something stands among words.
func (t *turn) among(words []string, k wording.Key) bool {
	for i := range words {
		if longestOf(t.typed(k), words[i:]) > 0 {
			return true
		}
	}
	return false
}

// onlyOf tells whether words say that a job was paid or not, and nothing else: what is
// left are its customer, its car, sums and small words. Without a job, small words alone.
func (t *turn) onlyOf(words []string, e *Enquiry) bool {
	phrases := slices.Concat(t.typed(wording.SayPaid), t.typed(wording.SayNotPaid), t.typed(wording.SayPaidBeside))
	all, _ := usedUp(words, func(left []string) (int, bool) {
		n := longestOf(phrases, left)
		if n == 0 && e != nil && (isSum(left[0]) || t.namedIn(left[:1], e)) {
			n = 1
		}
		return n, true
	})
	return all
}

func isSum(word string) bool { return strings.Trim(word, "0123456789") == "" }

// anotherSum tells whether a sum is named that is not what is open of a job.
func (t *turn) anotherSum(words []string, e *Enquiry) bool {
	return slices.ContainsFunc(words, isSum) && !slices.ContainsFunc(words, func(w string) bool { return sumIs(w, e) })
}

func sumIs(word string, e *Enquiry) bool {
	pounds, err := strconv.Atoi(word)
	return err == nil && int64(100*pounds) == e.toPay()
}

// namedIn tells whether one of some words is the name of a job's customer or car, or what
// is open of it.
func (t *turn) namedIn(words []string, e *Enquiry) bool {
	own := strings.Fields(wording.Plain(e.Name + " " + carName(e)))
	return slices.ContainsFunc(words, func(w string) bool {
		w = strings.TrimSuffix(w, "s")
		return sumIs(w, e) || len(w) > 1 && slices.ContainsFunc(own, func(o string) bool { return strings.TrimSuffix(o, "s") == w })
	})
}

// unpaidJobs are the finished jobs of the last weeks whose money is open, the latest
// first.
func (t *turn) unpaidJobs() []*Enquiry {
	var out []*Enquiry
	for _, date := range diary.Keys(t.now.AddDate(0, 0, -paidDays), t.Zone, paidDays+2) {
		for _, entry := range t.day(date).Entries {
			if entry.Kind != diary.Booked {
				continue
			}
			e := t.enquiry(entry.ID)
			if e != nil && e.Stage == Done && e.Work != nil && e.Work.Paid.IsZero() && e.toPay() > 0 && !slices.Contains(out, e) {
				out = append(out, e)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b *Enquiry) int { return b.Work.At.Compare(a.Work.At) })
	return out
}
