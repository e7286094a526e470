package pricing_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func quote(t testing.TB, r *pricing.Rules, e pricing.Enquiry) pricing.Quote {
	t.Helper()
	q, err := r.Quote(e)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func tasks(q pricing.Quote) []string {
	var ids []string
	for _, l := range q.In {
		ids = append(ids, l.Task)
	}
	return ids
}

func left(q pricing.Quote, id string) (pricing.Left, bool) {
	for _, l := range q.Out {
		if l.Task == id {
			return l, true
		}
	}
	return pricing.Left{}, false
}

func hatch() pricing.Vehicle { return pricing.VehicleFromBody(pricing.Hatchback, 4300) }

func washed() pricing.Enquiry {
	return pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior"}, Site: pricing.Site{Own: true}}
}

// The project's three reference cases; see testdata/pricing/README.md.
func TestScenarios(t *testing.T) {
	raw, err := os.ReadFile("../testdata/pricing/scenarios.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			ID      string `json:"id"`
			Vehicle struct {
				Body   pricing.Body `json:"body"`
				Length int          `json:"length_mm"`
			} `json:"vehicle"`
			Wants  []string                       `json:"wants"`
			Grades map[pricing.Area]pricing.Grade `json:"grades"`
			Flags  []string                       `json:"flags"`
			Place  struct {
				Unit    bool    `json:"unit"`
				Miles   float64 `json:"miles"`
				Tap     bool    `json:"tap"`
				Socket  bool    `json:"socket"`
				Surface string  `json:"surface"`
			} `json:"place"`
			In, Left, Refer []string
			See             bool
			Minutes, Price  [2]float64
		} `json:"cases"`
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	r := pricing.DefaultRules()
	for _, c := range file.Cases {
		t.Run(c.ID, func(t *testing.T) {
			q := quote(t, r, pricing.Enquiry{
				Vehicle: pricing.VehicleFromBody(c.Vehicle.Body, c.Vehicle.Length), Wants: c.Wants, Graded: c.Grades, Flags: c.Flags,
				Site: pricing.Site{Own: c.Place.Unit, Miles: c.Place.Miles, Tap: c.Place.Tap, Socket: c.Place.Socket, Surface: c.Place.Surface},
			})
			in := slices.DeleteFunc(tasks(q), func(id string) bool { return id == "set-up" || id == "travel" || slices.Contains(c.Flags, id) })
			if d := cmp.Diff(c.In, in); d != "" {
				t.Errorf("tasks: -want +got:\n%s", d)
			}
			for _, id := range c.Left {
				if _, ok := left(q, id); !ok {
					t.Errorf("%s is not named among what is left out", id)
				}
			}
			for _, id := range c.Refer {
				if !slices.ContainsFunc(q.Refer, func(x pricing.Referral) bool { return x.Flag == id }) {
					t.Errorf("%s is not referred", id)
				}
			}
			if (q.NeedToSee != "") != c.See {
				t.Errorf("need to see: %q, want %v", q.NeedToSee, c.See)
			}
			if m := q.Minutes.Likely; m < c.Minutes[0] || m > c.Minutes[1] {
				t.Errorf("likely %.0f minutes, want %v", m, c.Minutes)
			}
			for _, p := range []pricing.Pence{q.Price.Likely, q.Price.High} {
				if x := float64(p) / 100; x < c.Price[0] || x > c.Price[1] {
					t.Errorf("price %v, want £%v", p, c.Price)
				}
			}
		})
	}
	if len(file.Cases) < 5 {
		t.Errorf("only %d cases", len(file.Cases))
	}
}

// A small four-seat soft top of 3.57 m, everything between the second and the
// third description: roof, wheels and paint, fallout and tar off, roof washed,
// headlights polished, inside dry, sealant, tyres. Three hours is what it takes:
// common practice, no source.
func TestSmallSoftTopTakesThreeHours(t *testing.T) {
	v := pricing.VehicleFromBody(pricing.Convertible, 3570)
	said := map[pricing.Area]pricing.Grade{pricing.Paintwork: 2, pricing.Wheels: 2, pricing.SoftTop: 2, pricing.Headlights: 2, pricing.Interior: 2}
	q := quote(t, pricing.DefaultRules(), pricing.Enquiry{Vehicle: v, Said: said, Site: pricing.Site{Own: true},
		Wants: []string{"exterior", "wheels", "soft-top", "headlights", "interior-dry", "protection"}})
	for _, id := range []string{"soft-top-wash", "wheels-full", "fallout", "tar", "lamps-polish", "vacuum", "plastics-wipe", "sealant", "dress-tyres"} {
		if !slices.Contains(tasks(q), id) {
			t.Errorf("%s is missing from %v", id, tasks(q))
		}
	}
	if q.Minutes.P10 > 180 || q.Minutes.P90 < 180 {
		t.Errorf("180 minutes lie outside %.0f to %.0f", q.Minutes.P10, q.Minutes.P90)
	}
}

// anyEnquiry makes enquiries of every kind.
func anyEnquiry(t *rapid.T, r *pricing.Rules) pricing.Enquiry {
	e := pricing.Enquiry{
		Vehicle: pricing.VehicleFromBody(rapid.SampledFrom(pricing.Bodies()).Draw(t, "body"), rapid.IntRange(3000, 6000).Draw(t, "length")),
		Graded:  map[pricing.Area]pricing.Grade{}, Said: map[pricing.Area]pricing.Grade{},
	}
	wants := []string{"exterior", "protection", "polish", "interior", "interior-dry", "interior-deep", "leather", "ceramic-coating", "wax", "polish-two-step", "engine-bay-rinse", "soft-top-proof", "wheel-seal"}
	for _, a := range r.Areas() {
		wants = append(wants, string(a.ID))
		switch rapid.IntRange(0, 3).Draw(t, "known "+string(a.ID)) {
		case 0:
			e.Graded[a.ID] = pricing.Grade(rapid.IntRange(1, 4).Draw(t, "seen"))
		case 1:
			e.Said[a.ID] = pricing.Grade(rapid.IntRange(0, 4).Draw(t, "said"))
		}
	}
	e.Wants = rapid.SliceOfNDistinct(rapid.SampledFrom(wants), 0, 5, rapid.ID[string]).Draw(t, "wants")
	e.Named = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"vacuum", "wash", "pet-hair", "wheels", "inside-glass", "nothing-known"}), 0, 3, rapid.ID[string]).Draw(t, "named")
	e.Flags = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"failed-lacquer", "full-of-things", "dark-paint", "electric", "matt-paint", "busy-spokes"}), 0, 2, rapid.ID[string]).Draw(t, "flags")
	e.Site = pricing.Site{
		Own: rapid.Bool().Draw(t, "own"), Miles: rapid.Float64Range(0, 40).Draw(t, "miles"), Tap: rapid.Bool().Draw(t, "tap"), Socket: rapid.Bool().Draw(t, "socket"),
		Surface: rapid.SampledFrom([]string{"", "driveway", "garage", "shared", "street"}).Draw(t, "surface"),
		Drain:   rapid.SampledFrom([]string{"", "soil", "foul", "surface", "unknown"}).Draw(t, "drain"),
	}
	return e
}

