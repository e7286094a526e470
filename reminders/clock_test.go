package reminders_test

import (
	"testing"

	"example.org/dryhand/reminders"
)

// Windows worked out by hand from the shipped rules: from 0.85 of the middle to
// the most months, both times what wear makes of it. Months and wear are common
// practice, no source.
func TestWindow(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct {
		name, kind, at string
		wear           []string
		from, to       string
	}{
		{"nothing known", "sealant", "2027-04-15 16:30", nil,
			"Mon 2027-08-23 09:00 BST", "Fri 2027-10-15 09:00 BST"}, // 4.25 and 6 months
		{"outside, many miles", "sealant", "2027-04-15 16:30", []string{"kept-outside", "many-miles"},
			"Sat 2027-07-17 09:00 BST", "Wed 2027-08-25 09:00 BST"}, // × 0.7225: 3.0706 and 4.335
		{"garaged and topped up, as long as the rules allow", "sealant", "2027-04-15 16:30", []string{"garaged", "washed-and-topped-up"},
			"Fri 2027-10-01 09:00 BST", "Thu 2027-12-09 09:00 GMT"}, // × 1.3: 5.525 and 7.8
		{"brush washes and strong soap, as short as they allow", "ceramic-coating", "2027-04-15 16:30", []string{"brush-wash", "strong-soap", "kept-outside"},
			"Tue 2027-10-19 09:00 BST", "Wed 2028-02-02 09:00 GMT"}, // × 0.4: 6.12 and 9.6 months
		{"from the end of a month", "spray-sealant", "2027-01-31 10:00", nil,
			"Sun 2027-03-21 09:00 GMT", "Fri 2027-04-30 09:00 BST"}, // 1.7 and 3 months
		{"over the October change", "soft-top-proof", "2027-05-31 10:00", nil,
			"Thu 2028-01-20 09:00 GMT", "Wed 2028-05-31 09:00 BST"}, // 7.65 and 12 months
		{"salt, but due in summer", "sealant", "2027-04-15 16:30", []string{"salted-winter"},
			"Tue 2027-07-27 09:00 BST", ""},
		// 9 × 0.85 × 0.8 = 6.12 months: 1 December and 3.6 days, so 5 December; roads
		// are salted from 1 November, four weeks before is 4 October: 62 days forward.
		{"salt, due in winter", "soft-top-proof", "2027-06-01 10:00", []string{"salted-winter"},
			"Mon 2027-10-04 09:00 BST", ""},
		{"no salt, due in winter", "soft-top-proof", "2027-06-01 10:00", nil,
			"Fri 2028-01-21 09:00 GMT", ""},
		// 5 × 0.68 × 0.85 = 2.89 months: 10 December and 27.056 days, 6 January, 88 days
		// after; half of them are over on 23 November, when the salt is there already.
		{"salt, applied just before winter", "sealant", "2026-10-10 15:00", []string{"salted-winter", "kept-outside"},
			"Wed 2027-01-06 09:00 GMT", ""},
		// 3.4 months: 1 March and 12.16 days, 13 March.
		{"salt, applied in the same winter", "sealant", "2026-12-01 15:00", []string{"salted-winter"},
			"Sat 2027-03-13 09:00 GMT", ""},
	} {
		p, ok := s.Rules.Protection(tt.kind)
		if !ok {
			t.Fatal(tt.kind)
		}
		w := s.Window(reminders.Applied{Kind: tt.kind, At: at(t, tt.at)}, p, tt.wear...)
		if got := show(w.From); got != tt.from {
			t.Errorf("%s: from %s, want %s", tt.name, got, tt.from)
		}
		if got := show(w.To); tt.to != "" && got != tt.to {
			t.Errorf("%s: to %s, want %s", tt.name, got, tt.to)
		}
	}
	// Wear of this application alone counts like that of the car.
	p, _ := s.Rules.Protection("sealant")
	a := reminders.Applied{Kind: "sealant", At: at(t, "2027-04-15 16:30"), Wear: []string{"not-decontaminated"}}
	if got := show(s.Window(a, p).From); got != "Sat 2027-06-19 09:00 BST" { // 2.125 months
		t.Errorf("without decontamination: %s", got)
	}
}

// What falls due together is told together, at the start of the common window.
func TestMerge(t *testing.T) {
	s := setting(t)
	day := "2027-04-15 16:30"
	for _, tt := range []struct {
		name  string
		kinds []string
		want  string
	}{
		{"one", []string{"sealant"}, "nudge Mon 2027-08-23 09:00 BST: paint"},
		// Lamps 4.5 × 0.85 = 3.825 months, 9 August; they can wait for the paint.
		{"paint and lamps", []string{"sealant", "lamp-seal"}, "nudge Mon 2027-08-23 09:00 BST: lamps paint"},
		// Wheels are due from 18 June and glass from 27 July, but set no date here.
		{"wheels and glass ride along", []string{"sealant", "wheel-seal", "glass-repellent"}, "nudge Mon 2027-08-23 09:00 BST: glass paint wheels"},
		// 2.5 × 0.85 = 2.125 months: 15 June and 3.8 days.
		{"wheels alone set their own", []string{"wheel-seal"}, "nudge Sat 2027-06-19 09:00 BST: wheels"},
		// A soft top is due 5 December: too late for the paint's window.
		{"what is due much later waits", []string{"sealant", "soft-top-proof"}, "nudge Mon 2027-08-23 09:00 BST: paint"},
		{"a spray on a coating does not shorten it", []string{"ceramic-coating", "spray-sealant"}, "nudge Mon 2028-07-24 09:00 BST: paint"},
		{"unknown to these rules", []string{"pixie-dust"}, "nothing"},
	} {
		var p reminders.Plan
		for _, k := range tt.kinds {
			p = p.Apply(s, reminders.Applied{Kind: k, At: at(t, day)})
		}
		if got := step(p, at(t, day), s); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// Three leading clocks: the common window ends when the paint runs out on 15
// October, so the lamps, due from 2 November, wait, although the soft top, due
// from 21 August to New Year, could wait for them.
func TestMergeEndsWhenTheFirstRunsOut(t *testing.T) {
	s := setting(t)
	p := reminders.Plan{}.Apply(s,
		reminders.Applied{Kind: "soft-top-proof", At: at(t, "2027-01-01 12:00")},
		reminders.Applied{Kind: "sealant", At: at(t, "2027-04-15 16:30")},
		reminders.Applied{Kind: "lamp-seal", At: at(t, "2027-07-08 12:00")})
	if got, want := step(p, at(t, "2027-07-09 12:00"), s), "nudge Mon 2027-08-23 09:00 BST: paint soft-top"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
