package conversations

import (
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// List is the key of something that is read like a document and is none: what falls
// due in a month, "due:2027-08", put together when it is asked for.
type List string

// Listed is one entry of a list: a moment's id, and when it comes.
type Listed struct {
	ID string    `json:"id"`
	At time.Time `json:"at"`
}

const (
	listPrefix  = "due:"
	monthLayout = "2006-01"
)

func listOf(month time.Time) List { return List(listPrefix + month.Format(monthLayout)) }

// Span is the month a list is of, in a zone.
func (l List) Span(zone *time.Location) (from, to time.Time) {
	from, err := time.ParseInLocation(monthLayout, strings.TrimPrefix(string(l), listPrefix), zone)
	if err != nil {
		return time.Time{}, time.Time{}
	}
	return from, from.AddDate(0, 1, 0)
}

// Lists tells the lists among some keys from the documents.
func Lists(keys []string) (docs []string, lists []List) {
	for _, k := range keys {
		if strings.HasPrefix(k, listPrefix) {
			lists = append(lists, List(k))
		} else {
			docs = append(docs, k)
		}
	}
	return docs, lists
}

// pressDue is the question name of the owner's buttons under what falls due.
const pressDue = "due"

// The presses of something that falls due, and the desk's, which carries a month.
const (
	dueShow  = "show"
	dueHold  = "hold"
	dueHurry = "hurry"
	dueDrop  = "drop"
	dueAgain = "again" // send an uncertain one again
	dueLeave = "leave" // leave it
	deskDue  = "due:"
)

// mostDue is how many reminders one message names: each has a button, and is
// priced as of now.
const mostDue = 20

// dueMonth puts before the owner who is to be reminded in a month, and what that is
// worth.
func (t *turn) dueMonth(c *Chat, month time.Time) {
	first := time.Date(month.Year(), month.Month(), 1, 0, 0, 0, 0, t.Zone)
	var list []Listed
	t.read(string(listOf(first)), &list)
	f := wording.Facts{Day: t.Words.Month(first)}
	var rows [][]bot.Choice
	var worth pricing.Pence
	for _, l := range list {
		id, ok := strings.CutPrefix(l.ID, CameNudge+":")
		if !ok || l.At.Before(t.now.Add(-time.Hour)) {
			continue
		}
		if f.Count++; f.Count > mostDue {
			continue
		}
		e := t.enquiry(id)
		if e == nil {
			continue // forgotten meanwhile, or to be loaded first
		}
		line, price, ok := t.dueLine(e, l.At)
		if !ok {
			f.Count--
			continue
		}
		worth += price
		f.Items = append(f.Items, t.word(wording.LineDue, line))
		label := t.word(wording.DueButton, line)
		rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, e.Rev, pressDue, dueShow}.data()}})
	}
	if len(t.out.Need) > 0 {
		return // comes again with all of it
	}
	if f.Minutes = f.Count - len(f.Items); f.Minutes < 0 {
		f.Minutes = 0
	}
	if worth > 0 {
		f.Likely = t.pounds(int64(worth))
	}
	next := first.AddDate(0, 1, 0)
	way := bot.Choice{Label: t.Words.Month(next), Data: press{noEnquiry, 0, pressDesk, deskDue + next.Format(monthLayout)}.data()}
	t.tell(c.ID, wording.OwnerDue, f, append(rows, []bot.Choice{way})...)
}

// dueLine are the facts of a reminder to come; false if none will.
func (t *turn) dueLine(e *Enquiry, at time.Time) (wording.Facts, pricing.Pence, bool) {
	c := t.chat(e.Chat)
	t.older(e)
	if e.Stage != Done || e.Work == nil || e.Plan == nil || c.Stopped || c.Blocked || c.NoNudge {
		return wording.Facts{}, 0, false
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.Date(at.In(t.Zone)), Day: t.Words.DateYear(e.Work.At.In(t.Zone))}
	m, ok := e.Plan.Next(t.now, t.theirs(c), t.busy(e)...)
	if !ok {
		return f, 0, false
	}
	if m.Kind == reminders.FollowUp {
		f.Text = string(m.Kind)
	}
	for _, cl := range m.Clocks {
		f.Items = append(f.Items, cl.Protection.Words)
	}
	price, ok := t.likely(e, t.renewal(e, m.Clocks, false))
	if ok {
		f.Likely = t.pounds(int64(price))
	}
	return f, price, true
}

