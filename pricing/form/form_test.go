package form_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/form"
	"github.com/google/go-cmp/cmp"
)

const example = `{
  "vehicle": "Golf estate 2016",
  "wants": ["exterior", "headlights"],
  "answers": {"paintwork": 2, "wheels": 3},
  "grades": {"headlights": 3},
  "flags": ["dark-paint"],
  "place": {"site": "customer", "miles": 6, "tap": true, "socket": true, "surface": "driveway", "drain": "foul"},
  "budget": 120.5,
  "priorities": ["headlights"]
}`

func TestDecode(t *testing.T) {
	r := pricing.DefaultRules()
	e, err := form.Decode(r, []byte(example))
	if err != nil {
		t.Fatal(err)
	}
	golf := *r.MatchVehicle("Golf estate").Vehicle
	want := pricing.Enquiry{
		Vehicle: golf, Wants: []string{"exterior", "headlights"}, Budget: 12050, Flags: []string{"dark-paint"}, Priorities: []pricing.Area{"headlights"},
		Said: map[pricing.Area]pricing.Grade{"paintwork": 2, "wheels": 3}, Graded: map[pricing.Area]pricing.Grade{"headlights": 3},
		Site: pricing.Site{Miles: 6, Tap: true, Socket: true, Surface: "driveway", Drain: "foul"},
	}
	if d := cmp.Diff(want, e); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
}

func TestDecodeDimensions(t *testing.T) {
	r := pricing.DefaultRules()
	e, err := form.Decode(r, []byte(`{"vehicle": {"body": "van", "length_mm": 5300, "width_mm": 2000, "height_mm": 2000}, "wants": ["exterior"]}`))
	if err != nil {
		t.Fatal(err)
	}
	if v := e.Vehicle; v.LengthMM != 5300 || v.WidthMM != 2000 || v.HeightMM != 2000 || v.Body != pricing.Van || v.Seats != 3 {
		t.Errorf("got %+v", v)
	}
	if !e.Site.Own {
		t.Error("without a place, the customer comes to the unit")
	}
	e, err = form.Decode(r, []byte(`{"vehicle": {"body": "van"}, "wants": ["exterior"]}`))
	if d := cmp.Diff(pricing.VehicleFromBody(pricing.Van, 0), e.Vehicle); d != "" || err != nil {
		t.Errorf("%v, -want +got:\n%s", err, d)
	}
}

func TestMistakesNameTheirField(t *testing.T) {
	tests := []struct{ name, src, want string }{
		{"not JSON", `{`, "enquiry: is not JSON"},
		{"empty", ``, "enquiry: is not JSON"},
		{"two", `{} {}`, "enquiry: goes on after its end"},
		{"a list", `[]`, `enquiry: must be an object such as {"a": 1}, not []`},
		{"null", `null`, "enquiry: must be an object"},
		{"nothing in it", `{}`, "vehicle: is missing"},
		{"no wants", `{"vehicle": "polo"}`, "wants: is missing"},
		{"unknown field", `{"vehicle": "polo", "wants": ["exterior"], "budjet": 3}`, `budjet: unknown; did you mean "budget"?`},
		{"unknown inside", `{"vehicle": "polo", "wants": ["exterior"], "place": {"tapp": true}}`, `place.tapp: unknown; did you mean "tap"?`},
		{"not true", `{"vehicle": "polo", "wants": ["exterior"], "place": {"tap": "yes"}}`, `place.tap: must be true or false, not "yes"`},
		{"site", `{"vehicle": "polo", "wants": ["exterior"], "place": {"site": "moon"}}`, `place.site: must be "unit" or "customer", not "moon"`},
		{"surface", `{"vehicle": "polo", "wants": ["exterior"], "place": {"surface": "lawn"}}`, `place.surface: "lawn" is unknown`},
		{"wants one", `{"vehicle": "polo", "wants": "exterior"}`, `wants: must be a list of names, such as ["exterior"], not "exterior"`},
		{"unknown want", `{"vehicle": "polo", "wants": ["exterior", "wax job"]}`, `wants[1]: "wax job" is unknown`},
		{"grade", `{"vehicle": "polo", "wants": ["exterior"], "grades": {"wheels": 7}}`, "grades.wheels: must be between 1 and 4, not 7"},
		{"half grade", `{"vehicle": "polo", "wants": ["exterior"], "grades": {"wheels": 2.5}}`, "grades.wheels: must be a number from 1 to 4, not 2.5"},
		{"grade in words", `{"vehicle": "polo", "wants": ["exterior"], "answers": {"wheels": "two"}}`, `answers.wheels: must be a number from 1 to 4, not "two"`},
		{"a list of grades", `{"vehicle": "polo", "wants": ["exterior"], "grades": [2]}`, "grades: must be area names with numbers"},
		{"twice", `{"vehicle": "polo", "wants": ["exterior"], "vehicle": "golf"}`, "vehicle: stands here twice"},
		{"twice inside", `{"vehicle": "polo", "wants": ["exterior"], "answers": {"wheels": 2, "paintwork": 1, "wheels": 3}}`, "answers.wheels: stands here twice"},
		{"twice without a name", `{"": 1, "": [{}]}`, "enquiry: stands here twice"},
		{"unknown area", `{"vehicle": "polo", "wants": ["exterior"], "answers": {"roof": 1}}`, `answers: "roof" is unknown`},
		{"negative budget", `{"vehicle": "polo", "wants": ["exterior"], "budget": -3}`, "budget: must be between 0 and 1000000 pounds, not -3"},
		{"ambiguous", `{"vehicle": "golf", "wants": ["exterior"]}`, `vehicle: "golf" can be Volkswagen Golf Hatchback or Volkswagen Golf Estate or Volkswagen Golf Cabriolet; say which`},
		{"unknown car", `{"vehicle": "Tardis", "wants": ["exterior"]}`, `vehicle: "Tardis" is no car we know`},
		{"no body", `{"vehicle": {"length_mm": 4000}, "wants": ["exterior"]}`, `vehicle.body: "" is unknown`},
		{"body", `{"vehicle": {"body": "estat"}, "wants": ["exterior"]}`, `vehicle.body: "estat" is unknown; did you mean "estate"?`},
		{"size", `{"vehicle": {"body": "estate", "width_mm": 18}, "wants": ["exterior"]}`, "vehicle.width_mm: must be between 1000 and 2600, not 18"},
		{"null inside", `{"vehicle": null, "wants": ["exterior"]}`, "vehicle: must be an object"},
	}
	r := pricing.DefaultRules()
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := form.Decode(r, []byte(tt.src))
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %s", err, tt.want)
			}
		})
	}
}

