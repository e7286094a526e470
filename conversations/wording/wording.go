// Package wording holds every sentence a person reads, and nothing else does.
//
// The sentences stand in one YAML file per language ([Default] is British
// English, [Others] the rest that is shipped); an owner may lay a file of his own
// over it. They are templates over [Facts]. [Parse] executes every one of an owner's,
// and the tests every one that is shipped, so that a missing sentence, a sentence
// nobody asks for and an unknown fact are found at the start, with the line, and not in
// front of a customer.
package wording

import (
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"text/template"
	"time"

	"example.org/dryhand/pricing/plainyaml"
)

//go:embed en-GB.yaml
var english []byte

//go:embed pl.yaml
var polish []byte

// Facts is what a sentence may speak of. A sentence uses the few that its
// moment knows; the rest are empty.
type Facts struct {
	// Business and Town are from the rules file; Name is the customer's first name.
	Business, Town, Name string
	// Address is where cars are brought to, where that is to be said.
	Address string
	// Car is the car in the customer's words or ours ("Fiat 500 soft top").
	Car string
	// Likely and Most are prices with their currency sign; Low the cheapest that
	// is probable (owner only).
	Low, Likely, Most string
	// Price is Likely and Most in words.
	Price string
	// Budget is the figure the customer wants to stay under, with its sign.
	Budget string
	// When, Until, Day and Hours are moments and lengths of time, already in words.
	When, Until, Day, Hours string
	// Deposit is money in advance, with its sign; Money what is to become of it, in
	// words.
	Deposit, Money string
	// Terms are what is agreed to, a sentence each.
	Terms []string
	// In, Out, Stays and Why are lists, one line each.
	In, Out, Stays, Why, Refer []string
	// Items is any other list; Text any other words, of ours or quoted.
	Items []string
	Text  string
	// Way is what the way to them is of the price, with its sign.
	Way string
	// Inside: the inside of the car is worked on; Van: it is a van.
	Inside, Van bool
	// Question is the question that follows, where a sentence leads to one.
	Question string
	// Earlier is what is known of the car from the last time, in a line.
	Earlier string
	// Now and Was are a value that has changed, before and after.
	Now, Was string
	// Minutes and Count are numbers.
	Minutes, Count int
}

// Words are the sentences of one language.
type Words struct {
	sentences map[Key]*sentence
	// file is what the file has beside them.
	file file
	name string
	// labels are the names of the labels by what they read, see [Words.Reading].
	labels struct {
		once sync.Once
		of   map[string][]Key
	}
}

// file is a wording file as it is written.
type file struct {
	// Language is a BCP 47 tag; a file that has none is in British English.
	Language string     `yaml:"language,optional"`
	Days     [7]string  `yaml:"days"` // from Sunday on
	Months   [12]string `yaml:"months"`
	// Money has "{}" where the amount stands, Decimal what stands before the pence.
	Money   string `yaml:"money,optional"`
	Decimal string `yaml:"decimal,optional"`
	// Plurals are the categories of the language's plurals, in the order in which the
	// forms stand in {{plural}}.
	Plurals   []string          `yaml:"plurals,optional"`
	Sentences map[string]string `yaml:"sentences"`
	// Rules are the words of the rules file that customers read, and what they are
	// in this language.
	Rules map[string]string `yaml:"rules,optional"`
	// Reads are phrases customers write, and what they mean in the words that are
	// read: see reading.Gloss.
	Reads map[string]string `yaml:"reads,optional"`
	// Sheet are the words of the job sheet, which package jobsheet reads.
	Sheet plainyaml.Part `yaml:"sheet,optional"`
}

// What is shipped is read once: words do not change. That each sentence can be said is
// shown by the tests, and not tried again.
var (
	shipped = sync.OnceValues(func() (*Words, error) { return read("en-GB.yaml", english, nil, true) })
	others  = sync.OnceValues(func() (*Words, error) {
		own, err := shipped()
		if err != nil {
			return nil, err
		}
		return read("pl.yaml", polish, own, true)
	})
)

// Default is British English, complete.
func Default() (*Words, error) { return shipped() }

// Others are the other languages that are shipped, each complete.
func Others() ([]*Words, error) {
	w, err := others()
	return []*Words{w}, err
}

// Language is the BCP 47 tag of the language, "en-GB" where the file has none.
func (w *Words) Language() string { return w.file.Language }

