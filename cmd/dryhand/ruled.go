package main

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/pricing"
)

// ruled are the shipped rules with the lines changed that a script changes; where it
// changes none, those given.
func ruled(name, text string, given *pricing.Rules) (*pricing.Rules, error) {
	lines, err := script.Parse(name, text, time.UTC)
	if err != nil {
		return nil, err
	}
	src := string(pricing.DefaultYAML())
	changed := false
	for _, l := range lines {
		if l.Kind != script.Rule {
			continue
		}
		section, key, _ := strings.Cut(l.Path, ".")
		at := regexp.MustCompile(`(?m)(^` + section + `:\n(?:(?:[ #].*)?\n)*?  ` + key + `:) .*$`)
		if !at.MatchString(src) {
			return nil, fmt.Errorf("%s:%d: the shipped rules have no %s", name, l.Number, l.Path)
		}
		src = at.ReplaceAllLiteralString(src, at.FindStringSubmatch(src)[1]+" "+l.What)
		changed = true
	}
	if !changed {
		return given, nil
	}
	rules, err := pricing.ParseRules("rules.yaml, as changed by "+name, []byte(src))
	if err != nil {
		return nil, err
	}
	return rules, nil
}
