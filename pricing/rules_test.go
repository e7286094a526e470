package pricing_test

import (
	"errors"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/plainyaml"
	"github.com/google/go-cmp/cmp"
)

// edited are the shipped rules with one piece of text replaced.
func edited(t testing.TB, old, new string) string {
	t.Helper()
	src := string(pricing.DefaultYAML())
	if strings.Count(src, old) < 1 {
		t.Fatalf("%q is not in the shipped rules", old)
	}
	return strings.Replace(src, old, new, 1)
}

func rules(t testing.TB, old, new string) *pricing.Rules {
	t.Helper()
	r, err := pricing.ParseRules("rules.yaml", []byte(edited(t, old, new)))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestMistakesAreAnswered(t *testing.T) {
	tests := []struct{ name, old, new, want string }{
		{"unknown key", "  rate: £40", "  rte: £40", `: money.rte: unknown; did you mean "rate"?`},
		{"missing key", "  minimum: £60", "", `: money: "minimum" is missing`},
		{"not money", "  rate: £40", "  rate: forty", `: money.rate: must be an amount such as £12 or £12.50, not "forty"`},
		{"impossible number", "  rate: £40", "  rate: £0", `: money.rate: must be between 1 and 1000, not 0`},
		{"falling minutes", "{1: [10, 12, 14], 2: [15, 19, 25]", "{1: [14, 12, 10], 2: [15, 19, 25]", `: tasks.vacuum.minutes.1: must be lowest, likely, highest, from 0 to 1440 and not falling, as in [8, 10, 13]`},
		{"missing grade", "{1: [10, 12, 14], 2: [15, 19, 25], 3:", "{1: [10, 12, 14], 3:", `: tasks.vacuum.minutes: has a gap: a state between two others is missing`},
		{"minutes for no area", "minutes: {any: [5, 6, 9]}", "minutes: {1: [5, 6, 9]}", `: tasks.check-in.minutes: a task without an area cannot know the state; use any`},
		{"unknown task", "after: [check-in, mould-out]", "after: [check-in, mold-out]", `: tasks.vacuum: "mold-out" is unknown; did you mean "mould-out"?`},
		{"unknown area", "area: mould\n", "area: mold\n", `: tasks.mould-out.area: "mold" is unknown; did you mean "mould"?`},
		{"unknown unit", "per: wheel\n", "per: wheels\n", `: tasks.wheels-face.per: "wheels" is unknown; did you mean "wheel"?`},
		{"unknown want", "for: {headlights: [4]}", "for: {headlight: [4]}", `: tasks.lamps-sand.for.headlight: "headlight" is unknown; did you mean "headlights"?`},
		{"circle of order", "after: [check-in, mould-out]", "after: [inside-glass]", "goes round in a circle"},
		{"needs itself", "    needs: [pre-wash or foam, dry]", "    needs: [pre-wash or wash]", "wash can't need itself"},
		{"shares", "{share: 0.30,", "{share: 0.50,", `: states: must add up to 1, not 1.2`},
		{"answers", "1: [0.88, 0.10, 0.02, 0.00]", "1: [0.88, 0.10, 0.02, 0.10]", `: answers.chosen.1: must add up to 1, not 1.1`},
		{"five descriptions", "      - Clear\n      - A little dull", "      - Clear\n      - Clearer\n      - A little dull", `: areas.headlights.grades: must be a list of exactly 4`},
		{"unknown flag", "raises: {4: corroded-wheels}", "raises: {4: corroded-wheel}", `: areas.wheels.raises.4: "corroded-wheel" is unknown; did you mean "corroded-wheels"?`},
		{"referral without words", "    words: Where the clear top layer lets go, washing is all that can be done. Only a bodyshop brings it back.\n", "", `: flags.failed-lacquer: needs words that tell the customer why`},
		{"hours", `["09:00-13:00"]`, `["13:00-09:00"]`, `: diary.hours.saturday.0: must be hours such as 09:00-17:00, not "13:00-09:00"`},
		{"day", "    saturday:", "    caturday:", `: diary.hours.caturday: "caturday" is unknown; did you mean "saturday"?`},
		{"overlapping hours", `["09:00-13:00"]`, `["09:00-13:00", "12:00-14:00"]`, `: diary.hours.saturday: the hours must follow each other without overlapping`},
		{"date", `not-from: "12-15"`, `not-from: "15-12"`, `: nudges.not-from: must be month and day such as 12-15, not "15-12"`},
		{"mix", "parts: [5, 10, 20], ml: [500, 900]", "parts: [20, 10, 5], ml: [500, 900]", `: tasks.pre-wash.mixes.0.parts: must be parts of water for strong, usual, weak, not falling, as in [5, 10, 20]`},
		{"level twice", "family: wheels\n    level: 2", "family: wheels\n    level: 1", `: tasks.wheels-full.level: wheels-face has level 1 of family "wheels" already; levels must differ`},
		{"area gone", "  engine-bay:\n    name", "  engine:\n    name", `: areas: "engine-bay" is missing`},
		{"value", "value: [7, 8, 9, 10]", "value: [7, 8, 9, 11]", `: tasks.vacuum.value.3: must be between 0 and 10, not 11`},
	}
	where := regexp.MustCompile(`(?m)^f\.yaml:[1-9][0-9]*:[1-9][0-9]*: `)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := pricing.ParseRules("f.yaml", []byte(edited(t, tt.old, tt.new)))
			if err == nil {
				t.Fatal("no mistake found")
			}
			if !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got:\n%v\nwant: %s", err, tt.want)
			}
			if lines := strings.Count(err.Error(), "\n") + 1; len(where.FindAllString(err.Error(), -1)) != lines {
				t.Errorf("not every line says where:\n%v", err)
			}
			var m *plainyaml.Mistake
			if !errors.As(err, &m) {
				t.Errorf("%T is no mistake", err)
			}
		})
	}
}

