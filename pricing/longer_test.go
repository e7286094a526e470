package pricing_test

import (
	"slices"
	"testing"

	"example.org/dryhand/pricing"
)

// More minutes of ordinary work cost the ordinary rate. Of work that is skilled in
// part they cost what the rates and minutes of the lines say, worked out here by hand
// for three lines; with VAT, a fifth more.
func TestLongerCostsWhatTheWorkCosts(t *testing.T) {
	r := pricing.DefaultRules()
	line := func(task string, minutes float64) pricing.Line { return pricing.Line{Task: task, Minutes: minutes} }
	for _, c := range []struct {
		name string
		in   []pricing.Line
		by   float64
		want pricing.Pence
	}{
		{"ordinary", []pricing.Line{line("set-up", 5), line("fallout", 20)}, 90, 6000},
		{"skilled", []pricing.Line{line("polish-one-step", 150)}, 60, 5200},
		{"three to one", []pricing.Line{line("set-up", 10), line("fallout", 40), line("polish-one-step", 150), line("travel", 0)}, 60, 4900},
		{"less", []pricing.Line{line("fallout", 40)}, -30, -2000},
		{"nothing", nil, 30, 0},
	} {
		if got := r.Longer(pricing.Quote{In: c.in}, c.by); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	with := rules(t, "vat-registered: false", "vat-registered: true")
	if got := with.Longer(pricing.Quote{In: []pricing.Line{line("fallout", 40)}}, 60); got != 4800 {
		t.Errorf("with VAT: %v", got)
	}
}

// What is to be left out is out although a want would bring it in, unless it is wanted
// by its own name or something else needs it; a task the rules do not know says nothing.
func TestWithout(t *testing.T) {
	r := pricing.DefaultRules()
	e := washed()
	e.Wants = append(e.Wants, "polish")
	all := tasks(quote(t, r, e))
	for _, id := range all {
		task, ok := r.Task(id)
		if !ok {
			continue
		}
		e.Without = []string{id, "no-such-task"}
		less := quote(t, r, e)
		needed := slices.ContainsFunc(tasks(less), func(k string) bool { x, _ := r.Task(k); return slices.Contains(x.Needs, id) })
		if in := slices.Contains(tasks(less), id); in != (task.Always || needed) {
			t.Errorf("without %s: %v", id, tasks(less))
		}
		named := e
		named.Wants = append(slices.Clone(e.Wants), id)
		if !slices.Contains(tasks(quote(t, r, named)), id) {
			t.Errorf("%s is not in although it is wanted by name", id)
		}
	}
	if e.Without = nil; !slices.Equal(tasks(quote(t, r, e)), all) {
		t.Error("leaving nothing out is not what it was")
	}
}
