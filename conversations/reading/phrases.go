package reading

import (
	_ "embed" // the phrases that are shipped
	"errors"
	"slices"
	"sync"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/plainyaml"
)

//go:embed en-GB.yaml
var english []byte

// DefaultYAML are the phrases that are shipped, in British English.
func DefaultYAML() []byte { return slices.Clone(english) }

// book is a phrases file as it is written. Everything is optional, so that an
// owner's file needs to hold only what it adds.
type book struct {
	Mean     map[string]string   `yaml:"words,optional"`
	Spelled  map[string]string   `yaml:"spelled,optional"`
	Short    map[string]string   `yaml:"short,optional"`
	Onward   []string            `yaml:"onward,optional"`
	Everyday []string            `yaml:"everyday,optional"`
	Ignore   []string            `yaml:"ignore,optional"`
	Bodies   []bodyWords         `yaml:"bodies,optional"`
	Wants    []wantWords         `yaml:"wants,optional"`
	Tasks    map[string][]string `yaml:"tasks,optional"`
	Pieces   map[string][]string `yaml:"pieces,optional"`
	Spots    map[string][]string `yaml:"spots,optional"`
	// Tells are what tells of an area that there is something to it, by area.
	Tells map[string][]string `yaml:"tells,optional"`
	// Nothing are what says of an area, if there is none of it, that nothing is to be done.
	Nothing  map[string][]string `yaml:"nothing,optional"`
	Hints    []hintWords         `yaml:"hints,optional"`
	Asks     map[string][]string `yaml:"asks,optional"`
	Surfaces map[string][]string `yaml:"surfaces,optional"`
	Cars     map[string][]string `yaml:"cars,optional"`
	Small    map[string][]string `yaml:"small,optional"`
	Numbers  map[string]int      `yaml:"numbers,optional"`
}

type bodyWords struct {
	ID   string       `yaml:",key"`
	As   pricing.Body `yaml:"as,optional"`
	Says []string     `yaml:"says"`
}

type wantWords struct {
	ID string `yaml:",key"`
	// Work asks for it whatever stands around; Parts only name the place, and
	// Bits some of it: a bit that is left out does not leave out all.
	Work  []string `yaml:"work,optional"`
	Parts []string `yaml:"parts,optional"`
	Bits  []string `yaml:"bits,optional"`
}

type hintWords struct {
	ID   string `yaml:",key"`
	Area string `yaml:"area,optional"`
	// Also are areas it belongs to instead, if one of them is named beside it.
	Also []string `yaml:"also,optional"`
	Says []string `yaml:"says"`
	// Beside are phrases that say so only beside a place: "the wheels are fine".
	Beside []string `yaml:"beside,optional"`
	// Want is what is asked for by asking to be rid of it, if not the area.
	Want    string         `yaml:"want,optional"`
	Answers map[string]int `yaml:"answers,optional"`
	// Nearest are the descriptions it comes nearest to, for whoever is asked about an area
	// and answers with it.
	Nearest map[string]int `yaml:"nearest,optional"`
	// Least are those of Says by which there is hardly anything to see: they come nearest to
	// the first description. With them it counts only where nothing else was seen.
	Least []string `yaml:"least,optional"`
	// There are the descriptions it clearly means where it is said to be on that very part.
	There map[string]int `yaml:"answers-there,optional"`
	Flag  string         `yaml:"flag,optional"`
}

// shipped are the phrases that are shipped, read once.
var shipped = sync.OnceValues(func() (b book, err error) {
	err = plainyaml.Decode("en-GB.yaml", english, &b).Err()
	return b, err
})

// Prepare reads the shipped phrases, so that somebody who has not got the rules yet can
// have it done meanwhile. Whatever is wrong [Default] tells.
func Prepare() { _, _ = shipped() }

// Default reads with the phrases that are shipped. That each of them can be found is
// shown by the tests, and not looked at again.
func Default(rules *pricing.Rules) (*Reader, error) {
	b, err := shipped()
	if err != nil {
		return nil, err
	}
	f := new(plainyaml.File)
	out := (&Reader{rules: rules}).and(f, b)
	if f.Err() != nil {
		return New(rules, "en-GB.yaml", english) // which knows where it stands
	}
	return out, nil
}

