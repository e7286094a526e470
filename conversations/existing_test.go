package conversations_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// A customer from before hears nothing until they have opened their link and said
// yes to being reminded.
func TestExistingCustomersAreAskedFirst(t *testing.T) {
	for _, opens := range []string{"", "No, thank you", "Yes, remind me"} {
		o := newOffice(t, signed(t))
		row := conversations.Existing{Name: "Zoe", Car: "Golf estate", Note: "07700 900123", Protection: "paint sealant", Date: o.now.Add(-30 * 24 * time.Hour)}
		keys := []string{}
		var got conversations.Brought
		for range 3 {
			var err error
			if got, err = conversations.Bring(o.talk, o.load(keys), row, o.now); err != nil {
				t.Fatal(err)
			}
			keys = append(keys, got.Need...)
		}
		o.commit(conversations.Decision{Put: got.Put})
		_, payload, ok := strings.Cut(got.Link, "?start=")
		if !ok || len(payload) > 64 {
			t.Fatalf("link %q", got.Link)
		}
		if opens != "" {
			o.say(zoe, "/start "+payload)
			o.tap(zoe, opens)
		}
		n := len(o.said)
		o.until(o.now.Add(400 * 24 * time.Hour))
		nudged := slices.ContainsFunc(o.said[n:], func(m bot.Message) bool { return m.Kind == "nudge" })
		if nudged != (opens == "Yes, remind me") {
			t.Errorf("%q, nudged %v", opens, nudged)
		}
		if opens == "" && len(o.said) > 0 {
			t.Errorf("somebody heard of it: %+v", o.said)
		}
	}
}
