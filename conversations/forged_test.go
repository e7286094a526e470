package conversations_test

import (
	"reflect"
	"testing"

	"example.org/dryhand/bot"
)

// FuzzForgedPress: made-up data under somebody's own name neither stops the desk
// nor touches what is another's, whatever stage their enquiry is at.
func FuzzForgedPress(f *testing.F) {
	begun := newOffice(f, talk(f))
	begun.held(zoe, "Volvo V60")
	begun.booked(mia, "Ford Fiesta")
	theirs := begun.enquiry(zoe)
	for _, id := range []string{begun.enquiry(mia).ID, theirs.ID, "-", "x"} {
		for _, rest := range []string{"|0|site|own", "|3|slot|20270415T0900", "|1|owner|approve", "|0|desk|off:2027-04-20", "|0|job|start", "|0|move|yes", "|0|visit|surely", "|0|nudge|yes", "|0|settings|off", "|0|deposit|sent", "|-1|quote|100", ""} {
			f.Add(id + rest)
		}
	}
	f.Fuzz(func(t *testing.T, data string) {
		o := begun.fork()
		o.t = t
		said := o.event(mia, bot.Tap{ID: "t", Data: data, Message: 1})
		if !reflect.DeepEqual(o.enquiry(zoe), theirs) {
			t.Errorf("%q changed somebody else's enquiry", data)
		}
		for _, m := range said {
			if m.Chat == zoe {
				t.Errorf("%q was answered to somebody else: %q", data, m.Text)
			}
		}
	})
}
