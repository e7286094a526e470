package conversations

import (
	"bytes"
	"fmt"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary/ical"
	"example.org/dryhand/conversations/wording"
)

// product names us in calendar files (RFC 5545, 3.7.3).
const product = "-//Dryhand//Front desk//EN"

// appointment is a booking as both sides' calendars are to have it.
type appointment struct {
	t    *turn
	e    Enquiry
	gone bool
}

// calendar is the booking as it stands now, or as called off.
func (t *turn) calendar(e *Enquiry, gone bool) appointment { return appointment{t, *e, gone} }

// message hands the appointment to somebody, with words above it.
func (a appointment) message(to bot.ChatID, text string) bot.Message {
	m := bot.Message{Chat: to, Text: text, Kind: "visit"}
	c := calendarOf([]ical.Event{a.event(to == a.t.Owner)})
	c.Method = ical.Publish
	if a.gone {
		c.Method = ical.Cancel
	}
	body, err := bytesOf(c)
	if err != nil {
		a.t.fail(fmt.Errorf("conversations: calendar of %s: %w", a.e.ID, err))
		return m
	}
	m.File = &bot.File{Name: a.t.word(wording.CalendarFile, wording.Facts{}), Data: body}
	return m
}

func calendarOf(events []ical.Event) ical.Calendar {
	return ical.Calendar{Product: product, Events: events}
}

func bytesOf(c ical.Calendar) ([]byte, error) {
	var b bytes.Buffer
	err := c.Write(&b)
	return b.Bytes(), err
}

// event is the appointment in a calendar's words. The UID is the same for all
// its versions, and no other business's.
func (a appointment) event(owners bool) ical.Event {
	t, e := a.t, &a.e
	f := t.agreed(e)
	summary := wording.CalendarTheirs
	if owners {
		summary = wording.CalendarOwners
	}
	return ical.Event{
		UID: e.ID + "@" + slug(t.Rules.Business.Name) + ".dryhand", Sequence: e.Changes, Stamp: t.now,
		Start: e.Slot.Start, End: e.Slot.End, Cancelled: a.gone,
		Summary: t.word(summary, f), Description: strings.Join(e.Quote.In, "\n"), Location: t.where(e),
	}
}

// slug is a name as part of an address: small letters, digits and hyphens.
func slug(name string) string { return strings.ReplaceAll(plain(name), " ", "-") }
