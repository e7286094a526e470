package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// sold is somebody who wants her car to look good for £100, with the price on the table: the
// dash is left out of it, the wheels are in.
func sold(t *testing.T) *office {
	t.Helper()
	return pricedFor(t, "nissan qashqai, got about £100 to spend", "both i guess", "can bring it to you", "2", "2", "nope", "1")
}

// Lines of the list are swapped and added by their own words; what is to be out stays out,
// with what hangs on it, and what cannot go by itself stays in and is said to.
func TestLinesSwappedInWords(t *testing.T) {
	start := sold(t)
	dash, wheels := "plastics-wipe", []string{"wheels-face", "wheels-full", "dress-tyres"}
	if q := start.enquiry(mia).Quote; slices.Contains(q.Tasks, dash) || !slices.Contains(q.Tasks, "wheels-face") {
		t.Fatalf("the price has %v", q.Tasks)
	}
	for _, says := range []string{"dash needs doing surely, can u swap it for the wheels", "can you swap the dash for the wheels", "swap the wheels for the dash",
		"do the dash instead of the wheels", "dash in, wheels out", "no wheels, do the dash"} {
		o := start.fork()
		o.say(mia, says)
		q, got := o.enquiry(mia).Quote, o.lastTo(mia).Text
		if !slices.Contains(q.Tasks, dash) || slices.ContainsFunc(wheels, func(id string) bool { return slices.Contains(q.Tasks, id) }) || !slices.Contains(q.Tasks, "wash") ||
			!strings.HasPrefix(got, "Good, that fits within £100: dash, doors and console") {
			t.Errorf("%q: in it is %v, she reads\n%s", says, q.Tasks, got)
		}
		o.say(mia, "as it was")
		if now := o.enquiry(mia).Quote.Tasks; !slices.Equal(now, start.enquiry(mia).Quote.Tasks) {
			t.Errorf("%q, put back: %v", says, now)
		}
	}
	for says, c := range map[string]struct{ reads, in string }{
		"can you do dash as well for 100":    {"Good, that fits within £100: dash, doors and console", dash},
		"and the dash too please":            {"Good, that fits within £100: dash, doors and console", dash},
		"skip the boot":                      {"That can't be left out by itself: boot.", "vacuum"},
		"skip the pre-wash":                  {"That can't be left out by itself: pre wash.", "pre-wash"},
		"can you do the door cards":          {"one for the boss", "wheels-face"},
		"swap the wheels for machine polish": {"£100 doesn't stretch to one round of machine polishing; £", "vacuum"},
		"can you come at 3 instead of 2":     {"", "wheels-face"},
		"ok whats not included in the 90":    {"Left out of it:\n– Dash, doors and console dusted and wiped (would add about £10)", "wheels-face"},
		"what did you leave out":             {"Left out of it:\n– Dash", "wheels-face"},
	} {
		o := start.fork()
		o.say(mia, says)
		if q, got := o.enquiry(mia).Quote, o.lastTo(mia).Text; !strings.Contains(got, c.reads) || !slices.Contains(q.Tasks, c.in) || strings.Contains(got, "Yes, we do those") {
			t.Errorf("%q: in it is %v, she reads\n%s", says, q.Tasks, got)
		}
	}
}

