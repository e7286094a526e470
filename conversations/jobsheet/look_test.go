package jobsheet_test

import (
	"errors"
	"html"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/plainyaml"
	"pgregory.net/rapid"
)

// Messages fit, and every step is in them, once and in order.
func TestMessages(t *testing.T) {
	r, w := pricing.DefaultRules(), words(t)
	rapid.Check(t, func(t *rapid.T) {
		j := drawJob(t, r)
		j.Place = strings.Repeat(rapid.SampledFrom([]string{"a", "🚗", "word ", "line\n"}).Draw(t, "text"), rapid.IntRange(0, 5000).Draw(t, "times"))
		s := drawnSheet(t, r, j)
		all := ""
		for _, m := range w.Messages(s) {
			if n := len(utf16.Encode([]rune(m))); n > 3500 || n == 0 {
				t.Fatalf("a message of %d units", n)
			}
			all += m + "\n"
		}
		for _, x := range s.Steps {
			_, rest, found := strings.Cut(all, " "+x.Words+" (")
			if !found {
				t.Fatalf("%s is not told, or not in order", x.Task)
			}
			all = rest
		}
	})
}

// In the chat, too, every product says how long it stays on.
func TestChatTellsHowLong(t *testing.T) {
	w := words(t)
	for task, want := range map[string]string{
		"door-shuts": "– all-purpose cleaner: 31 ml with 469 ml of water makes 500 ml (1:15, 6.25 %); leave 0:30 to 1:30; never let it dry\n",
		"foam":       "lands at 2 % (1:49)\n– snow foam, as it reaches the paint: one half of the car after the other, 2 under way at once; on for 4:00 to 7:00 min each",
	} {
		if got := strings.Join(w.Messages(sheet(t, pricing.DefaultRules(), jobOf(20, task))), "\n"); !strings.Contains(got, want) {
			t.Errorf("%s: no %q in %s", task, want, got)
		}
	}
}

// Nothing a person wrote becomes markup, and the page asks nobody for anything.
func TestPageIsSafe(t *testing.T) {
	w := words(t)
	evil := `<script>alert(1)</script>"><img src=x onerror=alert(1)>{{.S}}`
	j := jobOf(30, "wash")
	j.Customer, j.Car, j.Place, j.Notes = evil, evil, evil, []string{evil}
	j.Work = append(j.Work, jobsheet.Work{Task: evil, Words: evil, Minutes: 5})
	page, err := w.Page(sheet(t, pricing.DefaultRules(), j))
	if err != nil {
		t.Fatal(err)
	}
	got := string(page)
	if n := strings.Count(html.UnescapeString(got), "onerror=alert(1)"); n != 6 { // the title too
		t.Errorf("what was written is there %d times, want 6", n)
	}
	tags := regexp.MustCompile(`<([a-zA-Z]+)`).FindAllStringSubmatch(got, -1)
	for _, tag := range tags {
		switch tag[1] {
		case "script", "img", "link", "iframe", "object", "form", "base", "svg":
			t.Errorf("there is a <%s>", tag[1])
		}
	}
	outside := regexp.MustCompile(`(?i)<[^>]*\b(src|href|action|on[a-z]+)\s*=|url\(|@import|https?://`)
	if found := outside.FindString(got); found != "" {
		t.Errorf("asks for something: %q", found)
	}
}

// The page tells everything the chat tells.
func TestPageTellsAll(t *testing.T) {
	r, w := pricing.DefaultRules(), words(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawnSheet(t, r, drawJob(t, r))
		raw, err := w.Page(s)
		if err != nil {
			t.Fatal(err)
		}
		page := html.UnescapeString(string(raw))
		for _, x := range s.Steps {
			for _, text := range append(append([]string{x.Words, x.Why}, x.Gentlest...), x.Cautions...) {
				if !strings.Contains(page, text) {
					t.Fatalf("%s: %q is not on the page", x.Task, text)
				}
			}
			for _, m := range x.Mixes {
				if !strings.Contains(page, m.What) || !strings.Contains(page, m.Note) {
					t.Fatalf("%s: %s is not on the page", x.Task, m.What)
				}
			}
		}
		for _, text := range append(append([]string{}, s.Bring...), s.Stop...) {
			if len(s.Steps) > 0 && !strings.Contains(page, text) {
				t.Fatalf("%q is not on the page", text)
			}
		}
	})
}

// A file of words is complete, says nothing unknown, and is found out with the
// line.
func TestWordsAreStrict(t *testing.T) {
	src := jobsheet.DefaultYAML()
	for _, tt := range []struct{ name, old, new, want string }{
		{"missing", "done: Done\n", "", `"done" is missing`},
		{"unknown", "done: Done\n", "done: Done\ndune: x\n", "dune: unknown; did you mean"},
		{"unknown fact", "{{.Count}} fills", "{{.Cuont}} fills", "speaks of something a sheet does not know"},
		{"broken", "{{.Count}} fills", "{{.Count} fills", "cannot be read"},
		{"eleven months", "[January, February,", "[January,", "must be a list of exactly 12"},
	} {
		_, err := jobsheet.Parse("words.yaml", []byte(strings.Replace(string(src), tt.old, tt.new, 1)))
		var m *plainyaml.Mistake
		if !errors.As(err, &m) || m.Line < 1 || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}

// A second language is a second file: none of ours stays.
func TestSecondLanguage(t *testing.T) {
	src := string(jobsheet.DefaultYAML())
	src = strings.Replace(src, "language: en-GB", "language: de", 1)
	src = strings.Replace(src, "title: Job sheet", "title: Arbeitsblatt", 1)
	src = strings.Replace(src, `decimal: "."`, `decimal: ","`, 1)
	w, err := jobsheet.Parse("de.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	page, err := w.Page(sheet(t, pricing.DefaultRules(), jobOf(30, "pre-wash")))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`lang="de"`, "<h1>Arbeitsblatt</h1>", "(1:10, 9,09 %)", "1,5 litres"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("no %q on the page", want)
		}
	}
}

// Whatever is read as words can be said.
func FuzzParse(f *testing.F) {
	f.Add(string(jobsheet.DefaultYAML()))
	f.Add("title: {{.Text}}\n")
	f.Add("days: [a, b]\n")
	r := pricing.DefaultRules()
	f.Fuzz(func(t *testing.T, src string) {
		w, err := jobsheet.Parse("fuzz.yaml", []byte(src))
		if err != nil {
			return
		}
		w.Messages(sheet(t, r, jobOf(30, "wheels-full", "foam")))
	})
}

// Above an hour and a half the page says hours.
func TestPageSaysHours(t *testing.T) {
	r, w := pricing.DefaultRules(), words(t)
	for minutes, want := range map[float64]string{90: "90 min", 120: "2 h<", 125: "2 h 5 min"} {
		page, err := w.Page(sheet(t, r, jobOf(minutes, "door-shuts")))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(page), want) || strings.Contains(string(page), "120 min") || strings.Contains(string(page), "125 min") {
			t.Errorf("%.0f minutes: no %q on the page", minutes, want)
		}
	}
}
