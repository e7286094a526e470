package reading_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

func polish(t testing.TB) *reading.Gloss {
	t.Helper()
	all, err := wording.Others()
	if err != nil {
		t.Fatal(err)
	}
	g, err := reading.NewGloss(all[0].Reads())
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Of messages in Polish nothing is read that they do not say, and almost all that
// they do.
func TestPolishMessages(t *testing.T) {
	g := polish(t)
	r, err := reading.Default(pricing.DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	found, said := 0, 0
	for _, m := range messages(t, "polish.yaml") {
		want, got := m.facts(), factsOf(m.Text, r.ReadIn(g, m.Text))
		for _, slot := range slots {
			for _, x := range got[slot] {
				if !slices.Contains(want[slot], x) {
					t.Errorf("%q, read as %q: %s is %q", m.Text, g.English(m.Text), slot, x)
				}
			}
			for _, x := range want[slot] {
				said++
				if slices.Contains(got[slot], x) {
					found++
				} else {
					t.Logf("%q, read as %q: %s %q is missed", m.Text, g.English(m.Text), slot, x)
				}
			}
		}
	}
	t.Logf("%d of %d facts found", found, said)
	if found*100 < said*95 {
		t.Errorf("only %d of %d facts are found", found, said)
	}
}

// What a gloss does not know means nothing, however English it looks.
func TestAGlossPassesNothingOn(t *testing.T) {
	g := polish(t)
	for text, want := range map[string]string{
		"To most, a on stop.":         "qx qx, and qx qx.",
		"Do 14:30, kod LS29 9DT":      "before 14:30, qx ls29 9dt",
		"do 14 funtów":                "max 14 pounds",
		"od 9 do 12.30":               "between 09:00 and 12:30",
		"tapicerki, żółte, SOBOTĘ":    "upholstery, yellow, saturday",
		"w środku, nie w środę":       "inside, not wednesday",
		"po południu po 16, za 2 dni": "afternoon after 16:00, in 2 days",
	} {
		if got := g.English(text); got != want {
			t.Errorf("%q is read as %q, want %q", text, got, want)
		}
	}
}

func TestAGlossThatIsWrongIsRefused(t *testing.T) {
	for want, phrases := range map[string]map[string]string{
		"is there twice":     {"sobotę": "saturday", "Sobote": "sunday"},
		"has other numbers":  {"do {hour}": "before noon"},
		"a phrase and its":   {"sobota": " "},
		"meaning are needed": {" ": "saturday"},
	} {
		if _, err := reading.NewGloss(phrases); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: error %v, want %q", phrases, err, want)
		}
	}
}

// Whatever is written, each part of a reading lies in the text as it was written.
func FuzzReadIn(f *testing.F) {
	g := polish(f)
	r, err := reading.Default(pricing.DefaultRules())
	if err != nil {
		f.Fatal(err)
	}
	for _, m := range messages(f, "polish.yaml") {
		f.Add(m.Text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got := r.ReadIn(g, text)
		spans := slices.Clone(got.When)
		for _, h := range got.Hints {
			spans = append(spans, h.Span)
		}
		if got.Budget.Kind != "" {
			spans = append(spans, got.Budget.Span)
		}
		for _, s := range spans {
			if s.From < 0 || s.To > len(text) || s.From >= s.To {
				t.Fatalf("%q: %v lies outside", text, s)
			}
		}
	})
}

// Stretches of days in Polish are read as those of English are (issue 10).
func TestPolishStretches(t *testing.T) {
	g := polish(t)
	now := time.Date(2026, time.December, 1, 10, 40, 0, 0, time.UTC)
	for said, want := range map[string]string{
		"od 24 grudnia do 2 stycznia": "24 Dec - 2 Jan",
		"24 grudnia do 2 stycznia":    "24 Dec - 2 Jan",
		"od 24 do 26 grudnia":         "24 Dec - 26 Dec",
		"między 20 a 22 grudnia":      "20 Dec - 22 Dec",
		"do 2 stycznia":               "1 Dec - 2 Jan",
		"od jutra do piątku":          "2 Dec - 4 Dec",
	} {
		b := when.ReadBlocks(g.English(said), now)
		if len(b.Of) != 1 || len(b.Unread) > 0 || !b.Of[0].Whole() || b.Of[0].First.Format("2 Jan")+" - "+b.Of[0].Last.Format("2 Jan") != want {
			t.Errorf("%q, read as %q, is %+v, want %s", said, g.English(said), b, want)
		}
	}
	m := when.Read(g.English("jestem wolny od 24 grudnia do 2 stycznia"), now)
	if len(m.Prefer) != 1 || m.Prefer[0].From.Format(time.DateOnly) != "2026-12-24" || m.Prefer[0].To.Format(time.DateOnly) != "2027-01-03" {
		t.Errorf("a customer is free: %+v", m)
	}
}
