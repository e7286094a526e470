package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
)

// begun is a booking whose day has come, with the owner at the car.
func (o *office) begun(who bot.ChatID, car string, wants ...string) {
	o.t.Helper()
	o.say(who, car)
	o.tap(who, wants...)
	o.tap(who, "That's all", "At the workshop")
	for range 4 { // whatever is asked about, in the middle
		if strings.Contains(o.lastTo(who).Text, "1 – ") {
			o.say(who, "2")
		}
	}
	if strings.Contains(o.lastTo(who).Text, "1 – ") {
		o.say(who, "just the price")
	}
	o.tap(who, "Find a day", "Nothing like that", "No photo")
	o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[0][0].Data})
	o.tap(who, "No, thank you", "Yes, ask for it")
	o.tap(boss, "Yes, book it")
	o.until(o.enquiry(who).Slot.Start)
	o.tap(boss, "Look over")
}

// regrade sets what the owner sees of an area.
func (o *office) regrade(area string, grade string) {
	o.t.Helper()
	o.tap(boss, "Grades", area, grade)
}

// worked does all steps of a job that is at work.
func (o *office) worked(who bot.ChatID) []string {
	o.t.Helper()
	for range 60 {
		if strings.HasPrefix(o.lastTo(boss).Text, "That's all of it") {
			break
		}
		if b := o.lastTo(boss).Choices; len(b) > 0 && b[0][0].Label == "Carry on ›" {
			o.tap(boss, "Carry on ›")
			continue
		}
		o.now = o.now.Add(7 * time.Minute)
		o.tap(boss, "Done ›")
	}
	var out []string
	for _, s := range o.enquiry(who).Job.Steps {
		out = append(out, s.Task)
	}
	return out
}

// What a better state saves goes where the customer said it matters most, nothing
// they asked for is given up for it, and neither is the money they agreed to.
func TestSavedTimeGoesElsewhere(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Skoda Octavia estate", "Outside", "Inside")
	before := o.enquiry(mia)
	o.regrade("Paintwork", "1")
	seen := o.enquiry(mia).Seen
	if seen.High >= before.Quote.High {
		t.Fatalf("a better state costs at most %d, before %d", seen.High, before.Quote.High)
	}
	o.tap(boss, "Ask for their yes")
	o.tap(mia, "Same money, more done")
	after := o.enquiry(mia)
	if after.Quote.High > before.Quote.High {
		t.Errorf("at most %d, agreed was %d", after.Quote.High, before.Quote.High)
	}
	tk := o.talk.Rules
	for _, id := range seen.Tasks {
		x, _ := tk.Task(id)
		if !slices.ContainsFunc(after.Quote.Tasks, func(k string) bool {
			y, _ := tk.Task(k)
			return k == id || x.Family != "" && x.Family == y.Family && y.Level >= x.Level
		}) {
			t.Errorf("%s was wanted and is given up", id)
		}
	}
	elsewhere := false
	for _, id := range after.Quote.Tasks {
		if x, _ := tk.Task(id); !slices.Contains(before.Quote.Tasks, id) && x.Area != pricing.Paintwork {
			elsewhere = true
		}
	}
	if !elsewhere {
		t.Errorf("nothing new outside the paintwork: %v, before %v", after.Quote.Tasks, before.Quote.Tasks)
	}
	if len(after.Before) != 1 || cmp.Diff(after.Before[0], *before.Quote) != "" {
		t.Errorf("the first version is not kept: %+v", after.Before)
	}
	o.tap(boss, "Start work")
	if d := cmp.Diff(inAlphabet(after.Quote.Tasks), inAlphabet(without(o.worked(mia), "set-up"))); d != "" {
		t.Errorf("what is done is not what was agreed:\n%s", d)
	}
}

// What the owner sees of one part takes no agreed work out of another.
func TestARegradeStaysWithItsArea(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Skoda Octavia estate, dog hair everywhere, smells of smoke", "Outside", "Inside")
	agreed := o.enquiry(mia).Quote.Tasks
	o.regrade("Paintwork", "1")
	seen := o.enquiry(mia).Seen
	inside := 0
	for _, id := range agreed {
		x, _ := o.talk.Rules.Task(id)
		if x.Area == "" || x.Area == pricing.Paintwork {
			continue
		}
		inside++
		if !slices.Contains(seen.Tasks, id) {
			t.Errorf("%s has gone with the paintwork's grade", id)
		}
	}
	if inside < 4 {
		t.Errorf("only %d tasks elsewhere", inside)
	}
}

