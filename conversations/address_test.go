package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// What is taken for an address when it is named by the way, and what is not, although it
// has a number and the name of a street's kind in it.
func TestAddressesByTheWay(t *testing.T) {
	tk := talk(t)
	for _, c := range []struct{ text, want string }{
		{"its 14 larch close harrow vale", "14 larch close harrow vale"},
		{"Driveway at 14a Larch Close, Harrow Vale. There's a tap", "14a Larch Close, Harrow Vale"},
		{"flat 2, 14 St. John's Road, Calderwick", "flat 2, 14 St. John's Road, Calderwick"},
		{"3 Mill Ln and can you do the inside too", "3 Mill Ln"},
		{"we're at 3 mill lane, on the driveway", "3 mill lane"},
		{"my address is Rose Cottage, Fenwell. Thanks", "Rose Cottage, Fenwell"},
		{"the address is Rose Cottage, 3 Mill Lane, Fenwell", "Rose Cottage, 3 Mill Lane, Fenwell"},
		{"8 May Street", "8 May Street"},
		{"14 Fleet Rd, OX11 7AB and the child seats?", "14 Fleet Rd"},
		{"14 Fleet Rd… and the child seats?", "14 Fleet Rd"},
		{"2 cars on the drive", ""},
		{"it's a 10 minute drive", ""},
		{"about 3 miles down the road", ""},
		{"what's your address", ""},
		{"do you come to 14 Larch Close?", ""},
		{"3 stone chips in a row", ""},
	} {
		t.Run(c.text, func(t *testing.T) {
			o := newOffice(t, tk)
			o.say(mia, "Ford Fiesta", "outside", "at home")
			o.say(mia, c.text)
			e := o.enquiry(mia)
			if e.Address != c.want {
				t.Errorf("read %q, want %q", e.Address, c.want)
			}
			if said := o.lastTo(mia).Text; c.want != "" && !strings.Contains(strings.ToLower(said), strings.ToLower(c.want)) {
				t.Errorf("it is not said back: %s", said)
			}
			if o.say(mia, "back", "back"); c.want != "" && o.enquiry(mia).Address != "" {
				t.Error("a step back does not take it back")
			}
		})
	}
}

// Asked for it, people write where they are in their own way, or something else.
func TestAddressAskedFor(t *testing.T) {
	tk := talk(t)
	for _, c := range []struct {
		text, want string
		noted      bool
	}{
		{"the white bungalow behind the church, Fenwell", "the white bungalow behind the church, Fenwell", false},
		{"14 Larch Close\nHarrow Vale\n", "14 Larch Close, Harrow Vale", false},
		{"3 May Street", "3 May Street", false},
		{"3 Mill Lane, but could you do the inside on Friday instead", "3 Mill Lane", true},
		{"14 Fleet Rd, Marsh End. and where do I leave the key?", "14 Fleet Rd, Marsh End", true},
		{"14 Fleet Rd… and the child seats?", "14 Fleet Rd", true},
		{"14 Fleet Rd and what about the child seats", "14 Fleet Rd", true},
		{"14 Fleet Rd ok?", "", false},
		{"is it 14 Fleet Rd you said?", "", false},
		{"why do you need that?", "", false},
		{"ok thanks", "", false},
		{"yes", "", false},
	} {
		t.Run(c.text, func(t *testing.T) {
			o := newOffice(t, tk)
			o.atAddress(mia)
			o.say(mia, c.text)
			e := o.enquiry(mia)
			if e.Address != c.want || (e.At == "address") != (c.want == "") || (len(e.Noted) > 0) != c.noted {
				t.Errorf("%q, then asked %q, noted %q; want %q", e.Address, e.At, e.Noted, c.want)
			}
		})
	}
}

// atAddress goes on until it is asked where exactly the car is.
func (o *office) atAddress(who bot.ChatID) {
	o.t.Helper()
	o.say(who, "Volvo V60")
	o.tap(who, "Outside", "That's all", "At home", "Driveway", "Tap and socket", "Gravel", "Under 8")
	o.say(who, "just the price")
	o.tap(who, "Find a day", "Nothing like that", "No photo")
	o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[0][0].Data})
	if at := o.enquiry(who).At; at != "address" {
		o.t.Fatalf("asked %q", at)
	}
}

// Whoever says it later is asked again when they are booked and the evening before, and
// what they then write goes to the booking and to the owner. A place shared does as well.
func TestAddressSaidLater(t *testing.T) {
	for _, shares := range []bool{false, true} {
		o := newOffice(t, talk(t))
		o.atHome(mia)
		if card := o.card().Text; !strings.Contains(card, "The address is still to come") {
			t.Errorf("the owner is not told that there is none:\n%s", card)
		}
		n := len(o.said)
		o.tap(boss, "Yes, book it")
		const again = "where exactly shall we be?"
		if !o.heard(mia, n, again) {
			t.Error("it is not asked again")
		}
		e := o.enquiry(mia)
		evening := o.fork()
		n = len(evening.said)
		evening.until(e.Slot.Start)
		if !evening.heard(mia, n, again) {
			t.Error("nor the evening or the morning before")
		}
		n = len(o.said)
		want := "14 Larch Close"
		if shares {
			want = "54.00000, -1.50000"
			o.event(mia, bot.Place{Lat: 54, Lon: -1.5})
		} else {
			o.say(mia, "it's 14 Larch Close, Harrow Vale")
		}
		if !o.heard(boss, n, want) {
			t.Errorf("the owner does not hear %q: %+v", want, o.said[n:])
		}
		if m := o.lastTo(mia).Text; !strings.Contains(m, "the boss has that") {
			t.Errorf("said %q", m)
		}
		n = len(o.said)
		o.until(e.Slot.Start)
		if o.heard(mia, n, again) || !o.heard(boss, n, want) {
			t.Errorf("asked again, or the day does not show %q: %+v", want, o.said[n:])
		}
		if e := o.enquiry(mia); e.Stage != conversations.Booked {
			t.Errorf("%q", e.Stage)
		}
	}
}

// Where a car is brought to stands in the confirmation and the reminders, and whoever
// asks is told; a business that has given no address passes the question on.
func TestWhereToBringIt(t *testing.T) {
	const at = "Unit 4, Brindle Lane, Calderwick"
	for _, given := range []bool{true, false} {
		tk := talk(t)
		if !given {
			tk = with(t, "address: "+at, "")
		}
		o := newOffice(t, tk)
		o.asked(mia, "Ford Fiesta")
		n := len(o.said)
		o.tap(boss, "Yes, book it")
		if o.heard(mia, n, "Please bring it to "+at) != given {
			t.Errorf("given %v, but: %+v", given, o.said[n:])
		}
		for _, asks := range []string{"where are you exactly", "Where is the workshop please?", "cheers. whats the address?"} {
			asked := o.fork()
			n = len(asked.said)
			if asked.say(mia, asks); asked.heard(mia, n, "We're at "+at) != given || asked.heard(boss, n, asks) == given {
				t.Errorf("given %v, %q: %+v", given, asks, asked.said[n:])
			}
		}
		n = len(o.said)
		o.until(o.enquiry(mia).Slot.Start)
		if o.heard(mia, n, "We're at "+at) != given {
			t.Errorf("given %v, the reminders: %+v", given, o.said[n:])
		}
	}
}
