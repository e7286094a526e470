package pricing

import "math"

// kindest is how many times as kind to their own cars people may be as the table
// says; 2 less that is how little. All between is taken for equally likely.
const kindest = 1.6

// learned is the table expected after the counts. First it asks how kind people
// are to their own cars altogether, which shows soon; then row by row what they say
// of each state, as Dirichlet counts of which the table, that kind, is worth so
// many answers in each row.
func (t *table) learned(counts *table, worth float64) (out table) {
	const steps = 24
	var odds [steps + 1]float64
	most := math.Inf(-1)
	kind := func(i int) *table { return t.asKind(2 - kindest + 2*(kindest-1)*float64(i)/steps) }
	for i := range odds {
		odds[i] = kind(i).explains(counts, worth)
		most = max(most, odds[i])
	}
	for i := range odds {
		odds[i] = math.Exp(odds[i] - most)
	}
	scale(odds[:])
	for i, p := range odds {
		k := kind(i)
		for g := range out {
			var seen float64
			for _, n := range counts[g] {
				seen += n
			}
			for a := range out[g] {
				out[g][a] += p * (k[g][a]*worth + counts[g][a]) / (worth + seen)
			}
		}
	}
	return out
}

// asKind is the table of people so many times as kind to their own cars: where
// they do not say what is there, they do so that many times as often.
func (t *table) asKind(times float64) *table {
	out := new(table)
	for g := range out {
		for a := range out[g] {
			out[g][a] = times * t[g][a]
			if a == g {
				out[g][a] += 1 - times
			}
			out[g][a] = max(0, out[g][a])
		}
		scale(out[g][:])
	}
	return out
}

// explains is the logarithm of how likely a table, worth so many answers in each
// row, makes counts: the Dirichlet-multinomial distribution.
func (t *table) explains(counts *table, worth float64) float64 {
	// Where the table says never, it is not quite sure.
	const hardlyEver = 1e-3
	var sum float64
	for g := range t {
		var all, seen float64
		for a, n := range counts[g] {
			w := worth * max(t[g][a], hardlyEver)
			all, seen = all+w, seen+n
			sum += lgamma(w+n) - lgamma(w)
		}
		sum += lgamma(all) - lgamma(all+seen)
	}
	return sum
}

func lgamma(x float64) float64 {
	y, _ := math.Lgamma(x)
	return y
}
