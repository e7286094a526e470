package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/form"
)

// quoteCommand prices one enquiry.
type quoteCommand struct {
	File    string `arg:"" help:"The enquiry as JSON, or - for standard input."`
	Budget  string `help:"Choose what is worth most for this much, such as 120 or £120; it goes before the file's own budget." placeholder:"POUNDS" env:"-"`
	JSON    bool   `name:"json" help:"JSON instead of words. Money in it is in pence." xor:"form"`
	Explain bool   `help:"Say how the price comes about, task by task." xor:"form"`
	Rules   string `help:"Rules file: prices and minutes. Without it, the shipped one." type:"existingfile" placeholder:"FILE"`
}

// Help is shown under quote -h.
func (quoteCommand) Help() string {
	return `An enquiry, of which only vehicle and wants are needed:

{"vehicle": "Golf estate 2016", "wants": ["exterior", "headlights"], "answers": {"paintwork": 2, "wheels": 3}, "budget": 120, "priorities": ["headlights"], "place": {"site": "customer", "miles": 6, "tap": true, "socket": true, "surface": "driveway", "drain": "foul"}}

Ends with 2 and the names of the fields if the enquiry cannot be read.`
}

// largestEnquiry bounds what is read; enquiries are a few hundred bytes.
const largestEnquiry = 1 << 20

// Run prices and tells.
func (c *quoteCommand) Run(std streams) error {
	rules, _, _, err := business{Rules: c.Rules}.load()
	if err != nil {
		return err
	}
	src, err := c.read(std.in)
	if err != nil {
		fmt.Fprintln(std.err, "enquiry:", err)
		return exitError(2)
	}
	e, err := form.Decode(rules, src)
	if err == nil && c.Budget != "" {
		if e.Budget, err = pricing.ParsePence(c.Budget); err != nil {
			err = &pricing.FieldError{Field: "--budget", Text: err.Error()}
		}
	}
	if err == nil {
		err = rules.Check(e)
	}
	if err != nil {
		for _, f := range fieldErrors(err) {
			fmt.Fprintln(std.err, f)
		}
		return exitError(2)
	}
	fitted, err := rules.Fit(e)
	if err != nil {
		return err
	}
	next, err := rules.NextQuestions(e)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(std.out, e, fitted, next)
	}
	p := quotePage{Writer: std.out, rules: rules, e: e, Fitted: fitted, next: next, explain: c.Explain}
	p.write()
	return nil
}

