package ical_test

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"example.org/dryhand/conversations/diary/ical"
	"github.com/google/go-cmp/cmp"
)

func at(t testing.TB, s string) time.Time {
	t.Helper()
	v, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func write(t testing.TB, c ical.Calendar) string {
	t.Helper()
	var b bytes.Buffer
	if err := c.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// one is a calendar with one appointment over the clock change in spring.
func one(t testing.TB, change func(*ical.Event)) ical.Calendar {
	e := ical.Event{
		UID: "k3-1@example.org", Stamp: at(t, "2026-01-01T00:00:00Z"),
		Start: at(t, "2026-03-29T00:30:00Z"), End: at(t, "2026-03-29T05:30:00+01:00"),
		Summary: "Outside and inside",
	}
	change(&e)
	return ical.Calendar{Product: "-//example//desk//EN", Method: ical.Publish, Events: []ical.Event{e}}
}

func TestWrite(t *testing.T) {
	c := one(t, func(e *ical.Event) { e.Sequence, e.Cancelled, e.Organizer = 2, true, "mailto:desk@example.org" })
	c.Method = ical.Cancel
	want := strings.Join([]string{
		"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//example//desk//EN", "CALSCALE:GREGORIAN", "METHOD:CANCEL",
		"BEGIN:VEVENT", "UID:k3-1@example.org", "SEQUENCE:2", "DTSTAMP:20260101T000000Z",
		"DTSTART:20260329T003000Z", "DTEND:20260329T043000Z", "STATUS:CANCELLED",
		"ORGANIZER:mailto:desk@example.org", "SUMMARY:Outside and inside", "END:VEVENT", "END:VCALENDAR", "",
	}, "\r\n")
	if diff := cmp.Diff(want, write(t, c)); diff != "" {
		t.Error(diff)
	}
}

// The lines of a sample that three other programs read alike (testdata): the
// escapes, with a text from RFC 5545 (3.3.11), and a text of characters of
// several octets that has to be folded twice.
func TestAgainstSample(t *testing.T) {
	data, err := os.ReadFile("testdata/sample.ics")
	if err != nil {
		t.Fatal(err)
	}
	sample := strings.ReplaceAll(string(data), "\r\n", "\n")
	for _, tt := range []struct {
		name   string
		change func(*ical.Event)
		lines  string
	}{
		{"times", func(*ical.Event) {}, "DTSTAMP:20260101T000000Z\nDTSTART:20260329T003000Z\nDTEND:20260329T043000Z\n"},
		{"folding", func(e *ical.Event) {
			e.Description = strings.Repeat("é", 40) + " £ € " + strings.Repeat("x", 80)
		}, "DESCRIPTION:" + strings.Repeat("é", 31) + "\n " + strings.Repeat("é", 9) + " £ € " + strings.Repeat("x", 48) + "\n " + strings.Repeat("x", 32) + "\n"},
		{"escapes", func(e *ical.Event) {
			e.Summary, e.Location = "Full day, part 1; bring keys", `1 High St, Leeds \ rear`
			e.Description = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
		}, `SUMMARY:Full day\, part 1\; bring keys` + "\n" + `DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\nCome Prepared.` + "\n" + `LOCATION:1 High St\, Leeds \\ rear` + "\n"},
	} {
		if !strings.Contains(sample, tt.lines) {
			t.Fatalf("%s: the sample has no %q", tt.name, tt.lines)
		}
		got := write(t, one(t, tt.change))
		if !strings.Contains(got, strings.ReplaceAll(tt.lines, "\n", "\r\n")) {
			t.Errorf("%s: no %q in\n%s", tt.name, tt.lines, got)
		}
	}
}

func TestRefused(t *testing.T) {
	for name, change := range map[string]func(*ical.Event){
		"no uid":             func(e *ical.Event) { e.UID = "" },
		"ends as it starts":  func(e *ical.Event) { e.End = e.Start },
		"sequence":           func(e *ical.Event) { e.Sequence = -1 },
		"organizer of lines": func(e *ical.Event) { e.Organizer = "mailto:a\r\nATTENDEE:b" },
		"attendee of lines":  func(e *ical.Event) { e.Attendee = "mailto:a\nSTATUS:CANCELLED" },
	} {
		var b bytes.Buffer
		if err := one(t, change).Write(&b); err == nil || b.Len() > 0 {
			t.Errorf("%s: error %v, wrote %q", name, err, b.String())
		}
	}
	for _, e := range []ical.Event{{Organizer: "mailto:a@example.org"}, {Attendee: "mailto:b@example.org"}} {
		c := one(t, func(o *ical.Event) { o.Organizer, o.Attendee = e.Organizer, e.Attendee })
		c.Method = ical.Request
		if err := c.Write(&bytes.Buffer{}); err == nil {
			t.Errorf("a request of %q to %q: no error", e.Organizer, e.Attendee)
		}
	}
	if err := (ical.Calendar{}).Write(&bytes.Buffer{}); err == nil {
		t.Error("no product: no error")
	}
}

type full struct{}

var errFull = errors.New("full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestWriterFails(t *testing.T) {
	if err := one(t, func(*ical.Event) {}).Write(full{}); !errors.Is(err, errFull) {
		t.Errorf("got %v, want %v", err, errFull)
	}
}

// read takes a calendar apart by the letter of RFC 5545: unfold, split at the
// first colon, unescape.
func read(t *testing.T, data string) [][2]string {
	t.Helper()
	var out [][2]string
	body, ended := strings.CutSuffix(data, "\r\n")
	if !ended {
		t.Fatalf("the last line has no end: %q", data)
	}
	for _, line := range strings.Split(body, "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) || strings.ContainsAny(line, "\r\n") {
			t.Fatalf("line %q", line)
		}
	}
	for _, line := range strings.Split(strings.ReplaceAll(body, "\r\n ", ""), "\r\n") {
		name, value, ok := strings.Cut(line, ":")
		if !ok {
			t.Fatalf("no colon in %q", line)
		}
		value = strings.NewReplacer(`\\`, `\`, `\;`, `;`, `\,`, `,`, `\n`, "\n").Replace(value)
		out = append(out, [2]string{name, value})
	}
	return out
}

// Whatever is written comes back, and never becomes a line of its own.
func FuzzText(f *testing.F) {
	f.Add("Hello, World; \\n", "a")
	f.Add(strings.Repeat("€", 100), "\r\n\r\nEND:VEVENT")
	f.Add("\x00\x1b\x7f tab\t", "\xff\xfe broken")
	f.Fuzz(func(t *testing.T, summary, uid string) {
		c := one(t, func(e *ical.Event) { e.Summary, e.UID = "x"+summary, "x"+uid })
		clean := func(s string) string {
			s = strings.ReplaceAll(strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\r\n", "\n"), "\r", "\n")
			return strings.Map(func(r rune) rune {
				if r == 0x7f || r < 0x20 && r != '\t' && r != '\n' {
					return -1
				}
				return r
			}, s)
		}
		want := [][2]string{
			{"BEGIN", "VCALENDAR"}, {"VERSION", "2.0"}, {"PRODID", "-//example//desk//EN"}, {"CALSCALE", "GREGORIAN"}, {"METHOD", "PUBLISH"},
			{"BEGIN", "VEVENT"}, {"UID", clean("x" + uid)}, {"SEQUENCE", "0"}, {"DTSTAMP", "20260101T000000Z"},
			{"DTSTART", "20260329T003000Z"}, {"DTEND", "20260329T043000Z"}, {"STATUS", "CONFIRMED"},
			{"SUMMARY", clean("x" + summary)}, {"END", "VEVENT"}, {"END", "VCALENDAR"},
		}
		if diff := cmp.Diff(want, read(t, write(t, c))); diff != "" {
			t.Error(diff)
		}
	})
}