// The line that is named is the line that is wrong.
func TestMistakeNamesItsLine(t *testing.T) {
	src := edited(t, "  per-mile: £0.90 ", "  per-mile: lots ")
	line := 1 + strings.Count(src[:strings.Index(src, "  per-mile: lots")], "\n")
	_, err := pricing.ParseRules("f.yaml", []byte(src))
	var m *plainyaml.Mistake
	if !errors.As(err, &m) || m.Line != line || m.Column != 13 {
		t.Errorf("got %v, want line %d, column 13", err, line)
	}
}

// Several mistakes are answered at once.
func TestAllMistakesAtOnce(t *testing.T) {
	src := edited(t, "  minimum: £60", "  minimum: £-1")
	src = strings.Replace(src, "per: wheel\n", "per: wheels\n", 1)
	src = strings.Replace(src, "value: [7, 8, 9, 10]", "value: [7, 8, nine, 10]", 1)
	_, err := pricing.ParseRules("f.yaml", []byte(src))
	// What cannot be read hides what makes no sense: both readings come in turn.
	if err == nil || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("got %v, want two mistakes", err)
	}
}

func TestVersion(t *testing.T) {
	a, b := pricing.DefaultRules(), rules(t, "rate: £40", "rate: £41")
	if a.Version() == b.Version() || len(a.Version()) != 12 {
		t.Errorf("versions %q and %q", a.Version(), b.Version())
	}
	if a.Version() != pricing.DefaultRules().Version() {
		t.Error("the same file has two versions")
	}
}

func TestPlainFields(t *testing.T) {
	r := pricing.DefaultRules()
	if d := cmp.Diff([]pricing.Span{{From: 9 * 60, To: 13 * 60}}, r.Diary.On(time.Saturday)); d != "" {
		t.Errorf("Saturday: -want +got:\n%s", d)
	}
	if got := r.Diary.On(time.Sunday); len(got) != 0 {
		t.Errorf("Sunday: got %v, want a day off", got)
	}
	for date, want := range map[string]bool{"12-14": false, "12-15": true, "12-31": true, "01-01": true, "01-31": true, "02-01": false, "07-01": false} {
		d, err := time.Parse("01-02", date)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Nudges.Quiet(d.Month(), d.Day()); got != want {
			t.Errorf("%s: quiet %v, want %v", date, got, want)
		}
	}
	p, ok := r.Protection("sealant")
	if !ok || p.MonthsLow != 4 || p.MonthsHigh != 6 || p.On != "paint" || len(p.Care) == 0 {
		t.Errorf("sealant: %+v, %v", p, ok)
	}
	if _, ok := r.Protection("pixie dust"); ok {
		t.Error("there is no pixie dust")
	}
}