func (c *quoteCommand) read(in io.Reader) ([]byte, error) {
	if c.File != "-" {
		f, err := os.Open(c.File)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	src, err := io.ReadAll(io.LimitReader(in, largestEnquiry+1))
	if err == nil && len(src) > largestEnquiry {
		err = fmt.Errorf("the enquiry is longer than %d bytes", largestEnquiry)
	}
	return src, err
}

// fieldErrors are the lines to show for what is wrong with an enquiry: the field
// errors an error is made of, or itself.
func fieldErrors(err error) []string {
	switch e := err.(type) {
	case *pricing.FieldError:
		return []string{e.Error()}
	case interface{ Unwrap() []error }:
		var all []string
		for _, one := range e.Unwrap() {
			all = append(all, fieldErrors(one)...)
		}
		return all
	}
	if inner := errors.Unwrap(err); inner != nil {
		return fieldErrors(inner)
	}
	return []string{err.Error()}
}

func writeJSON(out io.Writer, e pricing.Enquiry, f pricing.Fitted, next pricing.Next) error {
	text, err := form.Encode(e.Vehicle, f.Quote, next)
	if e.Budget > 0 {
		text, err = form.EncodeFitted(e.Vehicle, f, next)
	}
	if err != nil {
		return err
	}
	_, err = out.Write(text)
	return err
}

// quotePage writes a quote for people.
type quotePage struct {
	io.Writer
	rules *pricing.Rules
	e     pricing.Enquiry
	pricing.Fitted
	next    pricing.Next
	explain bool
}

func (p quotePage) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

// list writes a heading and what stands under it, if anything does.
func (p quotePage) list(heading string, items []string) {
	if len(items) > 0 {
		p.line("\n%s\n  %s", heading, strings.Join(items, "\n  "))
	}
}

func (p quotePage) write() {
	q := p.Quote
	p.line("%s, %d × %d × %d mm", p.e.Vehicle.Name, p.e.Vehicle.LengthMM, p.e.Vehicle.WidthMM, p.e.Vehicle.HeightMM)
	switch {
	case q.Refused != "":
		p.line("No: %s", q.Refused)
		return
	case q.NeedToSee != "":
		p.line("No price before the car is seen: %s", q.NeedToSee)
		p.line("For the owner alone: likely %v, from %v to %v.", q.Price.Likely, q.Price.Low, q.Price.High)
	default:
		p.line("Likely %v, no more than %v.", q.Price.Likely, q.Price.High)
	}
	if p.e.Budget > 0 {
		p.budget()
	}
	p.line("Work of about %.0f minutes; between %.0f and %.0f in eight of ten cases.", q.Minutes.Likely, q.Minutes.P10, q.Minutes.P90)
	p.list("In it:", p.in())
	p.list(fmt.Sprintf("%v more would bring:", p.Step), left(p.Further))
	p.list("Not in it:", left(q.Out))
	p.list("Will not come out:", q.WontComeOut)
	p.list("For somebody else:", referred(q.Refer))
	p.list("Good to know:", q.Notes)
	if p.explain {
		p.why()
	}
}

// budget says how the job stands to the figure.
func (p quotePage) budget() {
	if !p.Fits {
		p.line("Nothing sensible can be done for %v: this is the smallest job.", p.e.Budget)
		return
	}
	p.line("It stays within %v with a probability of %.0f %%.", p.e.Budget, 100*p.Sure)
}

func (p quotePage) in() []string {
	var lines []string
	for _, l := range p.Quote.In {
		text := l.Words
		if p.explain {
			text = fmt.Sprintf("%8v %5.0f min  %s", l.Price, l.Minutes, l.Words)
		}
		if l.AtMost > 0 {
			text += fmt.Sprintf(", %.0f minutes and no more", l.AtMost)
		}
		lines = append(lines, text)
	}
	return lines
}

func left(all []pricing.Left) []string {
	var lines []string
	for _, l := range all {
		text := l.Words
		if l.Adds > 0 {
			text += fmt.Sprintf(" (adds %v)", l.Adds)
		}
		if l.Why != "" {
			text += ": " + l.Why
		}
		lines = append(lines, text)
	}
	return lines
}

func referred(all []pricing.Referral) []string {
	var lines []string
	for _, r := range all {
		lines = append(lines, r.Words)
	}
	return lines
}

// why says what moves the price, what is believed of each area, and what would be
// worth asking.
func (p quotePage) why() {
	var moves, grades, ask []string
	for _, d := range p.Quote.Because {
		moves = append(moves, fmt.Sprintf("%8v  %s", d.Effect, d.Words))
	}
	for _, a := range p.rules.Areas() {
		if odds, ok := p.Quote.Grades[a.ID]; ok {
			grades = append(grades, fmt.Sprintf("%-12s %3.0f %% light, %3.0f %% fair, %3.0f %% poor, %3.0f %% severe", a.ID, 100*odds[0], 100*odds[1], 100*odds[2], 100*odds[3]))
		}
	}
	for _, q := range p.next.Ask {
		ask = append(ask, fmt.Sprintf("%8v  %s", q.Moves, q.Area))
	}
	p.list("What moves the price most, against a well-kept medium hatchback close by:", moves)
	p.list("What is believed of the car:", grades)
	p.list("What an answer would move the price by:", ask)
	p.line("\nRules %s.", p.Quote.Rules)
}
