package conversations

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
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
		Summary: t.word(summary, f), Description: strings.Join(e.Quote.In, "\n"), Location: t.addressee(e),
	}
}

// slug is a name as part of an address: small letters, digits and hyphens.
func slug(name string) string { return strings.ReplaceAll(wording.Plain(name), " ", "-") }

// Feed is the owner's diary as a calendar others can subscribe to. docs are the
// documents [FeedKeys] names, and those of the enquiries in them; what is
// missing among those is returned as need.
func Feed(talk Talk, docs map[string][]byte, now time.Time) (feed []byte, need []string, err error) {
	t := newTurn(talk, docs, bot.Event{}, now)
	cal, err := t.feed()
	if t.err != nil {
		return nil, nil, t.err
	}
	return cal, t.out.Need, err
}

// FeedKeys are the days a feed shows: a month back, and as far as bookings go.
func FeedKeys(talk Talk, now time.Time) []string {
	var keys []string
	for i := -30; i <= talk.Rules.Diary.HorizonDays; i++ {
		keys = append(keys, dayKey(diary.Key(now.In(talk.Zone).AddDate(0, 0, i), talk.Zone)))
	}
	return keys
}

func (t *turn) feed() ([]byte, error) {
	cal := calendarOf(nil)
	seen := map[string]bool{}
	for _, key := range FeedKeys(t.Talk, t.now) {
		for _, e := range t.jobsOn(strings.TrimPrefix(key, "day:")) {
			if !seen[e.ID] {
				seen[e.ID] = true
				cal.Events = append(cal.Events, t.calendar(e, false).event(true))
			}
		}
	}
	if len(t.out.Need) > 0 {
		return nil, nil
	}
	body, err := bytesOf(cal)
	if err != nil {
		return nil, fmt.Errorf("conversations: feed: %w", err)
	}
	return body, nil
}
