package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/ical"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// A standing visit is one of a row: the car comes every so many weeks. Some are
// planned ahead in the diary as bookings of their own, so that everything a booking
// can do, they can; each is skipped or moved with a tap, and as one goes another is
// planned at the end. The owner offers it and the customer says yes, once.

// pressStanding is the question name of their buttons.
const pressStanding = "standing"

// The choices under pressStanding.
const (
	standEvery = "every:" // the owner offers it, for so many weeks
	standYes   = "yes:"   // the customer takes it, for so many weeks
	standNo    = "no"
	standSkip  = "skip" // this one visit
	standEnd   = "end"  // all that are to come
)

const (
	// standAhead is how many visits are planned ahead.
	standAhead = 3
	// standAround is how many days from its day a visit may be put, if that is full.
	standAround = 3
	// standFresh is up to how many weeks after a visit a car still comes lighter.
	standFresh = 8
)

// standWeeks are the rhythms the owner can offer with a tap.
var standWeeks = []int{2, 4, 6, 8, 12}

// offerRegular asks the owner how often a car is to come.
func (t *turn) offerRegular(e *Enquiry) {
	var row []bot.Choice
	for _, n := range standWeeks {
		label := t.word(wording.EveryWeeks, wording.Facts{Count: n})
		row = append(row, bot.Choice{Label: label, Data: press{e.ID, e.Rev, pressStanding, standEvery + strconv.Itoa(n)}.data()})
	}
	t.tell(t.Owner, wording.OwnerAskRegular, wording.Facts{Name: e.Name, Car: carName(e)}, row[:3], row[3:])
}

// standingByOwner takes the owner's presses about standing visits, and reports
// whether it was one of his.
func (t *turn) standingByOwner(c *Chat, e *Enquiry, p press, w bot.Tap) bool {
	weeks, offers := strings.CutPrefix(p.choice, standEvery)
	n, err := strconv.Atoi(weeks)
	switch {
	case offers && (err != nil || !slices.Contains(standWeeks, n) || e.Stage != Done || p.rev != e.Rev || e.Every > 0):
		t.staleVisit(c, e)
	case offers:
		t.takeOff(w)
		t.askStanding(c, e, n)
	case p.choice == standSkip && e.Stage == Booked && e.Every > 0 && p.rev == e.Rev && !isGuest(e.Chat):
		t.takeOff(w)
		t.skip(e, Owner)
	case isGuest(e.Chat):
		return false
	default:
		t.staleVisit(c, e)
	}
	return true
}

// askStanding offers a customer to come every so many weeks, with what a visit
// would cost.
func (t *turn) askStanding(owner *Chat, e *Enquiry, weeks int) {
	next := t.lighter(e, weeks)
	f := wording.Facts{Name: e.Name, Car: carName(e), Count: weeks, When: t.Words.Date(t.inWeeks(e.Work.At, weeks))}
	q, err := t.quoted(t.priced(next))
	if err != nil || q.Refused != "" || q.NeedToSee != "" || t.chat(e.Chat).Stopped || t.chat(e.Chat).Blocked {
		t.tell(owner.ID, wording.OwnerNotRegular, f)
		return
	}
	f.Likely, f.Most = t.pounds(int64(q.Price.Likely)), t.pounds(int64(q.Price.High))
	f.Price, f.Text = t.word(wording.PriceRange, f), t.wanted(next)
	yes := bot.Choice{Label: t.word(wording.StandingYes, f), Data: press{e.ID, e.Rev, pressStanding, standYes + strconv.Itoa(weeks)}.data()}
	t.tell(e.Chat, wording.StandingOffer, f, append([][]bot.Choice{{yes}}, t.presses(e, pressStanding, named{standNo, wording.LabelNoThanks})...)...)
	t.tell(owner.ID, wording.OwnerAskedRegular, f)
}

// inWeeks is the same time of day so many weeks on, by the clock on the wall.
func (t *turn) inWeeks(at time.Time, weeks int) time.Time {
	return at.In(t.Zone).AddDate(0, 0, 7*weeks)
}

// lighter is the enquiry of a standing visit: the wash alone, on a car that has had
// one so many weeks before. Each area is expected a step better than it was.
func (t *turn) lighter(e *Enquiry, weeks int) *Enquiry {
	next := &Enquiry{Chat: e.Chat, Name: e.Name, Car: e.Car, Place: e.Place, Address: e.Address, Phone: e.Phone, Every: weeks, Answers: map[string][]string{}}
	comesAgain(e, next)
	for _, w := range e.Answers[askWants] {
		if w == "exterior" || w == "interior" || w == string(pricing.Wheels) || w == string(pricing.Glass) {
			next.Answers[askWants] = append(next.Answers[askWants], w)
		}
	}
	if len(next.Answers[askWants]) == 0 {
		next.Answers[askWants] = []string{"exterior"}
	}
	if weeks <= standFresh {
		for _, a := range t.Rules.Areas() {
			next.Answers[askCond+string(a.ID)] = []string{strconv.Itoa(int(t.stepBetter(e, a.ID)))}
		}
	}
	next.Answers[askQuote] = []string{choiceDone}
	return next
}

