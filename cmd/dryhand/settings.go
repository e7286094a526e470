package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// business are the files an owner may lay over the shipped ones.
type business struct {
	Rules   string `help:"Rules file: prices, minutes, hours. Without it, the shipped one." type:"existingfile" placeholder:"FILE"`
	Phrases string `help:"File of your own customers' words, beside the shipped ones." type:"existingfile" placeholder:"FILE"`
	// Language are wording files of languages beside the business's own.
	Language []string `help:"Wording file of another language customers may choose; may be given several times. Polish is shipped." type:"existingfile" placeholder:"FILE"`
	Words    string   `help:"Wording file: every sentence. Without it, the shipped British English." type:"existingfile" placeholder:"FILE"`
}

// load reads rules, wording and phrases. The error is for a person: file, line,
// what is wrong.
func (b business) load() (*pricing.Rules, *wording.Words, *reading.Reader, error) {
	rules, words, errRules, errWords := pricing.DefaultRules(), (*wording.Words)(nil), error(nil), error(nil)
	if b.Rules != "" {
		var src []byte
		if src, errRules = os.ReadFile(b.Rules); errRules == nil {
			rules, errRules = pricing.ParseRules(b.Rules, src)
		}
		if errRules == nil {
			if _, err := sweepSchedule(rules, time.Now()); err != nil && !unknownZone(rules) { // an unknown zone is said elsewhere
				errRules = fmt.Errorf("%s: %w", b.Rules, err)
			}
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
		return nil, nil, nil, fmt.Errorf("reading the business's files:\n%w", err)
	}
	reader, err := b.reader(rules)
	if err != nil {
		return nil, nil, nil, fmt.Errorf("reading the business's files:\n%w", err)
	}
	return rules, words, reader, nil
}

// unknownZone tells whether this machine does not know the zone the rules name.
func unknownZone(rules *pricing.Rules) bool {
	_, err := time.LoadLocation(rules.Diary.TimeZone)
	return err != nil
}

// reader knows the shipped phrases and, beside them, the owner's.
func (b business) reader(rules *pricing.Rules) (*reading.Reader, error) {
	reader, err := reading.Default(rules)
	if err != nil || b.Phrases == "" {
		return reader, err
	}
	src, err := os.ReadFile(b.Phrases)
	if err != nil {
		return nil, err
	}
	return reader.With(b.Phrases, src)
}
