package wording_test

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"

	"example.org/dryhand/conversations/wording"
)

func others(t *testing.T) []*wording.Words {
	t.Helper()
	all, err := wording.Others()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// sentencesOf are the sentences of a file as they stand there, by name.
func sentencesOf(t *testing.T, name string) map[string]string {
	t.Helper()
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(src), "\nsentences:\n")
	body, _, _ = strings.Cut(body, "\nrules:\n")
	out := map[string]string{}
	at := regexp.MustCompile(`(?m)^  ([a-z][a-z-]*):`).FindAllStringSubmatchIndex(body, -1)
	for i, m := range at {
		end := len(body)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		out[body[m[2]:m[3]]] = body[m[1]:end]
	}
	return out
}

// Each sentence of another language speaks of the facts that the English one speaks
// of: nothing is left out, and nothing made up. (That each is there at all, Parse
// sees to.)
func TestOtherLanguagesSpeakOfTheSameFacts(t *testing.T) {
	// Where there is no need: English has its plural there, or a word that Polish says
	// by other means.
	free := map[string][]string{
		"pl/length-hours": {".Count"},
	}
	fact := regexp.MustCompile(`\$?\.[A-Z][a-z]*`)
	english := sentencesOf(t, "en-GB.yaml")
	for _, w := range others(t) {
		theirs := sentencesOf(t, w.Language()+".yaml")
		for key, text := range english {
			facts := func(text string) []string {
				all := fact.FindAllString(text, -1)
				for i := range all {
					all[i] = strings.TrimPrefix(all[i], "$")
				}
				slices.Sort(all)
				return slices.Compact(all)
			}
			want, got := facts(text), facts(theirs[key])
			want = slices.DeleteFunc(want, func(f string) bool { return slices.Contains(free[w.Language()+"/"+key], f) })
			if !slices.Equal(want, got) {
				t.Errorf("%s: %s speaks of %q, in English of %q", w.Language(), key, got, want)
			}
		}
	}
}

// No sentence of another language is the English one, save for the few that are names
// or only put facts together.
func TestOtherLanguagesAreTranslated(t *testing.T) {
	remark := regexp.MustCompile(`(?m)^ *#.*$`)
	facts, notLetters := regexp.MustCompile(`\{\{.*?\}\}`), regexp.MustCompile(`[^\pL]+`)
	letters := func(s string) string {
		return notLetters.ReplaceAllString(facts.ReplaceAllString(remark.ReplaceAllString(s, ""), ""), "")
	}
	same := []string{"length-minutes", "take-file", "label-suv", "label-coupe", "label-minimum", "label-hatchback"}
	english := sentencesOf(t, "en-GB.yaml")
	for _, w := range others(t) {
		for key, text := range sentencesOf(t, w.Language()+".yaml") {
			first, _, _ := strings.Cut(text, "|")
			firstEnglish, _, _ := strings.Cut(english[key], "|")
			first, firstEnglish = letters(first), letters(firstEnglish)
			if first != "" && first == firstEnglish && !slices.Contains(same, key) && !strings.HasPrefix(key, "say-") {
				t.Errorf("%s: %s is as in English: %q", w.Language(), key, text)
			}
		}
	}
}

// The forms behind numbers, against the samples that CLDR publishes with its rules
// for Polish (unicode.org/cldr/charts/latest/supplemental/language_plural_rules.html,
// the samples from memory): one 1; few 2–4, 22–24, 32–34, 42–44, 52–54, 62, 102, 1002;
// many 0, 5–19, 100, 1000, 10000, 1000000.
func TestPluralsArePolish(t *testing.T) {
	pl := others(t)[0]
	if pl.Language() != "pl" {
		t.Fatalf("%s comes first", pl.Language())
	}
	forms := map[plural.Form]string{plural.One: "tydzień", plural.Few: "tygodnie", plural.Many: "tygodni"}
	check := func(n int, want string) {
		if got := pl.Say(wording.EveryWeeks, wording.Facts{Count: n}); !strings.HasSuffix(got, " "+want) {
			t.Errorf("%d: %q, want %s", n, got, want)
		}
	}
	for form, samples := range map[plural.Form][]int{
		plural.One:  {1},
		plural.Few:  {2, 3, 4, 22, 23, 24, 32, 33, 34, 42, 43, 44, 52, 53, 54, 62, 102, 1002},
		plural.Many: {0, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 21, 31, 100, 112, 1000, 10000, 1000000},
	} {
		for _, n := range samples {
			check(n, forms[form])
			if got := plural.Cardinal.MatchPlural(language.Polish, n, 0, 0, 0, 0); got != form {
				t.Errorf("golang.org/x/text puts %d elsewhere: %v", n, got)
			}
		}
	}
}

// Parts of things stand in a form of their own: CLDR's samples for "other" in Polish
// begin with 0.0 to 1.5 (from memory, as above).
func TestHalvesArePolish(t *testing.T) {
	pl := others(t)[0]
	for text, want := range map[string]string{"1": "1 godziny", "1½": "1½ godziny", "2": "2 godzin", "2½": "2½ godziny", "3¼": "3¼ godziny", "5¾": "5¾ godziny", "5": "5 godzin", "12½": "12½ godziny"} {
		if got := pl.Say(wording.LengthHours, wording.Facts{Text: text}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestMoneyInWords(t *testing.T) {
	en, pl := words(t), others(t)[0]
	for _, c := range []struct {
		pence  int64
		en, pl string
	}{
		{175_00, "£175", "175 £"}, {12_50, "£12.50", "12,50 £"}, {5, "£0.05", "0,05 £"}, {-20_00, "-£20", "-20 £"}, {0, "£0", "0 £"},
	} {
		if got := en.Money(c.pence); got != c.en {
			t.Errorf("%d: %q, want %q", c.pence, got, c.en)
		}
		if got := pl.Money(c.pence); got != c.pl {
			t.Errorf("%d: %q, want %q", c.pence, got, c.pl)
		}
	}
}

func TestAFileWithWrongPluralsIsRefused(t *testing.T) {
	src, err := os.ReadFile("pl.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new, want string }{
		{"plurals: [one, few, many, other]", "plurals: [one, other]", `pl needs "many", for such numbers as 0`},
		{`{{plural .Count "tydzień" "tygodnie" "tygodni"}}`, `{{plural .Count "tydzień" "tygodnie"}}`, "plural needs 3 forms, for one, few, many"},
		{"language: pl", "language: polski?", "no BCP 47 tag"},
		{`money: "{} £"`, `money: "£"`, "money: must have {} once"},
	} {
		changed := strings.Replace(string(src), c.old, c.new, 1)
		if changed == string(src) {
			t.Fatalf("%q is not in the file", c.old)
		}
		if _, err := wording.Parse("mine.yaml", []byte(changed)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q", c.new, err, c.want)
		}
	}
}

// What is shipped is not tried at every start, and has to stand here what an owner's
// file stands then.
func TestShippedFilesStandWhatOwnFilesDo(t *testing.T) {
	for _, name := range []string{"en-GB.yaml", "pl.yaml"} {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := wording.Parse(name, append(src, "\n# as if it were somebody's own\n"...)); err != nil {
			t.Error(err)
		}
		if _, err := wording.Parse(name, bytes.ReplaceAll(src, []byte("{{.Name}}"), []byte("{{.Nothing}}"))); err == nil {
			t.Errorf("%s: a sentence with a fact there is none of was let through", name)
		}
	}
}