// What holds of every quote.
func TestEveryQuoteIsSound(t *testing.T) {
	r := pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		e := anyEnquiry(t, r)
		q, err := r.Quote(e)
		if err != nil {
			t.Fatal(err)
		}
		if q.Rules != r.Version() {
			t.Fatalf("version %q", q.Rules)
		}
		if q.Refused != "" {
			if len(q.In) > 0 {
				t.Fatalf("refused, and yet in: %v", tasks(q))
			}
			return
		}
		soundNumbers(t, r, q)
		soundScope(t, r, e, q)
	})
}

func soundNumbers(t *rapid.T, r *pricing.Rules, q pricing.Quote) {
	m, p := q.Minutes, q.Price
	if !(0 < m.P10 && m.P10 <= m.P50 && m.P50 <= m.P80 && m.P80 <= m.P90) {
		t.Fatalf("minutes out of order: %+v", m)
	}
	if p.Low > p.Likely || p.Likely > p.High || p.Low < 0 || p.Likely < r.Money.Minimum || p.Likely%r.Money.RoundTo != 0 || p.High%r.Money.RoundTo != 0 {
		t.Fatalf("prices: %+v", p)
	}
	var sum pricing.Pence
	var minutes float64
	for _, l := range q.In {
		if l.Price < 0 || l.Minutes < 0 || l.Words == "" {
			t.Fatalf("line %+v", l)
		}
		sum += l.Price
		minutes += l.Minutes
	}
	if sum != p.Likely {
		t.Fatalf("lines add up to %v, likely is %v", sum, p.Likely)
	}
	if math.Abs(minutes-m.Likely) > 0.01 {
		t.Fatalf("lines add up to %v minutes, likely is %v", minutes, m.Likely)
	}
	for i, l := range q.Because {
		if l.Effect <= 0 || i > 0 && l.Effect > q.Because[i-1].Effect || i > 2 {
			t.Fatalf("because: %+v", q.Because)
		}
	}
}

