package pricing_test

import (
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

func TestDepositFor(t *testing.T) {
	const step = 500
	for _, c := range []struct {
		name           string
		d              pricing.DepositRules
		likely, wanted pricing.Pence
	}{
		{"none", pricing.DepositRules{Take: pricing.TakeNone, Amount: 2000}, 20000, 0},
		{"a file without it", pricing.DepositRules{}, 20000, 0},
		{"an amount", pricing.DepositRules{Take: pricing.TakeAmount, Amount: 2000}, 20000, 2000},
		{"never more than the price", pricing.DepositRules{Take: pricing.TakeAmount, Amount: 2000}, 1500, 1500},
		{"a fifth of £235, to £5", pricing.DepositRules{Take: pricing.TakePercent, Percent: 20}, 23500, 4500},
		{"a fifth of £240, to £5", pricing.DepositRules{Take: pricing.TakePercent, Percent: 20}, 24000, 5000},
		{"at least a step", pricing.DepositRules{Take: pricing.TakePercent, Percent: 1}, 6000, 500},
		{"too small a job", pricing.DepositRules{Take: pricing.TakeAmount, Amount: 2000, From: 15000}, 14999, 0},
		{"just large enough", pricing.DepositRules{Take: pricing.TakeAmount, Amount: 2000, From: 15000}, 15000, 2000},
	} {
		if got := c.d.For(c.likely, step); got != c.wanted {
			t.Errorf("%s: %s of %s, want %s", c.name, got, c.likely, c.wanted)
		}
	}
}

func TestPayLink(t *testing.T) {
	d := pricing.DepositRules{Link: "https://pay.example.org/me/{pounds}?for={reference}"}
	if got, want := d.PayLink(1250, "A/B 1"), "https://pay.example.org/me/12.50?for=A%2FB%201"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got := (pricing.DepositRules{Bank: "x"}).PayLink(2000, "A"); got != "" {
		t.Errorf("a link out of nothing: %s", got)
	}
}

func TestMistakesInDepositAndTerms(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"unknown kind", "take: none ", "take: some ", `deposit.take: "some" is unknown`},
		{"no way to pay", "take: none ", "take: amount ", "deposit.take: a deposit needs a way to pay it: fill in link or bank"},
		{"unknown blank", `link: "" `, `link: "https://pay.example.org/{amount}" `, `deposit.link: "{amount}" is unknown`},
		{"no address", `link: "" `, `link: "pay.example.org/{pounds}" `, "deposit.link: must be an address that begins with https://"},
		{"in the clear", `link: "" `, `link: "http://pay.example.org/{pounds}" `, "deposit.link: must be an address that begins with https://"},
		{"moved to nowhere", "moved-late: stays", "moved-late: back", `deposit.moved-late: "back" is unknown`},
		{"off but going along", "off-late: ours", "off-late: stays", `deposit.off-late: "stays" is unknown`},
		{"a blank nobody fills", "until {notice} before", "until {hours} before", `terms.notice: "{hours}" is unknown`},
		{"days", "cancel-days: 14 ", "cancel-days: -1 ", "terms.cancel-days: must be between 0 and 365"},
	} {
		_, err := pricing.ParseRules("f.yaml", []byte(edited(t, c.old, c.new)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

// A rules file from before there were any goes on counting.
func TestRulesWithoutDepositAndTerms(t *testing.T) {
	src := string(pricing.DefaultYAML())
	from, to := strings.Index(src, "\ndeposit:\n"), strings.Index(src, "\nplace:\n")
	if from < 0 || to < from {
		t.Fatal("the shipped rules have no deposit before the place")
	}
	r, err := pricing.ParseRules("f.yaml", []byte(src[:from]+src[to:]))
	if err != nil {
		t.Fatal(err)
	}
	if r.Terms.Given() || r.Deposit.For(100000, 500) != 0 {
		t.Errorf("out of nothing came %+v and %+v", r.Terms, r.Deposit)
	}
}
