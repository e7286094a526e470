package jobsheet

import (
	"slices"
	"strconv"
	"strings"
)

// view is a sheet in words, in the order it is read.
type view struct {
	W        *Words
	S        Sheet
	Heading  []row
	First    string
	Warnings []string
	Products []string
	Steps    []stepView
	Foot     []section
}

type row struct{ Label, Text string }

// section is a heading with lines below it.
type section struct {
	Title string
	Lines []string
}

type stepView struct {
	Number             int
	From, To, Words    string
	Time               []string
	Why, After, Dries  string
	Mixes              [][]string // the mix to begin with first, then what else there is to say
	Brief              []string   // the mixes in a line each
	Short              []string   // the waiting in a line each
	Tables             []table
	Wrong              []string // waiting that cannot be planned
	Gentlest, Cautions []string
	Said               []string
}

// table is when to do what with one product, in minutes and seconds from the
// first putting on.
type table struct {
	What, Tight string
	Rows        []row
}

func (w *Words) view(s Sheet) view {
	s = w.put(s)
	v := view{W: w, S: s, First: w.First.String()}
	day := w.date(s.Start)
	for _, r := range []row{
		{w.Customer.String(), s.Customer}, {w.Car.String(), s.Car}, {w.Place.String(), s.Place},
		{w.Time.String(), day + ", " + w.FromTo.Say(Facts{From: clock(s.Start), To: clock(s.End)})},
	} {
		// Line breaks of a customer must not look like lines of ours.
		if r.Text = strings.Join(strings.Fields(r.Text), " "); r.Text != "" {
			v.Heading = append(v.Heading, r)
		}
	}
	v.Warnings = slices.Concat(s.Said, w.warnings(s))
	for _, p := range s.Products {
		v.Products = append(v.Products, w.amount(p))
	}
	for i := range s.Steps {
		v.Steps = append(v.Steps, w.step(s, i))
	}
	v.Foot = w.foot(s)
	return v
}

func (w *Words) warnings(s Sheet) []string {
	var out []string
	if s.Refused != "" {
		out = append(out, w.Refused.Say(Facts{Text: s.Refused}))
	}
	if s.LookFirst != "" {
		out = append(out, w.LookFirst.Say(Facts{Text: s.LookFirst}))
	}
	if s.AcidAndBleach {
		out = append(out, w.AcidAndBleach.String())
	}
	if s.Warm {
		out = append(out, w.Warm.String())
	}
	if s.Dark > 0 {
		out = append(out, w.Dark.Say(Facts{From: clock(s.Sunset), Count: s.Dark}))
	}
	return out
}

// numbers lists numbers of steps: "3, 4 and 5".
func (w *Words) numbers(ns []int) string {
	out := ""
	for i, n := range ns {
		switch {
		case i == 0:
			out = strconv.Itoa(n)
		case i == len(ns)-1:
			out = w.StepNumbers.Say(Facts{From: out, To: strconv.Itoa(n)})
		default:
			out += ", " + strconv.Itoa(n)
		}
	}
	return out
}

func (w *Words) amount(a Amount) string {
	f := Facts{What: a.What, From: w.rough(a.Least), To: w.rough(a.Most), Of: w.rough(a.Strongest)}
	if f.Of == f.To {
		return w.Amount.Say(f)
	}
	return w.AmountStrongest.Say(f)
}

func (w *Words) foot(s Sheet) []section {
	var dropped []string
	for _, d := range s.Dropped {
		dropped = append(dropped, w.Dropped.Say(Facts{Text: d.Words, What: d.Why}))
	}
	var out []section
	for _, x := range []section{
		{w.Elsewhere.String(), append(dropped, s.Elsewhere...)},
		{w.NotAgreed.String(), s.NotAgreed},
		{w.Stays.String(), s.Stays},
		{w.Notes.String(), s.Notes},
		{w.Stop.String(), s.Stop},
	} {
		if len(x.Lines) > 0 {
			out = append(out, x)
		}
	}
	return out
}

func (w *Words) step(s Sheet, i int) stepView {
	x := s.Steps[i]
	v := stepView{Number: i + 1, From: clock(x.Start), To: clock(x.End), Words: x.Words, Gentlest: x.Gentlest, Cautions: x.Cautions, Said: x.Said}
	v.Time = append(v.Time, w.lasts(whole(x.Hands)))
	if n := whole(x.Ahead); n > 0 {
		v.Time = append(v.Time, w.Ahead.Say(Facts{Text: w.lasts(n)}))
	}
	if n := whole(x.Idle); n > 0 {
		v.Time = append(v.Time, w.Idle.Say(Facts{Text: w.lasts(n)}))
	}
	if x.Why != "" {
		v.Why = w.Why.Say(Facts{Text: x.Why})
	}
	if ns := direct(s, i); len(ns) > 0 {
		v.After = w.After.Say(Facts{Text: w.numbers(ns)})
	}
	if x.Dries != "" {
		v.Dries = w.Dries.Say(Facts{Text: x.Dries})
	}
	for _, m := range x.Mixes {
		v.Mixes = append(v.Mixes, w.mix(m))
		v.Brief = append(v.Brief, w.brief(x, m))
	}
	for _, d := range x.Waiting {
		w.waiting(&v, s, d)
	}
	return v
}

