package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// wearsOff tells whether any of the work falls due again. Who has the inside hoovered is
// asked about no reminder; if the owner puts something on all the same, they are asked when
// it is done.
func wearsOff(t *turn, e *Enquiry) bool {
	return priceAgreed(t, e) && e.Quote != nil && slices.ContainsFunc(e.Quote.Tasks, func(id string) bool {
		_, ok := t.Rules.Protection(id)
		return ok
	})
}

func putConsent(t *turn, e *Enquiry) prompt {
	p := prompt{text: t.word(wording.AskConsent, wording.Facts{Items: t.protectedBy(e.Quote.Tasks)})}
	yes, no := t.choose("yes", wording.LabelRemind), t.choose("no", wording.LabelNoRemind)
	p.options = []option{yes, no}
	return p
}

// protectedBy are the names of the protections that some work puts on.
func (t *turn) protectedBy(tasks []string) (names []string) {
	for _, id := range tasks {
		if p, ok := t.Rules.Protection(id); ok {
			names = append(names, p.Words)
		}
	}
	return names
}

func putConfirm(t *turn, e *Enquiry) prompt {
	k, label := wording.AskConfirm, wording.LabelAskForIt
	if isGuest(e.Chat) {
		k, label = wording.AskConfirmGuest, wording.LabelApprove
	}
	f := t.agreed(e)
	if t.hasHisYes(e) {
		f.Now, label = "agreed", wording.LabelApprove
	}
	f.Terms = t.shortTerms(e)
	if e.Quote.Budget > 0 { // else they stood under the price
		f.Terms = slices.Concat(e.Quote.Notes, f.Terms)
	}
	f.Out = t.hisWords(e, wording.LineBossWrote)
	p := prompt{text: t.word(k, f)}
	yes := t.choose("yes", label)
	yes.own = true
	p.options = []option{yes}
	if t.Rules.Terms.Given() {
		p.options = append(p.options, t.choose(choiceInFull, wording.LabelTerms))
	}
	p.options = append(p.options, t.choose(choiceChange, wording.LabelChange))
	return p
}

// agreed are the facts of an enquiry that has a price and a time.
func (t *turn) agreed(e *Enquiry) wording.Facts {
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: t.scoped(e), In: e.Quote.In,
		Low: t.pounds(e.Quote.Low), Likely: t.pounds(e.Quote.Likely), Most: t.pounds(e.Quote.High)}
	f.Price = t.word(wording.PriceRange, f)
	if e.unpriced() {
		f.Low, f.Likely, f.Most, f.Price = "", "", "", t.word(wording.PriceOnSight, f)
	}
	if e.Slot != nil {
		start := e.Slot.Start.In(t.Zone)
		f.When, f.Day = t.Words.Moment(start), t.Words.Date(start)
		f.Until = t.until(e.Slot.Start, e.Slot.End)
	}
	f.Items = []string{t.whereTo(e) + t.stays(e)}
	f.Inside, f.Van = t.inside(e), e.isVan()
	if !atTheirs(t, e) {
		f.Address = t.workshop()
	}
	f.Earlier = t.hereBefore(e)
	return f
}

// inside tells whether the inside of the car is worked on, so that it is to be empty.
func (t *turn) inside(e *Enquiry) bool {
	in := []pricing.Area{pricing.Interior, pricing.PetHair, pricing.Stains, pricing.Smell, pricing.Mould}
	return t.touched(e, pricing.Interior) || slices.ContainsFunc(e.Quote.Tasks, func(id string) bool {
		task, ok := t.Rules.Task(id)
		return ok && slices.Contains(in, task.Area)
	})
}

// until is when something is over that begins at a moment: with the day if that is
// another.
func (t *turn) until(start, end time.Time) string {
	if end = end.In(t.Zone); diary.Key(start, t.Zone) != diary.Key(end, t.Zone) {
		return t.Words.Moment(end)
	}
	return end.Format("15:04")
}

// stays says how long the car has to stay where it is when the work is done, empty
// if it need not. At the workshop that is until there is somebody to hand it over.
func (t *turn) stays(e *Enquiry) string {
	if e.Slot == nil || e.Quote.Dry == 0 {
		return ""
	}
	ready, k := e.Slot.End.In(t.Zone).Add(time.Duration(e.Quote.Dry)*time.Minute), wording.StaysTheirs
	if !atTheirs(t, e) {
		ready, k = t.handedOver(ready), wording.StaysUnit
	}
	f := wording.Facts{When: t.Words.Moment(ready)}
	if diary.Key(ready, t.Zone) == diary.Key(e.Slot.End, t.Zone) {
		f.When = ready.Format("15:04")
	}
	return ". " + t.word(k, f)
}