// What the owner takes out stays out with what hangs on it, by a tap or by the words of the
// list; what he writes that is none of it is said to him.
func TestOwnerTakesLinesOut(t *testing.T) {
	start := sold(t)
	start.say(mia, "find a day", "nothing like that", "no photo")
	start.tap(mia, start.lastTo(mia).Choices[0][0].Label)
	start.tap(mia, "Yes, ask for it")
	start.tap(boss, "Adjust")
	start.tap(boss, "Tasks")
	has := func(o *office, id string) bool {
		e := o.enquiry(mia)
		return slices.Contains(e.Seen.Tasks, id)
	}
	o := start.fork()
	o.tap(boss, "Dash, doors and console dusted +£10")
	o.tap(boss, "Wheels and tyres cleaned")
	if has(o, "wheels-face") || has(o, "wheels-full") || has(o, "dress-tyres") || !has(o, "plastics-wipe") {
		t.Errorf("wheels taken out: %v\n%s", o.enquiry(mia).Seen.Tasks, o.lastTo(boss).Text)
	}
	if q := o.enquiry(mia); q.Seen.Likely > q.Quote.Likely {
		t.Errorf("with the wheels out and the dash in £%d, before £%d", q.Seen.Likely/100, q.Quote.Likely/100)
	}
	o.tap(boss, "Dried with soft towels")
	if !has(o, "dry") || !strings.Contains(o.lastTo(boss).Text, "Dried with soft towels stays in.") {
		t.Errorf("he reads\n%s", o.lastTo(boss).Text)
	}
	for says, c := range map[string]struct{ in, out, reads string }{
		"dash in":                 {"plastics-wipe", "", ""},
		"dash in, wheels out":     {"plastics-wipe", "wheels-face", ""},
		"dash in, door edges out": {"plastics-wipe", "door-shuts", ""},
		"door edges out":          {"wheels-face", "door-shuts", ""},
		"door edges out dash in":  {"plastics-wipe", "door-shuts", ""},
		"glass out":               {"wheels-face", "outside-glass", ""},
		"dash in, flurble out":    {"plastics-wipe", "", `"flurble": nothing on the list is called that.`},
		"boot out, dash in":       {"plastics-wipe", "", `"boot": nothing to change there`},
	} {
		o := start.fork()
		o.say(boss, says)
		e := o.enquiry(mia)
		if e.Seen == nil || !slices.Contains(e.Seen.Tasks, c.in) || slices.Contains(e.Seen.Tasks, c.out) || !strings.Contains(o.lastTo(boss).Text, c.reads) {
			t.Errorf("%q: %v, he reads\n%s", says, e.Seen, o.lastTo(boss).Text)
		}
	}
}

// A van is priced by its name whenever that is said, and that only its cab is to be done
// inside is neither lost nor counted as all of it in silence.
func TestAVanByItsNameAndItsCab(t *testing.T) {
	says := []string{"in and out", "bring it in", "3", "3", "3", "3", "3"}
	price := func(first string, at int) int64 {
		o := newOffice(t, talk(t))
		o.say(mia, first)
		for i, s := range says {
			if i == at {
				s = "transit, " + s
			}
			o.say(mia, s)
		}
		if at == len(says) {
			o.say(mia, "its a transit")
		}
		return o.enquiry(mia).Quote.Likely
	}
	want := price("transit clean price", -1)
	for _, at := range []int{2, 4, 6, len(says)} {
		if got := price("van clean price", at); got != want {
			t.Errorf("named with answer %d it is %d, from the start %d", at, got, want)
		}
	}
	start := newOffice(t, talk(t))
	start.say(mia, "van clean price")
	start.say(mia, says...)
	o := newOffice(t, talk(t))
	o.say(mia, "transit, just the cab, how much")
	if e := o.enquiry(mia); e.Cab == "" || !strings.Contains(o.lastTo(mia).Text, "only the cab inside") {
		t.Errorf("at the beginning: %q\n%s", e.Cab, o.lastTo(mia).Text)
	}
	for said, figure := range map[string]string{"just cab, 150?": "150", "just the cab not the back": "", "only the cab inside": "", "how much for just the cab": ""} {
		o := start.fork()
		o.say(mia, said)
		e := o.enquiry(mia)
		if e.Cab != said || !slices.Equal(e.Answers["wants"], []string{"exterior", "interior"}) || strings.Join(e.Answers["budget"], "") != figure || !strings.HasPrefix(o.lastTo(mia).Text, "Only the cab inside, noted.") {
			t.Errorf("%q: %q, %v, %v\n%s", said, e.Cab, e.Answers["wants"], e.Answers["budget"], o.lastTo(mia).Text)
		}
		o.say(mia, "whole list", "find a day", "nothing like that", "no photo")
		o.tap(mia, o.lastTo(mia).Choices[0][0].Label)
		if o.enquiry(mia).At == "consent" {
			o.say(mia, "no")
		}
		o.tap(mia, "Yes, ask for it")
		if got := o.lastTo(boss).Text; !strings.Contains(got, `Inside only the cab, while the price counts all of it: "`+said+`"`) {
			t.Errorf("%q: the boss reads\n%s", said, got)
		}
		o.tap(boss, "Yes, book it")
		read := ""
		for _, m := range o.chat[mia] {
			read += m.Text + "\n"
		}
		if strings.Contains(read, "child seats") || strings.Contains(read, " boot") || !strings.Contains(read, "mats and load space") || !strings.Contains(read, "empty the van beforehand") {
			t.Errorf("%q: of a van they read\n%s", said, read)
		}
	}
}
