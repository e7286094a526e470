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
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"text/template"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
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
	language  string
	days      []string
	months    []string
	money     string
	decimal   string
	rules     map[string]string
	reads     map[string]string
	name      string
	src       []byte
}

type file struct {
	// Language is a BCP 47 tag; a file that has none is in British English.
	Language string   `yaml:"language"`
	Days     []string `yaml:"days"`
	Months   []string `yaml:"months"`
	// Money has "{}" where the amount stands, Decimal what stands before the pence.
	Money   string `yaml:"money"`
	Decimal string `yaml:"decimal"`
	// Plurals are the categories of the language's plurals, in the order in which the
	// forms stand in {{plural}}.
	Plurals   []string          `yaml:"plurals"`
	Sentences map[string]string `yaml:"sentences"`
	// Rules are the words of the rules file that customers read, and what they are
	// in this language.
	Rules map[string]string `yaml:"rules"`
	// Reads are phrases customers write, and what they mean in the words that are
	// read: see reading.Gloss.
	Reads map[string]string `yaml:"reads"`
	// Sheet are the words of the job sheet, which package jobsheet reads.
	Sheet any `yaml:"sheet"`
}

// What is shipped is read once: words do not change.
var (
	complete = sync.OnceValues(func() (file, error) { return read("en-GB.yaml", english) })
	shipped  = sync.OnceValues(func() (*Words, error) { return Parse("en-GB.yaml", english) })
	others   = sync.OnceValues(func() (*Words, error) { return Parse("pl.yaml", polish) })
)

// Default is British English, complete.
func Default() (*Words, error) { return shipped() }

// Others are the other languages that are shipped, each complete.
func Others() ([]*Words, error) {
	w, err := others()
	return []*Words{w}, err
}

// Language is the BCP 47 tag of the language, "en-GB" where the file has none.
func (w *Words) Language() string { return w.language }

// Rules are the words of the rules file that customers read, each with what it is in
// this language. Do not change them.
func (w *Words) Rules() map[string]string { return w.rules }

// Reads are phrases that customers write in this language, each with what it means in
// the words that are read. Do not change them.
func (w *Words) Reads() map[string]string { return w.reads }

// File is the name of the file the words are from, and what stands in it. Do not
// change it.
func (w *Words) File() (name string, src []byte) { return w.name, w.src }

// Parse reads a complete wording file. The error names the file and line of
// everything that is wrong.
func Parse(name string, src []byte) (*Words, error) {
	wanted, err := complete()
	if err != nil {
		return nil, err
	}
	f := wanted
	if !bytes.Equal(src, english) {
		if f, err = read(name, src); err != nil {
			return nil, err
		}
	}
	lines := sync.OnceValue(func() map[string]int { return linesOf(src) }) // only mistakes need them
	f.fill()
	w := &Words{sentences: map[Key]*sentence{}, language: f.Language, days: f.Days, months: f.Months, money: f.Money, decimal: f.Decimal, rules: f.Rules, reads: f.Reads, name: name, src: src}
	var wrong []error
	plural, err := pluralOf(f.Language, f.Plurals)
	if err != nil {
		wrong = append(wrong, fmt.Errorf("wording: %s: %w", name, err))
	}
	if strings.Count(f.Money, "{}") != 1 {
		wrong = append(wrong, fmt.Errorf("wording: %s: money must have {} once, where the amount stands, not %q", name, f.Money))
	}
	if len(f.Days) != 7 || len(f.Months) != 12 {
		wrong = append(wrong, fmt.Errorf("wording: %s: days needs 7 names from Sunday on and months 12, found %d and %d", name, len(f.Days), len(f.Months)))
	}
	funcs := template.FuncMap{"plural": plural, "lasts": w.lasts}
	tried := bytes.Equal(src, english) || bytes.Equal(src, polish) // by the tests
	for k := range wanted.Sentences {
		if _, ok := f.Sentences[k]; !ok {
			wrong = append(wrong, fmt.Errorf("wording: %s: the sentence %q is missing", name, k))
		}
	}
	for k, text := range f.Sentences {
		if _, ok := wanted.Sentences[k]; !ok {
			wrong = append(wrong, fmt.Errorf("wording: %s:%d: nobody says %q; the names are those of the default file", name, lines()[k], k))
			continue
		}
		s := &sentence{name: k, text: strings.TrimSpace(text), funcs: funcs}
		if Key(k) == Lasts { // it cannot be said with itself
			s.funcs = template.FuncMap{"plural": plural}
		}
		if !tried {
			if err := s.ready(); err != nil {
				wrong = append(wrong, fmt.Errorf("wording: %s:%d: %s: %w", name, lines()[k], k, err))
				continue
			}
		}
		w.sentences[Key(k)] = s
	}
	return w, errors.Join(wrong...)
}

func read(name string, src []byte) (f file, err error) {
	if err := yaml.UnmarshalWithOptions(src, &f, yaml.Strict()); err != nil {
		return f, fmt.Errorf("wording: %s: %w", name, err)
	}
	return f, nil
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

func linesOf(src []byte) map[string]int {
	lines := map[string]int{}
	f, err := parser.ParseBytes(src, 0)
	if err != nil {
		return lines
	}
	for _, d := range f.Docs {
		ast.Walk(visit(func(n ast.Node) {
			if m, ok := n.(*ast.MappingValueNode); ok {
				lines[m.Key.String()] = m.Key.GetToken().Position.Line
			}
		}), d)
	}
	return lines
}

type visit func(ast.Node)

func (v visit) Visit(n ast.Node) ast.Visitor { v(n); return v }

// Money words an amount in pence: "£170", and with pence where there are some,
// "£12.50".
func (w *Words) Money(pence int64) string {
	sign := ""
	if pence < 0 {
		sign, pence = "-", -pence
	}
	amount := strconv.FormatInt(pence/100, 10)
	if pence%100 != 0 {
		amount += fmt.Sprintf("%s%02d", w.decimal, pence%100)
	}
	return sign + strings.Replace(w.money, "{}", amount, 1)
}

// Date words a day: "Thu 3 Dec".
func (w *Words) Date(t time.Time) string {
	return fmt.Sprintf("%s %d %s", w.days[t.Weekday()], t.Day(), w.months[t.Month()-1])
}

// Day words a day of the week: "Thu".
func (w *Words) Day(d time.Weekday) string { return w.days[d] }

// DateYear words a day that may be in another year: "Thu 3 Dec 2026".
func (w *Words) DateYear(t time.Time) string {
	return fmt.Sprintf("%s %d", w.Date(t), t.Year())
}

// Month words a month: "Apr 2027".
func (w *Words) Month(t time.Time) string {
	return fmt.Sprintf("%s %d", w.months[t.Month()-1], t.Year())
}

// Moment words a day and a time of day: "Thu 3 Dec, 09:30".
func (w *Words) Moment(t time.Time) string { return w.Date(t) + ", " + t.Format("15:04") }