// soundScope checks needs, levels, order and place of what was chosen.
func soundScope(t *rapid.T, r *pricing.Rules, e pricing.Enquiry, q pricing.Quote) {
	at, families := map[string]int{}, map[string]string{}
	for i, l := range q.In {
		at[l.Task] = i
	}
	for id, i := range at {
		task, ok := r.Task(id)
		if !ok {
			continue // set-up, travel, a flag
		}
		for _, need := range task.Needs {
			if !slices.ContainsFunc(strings.Split(need, " or "), func(n string) bool { _, ok := at[n]; return ok }) {
				t.Fatalf("%s needs %s, in are %v", id, need, tasks(q))
			}
		}
		for _, before := range task.After {
			if k, ok := at[before]; ok && k > i {
				t.Fatalf("%s stands before %s", id, before)
			}
		}
		if other, ok := families[task.Family]; ok && task.Family != "" {
			t.Fatalf("%s and %s are levels of one thing", id, other)
		}
		families[task.Family] = id
		noWater := !e.Site.Own && (e.Site.Surface == "street" || e.Site.Drain == "surface")
		if task.Wet && noWater {
			t.Fatalf("%s needs water, on %+v", id, e.Site)
		}
		if _, ok := left(q, id); ok {
			t.Fatalf("%s is both in and out", id)
		}
	}
}

// The same question always gets the same answer.
func TestQuoteIsDeterministic(t *testing.T) {
	a, b := pricing.DefaultRules(), pricing.DefaultRules()
	rapid.Check(t, func(t *rapid.T) {
		e := anyEnquiry(t, a)
		qa, _ := a.Quote(e)
		qb, _ := b.Quote(e)
		if d := cmp.Diff(qa, qb); d != "" {
			t.Fatalf("two answers:\n%s", d)
		}
	})
}

func TestOneNumberMovesThePrice(t *testing.T) {
	before := quote(t, pricing.DefaultRules(), washed()).Price
	for _, tt := range []struct{ old, new string }{
		{"  rate: £40 ", "  rate: £44 "},
		{"minutes: {1: [10, 11, 13], 2: [11, 13, 16], 3: [14, 16, 20]", "minutes: {1: [20, 22, 26], 2: [22, 26, 32], 3: [28, 32, 40]"},
		{"  at-unit: [3, 5, 8]", "  at-unit: [13, 25, 38]"},
		{"  vat-registered: false", "  vat-registered: true"},
		{"  minimum: £60 ", "  minimum: £95 "},
		{"  ordinary: {share: 0.50, grades: [0.15, 0.55, 0.26, 0.04]}", "  ordinary: {share: 0.50, grades: [0.00, 0.10, 0.26, 0.64]}"},
		{"    materials: £0.60\n    value: [5, 6, 6, 6]", "    materials: £20\n    value: [5, 6, 6, 6]"},
	} {
		after := quote(t, rules(t, tt.old, tt.new), washed()).Price
		if after.Likely <= before.Likely {
			t.Errorf("%s: %v, before %v", tt.new, after.Likely, before.Likely)
		}
	}
}

// Registered, a customer sees the price with VAT: 20 % more, before rounding.
func TestVATIsInThePrice(t *testing.T) {
	fine := strings.Replace(edited(t, "round-to: £5", "round-to: £0.01"), "vat-registered: false", "vat-registered: true", 1)
	with, err := pricing.ParseRules("rules.yaml", []byte(fine))
	if err != nil {
		t.Fatal(err)
	}
	net := quote(t, rules(t, "round-to: £5", "round-to: £0.01"), washed()).Price.Likely
	gross := quote(t, with, washed()).Price.Likely
	if got := gross - pricing.VATIn(gross, 20); got < net-1 || got > net+1 {
		t.Errorf("%v less VAT is %v, want %v", gross, got, net)
	}
}

