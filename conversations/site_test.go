package conversations_test

import (
	"slices"
	"testing"

	"example.org/dryhand/bot"
)

// Where there is no workshop nobody is asked whether they would come to it, also not
// where they cannot be helped at home.
func TestMobileOnly(t *testing.T) {
	o := newOffice(t, with(t, "mobile-only: false ", "mobile-only: true "))
	o.say(mia, "Ford Fiesta, outside")
	o.tap(mia, "On the street")
	if q := o.enquiry(mia); q.Answers["site"][0] != "theirs" || q.Quote == nil || q.Quote.Refused == "" {
		t.Fatalf("a car in the street is not refused: %+v", q)
	}
	for _, m := range o.said {
		if slices.ContainsFunc(slices.Concat(m.Choices...), func(c bot.Choice) bool { return c.Label == "At the workshop" }) {
			t.Errorf("there is no workshop, and this offers it: %q", m.Text)
		}
	}
}
