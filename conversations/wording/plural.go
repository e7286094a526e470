package wording

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"

	"example.org/dryhand/pricing/plainyaml"
)

// The categories of plurals as CLDR names them (unicode.org/reports/tr35, part 3,
// "Language Plural Rules"). Which number is in which follows from the language.
var categories = map[plural.Form]string{
	plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other",
}

// pluralOf makes what {{plural .Count "mile" "miles"}} does in a language: it chooses
// among forms, one for each of the categories that the file names, in its order. The
// number may be one in words, such as "2½". Forms that only parts of things need may
// be left out at the end, where whole things are counted. Of a language that is none,
// and categories that are wrong for it, f is told; then it is nil.
func pluralOf(f *plainyaml.File, tag string, named []string) func(n any, forms ...string) (string, error) {
	lang, err := language.Parse(tag)
	if err != nil {
		f.Wrong("language", "%q is no BCP 47 tag: %v", tag, err)
		return nil
	}
	need := 0
	// Every whole number's category shows below 200.
	for n := range 200 {
		c := category(lang, n, false)
		at := slices.Index(named, c)
		if at < 0 {
			f.Wrong("plurals", "%s needs %q, for such numbers as %d", tag, c, n)
			return nil
		}
		need = max(need, at+1)
	}
	if c := category(lang, 1, true); !slices.Contains(named, c) {
		f.Wrong("plurals", "%s needs %q, for such numbers as 1½", tag, c)
		return nil
	}
	return func(n any, forms ...string) (string, error) {
		whole, half := 0, false
		least := need
		switch n := n.(type) {
		case int:
			whole = max(n, -n)
		case string:
			const parts = "¼½¾"
			whole, _ = strconv.Atoi(strings.Trim(n, parts)) // words that are no number count as none
			half, least = strings.ContainsAny(n, parts), len(named)
		default:
			return "", fmt.Errorf("plural counts numbers, not %T", n)
		}
		if len(forms) < least || len(forms) > len(named) {
			return "", fmt.Errorf("plural needs %d forms, for %s", least, strings.Join(named[:least], ", "))
		}
		return forms[slices.Index(named, category(lang, whole, half))], nil
	}
}

// category is which of the categories a number is in, with a half beside it or not.
func category(lang language.Tag, whole int, half bool) string {
	if half {
		return categories[plural.Cardinal.MatchPlural(lang, whole, 1, 1, 5, 5)] // 2.5
	}
	return categories[plural.Cardinal.MatchPlural(lang, whole, 0, 0, 0, 0)]
}

// mostMinutes is up to how many minutes a length of time is said in minutes: nobody
// says "240 minutes" who would not say "two hours" for 120 (ours).
const mostMinutes = 90

// lasts makes what {{lasts .Minutes}} does: it words a length of time, given in minutes,
// to the minute: "45 minutes", "4 hours", "1 hour 59 minutes".
func (w *Words) lasts(minutes int) string {
	if minutes <= mostMinutes {
		return w.Say(Lasts, Facts{Minutes: minutes})
	}
	return w.Say(Lasts, Facts{Count: minutes / 60, Minutes: minutes % 60})
}