func inAlphabet(s []string) []string { return slices.Sorted(slices.Values(s)) }

func without(s []string, x string) []string {
	return slices.DeleteFunc(slices.Clone(s), func(y string) bool { return y == x })
}

// Who keeps the money has the steps of what is left, and an extra on top of it
// adds what it costs and no more.
func TestKeptMoneyAndThenAnExtra(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Skoda Octavia estate", "Outside", "Inside")
	agreed := o.enquiry(mia).Quote.High
	o.regrade("Inside", "4")
	o.tap(boss, "Ask for their yes")
	o.tap(mia, "Keep to the price")
	kept := o.enquiry(mia)
	if kept.Quote.High > agreed {
		t.Fatalf("kept to %d and agreed was %d", kept.Quote.High, agreed)
	}
	o.tap(boss, "Start work", "Add an extra")
	label := o.lastTo(boss).Choices[0][0].Label
	o.tap(boss, label)
	var adds int64
	if _, err := fmt.Sscanf(label[strings.LastIndex(label, "+£")+len("+£"):], "%d", &adds); err != nil {
		t.Fatalf("%q: %v", label, err)
	}
	o.tap(mia, "Yes, go ahead")
	after := o.enquiry(mia)
	if after.Quote.Likely-kept.Quote.Likely != 100*adds {
		t.Errorf("%s made %d of %d", label, after.Quote.Likely, kept.Quote.Likely)
	}
	for _, id := range kept.Quote.Tasks {
		x, _ := o.talk.Rules.Task(id)
		if !slices.ContainsFunc(after.Quote.Tasks, func(k string) bool {
			y, _ := o.talk.Rules.Task(k)
			return k == id || x.Family != "" && x.Family == y.Family
		}) {
			t.Errorf("the extra has cost them %s", id)
		}
	}
	if d := cmp.Diff(inAlphabet(after.Quote.Tasks), inAlphabet(without(o.worked(mia), "set-up"))); d != "" {
		t.Errorf("what is done is not what was agreed:\n%s", d)
	}
}

// While something sharp is on, a customer's words wait, whoever they are from, and
// reach the owner in their order once it is off, or when it must be.
func TestHandsInACleaner(t *testing.T) {
	for _, way := range []string{"rinsed", "time"} {
		t.Run(way, func(t *testing.T) {
			o := newOffice(t, talk(t))
			o.asked(zoe, "Volvo V60")
			o.begun(mia, "Ford Fiesta", "Outside")
			o.tap(boss, "Start work", "Done ›", "Done ›", "On:")
			n := len(o.chat[boss])
			o.say(mia, "is the gate shut?")
			o.say(zoe, "person")
			o.say(mia, "and the dog?")
			if len(o.chat[boss]) != n {
				t.Fatalf("the owner is disturbed: %q", o.lastTo(boss).Text)
			}
			if !o.heard(mia, 0, "cleaner that can't wait") {
				t.Errorf("Mia is told %q", o.chat[mia][len(o.chat[mia])-1].Text)
			}
			if way == "rinsed" {
				o.tap(boss, "Off: front left")
			} else {
				o.until(o.now.Add(4 * time.Minute))
			}
			var heard []string
			for _, m := range o.chat[boss][n:] {
				if i := strings.Index(m.Text, "writes: "); i >= 0 {
					heard = append(heard, m.Text[i+len("writes: "):])
				}
			}
			if d := cmp.Diff([]string{"is the gate shut?", "and the dog?"}, heard); d != "" {
				t.Error(d)
			}
			if !slices.ContainsFunc(o.chat[boss][n:], func(m bot.Message) bool { return strings.Contains(m.Text, "Zoe would like a person") }) {
				t.Error("Zoe was forgotten")
			}
			o.say(mia, "thanks")
			if got := o.lastTo(boss).Text; got != "Mia writes: thanks" {
				t.Errorf("afterwards the owner reads %q", got)
			}
		})
	}
}

