package pricing

import "slices"

// SheetRules are how the work is done: what a job sheet says beyond what a quote
// needs. A rules file may leave them out; then Steps is empty.
type SheetRules struct {
	Lance Lance `yaml:"lance"`
	// WarmTimes is what warm weather makes of the least and the longest time a
	// product stays on, above 0 and at most 1.
	WarmTimes float64 `yaml:"warm-times"`
	// Bring is needed for any job.
	Bring []string `yaml:"bring"`
	// Stop is when to stop, whatever the step.
	Stop       []string    `yaml:"stop"`
	Containers []Container `yaml:"containers"`
	Pieces     []Piece     `yaml:"pieces"`
	Products   []Product   `yaml:"products"`
	// OnFlag are cautions a flag adds to the whole job, by flag.
	OnFlag map[string][]string `yaml:"on-flag"`
	Steps  []StepRule          `yaml:"steps"`
}

// Lance is a foam lance as it was measured with water: the machine's flow in
// litres a minute, the lance's bottle in ml, and the seconds a full bottle lasts.
type Lance struct {
	Flow    float64 `yaml:"flow"`
	ML      float64 `yaml:"ml"`
	Empties float64 `yaml:"empties"`
}

// Adds is how many parts of water the lance adds to one part of what it draws
// from its bottle: the machine's flow over the bottle's.
func (l Lance) Adds() float64 { return l.Flow * l.Empties / 60 / (l.ML / 1000) }

// Container is what a mix is made in, with the sizes at hand in ml, smallest
// first. ML is empty where nothing is mixed: on a cloth, on a pad.
type Container struct {
	ID    string    `yaml:",key"`
	Words string    `yaml:"words"`
	ML    []float64 `yaml:"ml,optional"`
	// Lance tells that the container is the foam lance's bottle, so that the
	// parts of a mix are those which reach the paint.
	Lance bool `yaml:"lance,optional"`
}

// Piece is a part of a car that is treated at once: a wheel, a side. There are
// as many as names, save for wheels, lamps and seats, which the car decides.
type Piece struct {
	ID    string   `yaml:",key"`
	Words string   `yaml:"words"`
	Names []string `yaml:"names,optional"`
	// Grows tells that a piece is larger on a larger car.
	Grows bool `yaml:"grows,optional"`
}

// Hazard is why a product needs care.
type Hazard string

// The hazards. Each demands a caution on every task that uses such a product.
const (
	Acid    Hazard = "acid"
	Bleach  Hazard = "bleach"
	Caustic Hazard = "caustic"
	Solvent Hazard = "solvent"
	Biocide Hazard = "biocide"
)

// Caution is the name of the caution a hazard demands.
func (h Hazard) Caution() string {
	if h == Bleach {
		return "no-bleach"
	}
	return string(h)
}

// Product is one thing on the shelf, by the name the mixes call it.
type Product struct {
	What string   `yaml:",key"`
	Is   []Hazard `yaml:"is,optional"`
	// In is the container it is used from.
	In string `yaml:"in"`
	// Concentrate tells that a mix's ml are of the product and not of the mix.
	Concentrate bool `yaml:"concentrate,optional"`
}

// Apply is one product put on, left and taken off again, piece by piece: the
// seconds for each piece to put it on, and to work it in and rinse it off.
type Apply struct {
	What string `yaml:"what"`
	By   string `yaml:"by"`
	On   int    `yaml:"on"`
	Off  int    `yaml:"off"`
}

// StepRule is how a task is done.
type StepRule struct {
	Task string `yaml:",key"`
	// Why is why it stands where it does in the order of work.
	Why   string   `yaml:"why,optional"`
	Bring []string `yaml:"bring,optional"`
	// Gentlest are the ways to do it, the gentlest first.
	Gentlest []string `yaml:"gentlest,optional"`
	Apply    []Apply  `yaml:"apply,optional"`
	// Meanwhile are tasks that may be done in this one's waiting.
	Meanwhile []string `yaml:"meanwhile,optional"`
}

// Sheet is how the work is done. It must not be changed.
func (r *Rules) Sheet() *SheetRules { return &r.book.Sheet }

// Order are the ids of all tasks in the order of work: each after those it must
// follow, otherwise as the rules file has them.
func (r *Rules) Order() []string {
	out := make([]string, len(r.tasks))
	for i, t := range r.tasks {
		out[i] = t.ID
	}
	return out
}

// Product is the product with that name.
func (s *SheetRules) Product(what string) (Product, bool) {
	return named(s.Products, func(p Product) string { return p.What }, what)
}

// Container is the container with that id.
func (s *SheetRules) Container(id string) (Container, bool) {
	return named(s.Containers, func(c Container) string { return c.ID }, id)
}

// Piece is the piece with that id.
func (s *SheetRules) Piece(id string) (Piece, bool) {
	return named(s.Pieces, func(p Piece) string { return p.ID }, id)
}

// Step is how a task is done; ok is false if the rules do not say.
func (s *SheetRules) Step(task string) (StepRule, bool) {
	return named(s.Steps, func(x StepRule) string { return x.Task }, task)
}

func named[T any](list []T, name func(T) string, want string) (T, bool) {
	i := slices.IndexFunc(list, func(x T) bool { return name(x) == want })
	if i < 0 {
		var none T
		return none, false
	}
	return list[i], true
}

// Units is how many units of work a car has of what a task's minutes and ml are
// for: car, outside, inside, m2, soft-top, wheel, lamp or seat.
func (v Vehicle) Units(per string) float64 { return v.units(per) }
