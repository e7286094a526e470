package conversations

import (
	"strings"
	"testing"
)

// What a button carries comes back as it was, and whatever else comes is refused
// or reads the same the second time.
func FuzzParsePress(f *testing.F) {
	for _, p := range []press{{"2t-1", 7, askSite, "own"}, {"2t-1", 0, pressReview, askVehicle}, {"-", 0, "desk", "off:2027-04-20"}, {"a", -3, askWants, "+exterior"}} {
		f.Add(p.data())
	}
	for _, s := range []string{"", "|||", "a|1|b", "a|1|b|c|d", "a|+1|b|c", "a|99999999999999999999|b|c", "\x00|1|\xff|€", "a|1||c", "|1|b|c"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data string) {
		p, ok := parsePress(data)
		if !ok {
			if p != (press{}) {
				t.Errorf("%q: refused, and yet %+v", data, p)
			}
			return
		}
		if p.enquiry == "" || p.question == "" || strings.Count(p.data(), "|") != 3 {
			t.Errorf("%q: %+v", data, p)
		}
		if again, ok := parsePress(p.data()); !ok || again != p {
			t.Errorf("%q: %+v comes back as %+v, %t", data, p, again, ok)
		}
	})
}

// A sum somebody types is one that may be tapped as well, or none.
func FuzzFigures(f *testing.F) {
	for _, s := range []string{"£120", "about 90 quid", "1,250.50", "£0", "00100", "80-90", "£ 99999999999999999999", ",1", "9,9,9", "my number is 07700 900123", "-5", "12.345"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		answer, ok := readBudget(&turn{}, nil, text)
		if ok != (len(answer) == 1) {
			t.Fatalf("%q: %q, %t", text, answer, ok)
		}
		if !ok {
			return
		}
		if !isFigure(answer[0]) || len(figures.FindAllString(text, -1)) != 1 {
			t.Errorf("%q is read as %q", text, answer[0])
		}
		if again, ok := readBudget(&turn{}, nil, answer[0]); !ok || again[0] != answer[0] {
			t.Errorf("%q is read as %q, and that as %q", text, answer[0], again)
		}
	})
}
