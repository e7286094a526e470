package dwell_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"example.org/dryhand/conversations/jobsheet/dwell"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// wrong checks a plan from nothing but the limits: one pair of hands, every
// piece treated once, none off too soon or too late, second by second.
func wrong(t dwell.Task, p dwell.Plan) string {
	if len(p.Pieces) != t.N {
		return fmt.Sprintf("%d pieces, want %d", len(p.Pieces), t.N)
	}
	hands := map[time.Duration]int{}
	occupy := func(from, to time.Duration) {
		for at := from; at < to; at += time.Second {
			hands[at]++
		}
	}
	var end time.Duration
	for i, x := range p.Pieces {
		switch {
		case x.On < 0 || x.OnEnd != x.On+t.On || x.OffEnd != x.Off+t.Off:
			return fmt.Sprintf("piece %d takes other times: %v", i, x)
		case x.Off < x.OnEnd+t.Min:
			return fmt.Sprintf("piece %d is worked off too soon: %v", i, x)
		case x.OffEnd > x.OnEnd+t.Max:
			return fmt.Sprintf("piece %d is rinsed too late: %v", i, x)
		}
		occupy(x.On, x.OnEnd)
		occupy(x.Off, x.OffEnd)
		end = max(end, x.OffEnd)
	}
	for at, n := range hands {
		if n > 1 {
			return fmt.Sprintf("two things at once at %v", at)
		}
	}
	if p.Length != end {
		return fmt.Sprintf("length %v, but it ends at %v", p.Length, end)
	}
	return ""
}

func draw(t *rapid.T, pieces, most int) dwell.Task {
	s := func(from, to int, what string) time.Duration {
		return time.Duration(rapid.IntRange(from, to).Draw(t, what)) * time.Second
	}
	return dwell.Task{N: rapid.IntRange(1, pieces).Draw(t, "pieces"), On: s(0, most, "on"), Off: s(0, most, "off"), Min: s(0, most, "min"), Max: s(0, 3*most, "max")}
}

// Every plan over random wheels, panels and limits passes the checker.
func TestPlansKeepTheLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		task := draw(t, 13, 200)
		p, err := dwell.Make(task)
		if no := new(dwell.Impossible); errors.As(err, &no) {
			return // TestAgainstBruteForce proves those
		}
		if err != nil {
			t.Fatal(err)
		}
		if w := wrong(task, p); w != "" {
			t.Fatalf("%+v: %s", task, w)
		}
		// It is never worse than one piece after the other.
		if each := time.Duration(task.N) * (task.On + task.Off + task.Min); p.Length > each {
			t.Fatalf("%+v takes %v, one after the other would take %v", task, p.Length, each)
		}
	})
}

// shortest finds the least length of any plan by brute force, second by second,
// over everything one pair of hands can do: wait, or begin any piece, in any
// order. It knows nothing of orders, rounds or limits on beginnings.
func shortest(t dwell.Task) (time.Duration, bool) {
	on, off, least, most := int(t.On/time.Second), int(t.Off/time.Second), int(t.Min/time.Second), int(t.Max/time.Second)
	// A state is, for each piece, how long the product has been on: -1 before,
	// -2 after. Pieces are alike, so states are kept sorted.
	type state [3]int
	start := state{-2, -2, -2}
	for i := range t.N {
		start[i] = -1
	}
	older := func(s state, by int) (state, bool) {
		for i := range s {
			if s[i] >= 0 {
				s[i] += by
				if s[i] > most {
					return s, false
				}
			}
		}
		slices.Sort(s[:])
		return s, true
	}
	at := []map[state]bool{{start: true}}
	add := func(when int, s state) {
		for len(at) <= when {
			at = append(at, map[state]bool{})
		}
		at[when][s] = true
	}
	for now := 0; now < len(at); now++ {
		for s := range at[now] {
			if s == (state{-2, -2, -2}) {
				return time.Duration(now) * time.Second, true
			}
			if next, ok := older(s, 1); ok && next != s {
				add(now+1, next)
			}
			for i := range s {
				next := s
				switch {
				case s[i] == -1:
					next[i] = -2 // untouched while the others grow older
					if next, ok := older(next, on); ok {
						next[slices.Index(next[:], -2)] = 0
						slices.Sort(next[:])
						add(now+on, next)
					}
				case s[i] >= least && s[i]+off <= most:
					next[i] = -2
					if next, ok := older(next, off); ok {
						add(now+off, next)
					}
				}
			}
		}
	}
	return 0, false
}