// A clock rings when it may come off and once more before it has been too long; a
// product that is off rings no more.
func TestClocksRing(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside")
	o.tap(boss, "Start work", "Done ›", "Done ›", "On:")
	c := o.enquiry(mia).Job.Clocks[0]
	// The least and the longest time of the rules' mix.
	if x, _ := o.talk.Rules.Task(c.Task); !slices.ContainsFunc(x.Mixes, func(m pricing.Mix) bool {
		return m.What == c.What && m.Seconds == [2]int{c.Least, c.Most}
	}) {
		t.Fatalf("the clock is not the rules': %+v, %+v", c, x.Mixes)
	}
	var rang []time.Duration
	for n := len(o.chat[boss]); o.now.Before(c.On.Add(2 * time.Duration(c.Most) * time.Second)); {
		o.until(o.now.Add(time.Second))
		for ; n < len(o.chat[boss]); n++ {
			rang = append(rang, o.now.Sub(c.On).Round(time.Second))
		}
	}
	want := []time.Duration{time.Duration(c.Least) * time.Second, time.Duration(c.Most) * time.Second * 4 / 5}
	if d := cmp.Diff(want, rang); d != "" {
		t.Errorf("it rings after:\n%s", d)
	}
	o.tap(boss, "Off: front left", "On:", "Off: rear left")
	n := len(o.chat[boss])
	o.until(o.now.Add(10 * time.Minute))
	for _, m := range o.chat[boss][n:] {
		if m.Kind == "clock-rinse" || m.Kind == "clock-near" {
			t.Errorf("rings although it is off: %q", m.Text)
		}
	}
}