// Worse never costs less, and more evidence never widens what is certain.
func TestWorseCostsMore(t *testing.T) {
	r := pricing.DefaultRules()
	for _, a := range []pricing.Area{pricing.Paintwork, pricing.Wheels, pricing.Interior, pricing.Headlights, pricing.PetHair} {
		var last pricing.Pence
		for g := pricing.Light; g <= pricing.Severe; g++ {
			e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "interior", "headlights"}, Site: pricing.Site{Own: true}, Graded: map[pricing.Area]pricing.Grade{a: g}}
			p := quote(t, r, e).Price.Likely
			if p < last {
				t.Errorf("%s at %d costs %v, at %d %v", a, g, p, g-1, last)
			}
			last = p
		}
	}
}

func TestKnowingNarrowsTheRange(t *testing.T) {
	r := pricing.DefaultRules()
	wide := quote(t, r, washed()).Minutes
	e := washed()
	e.Graded = map[pricing.Area]pricing.Grade{pricing.Paintwork: 2, pricing.Wheels: 2}
	narrow := quote(t, r, e).Minutes
	if narrow.P90-narrow.P10 >= (wide.P90-wide.P10)/2 {
		t.Errorf("seen: %.0f to %.0f, unseen: %.0f to %.0f", narrow.P10, narrow.P90, wide.P10, wide.P90)
	}
}

// Neglect is shared: dirt on the paint makes a dirty inside more likely.
func TestNeglectIsShared(t *testing.T) {
	r := pricing.DefaultRules()
	inside := func(paint pricing.Grade) float64 {
		e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "interior"}, Site: pricing.Site{Own: true}, Said: map[pricing.Area]pricing.Grade{pricing.Paintwork: paint}}
		p := quote(t, r, e).Grades[pricing.Interior]
		return p[2] + p[3]
	}
	if clean, dirty := inside(1), inside(4); dirty < 1.5*clean {
		t.Errorf("inside bad with probability %.2f behind clean paint, %.2f behind dirty", clean, dirty)
	}
}

// People are kind to their own car: of those who say two, more are three than one.
func TestPeopleUnderstate(t *testing.T) {
	e := washed()
	e.Said = map[pricing.Area]pricing.Grade{pricing.Wheels: 2}
	if p := quote(t, pricing.DefaultRules(), e).Grades[pricing.Wheels]; p[2] <= p[0] {
		t.Errorf("said two: %v", p)
	}
}

func TestPlace(t *testing.T) {
	r := pricing.DefaultRules()
	at := func(s pricing.Site, said pricing.Grade, wants ...string) pricing.Quote {
		return quote(t, r, pricing.Enquiry{Vehicle: hatch(), Wants: wants, Site: s, Said: map[pricing.Area]pricing.Grade{pricing.Paintwork: said}})
	}
	unit := at(pricing.Site{Own: true}, 2, "exterior").Price.Likely
	home := at(pricing.Site{Tap: true, Socket: true, Surface: "driveway", Drain: "foul"}, 2, "exterior")
	far := at(pricing.Site{Tap: true, Socket: true, Surface: "driveway", Drain: "foul", Miles: 30}, 2, "exterior")
	bare := at(pricing.Site{Surface: "driveway", Drain: "foul"}, 2, "exterior")
	if !(unit < home.Price.Likely && home.Price.Likely < bare.Price.Likely) {
		t.Errorf("at the unit %v, with tap and socket %v, without %v", unit, home.Price.Likely, bare.Price.Likely)
	}
	// 20 miles beyond the free ten at £0.90, rounded to £5.
	if d := far.Price.Likely - home.Price.Likely; d < 1500 || d > 2000 {
		t.Errorf("twenty more miles cost %v, want £18 to the nearest £5", d)
	}
	if q := at(pricing.Site{Surface: "street", Tap: true, Socket: true}, 2, "exterior"); q.Refused == "" {
		t.Errorf("a wash in the street is priced at %v", q.Price.Likely)
	}
	if q := at(pricing.Site{Surface: "street", Tap: true, Socket: true}, 2, "interior-dry"); q.Refused != "" {
		t.Errorf("vacuuming needs no water: %s", q.Refused)
	}
	light := at(pricing.Site{Surface: "shared", Tap: true, Socket: true, Drain: "surface"}, 1, "exterior")
	if !slices.Contains(tasks(light), "low-water-wash") || slices.Contains(tasks(light), "wash") || light.Refused != "" {
		t.Errorf("over a surface drain: %v, refused %q", tasks(light), light.Refused)
	}
	if q := at(pricing.Site{Surface: "shared", Tap: true, Socket: true, Drain: "surface"}, 4, "exterior"); q.Refused == "" {
		t.Error("a caked car is washed with hardly any water")
	}
}

