package main

import (
	"fmt"
	"log/slog"
	"os"
	"slices"

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

// nameMissing logs what has no words in a language.
func nameMissing(in []conversations.Language, log *slog.Logger) {
	for _, l := range in {
		if n := len(l.Without); n > 0 {
			log.Warn("texts of the rules have no words in a language: customers read theirs as they stand, and the job sheet stays in the words of the rules file",
				"language", l.Words.Language(), "texts", n, "first", l.Without[0])
		}
	}
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
	in, err := conversations.Languages(rules, words)
	if err != nil {
		return []finding{wrong("languages", err.Error(), "change the lines named and check again")}
	}
	all := len(rules.Read()) + len(rules.ReadAtWork())
	for _, l := range in {
		tag, texts := l.Words.Language(), l.Without
		if len(texts) == 0 {
			found = append(found, well("languages", "%s: all sentences, and all %d texts of the rules", tag, all))
			continue
		}
		f := wrong("languages", fmt.Sprintf("%s: %d of %d texts of the rules have no words in it. Customers who read it would read theirs as they stand, and the job sheet stays in the words of the rules file", tag, len(texts), all),
			"put them under rules: in a copy of conversations/wording/"+tag+".yaml and give it with --language:")
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