// direct are the numbers of the steps a step must follow, without those that
// follow from the others.
func direct(s Sheet, i int) []int {
	var out []int
	for k, earlier := range s.Steps[:i] {
		through := slices.ContainsFunc(s.Steps[k+1:i], func(z Step) bool {
			return slices.Contains(s.Steps[i].After, z.Task) && slices.Contains(z.After, earlier.Task)
		})
		if slices.Contains(s.Steps[i].After, earlier.Task) && !through {
			out = append(out, k+1)
		}
	}
	return out
}

// mix words one product: how to make it up, then what else there is to know.
func (w *Words) mix(m Mix) []string {
	start := m.Strengths[m.Start]
	lines := []string{w.made(m, start)}
	if m.Fills > 1 {
		lines = append(lines, w.Fills.Say(Facts{Count: m.Fills}))
	}
	for i, s := range m.Strengths {
		if f := (Facts{Text: w.strength(m, s)}); i < m.Start {
			lines = append(lines, w.Weaker.Say(f))
		} else if i > m.Start {
			lines = append(lines, w.Stronger.Say(f))
		}
	}
	uses, f := w.Uses, Facts{From: w.rough(m.Least), To: w.rough(m.Most)}
	if m.OfProduct || start.Neat() {
		uses = w.UsesProduct
	}
	lines = append(lines, uses.Say(f))
	lines = append(lines, w.leave(m)...)
	if m.Lance != nil {
		l := m.Lance
		lines = append(lines, w.FoamMeasured.Say(Facts{From: w.number(l.Flow, 1), Of: w.volume(l.ML), To: w.number(l.Empties, 0)}))
	}
	if m.Note != "" {
		lines = append(lines, m.Note)
	}
	return lines
}

// brief is a mix in a line: how to make it up and, unless a timetable says so,
// how long to leave it on.
func (w *Words) brief(x Step, m Mix) string {
	line := w.made(m, m.Strengths[m.Start])
	if slices.ContainsFunc(x.Waiting, func(d Waiting) bool { return d.What == m.What }) {
		return line
	}
	return strings.Join(append([]string{line}, w.leave(m)...), "; ")
}

func (w *Words) leave(m Mix) []string {
	var out []string
	f := Facts{From: span(m.LeaveMin), To: span(m.LeaveMax)}
	switch {
	case m.LeaveMax > 0 && m.LeaveMin > 0:
		out = append(out, w.Leave.Say(f))
	case m.LeaveMax > 0:
		out = append(out, w.LeaveUpTo.Say(f))
	}
	if m.KeepWet {
		out = append(out, w.KeepWet.String())
	}
	return out
}

func (w *Words) facts(m Mix, s Strength) Facts {
	return Facts{
		What: m.What, Text: m.Container, Product: w.volume(s.Product), Water: w.volume(s.Water), Of: w.volume(m.Size),
		Ratio: w.ratio(s.Ratio), Percent: w.percent(s.Percent),
	}
}

func (w *Words) made(m Mix, s Strength) string {
	f := w.facts(m, s)
	switch {
	case m.Lance != nil && s.TooWeak:
		return w.FoamWeak.Say(f)
	case m.Lance != nil:
		return w.Foam.Say(f)
	case s.Neat() && m.Container != "":
		return w.NeatIn.Say(f)
	case s.Neat():
		return w.Neat.Say(f)
	case m.Size == 0: // a cloth, or no rule about containers: there is no volume to fill
		return w.MixAny.Say(f)
	}
	return w.Mix.Say(f)
}

func (w *Words) strength(m Mix, s Strength) string {
	if s.Neat() && m.Lance == nil {
		return w.StrengthNeat.String()
	}
	return w.Strength.Say(w.facts(m, s))
}

// Now is one step in words, as it is read with wet hands: no more of it than the
// work itself needs.
type Now struct {
	// Mixes are the products, a line each; Impossible why a product cannot be
	// left on as long as it must; Gentlest the ways to do it, the gentlest first.
	Mixes, Impossible, Gentlest, Cautions []string
}

// Step words one step of a sheet, counted from 0.
func (w *Words) Step(s Sheet, i int) Now {
	v := w.step(w.put(s), i)
	return Now{v.Brief, v.Wrong, v.Gentlest, v.Cautions}
}
