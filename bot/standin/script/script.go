// Package script reads and plays written conversations.
//
// A script is a page a person can read aloud, and at the same time a test: it
// holds what people do and what they are answered. Playing it does the first and
// writes down the second as it really comes; a script that meets something else
// differs from what was written down.
//
//	# Anything behind a hash is a remark.
//	rules deposit.take: amount         the shipped rules, but for this line (before the first clock)
//	rules from mobile.yaml             other rules altogether (before the first clock)
//	-- Mon 23 Nov 2026, 18:40          the clock is pushed to this moment
//	-- next Mon, 18:40                 to the next Monday at that time
//	-- 30 days later                   to the same time of day that many days on
//	Mia: How much for a clean?         Mia writes
//	Mia taps [Outside]                 Mia presses a button of the latest message that has it
//	Mia taps the first                 the first button of the latest message that has any
//	Mia sends dark.jpg                 Mia sends a photo; several names make an album
//	Mia sends car.heic as a file       Mia sends it as a file
//	Mia forwards from Sarah: Hello     Mia sends on what Sarah wrote elsewhere
//	Mia forwards from Sarah the photo dark.jpg   or photos of Sarah's
//	Mia reads pl                       Mia's telephone is in that language
//	Mia blocks, Mia unblocks           Mia shuts the desk out, lets it in again
//	→ Mia: Hello.                      what Mia is told, with its buttons below
//	    [Outside] [Inside]
//	→ Mia, buttons: [✓ Outside]        a message's buttons change
//	→ Mia, hint: Got it.               the short answer to a press
//	@ Tue 6 Apr 2027, 10:00            the moment at which what follows happened
//
// Lines with → and @, and those indented below them, are what is expected.
package script

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Kind is what a line of a script is.
type Kind int

// The kinds of lines.
const (
	Remark Kind = iota
	Clock
	Says
	Taps
	Sends
	Forwards
	Blocks
	Unblocks
	Reads
	Rule
	Expected
)

// Line is one line of a script, or several that belong together.
type Line struct {
	Kind Kind
	// Text is the line as it stands.
	Text string
	// Number is where it stands, from 1.
	Number int
	Who    string
	// What is the words, the button's label, empty for the first there is, a rule's
	// value or a language; Files the pictures.
	What string
	// Path is where a rule stands, empty for a whole file of them, which What names.
	Path   string
	Files  []string
	AsFile bool
	// Of is whose words or pictures are sent on.
	Of string
	// At is the moment of a clock. If it is zero, the moment is Later days on, or, if
	// that is 0, the next Day at Minute after midnight.
	At     time.Time
	Later  int
	Day    time.Weekday
	Minute int
}

// Layout is how a script writes a moment.
const Layout = "Mon 2 Jan 2006, 15:04"

var (
	saysLine  = regexp.MustCompile(`^(\p{L}[\p{L}\d]*): (.*)$`)
	tapsLine  = regexp.MustCompile(`^(\p{L}[\p{L}\d]*) taps \[(.+)\]$`)
	nextLine  = regexp.MustCompile(`^-- next (Sun|Mon|Tue|Wed|Thu|Fri|Sat), (\d\d:\d\d)$`)
	laterLine = regexp.MustCompile(`^-- ([1-9]\d{0,3}) days later$`)
	firstLine = regexp.MustCompile(`^(\p{L}[\p{L}\d]*) taps the first$`)
	sendsLine = regexp.MustCompile(`^(\p{L}[\p{L}\d]*) sends (.+?)( as a file)?$`)
	passLine  = regexp.MustCompile(`^(\p{L}[\p{L}\d]*) forwards from ([^:]+?)(?:: (.+)| the photos? (.+))$`)
	rulesLine = regexp.MustCompile(`^rules from ([a-z0-9-]+\.yaml)$`)
	ruleLine  = regexp.MustCompile(`^rules ([a-z-]+\.[a-z-]+): (.*)$`)
	readsLine = regexp.MustCompile(`^(\p{L}[\p{L}\d]*) reads ([a-z]{2,3}(?:-[A-Z]{2})?)$`)
	blockLine = regexp.MustCompile(`^(\p{L}[\p{L}\d]*) (un)?blocks$`)
)

