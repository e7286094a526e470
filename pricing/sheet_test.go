package pricing_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

// How the work is done is read as strictly as what it costs.
func TestSheetMistakes(t *testing.T) {
	for _, tt := range []struct{ name, old, new, want string }{
		{"no reason", "      why: Vacuum dust and wheel splashes are over, and the rinse of the body clears what runs out.\n", "", `: sheet.steps.door-shuts: why is missing`},
		{"hazard without caution", "cautions: [solvent, gloves]\n    mixes:\n      - {what: tar remover", "cautions: [gloves]\n    mixes:\n      - {what: tar remover", `: tasks.tar: uses "tar remover", which is solvent; its cautions must name "solvent"`},
		{"bleach without caution", "cautions: [spores, air-out, biocide, no-bleach]", "cautions: [spores, air-out, biocide]", `its cautions must name "no-bleach"`},
		{"product nobody knows", "{what: citrus pre-wash, parts", "{what: lemon pre-wash, parts", `: tasks.pre-wash.mixes.0.what: "lemon pre-wash" is not among sheet.products`},
		{"product nobody uses", "    wax: {in: applicator}", "    wax: {in: applicator}\n    soap: {in: bucket}", `: sheet.products.soap: no mix is called "soap"`},
		{"unknown hazard", "tar remover: {is: [solvent]", "tar remover: {is: [solvant]", `did you mean "solvent"?`},
		{"unknown container", "wax: {in: applicator}", "wax: {in: aplicator}", `: sheet.products.wax.in: "aplicator" is unknown; did you mean "applicator"?`},
		{"unknown task", "    vacuum:\n      why", "    vacum:\n      why", `: sheet.steps.vacum: "vacum" is unknown; did you mean "vacuum"?`},
		{"unknown product", "{what: pre-spray, by: seat", "{what: prespray, by: seat", `: sheet.steps.fabric-extract.apply.0.what: "prespray" is unknown; did you mean "pre-spray"?`},
		{"unknown piece", "{what: pre-spray, by: seat", "{what: pre-spray, by: sofa", `: sheet.steps.fabric-extract.apply.0.by: "sofa" is unknown`},
		{"no time", "by: seat, on: 30, off: 120", "by: seat, on: 0, off: 120", `: sheet.steps.fabric-extract.apply.0.on: must be between 1 and 3600, not 0`},
		{"meanwhile what must follow", "meanwhile: [engine-bay-wipe]", "meanwhile: [vacuum]", `: sheet.steps.mould-out.meanwhile: vacuum cannot be done meanwhile`},
		{"meanwhile what waits itself", "meanwhile: [engine-bay-wipe]", "meanwhile: [wheels-face]", `: sheet.steps.mould-out.meanwhile: wheels-face has waiting of its own`},
		{"unknown flag", "    leak: [airbags]", "    leek: [airbags]", `: sheet.on-flag.leek: "leek" is unknown; did you mean "leak"?`},
		{"falling sizes", "trigger bottle, ml: [500, 1000]", "trigger bottle, ml: [1000, 500]", `: sheet.containers.bottle.ml: must be sizes in ml`},
		{"lance", "empties: 90", "empties: 0", `: sheet.lance.empties: must be between 5 and 3600, not 0`},
		{"nameless piece", "side:  {words: half of the car, names: [left half, right half], grows: true}", "side:  {words: half of the car}", `: sheet.pieces.side: needs names`},
	} {
		_, err := pricing.ParseRules("rules.yaml", []byte(edited(t, tt.old, tt.new)))
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}

// A rules file may say nothing of how the work is done.
func TestSheetMayBeLeftOut(t *testing.T) {
	src := string(pricing.DefaultYAML())
	i := strings.Index(src, "\nsheet:\n")
	r, err := pricing.ParseRules("rules.yaml", []byte(src[:i+1]))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(r.Sheet().Steps); n != 0 {
		t.Errorf("%d steps from nowhere", n)
	}
	if d := len(r.Order()) - len(pricing.DefaultRules().Order()); d != 0 {
		t.Errorf("%d tasks more", d)
	}
}

// In the order of work nothing stands before what it must follow.
func TestOrderKeepsBefore(t *testing.T) {
	r := pricing.DefaultRules()
	var tasks []pricing.Task
	for _, id := range r.Order() {
		x, ok := r.Task(id)
		if !ok {
			t.Fatalf("no task %s", id)
		}
		tasks = append(tasks, x)
	}
	before := pricing.Before(tasks)
	for i, x := range tasks {
		for _, later := range tasks[i:] {
			if before[x.ID][later.ID] {
				t.Errorf("%s stands before %s", x.ID, later.ID)
			}
		}
		for _, id := range x.After {
			if !before[x.ID][id] {
				t.Errorf("%s is not known to come before %s", id, x.ID)
			}
		}
	}
	if !before["dry"]["pre-wash"] {
		t.Error("before does not reach through other tasks")
	}
}

// Seven litres a minute for ninety seconds are 10.5 litres to one of bottle.
func TestLanceAdds(t *testing.T) {
	if got := (pricing.Lance{Flow: 7, ML: 1000, Empties: 90}).Adds(); math.Abs(got-10.5) > 1e-9 {
		t.Errorf("adds %v, want 10.5", got)
	}
	s := pricing.DefaultRules().Sheet()
	if i := slices.IndexFunc(s.Containers, func(c pricing.Container) bool { return c.Lance }); i < 0 {
		t.Error("no container is the lance's")
	}
}
