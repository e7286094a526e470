// Package ical writes appointments as a calendar file that phones and computers
// read (RFC 5545, iCalendar). It is pure and writes only what a booking needs:
// times are in UTC, so that no time zone has to be described.
//
// An appointment is changed or called off by sending it again with the same UID
// and a higher Sequence.
package ical

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Method says what the reader is to do with the events (RFC 5546, 1.4).
type Method string

// The methods that fit a file handed over in a chat, to which no calendar
// answers.
const (
	// Publish adds the events, or replaces earlier ones.
	Publish Method = "PUBLISH"
	// Request does so with events that have an organizer and an attendee, for
	// readers that tell a meeting from a notice.
	Request Method = "REQUEST"
	// Cancel takes them out.
	Cancel Method = "CANCEL"
)

// Calendar is a file.
type Calendar struct {
	// Product names the program that wrote the file, "-//Example//Desk//EN".
	// Required.
	Product string
	// Method, or empty for a feed that others subscribe to.
	Method Method
	Events []Event
}

// Event is one appointment. Texts may hold anything; characters a calendar file
// cannot hold are left out.
type Event struct {
	// UID is the same for all versions of the appointment, and for no other in
	// the world. Required.
	UID string
	// Sequence is 0 at first and rises with every change.
	Sequence int
	// Stamp is when this version was made.
	Stamp time.Time
	// Start and End, the end after the start.
	Start, End time.Time
	// Cancelled events show as called off where they are shown at all; those of
	// a file to Cancel are, whatever stands here (RFC 5546, 3.2.5).
	Cancelled bool
	Summary   string
	// Description and Location are left out where empty.
	Description string
	Location    string
	// Organizer is an address such as "mailto:desk@example.com", left out where
	// empty. RFC 5546 wants one with every method; readers do without, except
	// with Request.
	Organizer string
	// Attendee is the address of who comes, left out where empty. It is put down
	// as having agreed, and asked for no answer.
	Attendee string
}

// Write writes the calendar to w. It fails if something required is missing, or
// if w does; nothing is written of a calendar that is not complete.
func (c Calendar) Write(w io.Writer) error {
	if c.Product == "" {
		return fmt.Errorf("ical: calendar: no product")
	}
	var b lines
	b.add("BEGIN", "VCALENDAR")
	b.add("VERSION", "2.0")
	b.add("PRODID", text(c.Product))
	b.add("CALSCALE", "GREGORIAN")
	if c.Method != "" {
		b.add("METHOD", string(c.Method))
	}
	for _, e := range c.Events {
		if err := e.check(c.Method); err != nil {
			return fmt.Errorf("ical: event %q: %w", e.UID, err)
		}
		e.Cancelled = e.Cancelled || c.Method == Cancel
		e.write(&b)
	}
	b.add("END", "VCALENDAR")
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("ical: write: %w", err)
	}
	return nil
}

func (e Event) check(m Method) error {
	switch {
	case e.UID == "":
		return fmt.Errorf("no uid")
	case !e.End.After(e.Start):
		return fmt.Errorf("ends at %v, not after it starts", e.End)
	case e.Sequence < 0:
		return fmt.Errorf("sequence %d is below zero", e.Sequence)
	case !address(e.Organizer):
		return fmt.Errorf("organizer is no address")
	case !address(e.Attendee):
		return fmt.Errorf("attendee is no address")
	case m == Request && (e.Organizer == "" || e.Attendee == ""):
		return fmt.Errorf("a request without organizer or attendee")
	}
	return nil
}

// address tells whether an address is empty or one that stays on its line.
func address(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool { return r <= ' ' || r == 0x7f })
}

func (e Event) write(b *lines) {
	b.add("BEGIN", "VEVENT")
	b.add("UID", text(e.UID))
	b.add("SEQUENCE", strconv.Itoa(e.Sequence))
	b.add("DTSTAMP", utc(e.Stamp))
	b.add("DTSTART", utc(e.Start))
	b.add("DTEND", utc(e.End))
	if e.Cancelled {
		b.add("STATUS", "CANCELLED")
	} else {
		b.add("STATUS", "CONFIRMED")
	}
	for _, f := range [][2]string{
		{"ORGANIZER", e.Organizer}, {"ATTENDEE;ROLE=REQ-PARTICIPANT;PARTSTAT=ACCEPTED;RSVP=FALSE", e.Attendee}, {"SUMMARY", text(e.Summary)}, {"DESCRIPTION", text(e.Description)}, {"LOCATION", text(e.Location)},
	} {
		if f[1] != "" {
			b.add(f[0], f[1])
		}
	}
	b.add("END", "VEVENT")
}

// utc is a DATE-TIME in UTC (RFC 5545, 3.3.5, form 2).
func utc(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

// text escapes a TEXT (RFC 5545, 3.3.11). What is no UTF-8 becomes U+FFFD, line
// ends of any kind become one, and other control characters are left out.
func text(s string) string {
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(s, "\ufffd"))
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	return strings.NewReplacer(`\`, `\\`, `;`, `\;`, `,`, `\,`, "\n", `\n`).Replace(s)
}

// lines are the content lines of a file.
type lines struct{ bytes.Buffer }

// add writes a line, folded so that none is longer than 75 octets without its
// end (RFC 5545, 3.1), and never inside a character.
func (b *lines) add(name, value string) {
	const most = 75
	rest, room := name+":"+value, most
	for len(rest) > room {
		cut := room
		for !utf8.RuneStart(rest[cut]) {
			cut--
		}
		b.WriteString(rest[:cut] + "\r\n ")
		rest, room = rest[cut:], most-1
	}
	b.WriteString(rest + "\r\n")
}
