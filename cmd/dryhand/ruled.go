package main

import (
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"time"

	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/pricing"
	"example.org/dryhand/testdata"
)

// ruledFolder is where the rules stand that scripts name.
const ruledFolder = "rules/"

// ruled are the rules a script names, or the shipped ones with the lines changed that
// it changes; where it does neither, those given.
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
		if l.Path == "" {
			own, err := fs.ReadFile(testdata.Files, ruledFolder+l.What)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", name, l.Number, err)
			}
			return pricing.ParseRules(l.What, own)
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