// New reads a phrases file that stands by itself. The error joins every mistake,
// each a [plainyaml.Mistake].
func New(rules *pricing.Rules, name string, src []byte) (*Reader, error) {
	return (&Reader{rules: rules}).With(name, src)
}

// With is a reader that also knows the phrases of another file: lists are
// added to, single values replaced.
func (r *Reader) With(name string, src []byte) (*Reader, error) {
	var more book
	f := plainyaml.Decode(name, src, &more)
	if err := f.Err(); err != nil {
		return nil, err
	}
	out := r.and(f, more)
	out.checkReach(f, &more)
	if err := f.Err(); err != nil {
		return nil, errors.Join(err)
	}
	return out, nil
}

// and is a reader that also knows more; what makes no sense in it is told to f.
func (r *Reader) and(f *plainyaml.File, more book) *Reader {
	out := &Reader{rules: r.rules, book: r.book.with(more)}
	out.check(f, &more)
	out.dict = gather(f, &out.book)
	return out
}

// with is b and more together.
func (b book) with(more book) book {
	return book{
		Mean:     both(b.Mean, more.Mean),
		Spelled:  both(b.Spelled, more.Spelled),
		Short:    both(b.Short, more.Short),
		Onward:   slices.Concat(b.Onward, more.Onward),
		Everyday: slices.Concat(b.Everyday, more.Everyday),
		Ignore:   slices.Concat(b.Ignore, more.Ignore),
		Bodies:   merge(b.Bodies, more.Bodies, func(x bodyWords) string { return x.ID }, bodyWords.with),
		Wants:    merge(b.Wants, more.Wants, func(x wantWords) string { return x.ID }, wantWords.with),
		Tasks:    lists(b.Tasks, more.Tasks),
		Pieces:   lists(b.Pieces, more.Pieces),
		Spots:    lists(b.Spots, more.Spots),
		Tells:    lists(b.Tells, more.Tells),
		Nothing:  lists(b.Nothing, more.Nothing),
		Hints:    merge(b.Hints, more.Hints, func(x hintWords) string { return x.ID }, hintWords.with),
		Asks:     lists(b.Asks, more.Asks),
		Surfaces: lists(b.Surfaces, more.Surfaces),
		Cars:     lists(b.Cars, more.Cars),
		Small:    lists(b.Small, more.Small),
		Numbers:  both(b.Numbers, more.Numbers),
	}
}

// lists are named lists together.
func lists(a, b map[string][]string) map[string][]string {
	out := both(a, nil)
	for k, v := range b {
		out[k] = slices.Concat(out[k], v)
	}
	return out
}

func both[V any](a, b map[string]V) map[string]V {
	out := map[string]V{}
	for _, m := range []map[string]V{a, b} {
		for k, v := range m {
			out[k] = v
		}
	}
	return out
}

// merge puts entries of the same name together and the others behind.
func merge[T any](a, b []T, id func(T) string, with func(T, T) T) []T {
	out := slices.Clone(a)
	for _, x := range b {
		if i := slices.IndexFunc(out, func(o T) bool { return id(o) == id(x) }); i >= 0 {
			out[i] = with(out[i], x)
			continue
		}
		out = append(out, x)
	}
	return out
}

func (b bodyWords) with(m bodyWords) bodyWords {
	if m.As != "" {
		b.As = m.As
	}
	b.Says = slices.Concat(b.Says, m.Says)
	return b
}

func (w wantWords) with(m wantWords) wantWords {
	w.Work, w.Parts, w.Bits = slices.Concat(w.Work, m.Work), slices.Concat(w.Parts, m.Parts), slices.Concat(w.Bits, m.Bits)
	return w
}

func (h hintWords) with(m hintWords) hintWords {
	h.Says, h.Also, h.Beside = slices.Concat(h.Says, m.Says), slices.Concat(h.Also, m.Also), slices.Concat(h.Beside, m.Beside)
	for _, f := range []struct{ to, from *string }{{&h.Area, &m.Area}, {&h.Want, &m.Want}, {&h.Flag, &m.Flag}} {
		if *f.from != "" {
			*f.to = *f.from
		}
	}
	h.Answers = both(h.Answers, m.Answers)
	h.Nearest = both(h.Nearest, m.Nearest)
	h.Least = slices.Concat(h.Least, m.Least)
	h.There = both(h.There, m.There)
	return h
}
