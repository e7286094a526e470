package pricing

import (
	"crypto/sha256"
	_ "embed" // the rules that are shipped
	"encoding/hex"
	"slices"
	"sync"

	"example.org/dryhand/pricing/minutes"
	"example.org/dryhand/pricing/plainyaml"
)

// Rules are what a business charges and how it works: a rules file, read and
// found sound. They do not change; a new file makes new Rules.
type Rules struct {
	Business Business
	Money    Money
	Quotes   QuoteRules
	Diary    DiaryRules
	Nudges   NudgeRules
	Service  ServiceRules
	Deposit  DepositRules
	Terms    TermsRules
	Place    PlaceRules

	book    book
	answers table
	layered
	tasks   []task // in the order they are done
	wanted  map[string][]bringing
	usual   [][][4]float64   // by area and state: how common the grades are
	setUps  [3]minutes.Shape // at the unit, at a customer's, self-contained
	version string
}

// Business is who is speaking.
type Business struct {
	Name string `yaml:"name"`
	Town string `yaml:"town"`
	// Address is where cars are brought to, in full as customers read it; empty if the
	// file does not say.
	Address string `yaml:"address,optional"`
}

// Money are the rates.
type Money struct {
	Rate            Pence   `yaml:"rate"`         // an hour
	SkilledRate     Pence   `yaml:"skilled-rate"` // an hour
	Minimum         Pence   `yaml:"minimum"`
	FreeMiles       float64 `yaml:"free-miles"` // one way
	PerMile         Pence   `yaml:"per-mile"`   // for each further mile, one way
	MaterialsMarkup float64 `yaml:"materials-markup"`
	RoundTo         Pence   `yaml:"round-to"`
	VATRegistered   bool    `yaml:"vat-registered"`
	VATPercent      float64 `yaml:"vat-percent"`
}

// QuoteRules are about quotes.
type QuoteRules struct {
	StandsDays int `yaml:"stands-days"`
	// Clear is how many months an enquiry that nobody booked is kept after the last
	// word on it, 0 if the file does not say; see [QuoteRules.ClearMonths].
	Clear int `yaml:"clear-months,optional"`
	// BudgetConfidence is the probability with which a scope must stay inside
	// a customer's figure.
	BudgetConfidence float64 `yaml:"budget-confidence"`
	// Named is how many times as much what the customer named counts, where a figure does
	// not reach all, 0 if the file does not say; see [QuoteRules.NamedCounts].
	Named float64 `yaml:"named-counts,optional"`
	// NarrowEnough is how far the most may be from the likely price before
	// another question is worth a tap.
	NarrowEnough Pence  `yaml:"narrow-enough"`
	NotSeen      string `yaml:"not-seen"`
	Size         string `yaml:"size"`
	Place        string `yaml:"place"`
	LeftDeeper   string `yaml:"left-deeper"`
	LeftOther    string `yaml:"left-other"`
	LeftUntold   string `yaml:"left-untold"`
	LeftPlace    string `yaml:"left-place"`
	LeftBudget   string `yaml:"left-budget"`
	SeeFirst     string `yaml:"see-first"`
	Nothing      string `yaml:"nothing"`
}

// ClearMonths is how many months an enquiry that nobody booked is kept: six where a
// file, as those before there was such a line, does not say.
func (q QuoteRules) ClearMonths() int {
	if q.Clear == 0 {
		return 6
	}
	return q.Clear
}

// NamedCounts is by how much the value of a task is multiplied that the customer named,
// where [Rules.Fit] chooses: ten where a file, as those before
// there was such a line, does not say. As values go from 0 to 10, what was named then
// hardly ever gives way to what was not.
func (q QuoteRules) NamedCounts() float64 {
	if q.Named == 0 {
		return 10
	}
	return q.Named
}

// NudgeRules are when it is time, and polite, to remind of protection.
type NudgeRules struct {
	// Share of the expected months after which to remind.
	Share float64 `yaml:"share"`
	// FromHour and ToHour are the hours of the day between which to write.
	FromHour     int  `yaml:"from-hour"`
	ToHour       int  `yaml:"to-hour"`
	Sundays      bool `yaml:"sundays"`
	FollowUpDays int  `yaml:"follow-up-days"`
	LaterWeeks   int  `yaml:"later-weeks"`
	// NotFrom and NotTo are the first and last day of the weeks without nudges.
	NotFrom MonthDay `yaml:"not-from"`
	NotTo   MonthDay `yaml:"not-to"`
	// BankHolidays tells whether to write on those as well.
	BankHolidays bool `yaml:"bank-holidays"`
	// StillFineWeeks is how long somebody is believed who says it is still fine.
	StillFineWeeks int `yaml:"still-fine-weeks"`
	// SilenceMonths follow a reminder nobody answered.
	SilenceMonths int `yaml:"silence-months"`
	// Leads are the surfaces whose protection sets the date of a nudge. What lies
	// on others is mentioned along with them, and sets it only where there is
	// nothing on these.
	Leads  []string    `yaml:"leads"`
	Winter WinterRules `yaml:"winter"`
}