// handedOver is the first moment from one on that lies within the usual hours.
func (t *turn) handedOver(at time.Time) time.Time {
	rules := t.diaryRules()
	y, m, d := at.Date()
	for i := range 14 {
		day := time.Date(y, m, d+i, 0, 0, 0, 0, t.Zone)
		for _, s := range rules.Open(diary.Key(day, t.Zone), day.Weekday(), diary.Day{}) {
			from, to := time.Date(y, m, d+i, 0, s.From, 0, 0, t.Zone), time.Date(y, m, d+i, 0, s.To, 0, 0, t.Zone)
			if at.Before(from) {
				return from
			}
			if !at.After(to) {
				return at
			}
		}
	}
	return at
}

func (t *turn) pounds(pence int64) string { return t.Words.Money(pence) }

// wanted is what the customer asked for, in the words they tapped.
func (t *turn) wanted(e *Enquiry) string {
	return strings.Join(labels(putWants(t, e), e.Answers[askWants]), ", ")
}

// where is the place of the work, in the words of the answers about it.
func (t *turn) where(e *Enquiry) string {
	var said []string
	for _, q := range form {
		if q.id != askSite && !atTheirs(t, e) {
			continue
		}
		for _, n := range q.place {
			if e.has(q.id, n.key) && n.key != choiceUnknown {
				said = append(said, t.label(n.label))
			}
		}
	}
	if miles := e.answer(askMiles); miles != "" && !slices.ContainsFunc(distances, func(n named) bool { return n.key == miles }) && atTheirs(t, e) {
		said = append(said, t.word(wording.SaidMiles, wording.Facts{Text: miles}))
	}
	return strings.Join(said, ", ")
}

// tookConfirm asks the owner. Until he says yes nothing is booked, and his
// silence is never read as yes.
func tookConfirm(t *turn, e *Enquiry) string {
	e.Stage = Waits
	t.mustEnter(e, e.ID, diary.Asked)
	e.HeldUntil = time.Time{}
	t.unset(CameHold, e)
	t.unset(CameLapsing, e)
	e.Work = nil
	t.agree(e)
	if isGuest(e.Chat) || t.hasHisYes(e) {
		t.approve(e) // it is he who says yes for them, or he has said it
		return ""
	}
	until := t.before(t.answerBy(), e.Slot.Start)
	t.set(t.remindBefore(until), Came{Kind: CameAsk, Enquiry: e.ID})
	e.From = until
	t.wantDeposit(e, pricing.BeforeYes) // put says so, after these words
	t.showCard(e, wording.OwnerAsk, t.card(e))
	f := t.agreed(e)
	f.Until = t.Words.Moment(until)
	return t.word(wording.Asked, f)
}

// answerBy is when a request lapses: when the rules say, but never in the night
// or before the owner has had part of a morning.
func (t *turn) answerBy() time.Time {
	const morning = 2 // hours
	by := t.awake(t.now.Add(t.patience()))
	y, m, d := by.Date()
	if late := time.Date(y, m, d, t.Rules.Nudges.FromHour+morning, 0, 0, 0, t.Zone); by.Before(late) {
		return late
	}
	return by
}

// before is by, or if the time that is asked for would be upon us by then, an hour
// before that; where there is less than two, half of what there is.
func (t *turn) before(by, start time.Time) time.Time {
	left := start.Sub(t.now)
	if last := start.Add(-min(time.Hour, left/2)); left > 0 && last.Before(by) {
		return last
	}
	return by
}

// remindBefore is when to remind somebody of what is to be answered until a moment:
// when half the time is over, and they are awake; at least not in the night.
func (t *turn) remindBefore(until time.Time) time.Time {
	left := until.Sub(t.now)
	half := t.now.Add(left / 2)
	for _, at := range []time.Time{t.awake(t.now.Add(min(t.patience(), left) / 2)), t.setting().Serviceable(half)} {
		if at.Before(until) {
			return at
		}
	}
	return half
}

// awake is the first moment from at on at which people can be expected to answer.
func (t *turn) awake(at time.Time) time.Time { return t.setting().Awake(at) }

func (t *turn) patience() time.Duration {
	return time.Duration(t.Rules.Diary.ApproveWithinHours) * time.Hour
}
