package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
)

// Whoever finds no time at all reads why, and every way on leads to times, to another
// price or to the boss, tapped or typed.
func TestNothingFree(t *testing.T) {
	driveway := func(o *office) { // work for more than a winter's daylight
		o.say(mia, "Land Rover Range Rover Sport, outside and ceramic coating")
		o.tap(mia, "At home or work", "Driveway", "Tap and socket", "Gravel or soil")
		o.say(mia, "10 miles", "just the price")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
	}
	workshop := func(o *office) {
		o.priced(mia, "Ford Fiesta")
		o.tap(mia, "Find a day", "Nothing like that", "No photo")
	}
	winter := time.Date(2026, 11, 28, 10, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		name  string
		now   time.Time
		rules func(*pricing.DiaryRules)
		first []string // what the owner writes before
		asks  func(*office)
		why   string
		ways  []string
	}{
		{"daylight", winter, nil, nil, driveway, "of daylight, and at this time of year there isn't that much outdoors", []string{"At the workshop", "Over two days", "Have less done", "Let the boss look for a gap"}},
		{"all taken", winter, nil, []string{"off today to 20 January"}, workshop, "every gap that long is taken until Sat 9 Jan", []string{"Have less done", "Let the boss look for a gap"}},
		{"all taken, and dark", winter, nil, []string{"off today to 20 January"}, driveway, "of daylight", []string{"Have less done", "Let the boss look for a gap"}},
		{"hours at their place", winter, func(d *pricing.DiaryRules) {
			d.AwayHours = map[string][]pricing.Span{"thursday": {{From: 10 * 60, To: 12 * 60}}, "friday": {{From: 10 * 60, To: 12 * 60}}}
		}, nil, driveway, "none of our days is long enough", []string{"At the workshop", "Have less done", "Let the boss look for a gap"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			o := newOffice(t, talk(t))
			o.now = tc.now
			rules := *o.talk.Rules
			if tc.rules != nil {
				tc.rules(&rules.Diary)
			}
			o.talk.Rules = &rules
			for _, said := range tc.first {
				o.say(boss, said)
			}
			tc.asks(o)
			if got := o.lastTo(mia); !strings.Contains(got.Text, tc.why) || !slices.Equal(buttons(got), tc.ways) {
				t.Errorf("%q, with %q; want %q, with %q", got.Text, buttons(got), tc.why, tc.ways)
			}
			if tc.name == "daylight" {
				waysOn(t, o)
			}
		})
	}
}

// waysOn takes every way on where nothing is free.
func waysOn(t *testing.T, o *office) {
	for way, want := range map[string]func(*office) bool{
		"At the workshop": func(o *office) bool {
			o.tap(mia, "Find a day")
			return len(o.times(mia)) > 0 && !strings.Contains(strings.Join(buttons(o.lastTo(mia)), ""), "2 days")
		},
		"Over two days": func(o *office) bool {
			b := buttons(o.lastTo(mia))
			o.tap(mia, b[0])
			e := o.enquiry(mia)
			return strings.HasSuffix(b[0], "over 2 days") && e.Stage == conversations.Held && e.Slot.End.Sub(e.Slot.Start) > 20*time.Hour
		},
		"Have less done": func(o *office) bool { return slices.Contains(buttons(o.lastTo(mia)), "Headlights") },
		"Let the boss look for a gap": func(o *office) bool {
			return strings.Contains(o.lastTo(boss).Text, "asks you to look for a gap") && strings.Contains(o.lastTo(mia).Text, "The boss will look for a gap") &&
				!slices.Contains(buttons(o.lastTo(mia)), "Let the boss look for a gap") && slices.Contains(buttons(o.lastTo(mia)), "Over two days")
		},
	} {
		tapped, typed := o.fork(), o.fork()
		tapped.tap(mia, way)
		if !want(tapped) {
			t.Errorf("[%s] leads to %q, with %q", way, tapped.lastTo(mia).Text, buttons(tapped.lastTo(mia)))
		}
		typed.say(mia, "ok, "+strings.ToLower(way)+" please")
		if !want(typed) {
			t.Errorf("%q, typed, leads to %q, with %q", way, typed.lastTo(mia).Text, buttons(typed.lastTo(mia)))
		}
	}
	o.tap(mia, "Over two days", "‹ Back")
	if got := o.lastTo(mia); !strings.Contains(got.Text, "of daylight") {
		t.Errorf("back from two days is %q", got.Text)
	}
}
