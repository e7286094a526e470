package reminders_test

import (
	"encoding/json"
	"testing"
	"time"

	"example.org/dryhand/reminders"
	"github.com/google/go-cmp/cmp"
)

// sealed is a plan with a paint sealant put on in April, due on 23 August.
func sealed(t testing.TB, s reminders.Setting, kinds ...string) reminders.Plan {
	t.Helper()
	var p reminders.Plan
	for _, k := range append([]string{"sealant"}, kinds...) {
		p = p.Apply(s, reminders.Applied{Kind: k, At: at(t, "2027-04-15 16:30")})
	}
	return p
}

// nudged is the same after its nudge on 23 August.
func nudged(t testing.TB, s reminders.Setting, kinds ...string) reminders.Plan {
	t.Helper()
	p := sealed(t, s, kinds...)
	m, ok := p.Next(at(t, "2027-08-23 09:00"), s)
	if !ok || m.Kind != reminders.Nudge || !m.Sensible(at(t, "2027-08-23 09:00")) {
		t.Fatalf("got %+v, %v, want a nudge that may leave", m, ok)
	}
	return p.Sent(m, at(t, "2027-08-23 09:00"), s)
}

func TestNudgeFollowUpSilence(t *testing.T) {
	s := setting(t)
	p := nudged(t, s, "soft-top-proof")
	now := at(t, "2027-08-23 09:01")
	// 21 days later.
	if got, want := step(p, now, s), "follow-up Mon 2027-09-13 09:00 BST: paint"; got != want {
		t.Fatalf("%s, want %s", got, want)
	}
	m, _ := p.Next(now, s)
	p = p.Sent(m, m.At, s)
	// The paint is not spoken of again. The soft top is due on 5 December, but
	// after an unanswered follow-up there are six months of silence.
	if got, want := step(p, m.At, s), "nudge Mon 2028-03-13 09:00 GMT: soft-top"; got != want {
		t.Fatalf("%s, want %s", got, want)
	}
	m, _ = p.Next(m.At, s)
	p = p.Sent(m, m.At, s)
	m, _ = p.Next(m.At, s)
	p = p.Sent(m, m.At, s)
	if got := step(p, m.At, s); got != "nothing" {
		t.Errorf("after all windows: %s", got)
	}
	// Done again, it is spoken of again.
	p = p.Apply(s, reminders.Applied{Kind: "sealant", At: at(t, "2028-06-01 12:00")})
	if got, want := step(p, at(t, "2028-06-01 12:00"), s), "nudge Mon 2028-10-09 09:00 BST: paint"; got != want {
		t.Errorf("applied again: %s, want %s", got, want)
	}
}

