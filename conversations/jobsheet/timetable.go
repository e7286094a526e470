package jobsheet

import (
	"cmp"
	"slices"
	"time"

	"example.org/dryhand/conversations/jobsheet/dwell"
)

// waiting words a plan, or why there is none.
func (w *Words) waiting(v *stepView, s Sheet, d Waiting) {
	f := Facts{What: d.What, Text: d.Piece, From: span(d.Task.Min), To: span(d.Task.Max), Of: span(d.Plan.Length), Count: d.Plan.AtOnce}
	switch {
	case d.Impossible != nil:
		f.Product, f.Of = span(d.Task.Off), span(d.Task.Longest())
		why := w.Impossible
		if d.Warm {
			why = w.ImpossibleWarm
		}
		v.Wrong = append(v.Wrong, why.Say(f))
		return
	case d.Plan.AtOnce > 1:
		v.Short = append(v.Short, w.WaitingShort.Say(f))
	default:
		v.Short = append(v.Short, w.WaitingOne.Say(f))
	}
	t := table{What: v.Short[len(v.Short)-1], Rows: w.rows(s, d)}
	if d.Tight {
		t.Tight = w.Tight.String()
	}
	v.Tables = append(v.Tables, t)
}

// rows are what happens when: putting on, working off, and what fills the gaps.
func (w *Words) rows(s Sheet, d Waiting) []row {
	type timed struct {
		at   time.Duration
		text string
	}
	var all []timed
	for i, p := range d.Plan.Pieces {
		f := Facts{What: d.What, Names: w.name(d, i), To: span(p.OnEnd + d.Task.Max)}
		all = append(all, timed{p.On, w.PutOn.Say(f)}, timed{p.Off, w.WorkOff.Say(f)})
	}
	for _, g := range d.Plan.Gaps() {
		for _, f := range within(g, d.Filled) {
			all = append(all, timed{f.Start, w.other(s, f)})
			g.Start = f.End
		}
		if g.Length() > 0 {
			all = append(all, timed{g.Start, w.Wait.String()})
		}
	}
	slices.SortStableFunc(all, func(a, b timed) int { return cmp.Compare(a.at, b.at) })
	var out []row
	for _, x := range all {
		out = append(out, row{span(x.at), x.text})
	}
	return out
}

func within(g dwell.Gap, fs []dwell.Filling) []dwell.Filling {
	var out []dwell.Filling
	for _, f := range fs {
		if g.Start <= f.Start && f.End <= g.End {
			out = append(out, f)
		}
	}
	return out
}

func (w *Words) other(s Sheet, f dwell.Filling) string {
	for _, x := range s.Steps {
		if f.Name != "" && x.Task == f.Name {
			return w.Meanwhile.Say(Facts{Text: x.Words})
		}
	}
	return w.MeanwhileOwn.String()
}

func (w *Words) name(d Waiting, i int) string {
	if i < len(d.Names) {
		return d.Names[i]
	}
	return w.Piece.Say(Facts{Text: d.Piece, Count: i + 1})
}