// On small sizes no plan is shorter than ours, and where we say there is none,
// there is none.
func TestAgainstBruteForce(t *testing.T) {
	var possible, impossible int
	for n := 1; n <= 3; n++ {
		for on := 1; on <= 3; on++ {
			for off := 1; off <= 3; off++ {
				for least := 0; least <= 6; least++ {
					for most := 0; most <= 12; most++ {
						s := time.Second
						task := dwell.Task{N: n, On: time.Duration(on) * s, Off: time.Duration(off) * s, Min: time.Duration(least) * s, Max: time.Duration(most) * s}
						want, ok := shortest(task)
						got, err := dwell.Make(task)
						if (err == nil) != ok {
							t.Fatalf("%+v: %v, brute force says possible: %v", task, err, ok)
						}
						if !ok {
							impossible++
							continue
						}
						possible++
						if got.Length != want {
							t.Fatalf("%+v: takes %v, brute force %v", task, got.Length, want)
						}
						if w := wrong(task, got); w != "" {
							t.Fatalf("%+v: %s", task, w)
						}
					}
				}
			}
		}
	}
	t.Logf("%d possible, %d impossible", possible, impossible)
	if possible == 0 || impossible == 0 {
		t.Error("one of the two kinds was never tried")
	}
}

// Worked out with pencil and paper: two wheels, 30 s to spray, 2 minutes to scrub
// and rinse, at least 2 minutes and at most 5 on. The first may be scrubbed at
// 2:30 and is done at 4:30; the second is then done at 6:30, so that its spraying
// must not end before 1:30.
func TestTwoWheels(t *testing.T) {
	s := time.Second
	p, err := dwell.Make(dwell.Task{N: 2, On: 30 * s, Off: 120 * s, Min: 120 * s, Max: 300 * s})
	if err != nil {
		t.Fatal(err)
	}
	want := []dwell.Piece{{0, 30 * s, 150 * s, 270 * s}, {60 * s, 90 * s, 270 * s, 390 * s}}
	if d := cmp.Diff(want, p.Pieces); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]dwell.Gap{{30 * s, 60 * s}, {90 * s, 150 * s}}, p.Gaps()); d != "" {
		t.Error(d)
	}
}

func TestImpossibleSaysWhy(t *testing.T) {
	s := time.Second
	_, err := dwell.Make(dwell.Task{N: 4, On: 15 * s, Off: 70 * s, Min: 60 * s, Max: 120 * s})
	want := &dwell.Impossible{Min: 60 * s, Off: 70 * s, Max: 120 * s}
	got := new(dwell.Impossible)
	if !errors.As(err, &got) || *got != *want {
		t.Errorf("got %v, want %v", err, want)
	}
}

// Filling lies in gaps, does not overlap, and loses no work.
func TestFill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := dwell.Make(draw(t, 6, 100))
		if err != nil {
			return
		}
		var works []dwell.Work
		var sum time.Duration
		for i := range rapid.IntRange(0, 4).Draw(t, "works") {
			w := dwell.Work{Name: fmt.Sprint(i), Length: time.Duration(rapid.IntRange(0, 300).Draw(t, "length")) * time.Second}
			works = append(works, w)
			sum += w.Length
		}
		least := time.Duration(rapid.IntRange(1, 40).Draw(t, "least")) * time.Second
		done, left := p.Fill(works, least)
		for i, f := range done {
			if !slices.ContainsFunc(p.Gaps(), func(g dwell.Gap) bool { return g.Start <= f.Start && f.End <= g.End }) {
				t.Fatalf("%v is in no gap", f)
			}
			if i > 0 && f.Start < done[i-1].End {
				t.Fatalf("%v overlaps %v", f, done[i-1])
			}
			if f.Length() < least {
				t.Fatalf("%v is shorter than %v", f, least)
			}
			sum -= f.Length()
		}
		for _, w := range left {
			sum -= w.Length
		}
		if sum != 0 {
			t.Fatalf("%v of work is lost", sum)
		}
	})
}

func BenchmarkMake(b *testing.B) {
	s := time.Second
	for _, n := range []int{4, 13} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if p, err := dwell.Make(dwell.Task{N: n, On: 15 * s, Off: 45 * s, Min: 180 * s, Max: 300 * s}); err != nil || p.Length == math.MaxInt64 {
					b.Fatal(err)
				}
			}
		})
	}
}
