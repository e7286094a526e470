package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

func putConsent(t *turn, e *Enquiry) prompt {
	p := sentence(wording.AskConsent)(t, e)
	yes, no := t.choose("yes", wording.LabelRemind), t.choose("no", wording.LabelNoRemind)
	p.options = []option{yes, no}
	return p
}

func putConfirm(t *turn, e *Enquiry) prompt {
	k, label := wording.AskConfirm, wording.LabelAskForIt
	if isGuest(e.Chat) {
		k, label = wording.AskConfirmGuest, wording.LabelApprove
	}
	f := t.agreed(e)
	f.Terms = t.shortTerms(e)
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
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: t.wanted(e), In: e.Quote.In,
		Low: pounds(e.Quote.Low), Likely: pounds(e.Quote.Likely), Most: pounds(e.Quote.High)}
	f.Price = t.word(wording.PriceRange, f)
	if e.Slot != nil {
		start := e.Slot.Start.In(t.Zone)
		f.When, f.Day = t.Words.Moment(start), t.Words.Date(start)
		f.Until = e.Slot.End.In(t.Zone).Format("15:04")
	}
	f.Items = []string{t.where(e)}
	f.Earlier = t.hereBefore(e)
	return f
}

func pounds(pence int64) string { return pricing.Pence(pence).String() }

// wanted is what the customer asked for, in the words they tapped.
func (t *turn) wanted(e *Enquiry) string {
	return strings.Join(labels(putWants(t, e), e.Answers[askWants]), ", ")
}

// where is the place of the work, in the words of the answers about it.
func (t *turn) where(e *Enquiry) string {
	var said []string
	for _, q := range []struct {
		id   string
		list []named
	}{{askSite, bringOrMine}, {askSurface, surfaces}, {askServices, services}, {askDrain, drains}, {askMiles, distances}} {
		if q.id != askSite && !atTheirs(t, e) {
			continue
		}
		for _, n := range q.list {
			if e.has(q.id, n.key) {
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
	t.mustEnter(e, diary.Asked)
	e.HeldUntil = time.Time{}
	t.unset(CameHold, e)
	t.unset(CameLapsing, e)
	e.Work = nil
	t.agree(e)
	if isGuest(e.Chat) {
		t.approve(e) // it is he who says yes for them
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
