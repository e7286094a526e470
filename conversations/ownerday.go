package conversations

import (
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// pressDesk is the question name of the owner's own buttons, which belong to no
// enquiry; noEnquiry stands where its id would.
const (
	pressDesk = "desk"
	noEnquiry = "-"
)

// The presses of the owner's desk. Those that concern a day carry its date.
const (
	deskToday    = "today"
	deskTomorrow = "tomorrow"
	deskWeek     = "week"
	deskRain     = "rain:"
	deskOff      = "off:"
	deskFree     = "free:"
)

// The presses about a stretch of time, which they carry as blockCode writes it.
const (
	deskBlock   = "block:"
	deskUnblock = "unblock:"
	deskOpen    = "open:"
	deskWork    = "work:"
	deskUnwork  = "unwork:"
)

func (t *turn) deskRow(list ...named) []bot.Choice {
	var row []bot.Choice
	for _, n := range list {
		row = append(row, bot.Choice{Label: t.label(n.label), Data: press{noEnquiry, 0, pressDesk, n.key}.data()})
	}
	return row
}

// deskWays are the views the owner can always ask for.
func (t *turn) deskWays() [][]bot.Choice {
	return [][]bot.Choice{t.deskRow(named{deskToday, wording.LabelToday}, named{deskTomorrow, wording.LabelTomorrow}, named{deskWeek, wording.LabelWeek}),
		t.deskRow(named{deskDue, wording.LabelDue})}
}

// ownerWays are what the owner can do about a booking.
func (t *turn) ownerWays(e *Enquiry) [][]bot.Choice {
	rows := [][]bot.Choice{{t.own(e, pressSheet), t.own(e, pressArrived), t.own(e, pressDone)}, append(t.visitRow(e), t.own(e, pressWrite))}
	if isGuest(e.Chat) {
		rows = append(rows, []bot.Choice{t.own(e, pressLink)})
	}
	return rows
}

// own is one of the owner's buttons about an enquiry.
func (t *turn) own(e *Enquiry, p string) bot.Choice {
	return bot.Choice{Label: t.label(ownerLabels[p]), Data: press{e.ID, e.Rev, pressOwner, p}.data()}
}

// deskPressed takes a press on one of the owner's own buttons.
func (t *turn) deskPressed(c *Chat, choice string) {
	today := diary.Key(t.now, t.Zone)
	kind, date, _ := strings.Cut(choice, ":")
	switch kind + ":" {
	case deskBring:
		t.showBring(c, date)
		return
	case deskLate, deskTellLate:
		t.allLatePressed(c, kind+":", date)
		return
	case deskRain:
		t.rainedOff(c, date)
		return
	case deskOff, deskFree:
		deed := deskBlock
		if kind+":" == deskFree {
			deed = deskOpen
		}
		if at, err := time.ParseInLocation(time.DateOnly, date, t.Zone); err == nil {
			t.do(c, deed, wholeDay(at))
		}
		return
	case deskBlock, deskUnblock, deskOpen, deskWork, deskUnwork:
		if b, ok := t.parseBlock(date); ok {
			t.do(c, kind+":", b)
		}
		return
	case deskDue:
		month, err := time.ParseInLocation(monthLayout, date, t.Zone)
		if err != nil {
			month = t.now
		}
		t.dueMonth(c, month)
		return
	}
	switch choice {
	case deskToday:
		t.showDay(c, today)
	case deskTomorrow:
		t.showDay(c, diary.Key(t.now.AddDate(0, 0, 1), t.Zone))
	case deskWeek:
		t.showWeek(c, t.now)
	default:
		t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	}
}

// deskSaid takes what the owner types when nothing else is open, and reports
// whether it was something for the desk.
func (t *turn) deskSaid(c *Chat, text string) bool {
	said := wording.Plain(text)
	for k, choice := range map[wording.Key]string{wording.LabelToday: deskToday, wording.LabelTomorrow: deskTomorrow, wording.LabelWeek: deskWeek} {
		if t.means(said, k) {
			t.deskPressed(c, choice)
			return true
		}
	}
	switch {
	case t.means(said, wording.SayNextWeek):
		t.showWeek(c, t.now.AddDate(0, 0, 7-(int(t.now.Weekday())+6)%7))
		return true
	case t.means(said, wording.SayWhatNow):
		if at := t.atHand(c); len(at) == 1 {
			t.opened(c, at[0])
			return true
		}
		t.deskPressed(c, deskToday)
		return true
	case t.means(said, wording.SayWhenOff):
		t.showOff(c)
		return true
	case t.means(said, wording.SayOwed):
		t.showOwed(c)
		return true
	case t.means(said, wording.LabelBringAlong):
		date := diary.Key(t.now, t.Zone)
		if len(t.jobsOn(date)) == 0 {
			date = diary.Key(t.now.AddDate(0, 0, 1), t.Zone)
		}
		t.showBring(c, date)
		return true
	}
	if span, ok := t.figuresSaid(said); ok {
		t.figures(c, span)
		return true
	}
	if t.means(said, wording.SayDue) {
		t.dueMonth(c, t.now)
		return true
	}
	if t.means(said, wording.SayRaining) {
		t.showDay(c, t.wetDay()) // with the button: rain is also only talked of
		return true
	}
	if t.means(said, wording.SayRain) {
		t.rainedOff(c, t.wetDay())
		return true
	}
	if t.lateSaid(c, text) || t.overSaid(c, text) || t.overBehind(c, text) {
		return true
	}
	if t.means(said, wording.SayCalendar) {
		k := wording.OwnerFeed
		if t.Feed == "" {
			k = wording.OwnerNoFeed
		}
		t.tell(c.ID, k, wording.Facts{Text: t.Feed})
		return true
	}
	return false
}

// dayNamed shows the day the owner names, and reports whether he named one: "what's on
// Tuesday", "1 Dec". Of two that can be meant it is the nearer.
func (t *turn) dayNamed(c *Chat, text string) bool {
	b := when.ReadBlocks(text, t.saidAt())
	if len(b.Of) == 0 {
		b = when.ReadBlocks(t.asRead(text), t.saidAt())
	}
	if len(b.Of) == 0 || len(b.Of) > 1 && !b.Either || !b.Of[0].Whole() || !b.Of[0].First.Equal(b.Of[0].Last) {
		return false
	}
	t.showDay(c, diary.Key(b.Of[0].First, t.Zone))
	return true
}