// Photographs of a step and of the walk round go to the customer in pairs, one for
// an area, before them the one of the same thing.
func TestPairsOfPhotographs(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside")
	shot := func(caption string) bot.FileID {
		ph := o.picture("")
		ph.Caption = caption
		o.event(boss, ph)
		return ph.File
	}
	wheels := shot("wheels")
	shot("")
	o.tap(boss, "Start work", "Done ›") // the look round is done already
	clean := shot("after")
	o.worked(mia)
	o.tap(boss, "Finish")
	o.say(boss, "120")
	o.say(boss, "80")
	n := len(o.chat[mia])
	o.tap(boss, "That's all")
	var got []string
	for _, m := range o.chat[mia][n:] {
		if m.Photo != "" {
			got = append(got, string(m.Photo)+" "+m.Text)
		}
	}
	want := []string{string(wheels) + " Wheels, before", string(clean) + " Wheels, after"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// Minutes are one number or come by area, as written or by the clock.
func TestMinutesByArea(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside", "Inside")
	o.tap(boss, "Start work")
	start := o.now
	o.worked(mia)
	o.tap(boss, "Finish")
	for _, tt := range []struct {
		typed string
		sum   int
		by    map[pricing.Area]int
	}{
		{"150", 150, nil},
		{"inside 90, wheels 40 minutes; rest 20", 150, map[pricing.Area]int{pricing.Interior: 90, pricing.Wheels: 40}},
		{"55 mins", 55, nil},
		{"1h 10", 70, nil},
		{"1 hour and 5 min", 65, nil},
		{"2 hours", 120, nil},
		{"inside 1h, rest 20 mins", 80, map[pricing.Area]int{pricing.Interior: 60}},
		{"55 pounds", 0, nil},
		{"2 hours 30", 150, nil},
		{"2h30", 150, nil},
		{"2½ hours", 150, nil},
		{"two and a half hours", 150, nil},
		{"an hour and a half", 90, nil},
		{"2:30", 150, nil},
		{"2 wheels", 0, nil},
		{"inside 90, boots 40", 0, nil},
		{"inside 0", 0, nil},
		{"inside", 0, nil},
	} {
		f := o.fork()
		f.say(boss, tt.typed)
		w := f.enquiry(mia).Work
		if tt.sum == 0 {
			if w != nil {
				t.Errorf("%q is taken for %+v", tt.typed, w)
			}
			continue
		}
		if w == nil || w.Minutes != tt.sum || cmp.Diff(tt.by, w.ByArea) != "" {
			t.Errorf("%q is %+v, want %d and %v", tt.typed, w, tt.sum, tt.by)
		}
	}
	took := int(o.now.Sub(start).Minutes())
	o.tap(boss, fmt.Sprintf("%d hours %d minutes by the clock", took/60, took%60))
	q := o.enquiry(mia)
	want := map[pricing.Area]int{}
	for _, s := range q.Job.Steps {
		if x, _ := o.talk.Rules.Task(s.Task); x.Area != "" {
			want[x.Area] += 7 // as worked lets it take
		}
	}
	if d := cmp.Diff(want, q.Work.ByArea); d != "" || len(want) < 3 {
		t.Errorf("by the clock:\n%s", d)
	}
}

// Nobody calls off by a tap what is being done just now.
func TestCallingOffMidJob(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside")
	o.tap(boss, "Start work")
	o.tap(mia, "Call it off")
	if q := o.enquiry(mia); q.Stage != conversations.Booked || !o.chatOf(mia).Person {
		t.Errorf("stage %q, person %v", q.Stage, o.chatOf(mia).Person)
	}
	if got := o.lastTo(boss).Text; !strings.Contains(got, "you're at it") {
		t.Errorf("the owner reads %q", got)
	}
}

// What the customer chose to leave after a trial is out of the work and the price.
func TestTrialLeft(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Ford Fiesta")
	o.tap(mia, "Outside", "Headlights", "That's all", "At the workshop")
	o.say(mia, "2", "3")
	o.tap(mia, "Just the price", "Find a day", "Nothing like that", "No photo")
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "No, thank you", "Yes, ask for it")
	o.tap(boss, "Yes, book it")
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Start work", "Done ›", "Done ›", "Try a spot")
	before := *o.enquiry(mia).Quote
	ph := o.picture("")
	ph.Caption = "hardly any better"
	o.event(boss, ph)
	o.tap(mia, "Leave it")
	q := o.enquiry(mia)
	left := q.Job.Trials[0].Task
	if q.Quote.Likely >= before.Likely || slices.Contains(q.Quote.Tasks, left) || !slices.Contains(before.Tasks, left) {
		t.Errorf("%s left: %d of %d, %v", left, q.Quote.Likely, before.Likely, q.Quote.Tasks)
	}
	if slices.Contains(o.worked(mia), left) {
		t.Errorf("%s is still a step", left)
	}
	if len(q.Before) != 1 || cmp.Diff(before, q.Before[0]) != "" {
		t.Error("the price before is not kept")
	}
}

// With wet hands one talks to the telephone: "done" and "next" are the step in hand,
// "finished" is the end, also before the last step; from there the way leads back, and
// what is said then is a note again.
func TestStepsByWord(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	o.until(o.enquiry(mia).Slot.Start)
	o.tap(boss, "Start work")
	o.say(boss, "Done", "next!")
	if n := len(o.enquiry(mia).Job.Steps); n != 2 || !strings.HasPrefix(o.lastTo(boss).Text, "3 of ") {
		t.Errorf("%d steps are done, told %q", n, o.lastTo(boss).Text)
	}
	o.say(boss, "finished")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "how long did it take?") {
		t.Fatalf("told %q", m.Text)
	}
	o.tap(boss, "‹ Back")
	o.say(boss, "next time bring the long brush")
	if j := o.enquiry(mia).Job; len(j.Steps) != 2 || len(j.Notes) != 1 {
		t.Errorf("noted %q after %d steps", j.Notes, len(j.Steps))
	}
	o.tap(boss, "Finish")
	o.say(boss, "150", "80")
	o.tap(boss, "That's all ›")
	if e := o.enquiry(mia); e.Stage != conversations.Done {
		t.Errorf("it is %q", e.Stage)
	}
}

// A photograph of damage that names a view is one of that view as well, and who has been
// round the car is not sent round it again when the work begins.
func TestTheLookRoundIsNotAskedForTwice(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Ford Fiesta", "Outside")
	ph := o.picture("")
	ph.Caption = "small dent back bumper left"
	o.event(boss, ph)
	o.until(o.now.Add(time.Minute))
	if said := o.lastTo(boss).Text; !strings.Contains(said, "Filed: Back.") || !strings.Contains(said, "– small dent back bumper left") {
		t.Errorf("the look over says %q", said)
	}
	o.tap(boss, "Start work")
	if said := o.lastTo(boss).Text; !strings.Contains(said, "Getting set up\n") || strings.Contains(said, "packing away") || strings.Contains(said, "walk round") {
		t.Errorf("the work begins with %q", said)
	}
}
