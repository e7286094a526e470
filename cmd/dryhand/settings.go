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
	// Each is read in some milliseconds, and kept: whoever asks for it waits, and is
	// told what is wrong.
	go reading.Prepare()
	go func() { _, _ = wording.Others() }()
	rules, errRules := b.rules()
	words, errWords := b.wording()
	if err := errors.Join(errRules, errWords); err != nil {
		return nil, nil, nil, fmt.Errorf("reading the business's files:\n%w", err)
	}
	reader, err := b.reader(rules)
	if err != nil {
		return nil, nil, nil, fmt.Errorf("reading the business's files:\n%w", err)
	}
	return rules, words, reader, nil
}

// rules are the owner's, or the shipped ones.
func (b business) rules() (*pricing.Rules, error) {
	if b.Rules == "" {
		return pricing.DefaultRules(), nil
	}
	src, err := os.ReadFile(b.Rules)
	if err != nil {
		return nil, err
	}
	rules, err := pricing.ParseRules(b.Rules, src)
	if err != nil {
		return nil, err
	}
	if _, err := sweepSchedule(rules, time.Now()); err != nil && !unknownZone(rules) { // an unknown zone is said elsewhere
		return nil, fmt.Errorf("%s: %w", b.Rules, err)
	}
	return rules, nil
}

// wording is the owner's, or the shipped one.
func (b business) wording() (*wording.Words, error) {
	if b.Words == "" {
		return wording.Default()
	}
	src, err := os.ReadFile(b.Words)
	if err != nil {
		return nil, err
	}
	return wording.Parse(b.Words, src)
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
