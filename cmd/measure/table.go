package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"slices"
	"text/tabwriter"
	"time"
)

// figure is one line of the table.
type figure struct {
	// What was measured, and what came out, in words.
	What     string `json:"what"`
	Measured string `json:"measured"`
	// Anchor is what it is measured against in the same run, empty if there is nothing.
	Anchor string `json:"anchor,omitempty"`
	// Value is what counts, in Unit; "x" is a ratio to the anchor.
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	// Spread are the lowest and the highest Value of the rounds.
	Spread *[2]float64 `json:"spread,omitempty"`
	// Least or Most, if set, is what is to be reached.
	Least *float64 `json:"least,omitempty"`
	Most  *float64 `json:"most,omitempty"`
	// Met says whether it is, and is left out where nothing is to be reached.
	Met *bool `json:"met,omitempty"`
	// Note is a remark.
	Note string `json:"note,omitempty"`
}

// atLeast and atMost say what is to be reached.
func (f figure) atLeast(v float64) figure { f.Least = &v; return f.judged(f.Value >= v) }
func (f figure) atMost(v float64) figure  { f.Most = &v; return f.judged(f.Value <= v) }

func (f figure) judged(met bool) figure {
	f.Met = &met
	return f
}

// over makes a figure of the rounds' values: their median.
func (f figure) over(values []float64) figure {
	f.Value = median(values)
	if len(values) > 1 {
		f.Spread = &[2]float64{slices.Min(values), slices.Max(values)}
	}
	return f
}

// goal is what is to be reached, in words.
func (f figure) goal() string {
	switch {
	case f.Least != nil:
		return fmt.Sprintf("≥ %s", f.amount(*f.Least))
	case f.Most != nil:
		return fmt.Sprintf("≤ %s", f.amount(*f.Most))
	}
	return "said"
}

// amount is a value in the figure's unit.
func (f figure) amount(v float64) string {
	if f.Unit == "x" {
		return fmt.Sprintf("%s×", short(v))
	}
	return short(v) + " " + f.Unit
}

// short is a number with about three digits.
func short(v float64) string {
	switch {
	case v >= 1000:
		return thousands(int64(v + 0.5))
	case v >= 100 || v == float64(int64(v)):
		return fmt.Sprintf("%.0f", v)
	case v >= 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}

func thousands(n int64) string {
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%s,%03d", thousands(n/1000), n%1000)
}

// table is everything that was measured.
type table struct {
	Machine string    `json:"machine"`
	Rounds  int       `json:"rounds"`
	Took    string    `json:"took"`
	At      time.Time `json:"at"`
	Figures []figure  `json:"figures"`
}

// machine names what it ran on, as far as it matters for a ratio.
func machine() string {
	return fmt.Sprintf("%s, %s/%s, %d cores", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.NumCPU())
}

func (t table) json(out io.Writer) error {
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	return e.Encode(t)
}

func (t table) text(out io.Writer) error {
	fmt.Fprintf(out, "%s; median of %d rounds, in turns; took %s\n\n", t.Machine, t.Rounds, t.Took)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "what\tmeasured\tbeside\tcomes to\tto reach\tmet")
	for _, f := range t.Figures {
		met, spread := "", ""
		if f.Met != nil {
			met = map[bool]string{true: "yes", false: "NO"}[*f.Met]
		}
		if f.Spread != nil {
			spread = fmt.Sprintf(" (%s…%s)", short(f.Spread[0]), short(f.Spread[1]))
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s%s\t%s\t%s\n", f.What, f.Measured, cmp.Or(f.Anchor, "–"), f.amount(f.Value), spread, f.goal(), met)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, f := range t.Figures {
		if f.Note != "" {
			fmt.Fprintf(out, "\n%s: %s", f.What, f.Note)
		}
	}
	_, err := fmt.Fprintln(out)
	return err
}

// median of values; it is 0 of none.
func median(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	v := slices.Sorted(slices.Values(values))
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}
