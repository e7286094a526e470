package main

import (
	"fmt"
	"log/slog"
	"os"
	"slices"
	"sync"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// otherWords are the wordings of the languages customers may choose beside the
// business's own: the shipped ones, and the owner's in their place or beside them.
func (b business) otherWords(own *wording.Words) ([]*wording.Words, error) {
	all, err := wording.Others()
	if err != nil {
		return nil, err
	}
	for _, name := range b.Language {
		src, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		w, err := wording.Parse(name, src)
		if err != nil {
			return nil, err
		}
		all = slices.DeleteFunc(all, func(o *wording.Words) bool { return o.Language() == w.Language() })
		all = append(all, w)
	}
	return slices.DeleteFunc(all, func(o *wording.Words) bool { return o.Language() == own.Language() }), nil
}

// languages are the rules in those languages, made once for each file of rules.
type languages struct {
	words []*wording.Words
	log   *slog.Logger

	mu    sync.Mutex
	rules *pricing.Rules
	in    []conversations.Language
}

// of are the languages for these rules. What has no words in one of them is logged.
func (l *languages) of(rules *pricing.Rules) []conversations.Language {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.rules != rules {
		in, missing := conversations.Languages(rules, l.words)
		l.rules, l.in = rules, in
		for tag, texts := range missing {
			l.log.Warn("texts of the rules have no words in a language, and are read as they stand", "language", tag, "texts", len(texts), "first", texts[0])
		}
	}
	return l.in
}

// checkLanguages looks whether the wordings are in order and the rules have words in
// each.
func checkLanguages(files business, rules *pricing.Rules) []finding {
	var found []finding
	own, err := wording.Default()
	if err != nil {
		return []finding{wrong("languages", err.Error())}
	}
	words, err := files.otherWords(own)
	if err != nil {
		return []finding{wrong("languages", err.Error(), "change the lines named and check again")}
	}
	_, missing := conversations.Languages(rules, words)
	for _, w := range words {
		texts := missing[w.Language()]
		if len(texts) == 0 {
			found = append(found, well("languages", "%s: all sentences, and all %d texts of the rules", w.Language(), len(rules.Read())))
			continue
		}
		f := wrong("languages", fmt.Sprintf("%s: %d of %d texts of the rules have no words in it, and customers who read it would read them as they stand", w.Language(), len(texts), len(rules.Read())),
			"put them under rules: in a copy of conversations/wording/"+w.Language()+".yaml and give it with --language:")
		for _, t := range texts[:min(5, len(texts))] {
			f.Cure = append(f.Cure, fmt.Sprintf("%q: …", t))
		}
		if more := len(texts) - 5; more > 0 {
			f.Cure = append(f.Cure, fmt.Sprintf("and %d more", more))
		}
		found = append(found, f)
	}
	return found
}
