package main

import (
	"errors"
	"fmt"
	"log/slog"
	"os"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// business are the files an owner may lay over the shipped ones.
type business struct {
	Rules string `help:"Rules file: prices, minutes, hours. Without it, the shipped one." type:"existingfile" placeholder:"FILE"`
	Words string `help:"Wording file: every sentence. Without it, the shipped British English." type:"existingfile" placeholder:"FILE"`
}

// load reads rules and wording. The error is for a person: file, line, what is
// wrong.
func (b business) load() (*pricing.Rules, *wording.Words, error) {
	rules, words, errRules, errWords := pricing.DefaultRules(), (*wording.Words)(nil), error(nil), error(nil)
	if b.Rules != "" {
		var src []byte
		if src, errRules = os.ReadFile(b.Rules); errRules == nil {
			rules, errRules = pricing.ParseRules(b.Rules, src)
		}
	}
	if b.Words == "" {
		words, errWords = wording.Default()
	} else {
		var src []byte
		if src, errWords = os.ReadFile(b.Words); errWords == nil {
			words, errWords = wording.Parse(b.Words, src)
		}
	}
	if err := errors.Join(errRules, errWords); err != nil {
		return nil, nil, fmt.Errorf("reading the business's files:\n%w", err)
	}
	return rules, words, nil
}

// logger writes one JSON object a line.
func logger(std streams) *slog.Logger { return slog.New(slog.NewJSONHandler(std.err, nil)) }