func TestAllMistakesAtOnce(t *testing.T) {
	_, err := form.Decode(pricing.DefaultRules(), []byte(`{"vehicle": "Tardis", "wants": 3, "budget": "lots", "plaice": {}}`))
	for _, want := range []string{"vehicle:", "wants:", "budget:", "plaice:"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in %v", want, err)
		}
	}
}

// The example files price, and their JSON holds the promised fields.
func TestExamples(t *testing.T) {
	files, err := filepath.Glob("../../testdata/pricing/enquiries/*.json")
	if err != nil || len(files) < 3 {
		t.Fatalf("%d example files, %v", len(files), err)
	}
	r := pricing.DefaultRules()
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		e, err := form.Decode(r, src)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		n, err := r.NextQuestions(e)
		if err != nil {
			t.Fatal(err)
		}
		f, err := r.Fit(e)
		if err != nil {
			t.Fatal(err)
		}
		out, err := form.EncodeFitted(e.Vehicle, f, n)
		if err != nil {
			t.Fatal(err)
		}
		var got map[string]json.RawMessage
		if err := json.Unmarshal(out, &got); err != nil {
			t.Fatal(err)
		}
		for _, field := range []string{"minutes", "price", "in", "out", "refer", "because", "ask_next", "fits", "sure", "rules"} {
			if v, ok := got[field]; !ok || string(v) == "null" {
				t.Errorf("%s: %s is %s", name, field, v)
			}
		}
	}
}

// A number that is written comes back the same.
func TestEncode(t *testing.T) {
	r := pricing.DefaultRules()
	e, err := form.Decode(r, []byte(example))
	if err != nil {
		t.Fatal(err)
	}
	q, err := r.Quote(e)
	if err != nil {
		t.Fatal(err)
	}
	n, err := r.NextQuestions(e)
	if err != nil {
		t.Fatal(err)
	}
	out, err := form.Encode(e.Vehicle, q, n)
	if err != nil {
		t.Fatal(err)
	}
	var got form.Quote
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	if got.Price != (form.Price{Low: q.Price.Low, Likely: q.Price.Likely, High: q.Price.High}) || len(got.In) != len(q.In) || got.Vehicle != "Volkswagen Golf Estate" || got.Fits != nil {
		t.Errorf("got %+v", got)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(example)
	f.Add(`{"vehicle": {"body": "van"}, "wants": []}`)
	f.Add(`{"vehicle": "polo", "wants": ["exterior"], "place": {"miles": 1e999}}`)
	r := pricing.DefaultRules()
	f.Fuzz(func(t *testing.T, src string) {
		e, err := form.Decode(r, []byte(src))
		if err != nil {
			return
		}
		if _, err := r.Quote(e); err != nil {
			t.Errorf("decoded, and yet not priced: %v", err)
		}
	})
}