func TestFlags(t *testing.T) {
	r := pricing.DefaultRules()
	with := func(flags ...string) pricing.Quote {
		return quote(t, r, pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "polish", "interior"}, Flags: flags, Site: pricing.Site{Own: true}})
	}
	plain := with()
	if q := with("failed-lacquer"); slices.Contains(tasks(q), "polish-one-step") || len(q.Refer) != 1 || q.Refused != "" {
		t.Errorf("failed lacquer: %v, %+v", tasks(q), q.Refer)
	} else if l, ok := left(q, "polish-one-step"); !ok || l.Why != q.Refer[0].Words {
		t.Errorf("polishing is left out because %+v", l)
	}
	for _, f := range []string{"leak", "body-fluids"} {
		if q := with(f); q.NeedToSee == "" || q.Price.Likely == 0 {
			t.Errorf("%s: need to see %q, price for the owner %v", f, q.NeedToSee, q.Price.Likely)
		}
	}
	for _, f := range []string{"flood", "needles", "pests"} {
		if q := with(f); q.Refused == "" {
			t.Errorf("%s is not refused", f)
		}
	}
	if q := with("full-of-things"); q.Minutes.Likely < plain.Minutes.Likely+10 {
		t.Errorf("a full car takes %.0f minutes, an empty one %.0f", q.Minutes.Likely, plain.Minutes.Likely)
	}
	if q := with("dark-paint"); q.Minutes.Likely < 1.03*plain.Minutes.Likely {
		t.Errorf("dark paint takes %.0f minutes, light paint %.0f", q.Minutes.Likely, plain.Minutes.Likely)
	}
}

// An answer can mean more than dirt: white lines under the lacquer are no brake
// dust.
func TestAnswerRaisesFlag(t *testing.T) {
	r := pricing.DefaultRules()
	e := washed()
	e.Said = map[pricing.Area]pricing.Grade{pricing.Wheels: 4}
	q := quote(t, r, e)
	if len(q.Refer) != 1 || q.Refer[0].Flag != "corroded-wheels" {
		t.Errorf("refer: %+v", q.Refer)
	}
	e.Said[pricing.Wheels] = 3
	same := quote(t, r, e)
	if d := cmp.Diff(same.Grades, q.Grades); d != "" {
		t.Errorf("counts as three, and yet:\n%s", d)
	}
	// What the owner has seen himself raises nothing.
	e.Said[pricing.Wheels], e.Graded = 4, map[pricing.Area]pricing.Grade{pricing.Wheels: 2}
	if q := quote(t, r, e); len(q.Refer) != 0 {
		t.Errorf("seen: %+v", q.Refer)
	}
}

func TestTwoSevereAreasMustBeSeen(t *testing.T) {
	r := pricing.DefaultRules()
	e := pricing.Enquiry{Vehicle: hatch(), Wants: []string{"exterior", "interior"}, Site: pricing.Site{Own: true}}
	e.Said = map[pricing.Area]pricing.Grade{pricing.Paintwork: 4, pricing.Interior: 3}
	if q := quote(t, r, e); q.NeedToSee != "" {
		t.Errorf("one: %q", q.NeedToSee)
	}
	e.Said[pricing.Interior] = 4
	if q := quote(t, r, e); q.NeedToSee == "" {
		t.Error("two, and there is a fixed price")
	}
	// A neglected inside does not matter when only the outside is wanted.
	e.Wants = []string{"exterior"}
	if q := quote(t, r, e); q.NeedToSee != "" {
		t.Errorf("outside only: %q", q.NeedToSee)
	}
}

