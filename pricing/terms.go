package pricing

import (
	"net/url"
	"regexp"
	"strings"

	"example.org/dryhand/pricing/plainyaml"
)

// What a deposit is: none, an amount, or a share of the likely price.
const (
	TakeNone    = "none"
	TakeAmount  = "amount"
	TakePercent = "percent"
)

// When a deposit is asked for: once the owner has said yes, or along with the
// request, before he does.
const (
	AfterYes  = "after-yes"
	BeforeYes = "before-yes"
)

// What becomes of a deposit: it goes along to the new day, goes back, or is kept.
const (
	DepositStays = "stays"
	DepositBack  = "back"
	DepositOurs  = "ours"
)

// DepositRules are about money in advance. A rules file without them takes none.
type DepositRules struct {
	Take string `yaml:"take"`
	// Amount counts for "amount", Percent, of the likely price, for "percent".
	Amount  Pence   `yaml:"amount"`
	Percent float64 `yaml:"percent"`
	// From is the least likely price a deposit is asked for.
	From Pence  `yaml:"from"`
	When string `yaml:"when"`
	// WaitHours is how long it is waited for. Half-way the customer is reminded,
	// once; at the end the owner is told. Nothing is called off by itself.
	WaitHours int `yaml:"wait-hours"`
	// Link leads to paying, with {pounds} and {reference} filled in; Bank are the
	// words of a transfer. One of them is needed.
	Link string `yaml:"link"`
	Bank string `yaml:"bank"`
	// What a move ("stays" or "ours") and a calling off ("back" or "ours") by the
	// customer does to it, in time and later than that.
	MovedInTime string `yaml:"moved-in-time"`
	MovedLate   string `yaml:"moved-late"`
	OffInTime   string `yaml:"off-in-time"`
	OffLate     string `yaml:"off-late"`
}

// TermsRules are what a customer is told and agrees to when asking for a time. A
// rules file without them says nothing.
type TermsRules struct {
	// CancelDays is how many days a customer may cancel who books at a distance,
	// counted from the booking; 0 where there is no such right.
	CancelDays int `yaml:"cancel-days"`
	// The parts of the whole text. {notice} and {days} are filled in.
	Price  string `yaml:"price"`
	Notice string `yaml:"notice"`
	Cancel string `yaml:"cancel"`
	Start  string `yaml:"start"`
	Law    string `yaml:"law"`
}

// Given tells whether the rules file has terms at all.
func (t TermsRules) Given() bool { return t != TermsRules{} }

// For is the deposit for a job of a likely price, 0 for none. It is rounded to a
// step and never more than the price.
func (d DepositRules) For(likely, step Pence) Pence {
	if likely < d.From {
		return 0
	}
	switch d.Take {
	case TakeAmount:
		return min(d.Amount, likely)
	case TakePercent:
		return min(max(pence(float64(likely)*d.Percent/100).Near(step), step), likely)
	}
	return 0
}

// PayLink is the address that leads to paying an amount, "" if there is none.
func (d DepositRules) PayLink(amount Pence, reference string) string {
	pounds := strings.TrimPrefix(amount.String(), "£")
	return strings.NewReplacer("{pounds}", pounds, "{reference}", url.PathEscape(reference)).Replace(d.Link)
}

// blank is a place in a text that is filled in.
var blank = regexp.MustCompile(`\{[^}]*\}`)

func checkDeposit(f *plainyaml.File, b *book) {
	d := b.Deposit
	if d == (DepositRules{}) {
		return
	}
	oneOf(f, "deposit.take", d.Take, []string{TakeNone, TakeAmount, TakePercent})
	oneOf(f, "deposit.when", d.When, []string{AfterYes, BeforeYes})
	oneOf(f, "deposit.moved-in-time", d.MovedInTime, []string{DepositStays, DepositOurs})
	oneOf(f, "deposit.moved-late", d.MovedLate, []string{DepositStays, DepositOurs})
	oneOf(f, "deposit.off-in-time", d.OffInTime, []string{DepositBack, DepositOurs})
	oneOf(f, "deposit.off-late", d.OffLate, []string{DepositBack, DepositOurs})
	within(f, bound{"deposit.amount", d.Amount.pounds(), 1, 10_000})
	within(f, bound{"deposit.percent", d.Percent, 1, 100})
	within(f, bound{"deposit.from", d.From.pounds(), 0, 1_000_000})
	within(f, bound{"deposit.wait-hours", float64(d.WaitHours), 1, 1000})
	blanks(f, "deposit.link", d.Link, "{pounds}", "{reference}")
	if u, err := url.Parse(blank.ReplaceAllString(d.Link, "x")); d.Link != "" && (err != nil || u.Scheme != "https" || u.Host == "") {
		f.Wrong("deposit.link", "must be an address that begins with https://")
	}
	if d.Take != TakeNone && d.Link == "" && d.Bank == "" {
		f.Wrong("deposit.take", "a deposit needs a way to pay it: fill in link or bank")
	}
}

func checkTerms(f *plainyaml.File, b *book) {
	t := b.Terms
	if !t.Given() {
		return
	}
	within(f, bound{"terms.cancel-days", float64(t.CancelDays), 0, 365})
	for _, p := range []struct{ name, text string }{{"price", t.Price}, {"notice", t.Notice}, {"cancel", t.Cancel}, {"start", t.Start}, {"law", t.Law}} {
		blanks(f, "terms."+p.name, p.text, "{notice}", "{days}")
	}
	// The whole goes out as one message, of which the platform takes 4096.
	const most = 2500
	if n := len(t.Price + t.Notice + t.Cancel + t.Start + t.Law); n > most {
		f.Wrong("terms", "are %d characters long; nobody reads more than %d on a phone", n, most)
	}
}

// blanks checks that a text has no other blanks than those that are filled in.
func blanks(f *plainyaml.File, path, text string, known ...string) {
	for _, b := range blank.FindAllString(text, -1) {
		oneOf(f, path, b, known)
	}
}