// PlaceRules are what a place allows and asks for.
type PlaceRules struct {
	SetUp         string     `yaml:"set-up"`
	AtUnit        [3]float64 `yaml:"at-unit"`
	AtCustomer    [3]float64 `yaml:"at-customer"`
	SelfContained [3]float64 `yaml:"self-contained"`
	CarriesWater  bool       `yaml:"carries-water"`
	CarriesPower  bool       `yaml:"carries-power"`
	NoStreet      string     `yaml:"no-street"`
	NoDrain       string     `yaml:"no-drain"`
	NoWater       string     `yaml:"no-water"`
	NoPower       string     `yaml:"no-power"`
	LowWater      string     `yaml:"low-water"`
	NoCover       string     `yaml:"no-cover"`
	AskDrain      string     `yaml:"ask-drain"`
	AskPermission string     `yaml:"ask-permission"`
	Travel        string     `yaml:"travel"`
	// MostMiles is how far we drive at most, one way; 0 is no limit. TooFar is what
	// a customer further off reads.
	MostMiles float64 `yaml:"most-miles,optional"`
	// MobileOnly: there is no workshop to bring a car to.
	MobileOnly bool   `yaml:"mobile-only,optional"`
	TooFar     string `yaml:"too-far,optional"`
}

//go:embed rules.yaml
var shipped string

// DefaultYAML is the rules file that is shipped.
func DefaultYAML() []byte { return []byte(shipped) }

// DefaultRules are the rules that are shipped.
func DefaultRules() *Rules {
	r := *parsed()
	return &r
}

// parsed are the shipped rules, read when they are first asked for.
var parsed = sync.OnceValue(func() *Rules {
	r, err := ParseRules("rules.yaml", DefaultYAML())
	if err != nil {
		panic("pricing: the shipped rules are broken: " + err.Error())
	}
	return r
})

// restShipped is what a file says under "rest" that holds only what is different from
// the shipped rules.
const restShipped = "shipped"

// ParseRules reads a rules file, one that says everything or one with "rest: shipped". name is only for the messages. The error joins
// every mistake, each a [plainyaml.Mistake].
func ParseRules(name string, src []byte) (*Rules, error) {
	var b book
	f, whole := plainyaml.Open(name, src), src
	if f.Top("rest") == restShipped {
		if err := plainyaml.Decode("rules.yaml", DefaultYAML(), &b).Err(); err != nil {
			return nil, err
		}
		whole = append(DefaultYAML(), src...)
		shipped := b.Business
		f.Over(&b)
		if b.Business.Name != shipped.Name && b.Business.Address == shipped.Address {
			b.Business.Address = "" // nobody is to be sent to somebody else's door
		}
	} else {
		f.Into(&b)
	}
	if b.Rest != "" && b.Rest != restShipped {
		f.Wrong("rest", "must be %q, or left out in a file that says everything itself, not %q", restShipped, b.Rest)
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	check(f, &b)
	if err := f.Err(); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(whole)
	r := &Rules{
		Business: b.Business, Money: b.Money, Quotes: b.Quotes, Diary: b.Diary, Nudges: b.Nudges, Service: b.Service, Deposit: b.Deposit, Terms: b.Terms, Place: b.Place,
		book: b, version: hex.EncodeToString(sum[:6]),
	}
	r.answers = answersOf(b)
	r.tasks = prepare(b)
	r.wanted = wanted(r.tasks)
	r.usual = usual(b)
	for i, m := range [...][3]float64{b.Place.AtUnit, b.Place.AtCustomer, b.Place.SelfContained} {
		r.setUps[i] = minutes.Prepare(minutes.Estimate{Low: m[0], Likely: m[1], High: m[2]})
	}
	return r, nil
}

// Version is a short hash of the rules file: the same text, the same version.
func (r *Rules) Version() string { return r.version }

// Areas are the areas that can be asked about, in the order to ask.
func (r *Rules) Areas() []AreaRule { return slices.Clone(r.book.Areas) }

// Area is the area with that id.
func (r *Rules) Area(id Area) (AreaRule, bool) {
	for i := range r.book.Areas {
		if r.book.Areas[i].ID == id {
			return r.book.Areas[i], true
		}
	}
	return AreaRule{}, false
}

// Protections are all kinds of protection.
func (r *Rules) Protections() []Protection { return slices.Clone(r.book.Protections) }

// Protection is the kind with that id.
func (r *Rules) Protection(id string) (Protection, bool) {
	for _, p := range r.book.Protections {
		if p.ID == id {
			return p, true
		}
	}
	return Protection{}, false
}

// Wears are the circumstances that make protection last longer or shorter.
func (r *Rules) Wears() []Wear { return slices.Clone(r.book.Wear.When) }

// Lasting is by how much the named circumstances stretch or shorten protection,
// within the limits of the rules. Unknown names change nothing.
func (r *Rules) Lasting(wears ...string) float64 {
	f := 1.0
	for _, w := range r.book.Wear.When {
		if slices.Contains(wears, w.ID) {
			f *= w.Times
		}
	}
	return min(max(f, r.book.Wear.Shortest), r.book.Wear.Longest)
}

// Wants are the names somebody may ask for besides areas and tasks, with what a
// customer reads.
func (r *Rules) Wants() map[string]string {
	out := map[string]string{}
	for id, words := range r.book.Wants {
		out[id] = words
	}
	return out
}

// Task is the task with that id, as the rules file has it.
func (r *Rules) Task(id string) (Task, bool) {
	for _, t := range r.tasks {
		if t.ID == id {
			return t.Task, true
		}
	}
	return Task{}, false
}

// Caution is the text of a caution a task names.
func (r *Rules) Caution(id string) string { return r.book.Cautions[id] }

// Flags are all flags, in the order of the file.
func (r *Rules) Flags() []Flag { return slices.Clone(r.book.Flags) }

// Flag is the flag with that id.
func (r *Rules) Flag(id string) (Flag, bool) {
	for _, f := range r.book.Flags {
		if f.ID == id {
			return f, true
		}
	}
	return Flag{}, false
}
