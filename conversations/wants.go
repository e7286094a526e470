package conversations

import (
	"cmp"
	"slices"
	"strings"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// rareWants are understood when somebody writes them, and not offered.
var rareWants = []named{
	{string(pricing.Paintwork), wording.LabelPaint}, {string(pricing.Wheels), wording.LabelWheels}, {string(pricing.Glass), wording.LabelGlass},
	{string(pricing.Trim), wording.LabelTrim}, {string(pricing.EngineBay), wording.LabelEngineBay}, {"polish", wording.LabelPolish},
}

func putWants(t *turn, e *Enquiry) prompt {
	p := sentence(wording.AskWants)(t, e)
	p.options = []option{t.choose("exterior", wording.LabelOutside), t.choose("interior", wording.LabelInside)}
	if len(e.Pending) == 0 {
		p.options = append(p.options, option{key: choiceBoth, label: t.label(wording.LabelBoth), own: true})
	}
	if e.Car != nil && e.Car.SoftTopArea() > 0 {
		p.options = append(p.options, t.choose(string(pricing.SoftTop), wording.LabelSoftTop))
	}
	p.options = append(p.options, t.choose(string(pricing.Headlights), wording.LabelLamps), t.choose("protection", wording.LabelProtection))
	for _, rare := range rareWants {
		if e.has(askWants, rare.key) || slices.Contains(e.Pending, rare.key) {
			p.options = append(p.options, t.choose(rare.key, rare.label))
		}
	}
	for _, kind := range t.Rules.Protections() {
		if e.has(askWants, kind.ID) || slices.Contains(e.Pending, kind.ID) {
			p.options = append(p.options, option{key: kind.ID, label: firstUpper(kind.Words), typed: []string{kind.Words}})
		}
	}
	p.options = append(p.options, t.byName(e)...)
	done := t.choose(choiceDone, wording.LabelThatsAll)
	done.own = true
	p.options = append(p.options, done)
	return p
}

// readWants takes what is wanted in own words.
func readWants(t *turn, _ *Enquiry, text string) ([]string, bool) {
	if t.Reader == nil {
		return nil, false
	}
	wants := t.asksFor(t.heardIn(text))
	return wants, len(wants) > 0
}

// asksFor are the wants of a text in the names pricing knows, with the pieces of work
// asked for by their own name.
func (t *turn) asksFor(r reading.Reading) []string {
	var wants []string
	tasks := t.named(r)
	for _, w := range r.Wants {
		// Who names what is to go on the paint, or to come off it, has not asked for all
		// the rest that can be done there.
		onPaint := w == "protection" || w == string(pricing.Paintwork)
		if slices.Contains(formWants, w) && !(onPaint && len(tasks) > 0 && slices.Contains(r.ByTask, w)) {
			wants = append(wants, w)
		}
	}
	return append(wants, tasks...)
}

// named are the pieces of work that a text asks for by name, those the rules have.
func (t *turn) named(r reading.Reading) (tasks []string) {
	for _, id := range r.Tasks {
		if _, ok := t.Rules.Task(id); ok {
			tasks = append(tasks, id)
		}
	}
	return tasks
}

// byName are the pieces of work among what is wanted, each with a label to show.
func (t *turn) byName(e *Enquiry) (out []option) {
	for _, w := range append(slices.Clone(e.Answers[askWants]), e.Pending...) {
		task, ok := t.Rules.Task(w)
		if _, protects := t.Rules.Protection(w); !ok || protects || task.Area == pricing.SoftTop && (e.Car == nil || e.Car.SoftTopArea() == 0) {
			continue
		}
		if !slices.ContainsFunc(out, func(o option) bool { return o.key == w }) {
			head, _, _ := strings.Cut(task.Words, ",")
			label := forButton(task.Words)
			out = append(out, option{key: w, label: firstUpper(label), typed: []string{label, head}, own: true})
		}
	}
	return out
}

// namedBy is what the customer spoke of by name: tasks and areas that they wrote of, and the
// single pieces of work and parts of the car among what they want.
func (t *turn) namedBy(e *Enquiry) []string {
	names := slices.Clone(e.Named)
	for _, w := range e.Answers[askWants] {
		_, task := t.Rules.Task(w)
		part := slices.Contains([]pricing.Area{pricing.Wheels, pricing.Headlights, pricing.SoftTop, pricing.Glass, pricing.Trim, pricing.EngineBay}, pricing.Area(w))
		if (task || part) && !slices.Contains(names, w) {
			names = append(names, w)
		}
	}
	return names
}

// plainly are the wants of an enquiry without a piece of work asked for by name for
// which the state of the car, as far as it is known, already brings in a thorougher
// one: who says "shampooed" of a seat with food trodden into it does not mean less.
func (t *turn) plainly(e *Enquiry, known pricing.Enquiry) []string {
	wants := e.Answers[askWants]
	return slices.DeleteFunc(slices.Clone(wants), func(id string) bool {
		named, ok := t.Rules.Task(id)
		return ok && named.Family != "" && slices.ContainsFunc(t.Rules.Order(), func(other string) bool {
			o, _ := t.Rules.Task(other)
			return o.Family == named.Family && o.Level > named.Level && slices.ContainsFunc(wants, func(w string) bool {
				return slices.Contains(o.For[w], cmp.Or(known.Graded[o.Area], known.Said[o.Area]))
			})
		})
	})
}

// formWants are what can be wanted, by the names pricing knows.
var formWants = []string{
	"exterior", "interior", string(pricing.SoftTop), string(pricing.Headlights), "protection",
	string(pricing.Paintwork), string(pricing.Wheels), string(pricing.Glass), string(pricing.Trim), string(pricing.EngineBay), "polish",
}
