package conversations

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/dryhand/pricing"
)

// Work is taken out of a price and other work put in. The rest is not fitted anew for it: a
// figure spread over other work would give minutes back to what was cut short, and less work
// would end later.

// swapped is a price with some work taken out and some put in; nil if that changes nothing,
// or leaves no work.
func (t *turn) swapped(e *Enquiry, base *Quoted, in, out []string) *Quoted {
	q := base
	for _, id := range t.hangingFirst(out) {
		if !slices.Contains(q.Tasks, id) {
			continue
		}
		if q = t.lessOne(e, q, id); q == nil {
			return nil
		}
	}
	for _, id := range in {
		if slices.Contains(q.Tasks, id) {
			continue
		}
		if with := t.added(e, q, t.unbound(e), id); with != nil {
			q = with
		}
	}
	if q == base || !slices.ContainsFunc(q.Tasks, t.isWork) {
		return nil
	}
	return q
}

// reckonTasks works out the price of the work the owner has chosen where a figure holds it
// and he has graded nothing otherwise: what he chooses stays chosen, whatever the figure
// would make of it. It reports whether it was that.
func (t *turn) reckonTasks(e *Enquiry) bool {
	h := e.ByHand
	if h == nil || len(h.Tasks) == 0 || len(e.Graded) > 0 || len(e.Quote.Stops) == 0 && e.Quote.Budget == 0 {
		return false
	}
	var in, out []string
	for _, id := range slices.Concat(h.Tasks, e.Extra) {
		if !slices.Contains(e.Quote.Tasks, id) {
			in = append(in, id)
		}
	}
	for _, id := range e.Quote.Tasks {
		if t.isWork(id) && !slices.Contains(h.Tasks, id) {
			out = append(out, id)
		}
	}
	q := t.swapped(e, e.Quote, in, out)
	if q == nil {
		same := *e.Quote
		q = &same
	}
	asked := t.priced(e)
	q.Of = t.digest(asked)
	e.Seen = q
	t.handled(asked, e.Seen, h)
	return true
}

// isWork tells whether a task is done for its own sake, and not with every job.
func (t *turn) isWork(id string) bool {
	task, ok := t.Rules.Task(id)
	return ok && !task.Always
}

// unbound is an enquiry as it is priced where nothing is too much and nothing is barred.
func (t *turn) unbound(e *Enquiry) pricing.Enquiry {
	asked := t.priced(e)
	asked.Budget, asked.Without = 0, nil
	return asked
}

// lessOne is a price without one task. Work that was to stop after some minutes gives back
// no more than these.
func (t *turn) lessOne(e *Enquiry, base *Quoted, id string) *Quoted {
	gone := func(x string) bool { return x == id }
	asked := t.unbound(e)
	asked.Wants = slices.Clone(base.Tasks)
	with, err := t.quoted(asked)
	asked.Wants = slices.DeleteFunc(asked.Wants, gone)
	without, also := t.quoted(asked)
	if err = errors.Join(err, also); err != nil {
		t.fail(fmt.Errorf("conversations: one task less for enquiry %s: %w", e.ID, err))
		return nil
	}
	share := 1.0
	for _, l := range with.In {
		if stop, ok := base.Stops[id]; ok && l.Task == id && l.Minutes > float64(stop) {
			share = float64(stop) / l.Minutes
		}
	}
	step := t.Rules.Money.RoundTo
	pence := func(was int64, more, less pricing.Pence) int64 {
		off := pricing.Pence(math.Round(float64(more-less) * share))
		return max(int64(t.Rules.Money.Minimum), int64((pricing.Pence(was) - off).Near(step)))
	}
	minutes := func(was, more, less float64) float64 { return max(1, was-(more-less)*share) }
	q := *base
	q.Other = nil
	q.Low = min(base.Low, pence(base.Low, with.Price.Low, without.Price.Low))
	q.Likely = max(q.Low, min(base.Likely, pence(base.Likely, with.Price.Likely, without.Price.Likely)))
	q.High = max(q.Likely, min(base.High, pence(base.High, with.Price.High, without.Price.High)))
	q.P10, q.P50 = minutes(q.P10, with.Minutes.P10, without.Minutes.P10), minutes(q.P50, with.Minutes.P50, without.Minutes.P50)
	q.P80, q.P90 = minutes(q.P80, with.Minutes.P80, without.Minutes.P80), minutes(q.P90, with.Minutes.P90, without.Minutes.P90)
	if base.Budget > 0 {
		q.Budget = q.High
	}
	t.dropLines(&q, id)
	q.Stays, q.Notes = without.WontComeOut, without.Notes
	if area := t.areaOf(id); !slices.ContainsFunc(q.Tasks, func(x string) bool { return t.areaOf(x) == area }) {
		of := t.areaName(area) + ":" // what is not done moves nothing
		q.Why = slices.DeleteFunc(slices.Clone(q.Why), func(line string) bool { return strings.HasPrefix(line, of) })
	}
	return &q
}

// dropLines takes a task out of a quote's work.
func (t *turn) dropLines(q *Quoted, id string) {
	words := id
	if task, ok := t.Rules.Task(id); ok {
		words = task.Words
	}
	of := func(line string) bool { return strings.HasPrefix(line, words) }
	q.Tasks = slices.DeleteFunc(slices.Clone(q.Tasks), func(x string) bool { return x == id })
	q.In, q.Main = slices.DeleteFunc(slices.Clone(q.In), of), slices.DeleteFunc(slices.Clone(q.Main), of)
	if !slices.Contains(q.Out, words) {
		q.Out = append(slices.Clone(q.Out), words)
	}
	q.Dry = 0
	for _, x := range q.Tasks {
		if task, ok := t.Rules.Task(x); ok {
			q.Dry = max(q.Dry, task.DryMinutes)
		}
	}
}

// wholeSide tells whether a name is that of much more than a piece of work.
func (t *turn) wholeSide(name string) bool {
	return name == string(pricing.Interior) || name == string(pricing.Paintwork)
}