func TestAnswers(t *testing.T) {
	s := setting(t)
	now := at(t, "2027-08-25 20:15") // a Wednesday
	for _, tt := range []struct {
		name   string
		answer func(reminders.Plan) reminders.Plan
		want   string
	}{
		{"no answer", func(p reminders.Plan) reminders.Plan { return p }, "follow-up Mon 2027-09-13 09:00 BST: paint"},
		{"later, two weeks", func(p reminders.Plan) reminders.Plan { return p.Later(now, 2, 0, s) }, "nudge Wed 2027-09-08 09:00 BST: paint"},
		{"later, three months", func(p reminders.Plan) reminders.Plan { return p.Later(now, 0, 3, s) }, "nudge Thu 2027-11-25 09:00 GMT: paint"},
		// 25 December lies in the quiet weeks.
		{"later, four months", func(p reminders.Plan) reminders.Plan { return p.Later(now, 0, 4, s) }, "nudge Tue 2028-02-01 09:00 GMT: paint soft-top"},
		{"still fine is believed for six weeks", func(p reminders.Plan) reminders.Plan { return p.StillFine(now, s) }, "nudge Wed 2027-10-06 09:00 BST: paint"},
		// From 25 August: 25 December and 7.6 days, 2 January, in the quiet weeks. By
		// then the soft top is due as well.
		{"done elsewhere begins again", func(p reminders.Plan) reminders.Plan { return p.Elsewhere(now, s) }, "nudge Tue 2028-02-01 09:00 GMT: paint soft-top"},
		// The soft top, after six months of silence.
		{"booked leaves the form to it", func(p reminders.Plan) reminders.Plan { return p.Booked(now, s) }, "nudge Fri 2028-02-25 09:00 GMT: soft-top"},
		// 25 September and 21.28 days.
		{"booked, and done that day", func(p reminders.Plan) reminders.Plan {
			return p.Booked(now, s).Apply(s, reminders.Applied{Kind: "spray-sealant", At: now})
		}, "nudge Sat 2027-10-16 09:00 BST: paint"},
		{"sold", func(p reminders.Plan) reminders.Plan { return p.Sold() }, "nothing"},
		{"stop", func(p reminders.Plan) reminders.Plan { return p.Stop() }, "nothing"},
		{"stop, then anything", func(p reminders.Plan) reminders.Plan {
			return p.Stop().Later(now, 1, 0, s).Elsewhere(now, s).Booked(now, s).StillFine(now, s).
				Apply(s, reminders.Applied{Kind: "sealant", At: now}).Sent(reminders.Moment{Kind: reminders.Nudge}, now, s)
		}, "nothing"},
		// 15 November and 19.76 days, 5 December, a Sunday.
		{"a coating in its place", func(p reminders.Plan) reminders.Plan {
			return p.Apply(s, reminders.Applied{Kind: "ceramic-coating", At: now})
		}, "nudge Mon 2027-12-06 09:00 GMT: soft-top"},
	} {
		if got := step(tt.answer(nudged(t, s, "soft-top-proof")), now, s); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// What was said of the car before the first nudge moves it.
func TestWorn(t *testing.T) {
	s := setting(t)
	p := sealed(t, s).Worn("kept-outside", "many-miles")
	if got, want := step(p, at(t, "2027-04-16 10:00"), s), "nudge Sat 2027-07-17 09:00 BST: paint"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := step(p.Worn(), at(t, "2027-04-16 10:00"), s), "nudge Mon 2027-08-23 09:00 BST: paint"; got != want {
		t.Errorf("taken back: %s, want %s", got, want)
	}
}

// A late answer to a follow-up is an answer.
func TestAnswerAfterTheFollowUp(t *testing.T) {
	s := setting(t)
	p := nudged(t, s)
	m, _ := p.Next(at(t, "2027-09-13 09:00"), s)
	p = p.Sent(m, m.At, s)
	if got := step(p, m.At, s); got != "nothing" {
		t.Fatalf("after the follow-up: %s", got)
	}
	p = p.Later(at(t, "2027-09-20 10:00"), 2, 0, s)
	if got, want := step(p, at(t, "2027-09-20 10:00"), s), "nudge Mon 2027-10-04 09:00 BST: paint"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// A spray on a coating that was spoken of is the top-up it asked for: the coating
// does not speak again at once.
func TestTopUpAnswersTheNudge(t *testing.T) {
	s := setting(t)
	p := reminders.Plan{}.Apply(s, reminders.Applied{Kind: "ceramic-coating", At: at(t, "2027-04-15 16:30")})
	m, _ := p.Next(at(t, "2027-04-16 12:00"), s)
	p = p.Sent(m, m.At, s)
	done := at(t, "2028-08-01 12:00")
	// 1.7 months: 1 September and 21.28 days.
	if got, want := step(p.Apply(s, reminders.Applied{Kind: "spray-sealant", At: done}), done, s), "nudge Fri 2028-09-22 09:00 BST: paint"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// What was told along and not done is the customer's choice.
func TestWheelsLeftAreNotBroughtUpAgain(t *testing.T) {
	s := setting(t)
	done := at(t, "2027-09-02 12:00")
	p := nudged(t, s, "wheel-seal").Apply(s, reminders.Applied{Kind: "sealant", At: done})
	// 2 January 2028 and 7.6 days lies in the quiet weeks.
	if got, want := step(p, done, s), "nudge Tue 2028-02-01 09:00 GMT: paint"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// After an outage the first thing said is what makes sense then.
func TestOutage(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct{ name, now, want string }{
		{"three days", "2027-08-26 11:20", "nudge Thu 2027-08-26 11:20 BST: paint"},
		{"into the night", "2027-08-26 23:00", "nudge Fri 2027-08-27 09:00 BST: paint"},
		{"into the holiday weekend", "2027-08-28 19:00", "nudge Tue 2027-08-31 09:00 BST: paint"},
	} {
		if got := step(sealed(t, s), at(t, tt.now), s); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
	for _, tt := range []struct{ name, now, want string }{
		{"three days", "2027-09-16 15:00", "follow-up Thu 2027-09-16 15:00 BST: paint"},
		{"seven weeks: too late to follow upon anything", "2027-11-02 12:00", "nothing"},
	} {
		if got := step(nudged(t, s), at(t, tt.now), s); got != tt.want {
			t.Errorf("follow-up, %s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// The silence after a follow-up that could not be sent has an end, however often
// one asks: 4 October, the second 21 days after the nudge, seven days and six
// months. So has that after a nudge about what the rules no longer know.
func TestSilenceDoesNotRecede(t *testing.T) {
	s := setting(t)
	p := nudged(t, s, "soft-top-proof")
	for _, now := range []string{"2027-11-02 12:00", "2027-12-02 12:00", "2028-04-10 20:00"} {
		if got, want := step(p, at(t, now), s), "nudge Tue 2028-04-11 09:00 BST: soft-top"; got != want {
			t.Errorf("asked at %s: %s, want %s", now, got, want)
		}
	}
	p = reminders.Plan{Stage: reminders.Nudged, Said: at(t, "2027-08-23 09:00"), Told: []string{"chrome"}}.
		Worn("kept-outside")
	p.Applied = []reminders.Applied{{Kind: "soft-top-proof", At: at(t, "2027-04-15 16:30")}}
	for _, now := range []string{"2027-08-24 12:00", "2028-01-02 12:00"} {
		if got, want := step(p, at(t, now), s), "nudge Wed 2028-02-23 09:00 GMT: soft-top"; got != want {
			t.Errorf("unknown to the rules, asked at %s: %s, want %s", now, got, want)
		}
	}
}

// A nudge keeps off the days on which the customer hears something else, and off
// the day of its own last message.
func TestOneMessageADay(t *testing.T) {
	s := setting(t)
	p := sealed(t, s)
	now := at(t, "2027-05-01 12:00")
	if got, want := step(p, now, s, at(t, "2027-08-23 10:00"), at(t, "2027-08-24 17:00")), "nudge Wed 2027-08-25 09:00 BST: paint"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	p = nudged(t, s).Later(at(t, "2027-08-23 12:00"), 0, 0, s)
	if got, want := step(p, at(t, "2027-08-23 12:00"), s), "nudge Tue 2027-08-24 09:00 BST: paint"; got != want {
		t.Errorf("later today: %s, want %s", got, want)
	}
}

// A nudge that waited in a queue into the night does not leave; a message told to
// the plan twice changes nothing.
func TestMomentsAreOfTheirDay(t *testing.T) {
	s := setting(t)
	p := sealed(t, s)
	m, _ := p.Next(at(t, "2027-08-23 09:00"), s)
	for now, want := range map[string]bool{"2027-08-23 08:59": false, "2027-08-23 09:00": true, "2027-08-23 18:59": true, "2027-08-23 19:00": false, "2027-08-24 10:00": false} {
		if got := m.Sensible(at(t, now)); got != want {
			t.Errorf("%s: sensible %v, want %v", now, got, want)
		}
	}
	once := p.Sent(m, m.At, s)
	if d := cmp.Diff(once, once.Sent(m, m.At.Add(time.Hour), s)); d != "" {
		t.Errorf("the same nudge again (-once +twice):\n%s", d)
	}
	if d := cmp.Diff(p, p.Sent(reminders.Moment{Kind: reminders.FollowUp}, m.At, s)); d != "" {
		t.Errorf("a follow-up upon nothing (-want +got):\n%s", d)
	}
}

// A plan is kept as JSON and comes back the same.
func TestPlanIsKept(t *testing.T) {
	s := setting(t)
	p := nudged(t, s, "wheel-seal").Worn("kept-outside")
	raw, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var back reminders.Plan
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(p, back); d != "" {
		t.Errorf("-kept +back:\n%s", d)
	}
}