// stepBetter is an area a step better than it was seen or said last, and the first
// description where nobody has said. A car that was in the first stays there.
func (t *turn) stepBetter(e *Enquiry, a pricing.Area) pricing.Grade {
	g := e.Graded[a]
	if g == pricing.Unknown {
		g = e.said(a)
	}
	return max(pricing.Light, g-1)
}

// standingPressed takes a customer's press about standing visits.
func (t *turn) standingPressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	weeks, yes := strings.CutPrefix(p.choice, standYes)
	n, err := strconv.Atoi(weeks)
	switch {
	case p.rev != e.Rev:
		t.staleVisit(c, e)
	case yes && err == nil && slices.Contains(standWeeks, n) && e.Stage == Done && e.Every == 0:
		t.takeOff(w)
		t.begun(c, e, n)
	case p.choice == standNo && e.Stage == Done:
		t.takeOff(w)
		e.Rev++
		if now := t.current(c); now != nil && now.open() {
			t.put(now, t.word(wording.StandingDeclined, wording.Facts{}))
		} else {
			t.tell(c.ID, wording.StandingDeclined, wording.Facts{})
		}
		t.toOwner(wording.OwnerNoRegular, e, wording.Facts{})
	case p.choice == standSkip && e.Stage == Booked && e.Every > 0:
		t.takeOff(w)
		t.skip(e, Customer)
	case p.choice == standEnd && len(t.visits(c)) > 0:
		t.takeOff(w)
		e.Rev++
		t.endStanding(c, e)
	default:
		t.staleVisit(c, e)
	}
}

// visits are a chat's standing visits to come, the next first.
func (t *turn) visits(c *Chat) []*Enquiry {
	var out []*Enquiry
	for _, id := range c.Visits {
		if v := t.enquiry(id); v != nil && v.Stage == Booked && v.Slot != nil {
			out = append(out, v)
		}
	}
	slices.SortStableFunc(out, func(a, b *Enquiry) int { return a.Slot.Start.Compare(b.Slot.Start) })
	return out
}

// begun begins a row of standing visits after a job.
func (t *turn) begun(c *Chat, e *Enquiry, weeks int) {
	e.Every = weeks
	e.Rev++
	from := e.Work.At
	if e.Slot != nil {
		from = e.Slot.Start
	}
	planned := t.planAhead(c, e, from)
	if len(t.out.Need) > 0 {
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), Count: weeks, Items: t.visitDates(planned)}
	if len(planned) == 0 {
		e.Every = 0
		t.tell(c.ID, wording.StandingNoRoom, f)
		t.toOwner(wording.OwnerStandingNoRoom, e, f)
		return
	}
	f.Price = t.word(wording.PriceBrief, t.agreed(planned[0]))
	m := t.calendarOfAll(planned, false, c.ID, t.word(wording.StandingBegun, f))
	m.Choices = t.presses(e, pressStanding, named{standEnd, wording.LabelEndStanding})
	t.say(m)
	if t.Owner != 0 {
		t.say(t.calendarOfAll(planned, false, t.Owner, t.word(wording.OwnerStandingBegun, f)))
	}
	t.inHand(c)
}

// calendarOfAll hands several visits to somebody at once.
func (t *turn) calendarOfAll(visits []*Enquiry, gone bool, to bot.ChatID, text string) bot.Message {
	m := bot.Message{Chat: to, Text: text, Kind: "visit"}
	var events []ical.Event
	for _, v := range visits {
		events = append(events, t.calendar(v, gone).event(to == t.Owner))
	}
	cal := calendarOf(events)
	cal.Method = ical.Publish
	if gone {
		cal.Method = ical.Cancel
	}
	body, err := bytesOf(cal)
	if err != nil {
		t.fail(fmt.Errorf("conversations: calendar of standing visits: %w", err))
		return m
	}
	m.File = &bot.File{Name: t.word(wording.CalendarFile, wording.Facts{}), Data: body}
	return m
}

func (t *turn) visitDates(visits []*Enquiry) []string {
	var out []string
	for _, v := range visits {
		out = append(out, t.Words.Moment(v.Slot.Start.In(t.Zone)))
	}
	return out
}

// planAhead fills the row up after its last visit, or after a moment, and returns
// what it added. A week in which there is no room is left out.
func (t *turn) planAhead(c *Chat, like *Enquiry, from time.Time) []*Enquiry {
	there := t.visits(c)
	if n := len(there); n > 0 && there[n-1].row().After(from) {
		from = there[n-1].row()
	}
	var added []*Enquiry
	for i := 1; len(there)+len(added) < standAhead && i <= 2*standAhead; i++ {
		if target := t.inWeeks(from, i*like.Every); target.After(t.now) {
			if v := t.planVisit(c, like, target); v != nil {
				added = append(added, v)
			}
		}
	}
	return added
}

// row is the moment at which a standing visit would be if its day had had room: the
// row goes on from there, so that a visit put a day later moves no other.
func (e *Enquiry) row() time.Time {
	if !e.Due.IsZero() {
		return e.Due
	}
	return e.Slot.Start
}

