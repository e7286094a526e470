package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// bench is a benchmark beside the code.
type bench struct {
	pkg, pattern string
	time, tiny   string // how long, as go test reads it
}

// benches are those of the parts.
var benches = []bench{
	{"pricing", "^BenchmarkExactAgainstDrawing$", "300ms", "1x"},
	{"pricing", "^BenchmarkNextQuestions$", "200ms", "1x"},
	{"pricing", "^BenchmarkBudget$/^optimum$", "3x", "1x"},
	{"conversations/diary", "^BenchmarkYear$/^(first_few|not_one_day_free)", "200ms", "1x"},
	{"conversations/ledger", "^BenchmarkOneSlot$/^slot$/^64$", "20x", "1x"},
}

// parts runs the benchmarks that stand beside the code, in turns.
func (l *lab) parts(ctx context.Context) ([]figure, error) {
	got := results{}
	for range l.rounds {
		for _, b := range benches {
			if err := l.runBench(ctx, b, got); err != nil {
				return nil, err
			}
		}
	}
	us := func(name, unit string) []float64 { return got.scaled(name, unit, 1e-3) }
	quote, draws := us("ExactAgainstDrawing/exact", "ns/op"), us("ExactAgainstDrawing/10000_draws", "ns/op")
	booking := got["OneSlot/slot/64 x-watch"]
	in := func(what string, values []float64) figure {
		return figure{What: what, Measured: short(median(values)) + " µs", Unit: "µs"}.over(values)
	}
	list := []figure{
		in("quote, 40 tasks, nothing known", quote).atMost(500),
		figure{What: "the same", Measured: short(median(quote)) + " µs", Anchor: "10,000 draws " + short(median(draws)) + " µs", Unit: "x"}.over(quotients(draws, quote)).atLeast(20),
		in("next question", us("NextQuestions", "ns/op")),
		in("budget, 40 tasks: median of 200", got["Budget/optimum µs-median"]).atMost(500),
		in("budget: worst of 200", got["Budget/optimum µs-worst"]).atMost(20_000),
		in("slot search in a full year: first few", us("Year/first_few,_seven_days_in_ten_full", "ns/op")).atMost(20),
		in("slot search: not one day free", us("Year/not_one_day_free", "ns/op")).atMost(20),
		figure{What: "booking, 64 for one slot", Measured: short(median(got["OneSlot/slot/64 commit/s"])) + "/s",
			Anchor: "WATCH and MULTI " + short(median(got["OneSlot/slot/64 watch/s"])) + "/s", Unit: "x"}.over(booking).atLeast(3),
	}
	for _, f := range list {
		if f.Value == 0 {
			return nil, fmt.Errorf("no benchmark tells of: %s", f.What)
		}
	}
	return list, nil
}

// results are what benchmarks have told, by name and unit.
type results map[string][]float64

func (r results) scaled(name, unit string, by float64) (values []float64) {
	for _, v := range r[name+" "+unit] {
		values = append(values, v*by)
	}
	return values
}

// quotients are values over others, round by round.
func quotients(these, those []float64) (values []float64) {
	for i := range min(len(these), len(those)) {
		values = append(values, these[i]/those[i])
	}
	return values
}

// runBench runs a benchmark, built once, in its package's folder.
func (l *lab) runBench(ctx context.Context, b bench, into results) error {
	pkg := "example.org/dryhand/" + b.pkg
	dir, err := exec.CommandContext(ctx, "go", "list", "-f", "{{.Dir}}", pkg).Output()
	if err != nil {
		return fmt.Errorf("go list %s: %w", pkg, err)
	}
	program := filepath.Join(l.dir, strings.ReplaceAll(b.pkg, "/", "-")+".test")
	if !l.built[program] {
		if out, err := exec.CommandContext(ctx, "go", "test", "-c", "-o", program, pkg).CombinedOutput(); err != nil {
			return fmt.Errorf("go test -c %s: %w\n%s", pkg, err, out)
		}
		l.built[program] = true
	}
	c := exec.CommandContext(ctx, program, "-test.run", "^$", "-test.bench", b.pattern, "-test.benchtime", pick(l, b.time, b.tiny))
	c.Dir = strings.TrimSpace(string(dir))
	out, err := c.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", b.pattern, err, out)
	}
	into.read(out)
	return nil
}

// read takes in what a benchmark printed: a name, how often, and then values each
// before its unit (golang.org/design/14313-benchmark-format).
func (r results) read(out []byte) {
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		name, ok := strings.CutPrefix(s.Text(), "Benchmark")
		f := strings.Fields(name)
		if !ok || len(f) < 4 {
			continue
		}
		name = f[0]
		if dash := strings.LastIndexByte(name, '-'); dash > 0 { // the number of processors
			name = name[:dash]
		}
		for i := 2; i+1 < len(f); i += 2 {
			if v, err := strconv.ParseFloat(f[i], 64); err == nil {
				key := name + " " + f[i+1]
				r[key] = append(r[key], v)
			}
		}
	}
}