func TestNothingToDo(t *testing.T) {
	r := pricing.DefaultRules()
	for _, wants := range [][]string{nil, {"soft-top"}} {
		q := quote(t, r, pricing.Enquiry{Vehicle: hatch(), Wants: wants, Site: pricing.Site{Own: true}})
		if q.Refused == "" || q.Price.Likely != 0 {
			t.Errorf("%v on a hatchback: refused %q, price %v", wants, q.Refused, q.Price.Likely)
		}
	}
}

func TestBadEnquiryNamesItsFields(t *testing.T) {
	r := pricing.DefaultRules()
	v := hatch()
	v.LengthMM, v.Body = 43, "hatchbak"
	_, err := r.Quote(pricing.Enquiry{
		Vehicle: v, Wants: []string{"exterior", "exteriour"}, Graded: map[pricing.Area]pricing.Grade{"wheel": 2, pricing.Wheels: 5},
		Said: map[pricing.Area]pricing.Grade{pricing.Trim: -1}, Flags: []string{"leek"}, Priorities: []pricing.Area{"roof"}, Budget: -1,
		Site: pricing.Site{Miles: math.NaN(), Surface: "lawn", Drain: "sea"},
	})
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{
		`vehicle.body: "hatchbak" is unknown; did you mean "hatchback"?`,
		"vehicle.length_mm: must be between 2000 and 8000, not 43",
		`wants[1]: "exteriour" is unknown; did you mean "exterior"?`,
		`grades: "wheel" is unknown; did you mean "wheels"?`,
		"grades.wheels: must be between 1 and 4, not 5",
		"answers.trim: must be between 0 and 4, not -1",
		`flags[0]: "leek" is unknown; did you mean "leak"?`,
		`priorities[0]: "roof" is unknown`,
		"place.miles: must be between 0 and 1000, not NaN",
		`place.surface: "lawn" is unknown; possible: driveway, garage, shared, street`,
		`place.drain: "sea" is unknown`,
		"budget: must be between",
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in:\n%v", want, err)
		}
	}
	var f *pricing.FieldError
	if !errors.As(err, &f) {
		t.Errorf("%T is no field error", err)
	}
}

func BenchmarkQuote(b *testing.B) {
	r := pricing.DefaultRules()
	for _, x := range []struct {
		name string
		e    pricing.Enquiry
	}{
		{"wash", washed()},
		{"everything unknown", everything(r)},
	} {
		b.Run(x.name, func(b *testing.B) {
			b.ReportAllocs()
			q := quote(b, r, x.e)
			b.ReportMetric(float64(len(q.In)), "lines")
			for b.Loop() {
				if _, err := r.Quote(x.e); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// everything is the largest job there is: every area, nothing known.
func everything(*pricing.Rules) pricing.Enquiry {
	e := pricing.Enquiry{Vehicle: pricing.VehicleFromBody(pricing.Convertible, 4200), Site: pricing.Site{Own: true}}
	e.Wants = []string{"exterior", "paintwork", "polish", "ceramic-coating", "wheels", "wheel-seal", "headlights", "soft-top", "soft-top-proof", "interior-deep", "leather", "trim", "glass", "engine-bay",
		"pet-hair-out", "stains-out", "smell-out", "mould-out"}
	e.Said = map[pricing.Area]pricing.Grade{}
	return e
}

// What was found as clean as can be is no reason for a price.
func TestTheCleanestIsNoReason(t *testing.T) {
	r := pricing.DefaultRules()
	e := pricing.Enquiry{Vehicle: *r.MatchVehicle("BMW 3 Series Touring").Vehicle, Wants: []string{"exterior", "interior"}, Site: pricing.Site{Own: true, Tap: true, Socket: true}}
	reasons := func(of pricing.Grade) (words string) {
		e.Said = map[pricing.Area]pricing.Grade{"paintwork": pricing.Severe, "interior": of}
		q, err := r.Quote(e)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range q.Because {
			words += d.Words + "\n"
		}
		return words
	}
	if got := reasons(pricing.Light); strings.Contains(got, "Inside") || !strings.Contains(got, "Paintwork") {
		t.Errorf("a clean inside: %s", got)
	}
	if got := reasons(pricing.Fair); !strings.Contains(got, "Inside: ") {
		t.Errorf("an inside with something to do: %s", got)
	}
}
