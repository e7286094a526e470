package reading_test

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/pricing"
)

// Messages made up for this test; what is expected is common usage, no source.
func TestRead(t *testing.T) {
	const car, none = "vehicle", ""
	tests := []struct {
		text string
		want map[string][]string
	}{
		// Numbers are cars, ages, money, telephones or nothing.
		{"my 208 needs a wash", map[string][]string{car: {"208"}, "wants": {"exterior"}}},
		{"got about 208 to spend", map[string][]string{"budget": {"about 208"}}},
		{"fiat 500, 500 quid", map[string][]string{car: {"fiat 500"}, "budget": {"about 500"}}},
		{"07 plate 207", map[string][]string{car: {"207"}, "plate": {"7"}}},
		{"call 07700 900123", map[string][]string{"asks": {"human"}}},
		{"flat 14, 208 otley road", map[string][]string{}},
		{"corsa 2016 on 64000 miles", map[string][]string{car: {"corsa"}, "year": {"2016"}}},
		{"had it since 2016", map[string][]string{}},
		{"the gate code is 1975", map[string][]string{}},
		// Money, and money that is nobody's budget.
		{"no more than a hundred and twenty", map[string][]string{"budget": {"most 120"}}},
		{"one fifty tops", map[string][]string{"budget": {"most 150"}}},
		{"between £80 and £100", map[string][]string{"budget": {"most 100"}}},
		{"at least 300 quid", map[string][]string{"budget": {"least 300"}}},
		{"£1,250 budget", map[string][]string{"budget": {"about 1250"}}},
		{"my mate paid 60 quid", map[string][]string{}},
		{"i was quoted £180", map[string][]string{}},
		// What is left out.
		{"no interior", map[string][]string{"excludes": {"interior"}}},
		{"dont need the wheels", map[string][]string{"excludes": {"wheels"}}},
		{"just the outside", map[string][]string{"wants": {"exterior"}, "excludes": {"interior"}}},
		{"just a wash", map[string][]string{"wants": {"exterior"}}},
		{"just the wheels", map[string][]string{"wants": {"wheels"}}},
		{"inside is fine", map[string][]string{"hints": {"interior clean-enough"}}},
		{"inside is fine, leave it. outside please", map[string][]string{"hints": {"interior clean-enough"}, "wants": {"exterior"}}},
		{"full valet but not the engine bay", map[string][]string{"wants": {"exterior", "interior"}, "excludes": {"engine-bay"}}},
		{"no wheels or glass, just wash and wax", map[string][]string{"wants": {"exterior", "protection"}, "excludes": {"wheels", "glass"}}},
		{"no problem, outside please", map[string][]string{"wants": {"exterior"}}},
		// What was seen, where, and what is asked about it.
		{"dog hair on the back seats", map[string][]string{"hints": {"interior dog-hair"}}},
		{"no dog hair", map[string][]string{}},
		{"sap on the windscreen and the bonnet", map[string][]string{"hints": {"glass tree-sap", "paintwork tree-sap"}}},
		{"wheels are filthy", map[string][]string{"hints": {"wheels neglected"}}},
		{"stinks of fags, can you get rid of it", map[string][]string{"hints": {"interior smell", "interior smoke"}, "wants": {"interior"}}},
		{"soft top has gone green", map[string][]string{"hints": {"soft-top algae"}}},
		{"never been smoked in", map[string][]string{}},
		{"sick of waiting", map[string][]string{}},
		// Typing errors, and words that only look alike.
		{"intirior and wheles please", map[string][]string{"wants": {"interior", "wheels"}}},
		{"would you come to my house", map[string][]string{"place": {"customer"}}},
		{"the paint is fine", map[string][]string{"hints": {"paintwork clean-enough"}}},
		// Places and times.
		{"can you come to me in bs7 9ab, no tap or socket", map[string][]string{"place": {"customer"}, "postcode": {"BS7"}, "tap": {"no"}, "socket": {"no"}}},
		{"audi a3 in b3", map[string][]string{car: {"audi a3"}, "postcode": {"B3"}}},
		{"next tuesday after 2pm", map[string][]string{"when": {"next tuesday after 2pm"}}},
		{"good morning", map[string][]string{}},
		{"some sat in october if poss", map[string][]string{"when": {"sat in october"}}},
		{"it sat in the sun", map[string][]string{}},
		// Cars that are not the one, and several.
		{"sold my golf, now a polo", map[string][]string{car: {"polo"}}},
		{"fiesta or fusion", map[string][]string{car: {"fiesta"}}},
		{"a corsa and a qashqai", map[string][]string{car: {"corsa"}, "cars": {"2"}}},
		{"lexus, estate", map[string][]string{car: {"lexus"}, "body": {"estate"}}},
		// Nothing at all.
		{"hi", map[string][]string{}},
		{"", map[string][]string{}},
		{"🚗🧽", map[string][]string{}},
		{none, map[string][]string{}},
	}
	r := reader(t)
	for _, tt := range tests {
		got := factsOf(tt.text, r.Read(tt.text))
		for slot := range got {
			slices.Sort(got[slot])
			if len(got[slot]) == 0 {
				delete(got, slot)
			}
			slices.Sort(tt.want[slot])
		}
		if d := cmp.Diff(tt.want, got, cmpopts.EquateEmpty()); d != "" {
			t.Errorf("%q: -want +got:\n%s", tt.text, d)
		}
	}
}

