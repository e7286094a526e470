package main

import (
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

func TestAScriptChangesRules(t *testing.T) {
	given := pricing.DefaultRules()
	for _, c := range []struct{ name, script, wrong string }{
		{"one line", "rules money.rate: £44", ""},
		{"behind a list", "rules diary.notice-hours: 48", ""},
		{"no such line", "rules money.rat: £44", "the shipped rules have no money.rat"},
		{"another section's line", "rules money.notice-hours: 4", "the shipped rules have no money.notice-hours"},
		{"no value", "rules money.rate: forty", "must be an amount"},
	} {
		got, err := ruled("x", c.script, given)
		if c.wrong != "" {
			if err == nil || !strings.Contains(err.Error(), c.wrong) {
				t.Errorf("%s: %v, want %s", c.name, err, c.wrong)
			}
			continue
		}
		if err != nil || got.Version() == given.Version() {
			t.Errorf("%s: %v, version %v", c.name, err, got)
		}
	}
	if got, err := ruled("x", "-- Mon 12 Apr 2027, 18:40", given); got != given || err != nil {
		t.Errorf("without such a line the rules given count, not %v, %v", got, err)
	}
	got, err := ruled("x", "rules money.rate: £44\nrules deposit.bank: Brindle Lane, 00-00-00", given)
	if err != nil || got.Money.Rate != 4400 || got.Deposit.Bank != "Brindle Lane, 00-00-00" {
		t.Errorf("%v: %+v", err, got)
	}
}