// weekdays by the names a script has for them.
var weekdays = map[string]time.Weekday{"Sun": 0, "Mon": 1, "Tue": 2, "Wed": 3, "Thu": 4, "Fri": 5, "Sat": 6}

// Parse reads a script. Moments are in the given zone.
func Parse(name, text string, zone *time.Location) ([]Line, error) {
	var lines []Line
	for i, s := range strings.Split(text, "\n") {
		l := Line{Text: strings.TrimRight(s, " \t\r"), Number: i + 1}
		if err := l.parse(zone); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, i+1, err)
		}
		lines = append(lines, l)
	}
	return lines, nil
}

func (l *Line) parse(zone *time.Location) error {
	s := l.Text
	switch {
	case strings.HasPrefix(s, "#"):
		l.Kind = Remark
		return nil
	case s == "", strings.HasPrefix(s, "→"), strings.HasPrefix(s, "@"), strings.HasPrefix(s, "    "):
		l.Kind = Expected
		return nil
	case laterLine.MatchString(s):
		days, err := strconv.Atoi(laterLine.FindStringSubmatch(s)[1])
		l.Kind, l.Later = Clock, days
		return err
	case nextLine.MatchString(s):
		m := nextLine.FindStringSubmatch(s)
		at, err := time.Parse("15:04", m[2])
		l.Kind, l.Day, l.Minute = Clock, weekdays[m[1]], at.Hour()*60+at.Minute()
		return err
	case strings.HasPrefix(s, "-- "):
		at, err := time.ParseInLocation(Layout, s[3:], zone)
		if err != nil {
			return fmt.Errorf("a moment looks like %q, not %q", "-- Mon 23 Nov 2026, 18:40", s)
		}
		if at.Format(Layout) != s[3:] {
			return fmt.Errorf("%s is a %s", at.Format("2 Jan 2006"), at.Format("Mon"))
		}
		l.Kind, l.At = Clock, at
		return nil
	}
	if m := rulesLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.What = Rule, m[1]
	} else if m := ruleLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Path, l.What = Rule, m[1], m[2]
	} else if m := firstLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who = Taps, m[1]
	} else if m := tapsLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who, l.What = Taps, m[1], m[2]
	} else if m := passLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who, l.Of, l.What, l.Files = Forwards, m[1], m[2], m[3], strings.Fields(m[4])
	} else if m := saysLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who, l.What = Says, m[1], m[2]
	} else if m := sendsLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who, l.Files, l.AsFile = Sends, m[1], strings.Fields(m[2]), m[3] != ""
	} else if m := readsLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who, l.What = Reads, m[1], m[2]
	} else if m := blockLine.FindStringSubmatch(s); m != nil {
		l.Kind, l.Who = Blocks, m[1]
		if m[2] != "" {
			l.Kind = Unblocks
		}
	} else {
		return fmt.Errorf("what is %q? see the top of the built-in script for what a line can be", s)
	}
	return nil
}

// Start is the moment at which a script begins: its first line with a clock.
func Start(lines []Line) (time.Time, error) {
	for _, l := range lines {
		if l.Kind == Clock && !l.At.IsZero() {
			return l.At, nil
		}
	}
	return time.Time{}, fmt.Errorf("a script says at the top what time it is, as %q", "-- Mon 23 Nov 2026, 18:40")
}

// Owner is the name under which a script speaks of the owner.
const Owner = "Owner"

// People are the chat ids of everybody a script names, the owner's as given, the
// others' counted up from it in the order they appear.
func People(lines []Line, owner int64) map[string]int64 {
	people := map[string]int64{Owner: owner}
	for _, l := range lines {
		if _, ok := people[l.Who]; l.Who != "" && !ok {
			people[l.Who] = owner + int64(len(people))
		}
	}
	return people
}