// duePressed takes the owner's press about a reminder.
func (t *turn) duePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Done || e.Plan == nil || p.rev != e.Rev {
		t.out.Toast = t.word(wording.OwnerStale, wording.Facts{})
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Name: e.Name})
		return
	}
	s := t.theirs(t.chat(e.Chat))
	switch p.choice {
	case dueShow:
		t.dueCard(c, e)
		return
	case dueAgain, dueLeave:
		t.uncertainPressed(c, e, p.choice, w)
		return
	}
	m, ok := e.Plan.Next(t.now, s, t.busy(e)...)
	if !ok || p.choice != dueDrop && e.Plan.Stage != reminders.Waiting {
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Name: e.Name})
		return
	}
	t.takeOff(w)
	e.Rev++
	k := wording.OwnerDueMoved
	switch p.choice {
	case dueHold:
		t.keepPlan(e, e.Plan.HeldBack(m, t.Rules.Nudges.LaterWeeks, s))
	case dueHurry:
		t.keepPlan(e, e.Plan.Hurried(t.now))
	default:
		k = wording.OwnerDueDropped
		t.keepPlan(e, e.Plan.Dropped(m))
	}
	f := wording.Facts{Name: e.Name, Car: carName(e)}
	if !e.Work.Nudge.IsZero() {
		f.When = t.Words.Moment(e.Work.Nudge.In(t.Zone))
	}
	t.tell(c.ID, k, f)
}

// dueCard shows one reminder to come, and what can be done about it.
func (t *turn) dueCard(c *Chat, e *Enquiry) {
	f, _, ok := t.dueLine(e, e.Work.Nudge)
	if !ok {
		t.tell(c.ID, wording.OwnerStale, wording.Facts{Name: e.Name})
		return
	}
	var ways []named
	if e.Plan.Stage == reminders.Waiting {
		ways = []named{{dueHold, wording.LabelHoldBack}, {dueHurry, wording.LabelHurry}}
	}
	t.tell(c.ID, wording.OwnerDueCard, f, t.presses(e, pressDue, append(ways, named{dueDrop, wording.LabelDropIt})...)...)
}

// undelivered follows a nudge that did not arrive. One that surely did not, for want
// of time, is due again on another day. One of which nobody knows is put before the
// owner, and is neither sent nor missed until he says.
func (t *turn) undelivered(w bot.Undelivered) {
	e := t.enquiry(w.About)
	if e == nil || e.Plan == nil || e.Work == nil || e.Stage != Done {
		return
	}
	f := wording.Facts{Name: e.Name, Car: carName(e), When: t.Words.Moment(t.now)}
	switch {
	case t.Owner != 0 && w.Uncertain && e.Plan.Stage == reminders.Nudged:
		t.tell(t.Owner, wording.OwnerUncertain, f, t.presses(e, pressDue, named{dueAgain, wording.LabelSendAgain}, named{dueLeave, wording.LabelLeaveIt})...)
	case t.Owner != 0 && w.Uncertain: // a follow-up, or answered meanwhile: nothing to send again
		t.tell(t.Owner, wording.OwnerUncertain, f)
	case t.Owner != 0 && w.Never:
		t.tell(t.Owner, wording.OwnerUndelivered, f)
	case !w.Never && !w.Uncertain && w.Kind == string(reminders.Nudge):
		t.keepPlan(e, e.Plan.Unsent(e.Plan.Said))
	}
}

// uncertainPressed takes the owner's word about a nudge of which nobody knows
// whether it arrived.
func (t *turn) uncertainPressed(c *Chat, e *Enquiry, choice string, w bot.Tap) {
	t.takeOff(w)
	e.Rev++
	f := wording.Facts{Name: e.Name}
	if choice == dueLeave {
		t.tell(c.ID, wording.OwnerLeft, f)
		return
	}
	t.chat(e.Chat).Heard = time.Time{} // for all we know
	p := e.Plan.Unsent(e.Plan.Said)
	t.keepPlan(e, p.Hurried(t.now))
	if !e.Work.Nudge.IsZero() {
		f.When = t.Words.Moment(e.Work.Nudge.In(t.Zone))
	}
	t.tell(c.ID, wording.OwnerDueMoved, f)
}