// A grade is read only where a phrase clearly says so, and less of it is one
// grade less; a flag only where the rules have it.
func TestGradesAndFlags(t *testing.T) {
	tests := []struct {
		text   string
		grades map[pricing.Area]pricing.Grade
		flags  []string
	}{
		{"covered in dog hair", map[pricing.Area]pricing.Grade{pricing.PetHair: 3}, nil},
		{"a bit of dog hair", map[pricing.Area]pricing.Grade{pricing.PetHair: 2}, nil},
		{"no dog hair", map[pricing.Area]pricing.Grade{pricing.PetHair: 1}, nil},
		{"no pets or smells, and no stains really", map[pricing.Area]pricing.Grade{pricing.PetHair: 1, pricing.Stains: 1, pricing.Smell: 1}, nil},
		{"it doesn't smell", map[pricing.Area]pricing.Grade{pricing.Smell: 1}, nil},
		{"never mind the smell", nil, nil}, // it is there, and may stay
		{"no dog, just two cats", nil, nil},
		{"no tea stains", nil, nil}, // there may be others
		{"headlights have gone yellow", map[pricing.Area]pricing.Grade{pricing.Headlights: 3}, nil},
		{"found a needle under the seat", nil, []string{"needles"}},
		{"my son was sick in the car", map[pricing.Area]pricing.Grade{pricing.Stains: 4}, []string{"body-fluids"}},
		{"they dropped a milkshake last week", map[pricing.Area]pricing.Grade{pricing.Stains: 3}, []string{"spilt-milk"}},
		{"dropped a milkshake, only a splash", map[pricing.Area]pricing.Grade{pricing.Stains: 2}, []string{"spilt-milk"}},
		{"spilt milk in it. I mopped it up straight away", map[pricing.Area]pricing.Grade{pricing.Stains: 2}, []string{"spilt-milk"}},
		{"dog was sick, I wiped it up", map[pricing.Area]pricing.Grade{pricing.Stains: 4}, []string{"body-fluids"}},
		{"it stood in water", nil, []string{"flood"}},
		{"it is dirty", nil, nil},
		{"crisps on the seats", map[pricing.Area]pricing.Grade{pricing.Interior: 2}, nil},
		{"it's a state inside, the kids eat crisps in it", map[pricing.Area]pricing.Grade{}, nil},
	}
	r := reader(t)
	for _, tt := range tests {
		got := r.Read(tt.text)
		if d := cmp.Diff(tt.grades, got.Grades); d != "" {
			t.Errorf("%q: grades: -want +got:\n%s", tt.text, d)
		}
		if d := cmp.Diff(tt.flags, got.Flags); d != "" {
			t.Errorf("%q: flags: -want +got:\n%s", tt.text, d)
		}
	}
}

