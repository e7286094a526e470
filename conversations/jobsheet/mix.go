package jobsheet

import (
	"math"
	"slices"
	"time"

	"example.org/dryhand/pricing"
)

// Mix is one product of a step, made up for the container at hand. Volumes are
// in ml.
type Mix struct {
	What string
	// Container is what it is used from, Size what that holds, 0 where nothing
	// is mixed, and Fills how many of them the work may take.
	Container string
	Size      float64
	Fills     int
	// Strengths are the mixes from the weakest to the strongest, each once;
	// Start is the one to begin with.
	Strengths []Strength
	Start     int
	// Least and Most are what the work uses; of the product itself where
	// OfProduct is set, otherwise of the ready mix.
	Least, Most float64
	OfProduct   bool
	// LeaveMin and LeaveMax are how long to leave it on, in today's weather.
	LeaveMin, LeaveMax time.Duration
	KeepWet            bool
	Note               string
	// Lance is set for what goes through a foam lance.
	Lance *pricing.Lance
}

// Strength is one dilution: one part of product with Ratio parts of water, which
// is Percent of product, and the Product and Water that fill the container, as
// one can measure them. Through a lance, Ratio and Percent are those which reach
// the paint.
type Strength struct {
	Ratio          pricing.Ratio
	Percent        float64
	Product, Water float64
	// TooWeak tells that not even neat product in the lance's bottle would
	// reach this strength; Percent is then what does.
	TooWeak bool
}

// Neat tells that nothing is added.
func (s Strength) Neat() bool { return s.Ratio == 0 }

// mix makes up one mix of a task.
func (m *maker) mix(t pricing.Task, x pricing.Mix) Mix {
	units := m.job.Vehicle.Units(t.Per)
	out := Mix{
		What: x.What, Least: x.ML[0] * units, Most: x.ML[1] * units,
		KeepWet: x.KeepWet, Note: x.Note,
	}
	out.LeaveMin, out.LeaveMax = m.limits(x, m.job.Warm)
	ratios := []pricing.Ratio{pricing.Ratio(x.Parts[2]), pricing.Ratio(x.Parts[1]), pricing.Ratio(x.Parts[0])}
	start := ratios[1]
	if m.job.Grades[t.Area] == pricing.Light {
		start = ratios[0] // little dirt wants the weakest that may do
	}
	ratios = slices.Compact(ratios)
	out.Start = slices.Index(ratios, start)
	p, _ := m.how.Product(x.What)
	c, _ := m.how.Container(p.In)
	out.OfProduct = p.Concentrate
	out.fill(c, m.size(c, out.need(ratios[out.Start])), ratios[out.Start])
	if c.Lance {
		l := m.how.Lance
		l.ML = out.Size
		out.Lance = &l
	}
	for _, r := range ratios {
		out.Strengths = append(out.Strengths, out.strength(r))
	}
	return out
}

// need is the ready mix the work may take, in ml.
func (x *Mix) need(r pricing.Ratio) float64 {
	if x.OfProduct {
		return x.Most * (float64(r) + 1)
	}
	return x.Most
}

// size is what the container at hand holds: the smallest that is enough.
func (m *maker) size(c pricing.Container, need float64) float64 {
	if ml, ok := m.job.Sizes[c.ID]; ok && ml > 0 {
		return ml
	}
	if c.Lance {
		return m.how.Lance.ML
	}
	for _, ml := range c.ML {
		if ml >= need {
			return ml
		}
	}
	if len(c.ML) > 0 {
		return c.ML[len(c.ML)-1]
	}
	return 0
}

func (x *Mix) fill(c pricing.Container, size float64, start pricing.Ratio) {
	x.Container, x.Size = c.Words, size
	if size == 0 {
		return
	}
	need := x.need(start)
	if c.Lance {
		// The bottle holds what is to be used; the water comes from the machine.
		need = size
	}
	x.Fills = max(1, int(math.Ceil(need/size-1e-9)))
}

// strength fills the container at a ratio.
func (x *Mix) strength(r pricing.Ratio) Strength {
	s := Strength{Ratio: r, Percent: r.Percent()}
	if x.Lance != nil {
		s.Product, s.Water, s.Percent, s.TooWeak = Foam(*x.Lance, r)
		return s
	}
	s.Product = Measure(r.Product(x.Size))
	s.Water = x.Size - s.Product
	return s
}

// Foam is how the bottle of a lance is filled so that the foam has a strength
// where it lands, and the strength in per cent that does land: if even neat
// product is too weak, that of neat product. The lance adds flow over uptake of
// water: what lands is the bottle's strength times u / (Q + u).
func Foam(l pricing.Lance, want pricing.Ratio) (product, water, percent float64, tooWeak bool) {
	bottle, ok := want.Lance(l.Adds())
	product = l.ML
	if ok {
		product = math.Min(l.ML, Measure(bottle.Product(l.ML)))
	}
	percent = 100 * product / l.ML / (l.Adds() + 1)
	return product, l.ML - product, percent, !ok
}

// Measure is the nearest volume one can measure out: with a syringe to a tenth
// of a millilitre up to 10 ml and to half of one up to 20, with a jug to one up to
// 100 and to five beyond. From 2 ml on it is off by 2.5 per cent at most.
func Measure(ml float64) float64 {
	step := 5.0
	switch {
	case ml < 10:
		step = 0.1
	case ml < 20:
		step = 0.5
	case ml < 100:
		step = 1
	}
	return math.Round(math.Round(ml/step)*step*10) / 10
}

// Amount is how much of a product to bring, in ml, undiluted and at the strength
// to begin with; Strongest is what the strongest mix would take.
type Amount struct {
	What                   string
	Least, Most, Strongest float64
}

// addAmount adds what a mix takes to the shelf.
func addAmount(list []Amount, x Mix) []Amount {
	i := slices.IndexFunc(list, func(a Amount) bool { return a.What == x.What })
	if i < 0 {
		i, list = len(list), append(list, Amount{What: x.What})
	}
	of := func(ml float64, s Strength) float64 {
		if x.OfProduct {
			return ml
		}
		return s.Ratio.Product(ml)
	}
	list[i].Least += of(x.Least, x.Strengths[x.Start])
	list[i].Most += of(x.Most, x.Strengths[x.Start])
	list[i].Strongest += of(x.Most, x.Strengths[len(x.Strengths)-1])
	return list
}
