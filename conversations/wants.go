package conversations

import (
	"slices"

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
	wants := slices.DeleteFunc(slices.Clone(t.heardIn(text).Wants), func(w string) bool { return !slices.Contains(formWants, w) })
	return wants, len(wants) > 0
}