// planVisit books one standing visit as near as can be to its time, nil if there is
// no room or no plain price.
func (t *turn) planVisit(c *Chat, like *Enquiry, target time.Time) *Enquiry {
	next := t.lighter(like, like.Every)
	fitted, err := t.fit(t.priced(next))
	if err != nil || fitted.Quote.Refused != "" || fitted.Quote.NeedToSee != "" {
		return nil
	}
	next.Quote = t.remember(fitted, 0)
	next.Quote.Of = t.digest(t.priced(next))
	slot, ok := t.nearestFree(next, target)
	if !ok {
		return nil
	}
	inHand := c.Enquiry
	begun := t.begin(c)
	c.Enquiry = inHand
	next.ID, next.Due = begun.ID, target
	next.Stage, next.Slot = Booked, &Span{slot.Start, slot.End}
	t.enquiries[next.ID] = next
	if !t.enter(next, diary.Booked) {
		return nil // it was free a moment ago: cannot be
	}
	c.Visits = append(slices.Clone(c.Visits), next.ID)
	t.keepInMind(next)
	return next
}

// nearestFree is the free time nearest to a moment, within some days of it.
func (t *turn) nearestFree(e *Enquiry, target time.Time) (diary.Slot, bool) {
	days := map[string]diary.Day{}
	for i := -standAround; i <= standAround; i++ {
		date := diary.Key(target.AddDate(0, 0, i), t.Zone)
		days[date] = *t.day(date)
	}
	rules := t.diaryRules()
	rules.HorizonDays = max(rules.HorizonDays, int(target.Sub(t.now).Hours()/24)+standAround+1)
	w := t.wish(e)
	y, m, d := target.In(t.Zone).Date()
	w.From = time.Date(y, m, d-standAround, 0, 0, 0, 0, t.Zone)
	var best diary.Slot
	found := false
	off := func(s diary.Slot) time.Duration { return s.Start.Sub(target).Abs() }
	for s := range diary.NewBook(diary.Ahead(days, rules, t.now), rules, t.now).Starts(w) {
		if s.Start.After(target.AddDate(0, 0, standAround)) {
			break
		}
		if !found || off(s) < off(best) {
			best, found = s, true
		}
	}
	return best, found
}

// skip leaves one visit of a row out, for either side. The row goes on.
func (t *turn) skip(e *Enquiry, side Side) {
	c := t.chat(e.Chat)
	f := t.visitFacts(e)
	e.Changes++
	gone := t.calendar(e, true)
	t.dropMove(e)
	t.unset(CameJob, e)
	row := e.row()
	t.close(e)
	t.planAhead(c, e, row)
	t.inHand(c)
	if len(t.out.Need) > 0 {
		return
	}
	f.Day = ""
	if next := t.visits(c); len(next) > 0 {
		f.Day = t.Words.Moment(next[0].Slot.Start.In(t.Zone))
	}
	k := wording.StandingSkipped
	if side == Owner {
		k = wording.StandingSkippedByUs
	}
	if !c.Blocked {
		m := gone.message(e.Chat, t.word(k, f))
		m.Choices = t.presses(e, pressStanding, named{standEnd, wording.LabelEndStanding})
		t.say(m)
	}
	if t.Owner != 0 {
		t.say(gone.message(t.Owner, t.word(wording.OwnerStandingSkipped, f)))
	}
}

// endStanding ends a row: every visit to come is called off.
func (t *turn) endStanding(c *Chat, e *Enquiry) {
	gone := t.visits(c)
	var called []*Enquiry
	for _, v := range gone {
		was := *v
		was.Changes++
		called = append(called, &was)
		v.Changes++
		t.dropMove(v)
		t.unset(CameJob, v)
		t.close(v)
	}
	c.Visits = nil
	f := wording.Facts{Name: e.Name, Car: carName(e), Items: t.visitDates(called)}
	t.say(t.calendarOfAll(called, true, c.ID, t.word(wording.StandingEnded, f)))
	if t.Owner != 0 {
		t.say(t.calendarOfAll(called, true, t.Owner, t.word(wording.OwnerStandingEnded, f)))
	}
}

// goesOn follows the end of a job: a standing visit that is done has another
// planned, and the next one comes in hand.
func (t *turn) goesOn(c *Chat, e *Enquiry) {
	if e.Every == 0 || c.Stopped || c.Blocked || !slices.Contains(c.Visits, e.ID) {
		return
	}
	t.planAhead(c, e, e.row())
	t.inHand(c)
}

// inHand forgets visits that are over, and puts the next one in hand unless the
// customer is at something else.
func (t *turn) inHand(c *Chat) {
	next := t.visits(c)
	c.Visits = nil
	for _, v := range next {
		c.Visits = append(c.Visits, v.ID)
	}
	e := t.current(c)
	if len(next) > 0 && (e == nil || e.Stage == Closed || e.Stage == Done || e.Every > 0) {
		c.Enquiry = next[0].ID
	}
}
