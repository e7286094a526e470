package ical_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary/ical"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// found is a calendar as another program reads it.
type found struct {
	Version string       `json:"version"`
	Product string       `json:"product"`
	Method  string       `json:"method"`
	Events  []foundEvent `json:"events"`
}

type foundEvent struct {
	UID         string    `json:"uid"`
	Sequence    int       `json:"sequence"`
	Stamp       time.Time `json:"stamp"`
	Start       time.Time `json:"start"`
	End         time.Time `json:"end"`
	Zone        string    `json:"zone"`
	Status      string    `json:"status"`
	Summary     string    `json:"summary"`
	Description string    `json:"description"`
	Location    string    `json:"location"`
	Organizer   string    `json:"organizer"`
	Attendee    string    `json:"attendee"`
}

// readElsewhere reads calendars with ical.js (2.2.1, MPL-2.0, from the npm
// registry), which .ci/run installs where DRYHAND_ICAL_JS says.
func readElsewhere(t *testing.T, files []string) []found {
	t.Helper()
	node, err := exec.LookPath("node")
	parser := os.Getenv("DRYHAND_ICAL_JS")
	if err != nil || parser == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("node or ical.js is missing, and CI must not go without them")
		}
		t.Log("NOT TESTED against another program: node is missing, or DRYHAND_ICAL_JS does not say where ical.js is")
		t.Skip("node or ical.js is missing")
	}
	input, err := json.Marshal(files)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(node, "testdata/read.cjs", parser)
	var complaint bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(input), &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v\n%s", err, complaint.String())
	}
	var all []found
	if err := json.Unmarshal(out, &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// drawCalendar makes up a calendar of one to three appointments.
func drawCalendar(t *rapid.T) ical.Calendar {
	text := rapid.OneOf(
		rapid.String(),
		rapid.StringOfN(rapid.RuneFrom([]rune("aé£€😀 \\;,:\"\n\t'^")), 0, 200, -1),
		rapid.SampledFrom([]string{"", "Full day, part 1; bring keys", `1 High St \ rear`, "END:VEVENT", " leading", "\\n", "a:b;c=d,e"}),
	)
	address := rapid.SampledFrom([]string{"mailto:desk@example.org", "mailto:very.long.address.of.somebody.with.many.names@very.long.name.of.a.machine.example.org"})
	// 2020 to 2040, any second: UTC knows no clock change.
	moment := rapid.Map(rapid.Int64Range(1_577_836_800, 2_208_988_800), func(s int64) time.Time { return time.Unix(s, 0).UTC() })
	c := ical.Calendar{Product: "-//example//desk//EN", Method: rapid.SampledFrom([]ical.Method{"", ical.Publish, ical.Request, ical.Cancel}).Draw(t, "method")}
	for range rapid.IntRange(1, 3).Draw(t, "events") {
		start := moment.Draw(t, "start")
		c.Events = append(c.Events, ical.Event{
			UID: "x" + text.Draw(t, "uid"), Sequence: rapid.IntRange(0, 1000).Draw(t, "sequence"), Stamp: moment.Draw(t, "stamp"),
			Start: start, End: start.Add(time.Duration(rapid.IntRange(1, 500_000).Draw(t, "length")) * time.Second),
			Cancelled: rapid.Bool().Draw(t, "cancelled"), Summary: text.Draw(t, "summary"), Description: text.Draw(t, "description"),
			Location: text.Draw(t, "location"), Organizer: address.Draw(t, "organizer"), Attendee: address.Draw(t, "attendee"),
		})
	}
	return c
}

// expected is what should be found: line ends are one, and what a calendar file
// cannot hold is left out.
func expected(c ical.Calendar) found {
	clean := func(s string) string {
		s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(s, "\ufffd"))
		return strings.Map(func(r rune) rune {
			if r == 0x7f || r < 0x20 && r != '\t' && r != '\n' {
				return -1
			}
			return r
		}, s)
	}
	f := found{Version: "2.0", Product: c.Product, Method: string(c.Method)}
	for _, e := range c.Events {
		status := "CONFIRMED"
		if e.Cancelled || c.Method == ical.Cancel {
			status = "CANCELLED"
		}
		f.Events = append(f.Events, foundEvent{
			UID: clean(e.UID), Sequence: e.Sequence, Stamp: e.Stamp, Start: e.Start, End: e.End, Zone: "UTC", Status: status,
			Summary: clean(e.Summary), Description: clean(e.Description), Location: clean(e.Location), Organizer: e.Organizer, Attendee: e.Attendee,
		})
	}
	return f
}

// Three hundred files come back from another program as they were meant.
func TestReadElsewhere(t *testing.T) {
	var files []string
	var want []found
	for seed := range 300 {
		c := rapid.Custom(drawCalendar).Example(seed)
		files, want = append(files, write(t, c)), append(want, expected(c))
	}
	got := readElsewhere(t, files)
	if len(got) != len(want) {
		t.Fatalf("%d calendars, want %d", len(got), len(want))
	}
	for i := range want {
		if diff := cmp.Diff(want[i], got[i]); diff != "" {
			t.Fatalf("(-want +got):\n%s\nof\n%s", diff, files[i])
		}
	}
}
