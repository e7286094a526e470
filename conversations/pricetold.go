package conversations

import (
	"cmp"
	"slices"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// remember keeps of a quote what people were told, what is wanted by name before the
// rest.
func (t *turn) remember(f pricing.Fitted, budget pricing.Pence, wants ...string) *Quoted {
	q := f.Quote
	k := &Quoted{Rules: q.Rules, Low: int64(q.Price.Low), Likely: int64(q.Price.Likely), High: int64(q.Price.High),
		P10: q.Minutes.P10, P50: q.Minutes.P50, P80: q.Minutes.P80, P90: q.Minutes.P90,
		Until: t.now.AddDate(0, 0, t.Rules.Quotes.StandsDays), Budget: int64(budget), Small: budget > 0 && !f.Fits, Language: t.language,
		QuoteWords: QuoteWords{NeedSee: q.NeedToSee, Refused: q.Refused, Stays: q.WontComeOut, Notes: q.Notes}}
	k.In = t.worth(q.In)
	k.Main = t.worth(weightiest(q.In, mostNamed, t.askedByName(q.In, wants)))
	for _, l := range q.In {
		if task, ok := t.Rules.Task(l.Task); ok {
			k.Tasks = append(k.Tasks, l.Task)
			k.Dry = max(k.Dry, task.DryMinutes)
			if l.AtMost > 0 {
				if k.Stops == nil {
					k.Stops = map[string]int{}
				}
				k.Stops[l.Task] = stopsAfter(l)
			}
		}
	}
	for _, l := range t.nearest(q.Out, f.Missed...) {
		k.Out = append(k.Out, t.leftOut(l))
		if l.Adds > 0 || l.Reckoned {
			if k.Adds == nil {
				k.Adds = map[string]int64{}
			}
			k.Adds[l.Task] = max(0, int64(l.Adds))
		}
		if l.Why == t.Rules.Quotes.LeftBudget {
			k.Over = append(k.Over, l.Words)
		}
	}
	k.Step = int64(f.Step)
	for _, l := range f.Further {
		k.Further = append(k.Further, l.Words)
	}
	for _, l := range f.Missed {
		k.Unreached = append(k.Unreached, l.Words)
		k.Named = &[2]int64{int64(f.Named.Likely), int64(f.Named.High)}
	}
	k.Way = t.wayOf(q)
	k.Why = t.because(q)
	for _, r := range q.Refer {
		k.Refer = append(k.Refer, r.Words)
	}
	return k
}

// because are the lines of what moves a price most.
func (t *turn) because(q pricing.Quote) (lines []string) {
	for _, d := range q.Because {
		lines = append(lines, t.word(wording.LineWhy, wording.Facts{Text: d.Words, Most: t.pounds(int64(d.Effect))}))
	}
	return lines
}

// wayOf is what the way beyond the free miles is of a likely price, in pence: as among its
// reasons, if it is one of them. It is 0 where it is hardly worth a word.
func (t *turn) wayOf(q pricing.Quote) (way int64) {
	const least = 5_00
	for _, l := range q.In {
		if l.Task == pricing.TravelLine {
			way = int64(l.Price.Near(1_00))
		}
	}
	for _, d := range q.Because {
		if way > 0 && d.Words == t.Rules.Place.Travel {
			way = int64(d.Effect)
		}
	}
	if way < least {
		return 0
	}
	return way
}

// nearest puts first what the customer came closest to having: what they named and their
// figure left out, what else it did, then a step more of what they asked for, then the rest.
func (t *turn) nearest(out []pricing.Left, missed ...pricing.Left) []pricing.Left {
	why := map[string]int{t.Rules.Quotes.LeftBudget: -2, t.Rules.Quotes.LeftDeeper: -1}
	rank := func(l pricing.Left) int {
		if slices.ContainsFunc(missed, func(m pricing.Left) bool { return m.Task == l.Task }) {
			return -3
		}
		return why[l.Why]
	}
	sorted := slices.Clone(out)
	slices.SortStableFunc(sorted, func(a, b pricing.Left) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(b.Adds, a.Adds))
	})
	return sorted
}

// leastStated is the least time, in minutes, after which work is said to stop.
const leastStated = 5

// stopsAfter are the minutes after which work that is cut short stops, as people are told.
func stopsAfter(l pricing.Line) int { return max(leastStated, toFive(l.AtMost)) }

// How much of a quote its first message names. Nobody reads more on a phone; the
// whole list is a tap away.
const (
	mostNamed   = 6
	mostLeftOut = 3
)

// weightiest are n lines in the order of the work: those asked for by name, and the
// dearest of the others.
func weightiest(lines []pricing.Line, n int, named []string) []pricing.Line {
	sorted := slices.Clone(lines)
	slices.SortStableFunc(sorted, func(a, b pricing.Line) int {
		if by := slices.Contains(named, b.Task); by != slices.Contains(named, a.Task) {
			return map[bool]int{true: 1, false: -1}[by]
		}
		return int(b.Price - a.Price)
	})
	sorted = sorted[:min(n, len(sorted))]
	return slices.DeleteFunc(slices.Clone(lines), func(l pricing.Line) bool {
		return !slices.ContainsFunc(sorted, func(s pricing.Line) bool { return s.Task == l.Task })
	})
}

// askedByName are the tasks of some lines that answer to a name somebody asked for: a task
// itself, and of each want the dearest it alone brings. Whoever ticked "Protection" is not
// to look for it among the smaller steps.
func (t *turn) askedByName(lines []pricing.Line, wants []string) []string {
	named := slices.Clone(wants)
	for _, w := range wants {
		var alone, applied pricing.Line
		for _, l := range lines {
			task, ok := t.Rules.Task(l.Task)
			if !ok || len(task.For[w]) == 0 {
				continue
			}
			if !slices.ContainsFunc(wants, func(o string) bool { return o != w && len(task.For[o]) > 0 }) && (alone.Task == "" || l.Price > alone.Price) {
				alone = l
			}
			if task.Applies != "" && (applied.Task == "" || l.Price > applied.Price) {
				applied = l
			}
		}
		named = append(named, cmp.Or(alone.Task, applied.Task))
	}
	return named
}

// worth are the lines of a quote that a customer pays for and not merely meets:
// without setting up and looking the car over.
func (t *turn) worth(lines []pricing.Line) []string {
	var out []string
	for _, l := range lines {
		task, ok := t.Rules.Task(l.Task)
		switch {
		case !ok || task.Always:
		case l.AtMost > 0:
			out = append(out, t.word(wording.LineAtMost, wording.Facts{Text: l.Words, Minutes: stopsAfter(l)}))
		default:
			out = append(out, l.Words)
		}
	}
	return out
}

// leftOut is a line that stays out of a quote, with what it would add.
func (t *turn) leftOut(l pricing.Left) string {
	switch {
	case l.Adds <= 0 && l.Reckoned: // the smallest price has room for it
		return t.word(wording.LineAddsNothing, wording.Facts{Text: l.Words})
	case l.Adds <= 0:
		return l.Words
	}
	return t.word(wording.LineAdds, wording.Facts{Text: l.Words, Most: t.pounds(int64(l.Adds))})
}
