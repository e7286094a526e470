package wording_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/conversations/wording"
)

// A length of time is said in minutes up to an hour and a half, and above that in hours
// and what is left of them. The Polish forms of "hour" are CLDR's categories, see
// TestPluralsArePolish; where minutes follow, it is the abbreviation, which has one form.
func TestLengthsInWords(t *testing.T) {
	w := map[string]*wording.Words{"en-GB": words(t), "pl": others(t)[0]}
	for _, tt := range []struct {
		minutes int
		en, pl  string
	}{
		{1, "1 minute", "1 min"},
		{20, "20 minutes", "20 min"},
		{90, "90 minutes", "90 min"},
		{91, "1 hour 31 minutes", "1 godz. 31 min"},
		{120, "2 hours", "2 godziny"},
		{121, "2 hours 1 minute", "2 godz. 1 min"},
		{240, "4 hours", "4 godziny"},
		{300, "5 hours", "5 godzin"},
		{1320, "22 hours", "22 godziny"},
		{750, "12 hours 30 minutes", "12 godz. 30 min"},
	} {
		for tag, want := range map[string]string{"en-GB": "X, " + tt.en + " at most", "pl": "X, najwyżej " + tt.pl} {
			if got := w[tag].Say(wording.LineAtMost, wording.Facts{Text: "X", Minutes: tt.minutes}); got != want {
				t.Errorf("%s: %q, want %q", tag, got, want)
			}
		}
	}
}

// Whatever the sentence, nobody is told of 240 minutes.
func TestNobodyIsToldOfHundredsOfMinutes(t *testing.T) {
	told := regexp.MustCompile(`\b(240|300) ?(min|by the clock|według zegara|reckoned|wobec)|(liczone|reckon|reckoned|Liczymy|Liczyliśmy|against|wobec liczonych) (240|300)\b`)
	var keys []string
	for k := range sentencesOf(t, "en-GB.yaml") {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	list := []string{"x", "y"}
	// What these are said of is never that long: see quote.go, hold.go, and lasts itself.
	short := []string{"length-minutes", "hold-lapsing", "lasts"}
	for _, w := range append(others(t), words(t)) {
		for _, k := range keys {
			said := w.Say(wording.Key(k), wording.Facts{Name: "X", Car: "X", When: "X", Until: "X", Day: "X", Text: "X", Question: "X", Now: "X", Was: "X", Hours: "X", Items: list, In: list, Minutes: 240, Count: 300})
			if !slices.Contains(short, k) && told.MatchString(said) {
				t.Errorf("%s, %s: %q", w.Language(), k, said)
			}
		}
	}
}

// What words a length cannot be worded by itself: that would never end.
func TestLengthsOfLengthsAreRefused(t *testing.T) {
	src, err := os.ReadFile("en-GB.yaml")
	if err != nil {
		t.Fatal(err)
	}
	own := regexp.MustCompile(`(?m)^  lasts: .*$`).ReplaceAllString(string(src), `  lasts: "{{lasts .Minutes}}"`)
	if _, err := wording.Parse("mine.yaml", []byte(own)); err == nil || !strings.Contains(err.Error(), `function "lasts" not defined`) {
		t.Errorf("refused with %v", err)
	}
}
