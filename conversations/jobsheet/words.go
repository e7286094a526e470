package jobsheet

import (
	_ "embed" // the words that are shipped
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/template"
	"time"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/plainyaml"
)

//go:embed en-GB.yaml
var english []byte

// Facts is what a sentence may speak of; each uses the few it needs.
type Facts struct {
	Text, What, Names, From, To string
	Product, Water, Of          string
	Ratio, Percent              string
	Count                       int
}

// Sentence is a template over [Facts].
type Sentence struct{ text *template.Template }

// ReadPlain reads a sentence and tries it on full and on empty facts.
func (s *Sentence) ReadPlain(text string) error {
	t, err := template.New("sentence").Parse(strings.TrimSpace(text))
	if err != nil {
		return fmt.Errorf("cannot be read: %w", err)
	}
	for _, f := range []Facts{{}, {"x", "x", "x", "x", "x", "x", "x", "x", "x", "x", 2}} {
		if err := t.Execute(new(strings.Builder), f); err != nil {
			return fmt.Errorf("speaks of something a sheet does not know: %w", err)
		}
	}
	s.text = t
	return nil
}

// Say words the sentence.
func (s Sentence) Say(f Facts) string {
	var b strings.Builder
	if err := s.text.Execute(&b, f); err != nil {
		return f.Text // ReadPlain has tried it, so this depends on a value
	}
	return b.String()
}

// String is the sentence where nothing is to be filled in.
func (s Sentence) String() string { return s.Say(Facts{}) }

// Words are what a sheet says around the rules' own words, in one language.
type Words struct {
	Language string     `yaml:"language"`
	Days     [7]string  `yaml:"days"`
	Months   [12]string `yaml:"months"`
	Decimal  string     `yaml:"decimal"`

	Title         Sentence `yaml:"title"`
	Customer      Sentence `yaml:"customer"`
	Car           Sentence `yaml:"car"`
	Place         Sentence `yaml:"place"`
	Time          Sentence `yaml:"time"`
	FromTo        Sentence `yaml:"from-to"`
	First         Sentence `yaml:"first"`
	Refused       Sentence `yaml:"refused"`
	LookFirst     Sentence `yaml:"look-first"`
	AcidAndBleach Sentence `yaml:"acid-and-bleach"`
	Dark          Sentence `yaml:"dark"`
	Warm          Sentence `yaml:"warm"`

	Bring           Sentence `yaml:"bring"`
	Products        Sentence `yaml:"products"`
	Amount          Sentence `yaml:"amount"`
	AmountStrongest Sentence `yaml:"amount-strongest"`
	WholeJob        Sentence `yaml:"whole-job"`
	Stop            Sentence `yaml:"stop"`
	Ladder          Sentence `yaml:"ladder"`
	Elsewhere       Sentence `yaml:"elsewhere"`
	NotAgreed       Sentence `yaml:"not-agreed"`
	Dropped         Sentence `yaml:"dropped"`
	Stays           Sentence `yaml:"stays"`
	Notes           Sentence `yaml:"notes"`
	Steps           Sentence `yaml:"steps"`
	StepNumbers     Sentence `yaml:"step-numbers"`

	Minutes Sentence `yaml:"minutes"`
	Hours   Sentence `yaml:"hours"`
	Ahead   Sentence `yaml:"ahead"`
	Idle    Sentence `yaml:"idle"`
	Why     Sentence `yaml:"why"`
	After   Sentence `yaml:"after"`
	Dries   Sentence `yaml:"dries"`

	Mixes        Sentence `yaml:"mixes"`
	WaterFirst   Sentence `yaml:"water-first"`
	Neat         Sentence `yaml:"neat"`
	NeatIn       Sentence `yaml:"neat-in"`
	Mix          Sentence `yaml:"mix"`
	MixAny       Sentence `yaml:"mix-any"`
	Fills        Sentence `yaml:"fills"`
	Weaker       Sentence `yaml:"weaker"`
	Stronger     Sentence `yaml:"stronger"`
	Strength     Sentence `yaml:"strength"`
	StrengthNeat Sentence `yaml:"strength-neat"`
	Foam         Sentence `yaml:"foam"`
	FoamWeak     Sentence `yaml:"foam-weak"`
	FoamMeasured Sentence `yaml:"foam-measured"`
	Uses         Sentence `yaml:"uses"`
	UsesProduct  Sentence `yaml:"uses-product"`
	Leave        Sentence `yaml:"leave"`
	LeaveUpTo    Sentence `yaml:"leave-up-to"`
	KeepWet      Sentence `yaml:"keep-wet"`

	Waiting        Sentence `yaml:"waiting"`
	WaitingShort   Sentence `yaml:"waiting-short"`
	WaitingOne     Sentence `yaml:"waiting-one"`
	PutOn          Sentence `yaml:"put-on"`
	WorkOff        Sentence `yaml:"work-off"`
	Meanwhile      Sentence `yaml:"meanwhile"`
	MeanwhileOwn   Sentence `yaml:"meanwhile-own"`
	Wait           Sentence `yaml:"wait"`
	Tight          Sentence `yaml:"tight"`
	Impossible     Sentence `yaml:"impossible"`
	ImpossibleWarm Sentence `yaml:"impossible-warm"`
	Piece          Sentence `yaml:"piece"`

	Done         Sentence `yaml:"done"`
	MinutesTaken Sentence `yaml:"minutes-taken"`
	Millilitres  Sentence `yaml:"millilitres"`
	Litres       Sentence `yaml:"litres"`
	PerCent      Sentence `yaml:"percent"`

	// rules are the texts of the rules file in this language; nil where they are read
	// as they stand.
	rules map[string]string
}

