package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// An answer that says more than was asked: all of it is heard, said back in one
// line, and one step back takes the rest away again, and only that.
func TestAnswersThatSayMore(t *testing.T) {
	tests := []struct {
		name   string
		before []string // texts that lead to the question
		text   string
		// here is the answer to the question itself, also what else was heard.
		asked string
		here  []string
		also  map[string]string
		says  string
	}{
		{"wants and the place", []string{"Ford Fiesta"}, "outside, and I'd bring it to you", "wants", []string{"exterior"}, map[string]string{"site": "own"},
			"✓ Outside\nAt the workshop, right. (\"back\" if not.)\n\n"},
		{"wants, place and money", []string{"Ford Fiesta"}, "inside and out, I can bring it over to you, about £90", "wants", []string{"exterior", "interior"}, map[string]string{"site": "own", "budget": "90"},
			"✓ Outside, Inside\nSo: about £90 to spend; At the workshop. (Write \"back\" if not.)\n\n"},
		{"wants and what is seen", []string{"Ford Fiesta"}, "just the inside, dog hair everywhere", "wants", []string{"interior"}, map[string]string{"cond-pet-hair": "3"},
			"✓ Inside\nDog hair, right. (\"back\" if not.)\n\n"},
		{"place, ground and supplies", []string{"Ford Fiesta", "outside"}, "at home, on the driveway, we have an outside tap and a socket", "site", []string{"theirs"}, map[string]string{"surface": "driveway", "services": "both"},
			"✓ At home or work\nSo: Driveway; Tap and socket. (Write \"back\" if not.)\n\n"},
		{"ground and supplies", []string{"Ford Fiesta", "outside", "at home"}, "driveway, there's a tap and a socket", "surface", []string{"driveway"}, map[string]string{"services": "both"},
			"✓ Driveway\nTap and socket, right. (\"back\" if not.)\n\n"},
		{"what is left out is not wanted", []string{"Ford Fiesta"}, "outside only, not the inside", "wants", []string{"exterior"}, nil, "✓ Outside\n\n"},
		{"nothing more", []string{"Ford Fiesta"}, "the outside please", "wants", []string{"exterior"}, nil, "✓ Outside\n\n"},
	}
	tk := talk(t)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o := newOffice(t, tk)
			o.say(mia, tt.before...)
			if at := o.enquiry(mia).At; at != tt.asked {
				t.Fatalf("asked %q, want %q", at, tt.asked)
			}
			before := o.enquiry(mia).Answers
			o.say(mia, tt.text)
			e := o.enquiry(mia)
			if got := e.Answers[tt.asked]; !slices.Equal(got, tt.here) {
				t.Errorf("%s: got %q, want %q", tt.asked, got, tt.here)
			}
			for q, want := range tt.also {
				if got := e.Answers[q]; !slices.Equal(got, []string{want}) {
					t.Errorf("%s: got %q, want %q", q, got, want)
				}
			}
			for q := range e.Answers {
				if _, was := before[q]; !was && q != tt.asked && q != "heard" && tt.also[q] == "" {
					t.Errorf("%s was filled with %q, of which nothing was said", q, e.Answers[q])
				}
			}
			if got := o.lastTo(mia).Text; len(got) < len(tt.says) || got[:len(tt.says)] != tt.says {
				t.Errorf("said\n%s\nwant it to begin\n%s", got, tt.says)
			}
			if len(tt.also) == 0 {
				return
			}
			o.say(mia, "back")
			e = o.enquiry(mia)
			if got := e.Answers[tt.asked]; !slices.Equal(got, tt.here) {
				t.Errorf("a step back took %s as well: %q", tt.asked, got)
			}
			for q := range tt.also {
				if got, still := e.Answers[q]; still {
					t.Errorf("a step back left %s: %q", q, got)
				}
			}
			o.say(mia, "back")
			if at := o.enquiry(mia).At; at != tt.asked {
				t.Errorf("two steps back ask %q, want %q", at, tt.asked)
			}
		})
	}
}

// What an earlier text said stays when a later one is taken back.
func TestBackTakesTheLastTextOnly(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(mia, "Fiesta, there may be fleas in it", "inside, I'd bring it to you", "back")
	e := o.enquiry(mia)
	if !slices.Contains(e.Told, "pests") || e.Car == nil || e.Answers["site"] != nil {
		t.Errorf("told %q, car %v, site %q", e.Told, e.Car, e.Answers["site"])
	}
}

// Who does not know what shape their car is hears how to tell, with the shapes and
// a person below it; a guess beside it is an answer.
func TestNotSureOfTheShape(t *testing.T) {
	tests := []struct{ text, body string }{
		{"not sure", ""}, {"I don't know", ""}, {"no idea sorry", ""}, {"not sure if it's an estate or a hatchback", ""},
		{"not sure, an estate perhaps", "estate"}, {"saloon", "saloon"},
	}
	tk := talk(t)
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			o := newOffice(t, tk)
			o.say(mia, "hello", "my uncle's old runabout")
			if at := o.enquiry(mia).At; at != "body" {
				t.Fatalf("asked %q", at)
			}
			o.say(mia, tt.text)
			e := o.enquiry(mia)
			if got := strings.Join(e.Answers["body"], ","); got != tt.body {
				t.Fatalf("the shape is %q, want %q", got, tt.body)
			}
			if tt.body != "" {
				return
			}
			if got := o.lastTo(mia).Text; !strings.HasPrefix(got, "Have a look from behind.") || e.At != "body" {
				t.Errorf("at %q, said %q", e.At, got)
			}
			o.button(mia, "A person, please")
			again := o.fork()
			again.tap(mia, "Not sure")
			if e := again.enquiry(mia); e.Car == nil || e.Car.Body != "hatchback" || !slices.Contains(e.Unsure, "body") {
				t.Errorf("asked again, the car is %+v, unsure of %q", e.Car, e.Unsure)
			}
			o.tap(mia, "Estate")
			if e := o.enquiry(mia); e.Car == nil || e.Car.Body != "estate" || len(e.Unsure) > 0 {
				t.Errorf("the car is %+v, unsure of %q", e.Car, e.Unsure)
			}
		})
	}
}
