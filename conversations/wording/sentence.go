package wording

import (
	"io"
	"maps"
	"slices"
	"strings"
	"sync"
	"text/template"
)

// sentence is one of them, compiled when it is first said: nobody waits at the start
// for hundreds that are not. What it is without any facts is worked out once, too: all
// labels are so, and are looked at with every message.
type sentence struct {
	name, text string
	funcs      template.FuncMap

	once sync.Once
	err  error
	with *template.Template
	// bare is the sentence without facts, and says the same with any if fixed; label is
	// it up to its first bar, and typed all of it, cut at its bars, plain.
	bare, label string
	fixed       bool
	typed       []string
}

// Say words a sentence.
func (w *Words) Say(k Key, f Facts) string {
	s := w.of(k)
	if s.fixed {
		return s.bare
	}
	var b strings.Builder
	if err := s.with.Execute(&b, f); err != nil {
		// Parse has executed every sentence on full and on empty facts, so
		// this is a template whose failure depends on a value. The customer
		// still needs something to go on.
		return string(k)
	}
	return b.String()
}

// Label is the text of a button. Behind a bar a label may list what people type
// instead of tapping it: "Both | inside and out | the lot".
func (w *Words) Label(k Key) string { return w.of(k).label }

// Typed is everything that may be typed instead of tapping a label, the label
// itself first, as [Plain] leaves it. The list is everybody's: it must not be changed.
func (w *Words) Typed(k Key) []string { return slices.Clip(w.of(k).typed) }

// Reading are the labels that read so, in the order of their names: two may.
func (w *Words) Reading(label string) []Key {
	w.labels.once.Do(func() {
		w.labels.of = map[string][]Key{}
		for _, k := range slices.Sorted(maps.Keys(w.sentences)) {
			if strings.HasPrefix(string(k), "label-") {
				w.labels.of[w.Label(k)] = append(w.labels.of[w.Label(k)], k)
			}
		}
	})
	return w.labels.of[label]
}

// ready compiles a sentence and tries it on full and on empty facts. One without any
// needs no template.
func (s *sentence) ready() error {
	s.once.Do(func() {
		if s.fixed = !strings.Contains(s.text, "{{"); s.fixed {
			s.bare = s.text
		} else if s.bare, s.err = s.compile(); s.err != nil {
			return
		}
		ways := strings.Split(s.bare, "|")
		s.label = strings.TrimSpace(ways[0])
		for _, way := range ways {
			s.typed = append(s.typed, Plain(way))
		}
	})
	return s.err
}

// compile makes the template, and returns what it says without facts.
func (s *sentence) compile() (bare string, err error) {
	if s.with, err = template.New(s.name).Option("missingkey=error").Funcs(s.funcs).Parse(s.text); err != nil {
		return "", err
	}
	var b strings.Builder
	if err := s.with.Execute(&b, Facts{}); err != nil {
		return "", err
	}
	return b.String(), s.with.Execute(io.Discard, full())
}

// of is a sentence, ready.
func (w *Words) of(k Key) *sentence {
	s := w.sentences[k]
	if s == nil || s.ready() != nil {
		// Every name of [Key] is in every file, and every file has been tried.
		return &sentence{fixed: true, bare: string(k), label: string(k), typed: []string{Plain(string(k))}}
	}
	return s
}

func full() Facts {
	list := []string{"x", "y"}
	return Facts{Business: "x", Town: "x", Address: "x", Name: "x", Car: "x", Low: "x", Likely: "x", Most: "x", Price: "x", Budget: "x", Deposit: "x", Money: "x", Terms: list, When: "x", Until: "x",
		Day: "x", Hours: "x", In: list, Out: list, Stays: list, Why: list, Refer: list, Items: list, Text: "x", Question: "x", Earlier: "x", Now: "x", Was: "x", Minutes: 2, Count: 2}
}