// Multipliers of wear: common practice, no source; the product of those that hold,
// between 0.4 and 1.3.
func TestLasting(t *testing.T) {
	r := pricing.DefaultRules()
	for _, tt := range []struct {
		wears []string
		want  float64
	}{
		{nil, 1},
		{[]string{"kept-outside", "salted-winter"}, 0.85 * 0.8},
		{[]string{"garaged", "washed-and-topped-up"}, 1.3},
		{[]string{"brush-wash", "strong-soap", "not-decontaminated"}, 0.4},
		{[]string{"unheard-of"}, 1},
	} {
		if got := r.Lasting(tt.wears...); got < tt.want-1e-12 || got > tt.want+1e-12 {
			t.Errorf("%v: got %v, want %v", tt.wears, got, tt.want)
		}
	}
}

func TestAreasOf(t *testing.T) {
	r := pricing.DefaultRules()
	for want, areas := range map[string][]pricing.Area{
		"exterior":     {pricing.Paintwork, pricing.Wheels},
		"headlights":   {pricing.Headlights},
		"soft-top":     {pricing.SoftTop},
		"interior-dry": {pricing.Interior, pricing.PetHair, pricing.Stains, pricing.Smell, pricing.Mould},
		"protection":   {pricing.Paintwork},
		"polish":       {pricing.Paintwork, pricing.Swirls, pricing.Wheels},
		"wheel-seal":   {pricing.Wheels},
		"nonsense":     nil,
	} {
		if d := cmp.Diff(areas, r.AreasOf(want)); d != "" {
			t.Errorf("%s: -want +got:\n%s", want, d)
		}
	}
}

// Words no customer may read: judgements of their car, and a word that means
// the roof to some and the bonnet to others.
func TestWordsForCustomers(t *testing.T) {
	r := pricing.DefaultRules()
	var words []string
	for _, a := range r.Areas() {
		words = append(words, a.Name, a.Ask)
		words = append(words, a.Grades[:]...)
	}
	for _, p := range r.Protections() {
		words = append(append(words, p.Words), p.Care...)
	}
	for _, line := range strings.Split(string(pricing.DefaultYAML()), "\n") {
		if k, v, ok := strings.Cut(strings.TrimSpace(line), ": "); ok && (k == "words" || k == "wont" || k == "dries") {
			words = append(words, v)
		}
	}
	if len(words) < 150 {
		t.Fatalf("only %d sentences found", len(words))
	}
	never := regexp.MustCompile(`(?i)\b(hood|severe|poor|filthy|disgusting|like new)\b`)
	for _, w := range words {
		if m := never.FindString(w); m != "" {
			t.Errorf("%q says %q", w, m)
		}
	}
}

func FuzzParseRules(f *testing.F) {
	f.Add(string(pricing.DefaultYAML()))
	f.Add("money: {rate: £1}\n")
	f.Add("tasks: {a: {needs: [a]}}")
	f.Add("a: &x [*x]\n---\n")
	f.Fuzz(func(t *testing.T, src string) {
		r, err := pricing.ParseRules("f.yaml", []byte(src))
		if (r == nil) == (err == nil) {
			t.Fatalf("rules %v, error %v", r, err)
		}
		if err != nil {
			return
		}
		// Whatever is accepted can price a job.
		e := pricing.Enquiry{Vehicle: pricing.VehicleFromBody(pricing.Hatchback, 0), Site: pricing.Site{Own: true}}
		for _, a := range r.Areas() {
			e.Wants = append(e.Wants, string(a.ID))
		}
		if _, err := r.Quote(e); err != nil {
			t.Fatal(err)
		}
	})
}