// Rules are the words of the rules file that customers read, each with what it is in
// this language. Do not change them.
func (w *Words) Rules() map[string]string { return w.file.Rules }

// Reads are phrases that customers write in this language, each with what it means in
// the words that are read. Do not change them.
func (w *Words) Reads() map[string]string { return w.file.Reads }

// Sheet are the words of the job sheet in this language, for package jobsheet.
func (w *Words) Sheet() plainyaml.Part { return w.file.Sheet }

// File is the name of the file the words are from.
func (w *Words) File() string { return w.name }

// Parse reads a complete wording file. The error joins every mistake, each a
// [plainyaml.Mistake].
func Parse(name string, src []byte) (*Words, error) {
	own, err := shipped()
	if err != nil {
		return nil, err
	}
	return read(name, src, own, false)
}

// read reads a file that must have the sentences of another one, or is the first of
// all. tried tells that each can be said.
func read(name string, src []byte, like *Words, tried bool) (*Words, error) {
	w := &Words{sentences: map[Key]*sentence{}, name: name}
	f := plainyaml.Decode(name, src, &w.file)
	if err := f.Err(); err != nil {
		return nil, err
	}
	w.file.fill()
	if like == nil {
		like = w
	}
	if strings.Count(w.file.Money, "{}") != 1 {
		f.Wrong("money", "must have {} once, where the amount stands, not %q", w.file.Money)
	}
	for _, k := range slices.Sorted(maps.Keys(like.file.Sentences)) {
		if _, ok := w.file.Sentences[k]; !ok {
			f.Wrong("sentences", "the sentence %q is missing", k)
		}
	}
	plural := pluralOf(f, w.file.Language, w.file.Plurals)
	tried = tried || plural == nil // without it nothing can be said
	funcs := template.FuncMap{"plural": plural, "lasts": w.lasts}
	for _, k := range slices.Sorted(maps.Keys(w.file.Sentences)) {
		if _, ok := like.file.Sentences[k]; !ok {
			f.Wrong("sentences."+k, "nobody says %q; the names are those of the default file", k)
			continue
		}
		s := &sentence{name: k, text: w.file.Sentences[k], funcs: funcs}
		if Key(k) == Lasts { // it cannot be said with itself
			s.funcs = template.FuncMap{"plural": plural}
		}
		if !tried {
			if err := s.ready(); err != nil {
				f.Wrong("sentences."+k, "%v", err)
			}
		}
		w.sentences[Key(k)] = s
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	return w, nil
}

// fill takes what a file does not say from British English.
func (f *file) fill() {
	if f.Language == "" {
		f.Language = "en-GB"
	}
	if f.Money == "" {
		f.Money = "£{}"
	}
	if f.Decimal == "" {
		f.Decimal = "."
	}
	if len(f.Plurals) == 0 {
		f.Plurals = []string{"one", "other"}
	}
}

// Money words an amount in pence: "£170", and with pence where there are some,
// "£12.50".
func (w *Words) Money(pence int64) string {
	sign := ""
	if pence < 0 {
		sign, pence = "-", -pence
	}
	amount := strconv.FormatInt(pence/100, 10)
	if pence%100 != 0 {
		amount += fmt.Sprintf("%s%02d", w.file.Decimal, pence%100)
	}
	return sign + strings.Replace(w.file.Money, "{}", amount, 1)
}

// Date words a day: "Thu 3 Dec".
func (w *Words) Date(t time.Time) string {
	return fmt.Sprintf("%s %d %s", w.file.Days[t.Weekday()], t.Day(), w.file.Months[t.Month()-1])
}

// Day words a day of the week: "Thu".
func (w *Words) Day(d time.Weekday) string { return w.file.Days[d] }

// DateYear words a day that may be in another year: "Thu 3 Dec 2026".
func (w *Words) DateYear(t time.Time) string {
	return fmt.Sprintf("%s %d", w.Date(t), t.Year())
}

// Month words a month: "Apr 2027".
func (w *Words) Month(t time.Time) string {
	return fmt.Sprintf("%s %d", w.file.Months[t.Month()-1], t.Year())
}

// Moment words a day and a time of day: "Thu 3 Dec, 09:30".
func (w *Words) Moment(t time.Time) string { return w.Date(t) + ", " + t.Format("15:04") }