// A car that can be several stays several, until a body style elsewhere says.
func TestVehicles(t *testing.T) {
	tests := []struct {
		text      string
		car       string
		ambiguous int
	}{
		{"golf", "", 3},
		{"its a golf. the estate", "Volkswagen Golf Estate", 0},
		{"fiesta", "Ford Fiesta", 0},
		{"saab 93", "", 0},
	}
	r := reader(t)
	for _, tt := range tests {
		got := r.Read(tt.text)
		v := got.Vehicle()
		if v == nil {
			t.Errorf("%q: no car found", tt.text)
			continue
		}
		name := ""
		if v.Car != nil {
			name = v.Car.Name
		}
		if name != tt.car || len(v.Ambiguous) != tt.ambiguous {
			t.Errorf("%q: got %q and %d possible, want %q and %d", tt.text, name, len(v.Ambiguous), tt.car, tt.ambiguous)
		}
	}
}

// sound finds what no reading of any text may be.
func sound(text string, r reading.Reading) string {
	var spans []reading.Span
	for _, v := range r.Vehicles {
		spans = append(spans, v.Span)
		if v.Car != nil && v.Ambiguous != nil {
			return "a car is certain and ambiguous"
		}
	}
	for _, h := range r.Hints {
		spans = append(spans, h.Span)
	}
	for _, a := range r.Absent {
		spans = append(spans, a.Span)
	}
	spans = append(spans, r.When...)
	if r.Budget.Kind != "" {
		spans = append(spans, r.Budget.Span)
	}
	for _, s := range spans {
		if s.From < 0 || s.From >= s.To || s.To > len(text) {
			return "a span outside the text"
		}
		if utf8.ValidString(text) && !utf8.ValidString(text[s.From:s.To]) {
			return "a span that cuts a letter"
		}
	}
	for _, w := range r.Wants {
		if slices.Contains(r.Excludes, w) {
			return "wanted and left out: " + w
		}
	}
	for a, g := range r.Grades {
		if g < pricing.Light || g > pricing.Severe {
			return "no such grade for " + string(a)
		}
	}
	if (r.Budget.Kind == "") != (r.Budget.Amount == 0) || r.Budget.Amount < 0 || r.Cars < 0 || r.Cars == 1 || r.Plate < 0 || r.Plate > 99 {
		return "a figure that cannot be"
	}
	return ""
}

func FuzzRead(f *testing.F) {
	r := reader(f)
	for _, m := range messages(f, "open.yaml") {
		f.Add(m.Text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got := r.Read(text)
		if fault := sound(text, got); fault != "" {
			t.Errorf("%q: %s", text, fault)
		}
		if d := cmp.Diff(got, r.Read(text)); d != "" {
			t.Errorf("%q: read twice: -first +second:\n%s", text, d)
		}
	})
}

// Any pieces of real messages put together are read soundly, and capitals and
// apostrophes change nothing.
func TestReadAnything(t *testing.T) {
	r := reader(t)
	var pieces []string
	for _, m := range messages(t, "open.yaml") {
		pieces = append(pieces, strings.Fields(m.Text)...)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 40).Draw(t, "words"), " ")
		got := r.Read(text)
		if fault := sound(text, got); fault != "" {
			t.Fatalf("%q: %s", text, fault)
		}
		loud := strings.ToUpper(text)
		if len(loud) != len(text) {
			return // a letter that is longer as a capital moves the spans
		}
		if d := cmp.Diff(got, r.Read(loud)); d != "" {
			t.Fatalf("%q in capitals: -want +got:\n%s", text, d)
		}
	})
}

// What is said back ends where what was seen ends; the owner's own file may know more
// that only leads on.
func TestWhole(t *testing.T) {
	r := reader(t)
	for words, want := range map[string]string{"sick all": "sick", "threw up": "threw up", "throwing up": "throwing up", "dog hair all over": "dog hair all over", "scratches down the": "scratches", "the": "the", "all in": "all", "": ""} {
		if got := r.Whole(words); got != want {
			t.Errorf("of %q is left %q, want %q", words, got, want)
		}
	}
	own, err := r.With("own.yaml", []byte("onward: [along]"))
	if err != nil {
		t.Fatal(err)
	}
	if got := own.Whole("scratches all along"); got != "scratches" {
		t.Errorf("with a word of the owner's, %q is left", got)
	}
}
