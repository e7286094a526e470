package when

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/agnivade/levenshtein"
)

// token is a word, a number with what belongs to it, or a mark.
var token = regexp.MustCompile(`\d{4}-\d\d?-\d\d?|\d\d?[:.]\d\d(?:am|pm|a\.m\.?|p\.m\.?)?|\d\d?/\d\d?(?:/\d{2,4})?|\d+(?:st|nd|rd|th)|\d\d?(?:am|pm|a\.m\.?|p\.m\.?)|\d+|w/c|[ap]\.m\.?|[a-z]+|[-,./&;!?]`)

// split takes a text apart.
func split(text string) []string {
	text = strings.NewReplacer("’", "", "'", "", "–", "-", "—", "-", "\n", " . ", "tonight", "today evening").Replace(strings.ToLower(text))
	words := token.FindAllString(text, -1)
	for i, w := range words {
		switch {
		case w == ";" || w == "!" || w == "?":
			words[i] = "."
		case w == "no" && i == 0: // what follows may be put right rather than refused
		case spelled[w] != "":
			words[i] = spelled[w]
		case len(w) > 2 && strings.HasSuffix(strings.ReplaceAll(w, ".", ""), "am") && w[0] <= '9':
			words[i] = strings.TrimRight(w, "am.") + "am"
		case len(w) > 2 && strings.HasSuffix(strings.ReplaceAll(w, ".", ""), "pm") && w[0] <= '9':
			words[i] = strings.TrimRight(w, "pm.") + "pm"
		case w == "eve" && (i == 0 || !slices.Contains([]string{"christmas", "xmas", "year", "years"}, words[i-1])):
			words[i] = "evening"
		default:
			words[i] = mended(w)
		}
	}
	return words
}

// long are the words about times that are long enough to be known in spite of a typing
// error.
var long = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "morning", "afternoon", "evening", "tomorrow", "weekend", "fortnight",
	"january", "february", "august", "september", "october", "november", "december"}

// mended is a word as it was meant, where one letter is wrong, missing or too many, or
// two in a long one: "mornin", "wensday", "tomorow".
func mended(w string) string {
	const shortest, longer = 6, 8
	if stem := strings.TrimSuffix(w, "s"); len(w) < shortest || slices.Contains(long, stem) {
		return w
	}
	best, found := w, 3
	for _, meant := range long {
		allowed := 1
		if len(meant) >= longer {
			allowed = 2
		}
		if w[0] != meant[0] || strings.HasPrefix(w, meant) || len(w) > len(meant)+allowed || len(meant) > len(w)+allowed {
			continue
		}
		if d := levenshtein.ComputeDistance(strings.TrimSuffix(w, "s"), meant); d <= allowed && d < found {
			best, found = meant, d
		}
	}
	return best
}

func phrase(words []string) string { return strings.Join(words, " ") }

// spelled are other ways to write a word.
var spelled = map[string]string{
	"a.m": "am", "a.m.": "am", "p.m": "pm", "p.m.": "pm", "wc": "w/c", "tmrw": "tomorrow", "tomoz": "tomorrow", "tomo": "tomorrow", "2moro": "tomorrow", "tmw": "tomorrow",
	"fortnights": "fortnight", "midday": "noon", "til": "until", "till": "until", "arvo": "afternoon", "aft": "afternoon", "morn": "morning", "mrng": "morning", "satdy": "saturday", "tuesdy": "tuesday", "wknd": "weekend", "weekends": "weekend",
	"weekdays": "weekday", "mornings": "morning", "afternoons": "afternoon", "evenings": "evening", "lunch": "lunchtime", "night": "evening",
	"asap": "soon", "soonest": "soon", "cant": "not", "cannot": "not", "never": "not", "no": "not", "except": "not", "bar": "not", "excluding": "not", "avoid": "not", "wont": "not", "dont": "not", "nor": "or",
	"commencing": "of", "beginning": "start", "earliest": "earliest", "onward": "onwards", "approx": "about", "around": "about", "ish": "about", "circa": "about",
	"through": "to", "thru": "to", "starting": "from", "since": "from", "past": "past",
}

// weekday reads the name of a day of the week.
func weekday(w string) (time.Weekday, bool) {
	w = strings.TrimSuffix(w, "s")
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		if w == name || w == name[:3] || len(w) == 4 && strings.HasPrefix(name, w) || w == "thur" || w == "thurs" {
			if w == "thur" || w == "thurs" {
				d = time.Thursday
			}
			return d, true
		}
	}
	return 0, false
}

// month reads the name of a month.
func month(w string) (time.Month, bool) {
	for m := time.January; m <= time.December; m++ {
		name := strings.ToLower(m.String())
		if w == name || w == name[:3] || w == "sept" && m == time.September {
			return m, true
		}
	}
	return 0, false
}

// count reads a small number, in figures or letters.
func count(w string) (int, bool) {
	for i, name := range [...]string{"a", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"} {
		if w == name {
			return max(1, i), true
		}
	}
	n, digits := 0, w
	for _, c := range digits {
		if c < '0' || c > '9' || n > 999 {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, w != ""
}

// filler tells whether a word says nothing about a time.
func filler(w string) bool {
	const words = " a an the i id im ill we you it is its be am are was on in at of for to do can could would will may might should shall please sorry thanks thank soon as ideally preferably maybe perhaps sometime some any anytime anyday day days time times whenever possible best better good great fine ok okay suit suits works work free available around about then there if so that this me us my our prefer like want need hi hello yes with have got get car done come bring drop - , . / & "
	return strings.Contains(words, " "+w+" ")
}