// DefaultYAML is the file of words that is shipped, in British English.
func DefaultYAML() []byte { return slices.Clone(english) }

// Default is British English.
func Default() (*Words, error) { return Parse("en-GB.yaml", english) }

// Parse reads a file of words, which must be complete and hold nothing else. The
// error joins every mistake, each with its line.
func Parse(name string, src []byte) (*Words, error) {
	w := new(Words)
	if err := plainyaml.Decode(name, src, w).Err(); err != nil {
		return nil, fmt.Errorf("jobsheet: reading the words: %w", err)
	}
	return w, nil
}

// ParsePart reads the words from a part of the file of a whole language, which must be
// as complete. rules is what the texts of the rules file are in that language.
func ParsePart(sheet plainyaml.Part, rules map[string]string) (*Words, error) {
	w := &Words{rules: rules}
	if err := sheet.Into(w); err != nil {
		return nil, fmt.Errorf("jobsheet: reading the words: %w", err)
	}
	return w, nil
}

// Text is a text of the rules file in the language of the words. What it has no words
// for stays as it stands: [Words.Without] finds that beforehand.
func (w *Words) Text(text string) string {
	if to, ok := w.rules[text]; ok {
		return to
	}
	return text
}

// Without are the texts of the rules that are read on a sheet and have no words in
// this language.
func (w *Words) Without(r *pricing.Rules) []string {
	if w.rules == nil {
		return nil
	}
	return slices.DeleteFunc(append(r.Read(), r.ReadAtWork()...), func(s string) bool { _, ok := w.rules[s]; return ok })
}

// texts are texts of the rules file in the language of the words.
func (w *Words) texts(all []string) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = w.Text(s)
	}
	return out
}

// put is a sheet with what it took from the rules file in the language of the words.
// What customers read of the rules too is in it already: the sheet was made with the
// rules in that language.
func (w *Words) put(s Sheet) Sheet {
	if w.rules == nil {
		return s
	}
	s.Bring, s.Cautions, s.Stop = w.texts(s.Bring), w.texts(s.Cautions), w.texts(s.Stop)
	s.Products, s.Steps = slices.Clone(s.Products), slices.Clone(s.Steps)
	for i := range s.Products {
		s.Products[i].What = w.Text(s.Products[i].What)
	}
	for i := range s.Steps {
		x := &s.Steps[i]
		x.Why, x.Gentlest, x.Cautions = w.Text(x.Why), w.texts(x.Gentlest), w.texts(x.Cautions)
		x.Mixes, x.Waiting = slices.Clone(x.Mixes), slices.Clone(x.Waiting)
		for k := range x.Mixes {
			m := &x.Mixes[k]
			m.What, m.Container, m.Note = w.Text(m.What), w.Text(m.Container), w.Text(m.Note)
		}
		for k := range x.Waiting {
			d := &x.Waiting[k]
			d.What, d.Piece, d.Names = w.Text(d.What), w.Text(d.Piece), w.texts(d.Names)
		}
	}
	return s
}

// date words a day in full.
func (w *Words) date(t time.Time) string {
	return fmt.Sprintf("%s %d %s %d", w.Days[t.Weekday()], t.Day(), w.Months[t.Month()-1], t.Year())
}

func clock(t time.Time) string { return t.Round(time.Minute).Format("15:04") }

// span writes a length of time as minutes and seconds: 2:30.
func span(d time.Duration) string {
	s := int(d.Round(time.Second) / time.Second)
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// lasts writes a length of time of so many minutes: "45 min", "2 h 5 min".
func (w *Words) lasts(minutes int) string {
	if minutes <= 90 {
		return w.Minutes.Say(Facts{Count: minutes})
	}
	f := Facts{From: strconv.Itoa(minutes / 60)}
	if rest := minutes % 60; rest > 0 {
		f.To = strconv.Itoa(rest)
	}
	return w.Hours.Say(f)
}

func whole(d time.Duration) int { return int(d.Round(time.Minute) / time.Minute) }

// number writes a number with at most so many digits behind the point, and no
// idle noughts.
func (w *Words) number(x float64, digits int) string {
	p := math.Pow(10, float64(digits))
	s := strconv.FormatFloat(math.Round(x*p)/p, 'f', -1, 64)
	return strings.Replace(s, ".", w.Decimal, 1)
}

// volume words ml: in litres where that is a round number of them.
func (w *Words) volume(ml float64) string {
	if ml >= 1000 && math.Mod(math.Round(ml*10), 5000) == 0 {
		return w.Litres.Say(Facts{Text: w.number(ml/1000, 1)})
	}
	return w.Millilitres.Say(Facts{Text: w.number(ml, 1)})
}

// rough words ml of which nobody knows more than the size.
func (w *Words) rough(ml float64) string { return w.volume(Measure(ml)) }

// percent words a strength with three digits that tell something.
func (w *Words) percent(p float64) string {
	digits := 2 - int(math.Floor(math.Log10(math.Max(p, 1e-9))))
	return w.PerCent.Say(Facts{Text: w.number(p, max(0, digits))})
}

// ratio writes a ratio as the trade does.
func (w *Words) ratio(r pricing.Ratio) string { return "1:" + w.number(float64(r), 1) }
