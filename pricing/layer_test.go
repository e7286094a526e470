package pricing_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
)

func ptr[T any](v T) *T { return &v }

func wash(wants ...string) pricing.Enquiry {
	return pricing.Enquiry{Vehicle: hatch(), Wants: wants, Site: pricing.Site{Own: true}}
}

// Nothing changed is the file itself; what is changed counts, and the quote says so.
func TestLayerOverTheFile(t *testing.T) {
	r := pricing.DefaultRules()
	if r.Under(pricing.Layer{}) != r {
		t.Error("a layer that was never touched makes other rules")
	}
	l := pricing.Layer{Version: 3, Rate: ptr(pricing.Pence(8000)), Notice: ptr(48), Hours: map[string][]pricing.Span{"saturday": nil, "sunday": {{From: 600, To: 720}}}}
	if err := r.CheckLayer(l); err != nil {
		t.Fatal(err)
	}
	over := r.Under(l)
	if over.Money.Rate != 8000 || over.Diary.NoticeHours != 48 || over.Diary.Hours["saturday"] != nil || len(over.Diary.Hours["sunday"]) != 1 {
		t.Errorf("over the file: %+v, %+v", over.Money, over.Diary)
	}
	if r.Money.Rate == 8000 || r.Diary.Hours["sunday"] != nil {
		t.Error("the file itself has changed")
	}
	was, is := quote(t, r, wash("exterior", "interior")), quote(t, over, wash("exterior", "interior"))
	if is.Rules != r.Version()+"+3" || is.Price.Likely < was.Price.Likely*19/10 {
		t.Errorf("by %s likely %v, by %s %v", was.Rules, was.Price.Likely, is.Rules, is.Price.Likely)
	}
}

// A layer goes into a document and comes back the same.
func TestLayerIsStored(t *testing.T) {
	l := pricing.Layer{Version: 2, Rate: ptr(pricing.Pence(4200)), MostMiles: ptr(15.0), Hours: map[string][]pricing.Span{"saturday": {{From: 540, To: 780}}},
		Unused: []string{"wax"}, Answers: map[pricing.Area]pricing.Gradings{pricing.Wheels: {{1, 2}, {3}}}, Pace: map[pricing.Area]float64{"": 1.1, pricing.Interior: 0.9}}
	body, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	var back pricing.Layer
	if err := json.Unmarshal(body, &back); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(l, back); d != "" {
		t.Error(d)
	}
}

// What a file could not say, a layer cannot say either.
func TestLayerIsCheckedLikeAFile(t *testing.T) {
	r := pricing.DefaultRules()
	for want, l := range map[string]pricing.Layer{
		"money.rate: must be between": {Rate: ptr(pricing.Pence(0))},
		"money.minimum: must be":      {Minimum: ptr(pricing.Pence(99_999_900))},
		"diary.notice-hours":          {Notice: ptr(-1)},
		"place.most-miles":            {MostMiles: ptr(5000.0)},
		"without overlapping":         {Hours: map[string][]pricing.Span{"monday": {{From: 540, To: 700}, {From: 600, To: 900}}}},
		`"mondy" is unknown`:          {Hours: map[string][]pricing.Span{"mondy": {{From: 540, To: 700}}}},
		`"waxx" is unknown`:           {Unused: []string{"waxx"}},
		`"headlight-seal" is unknown`: {Unused: []string{"headlight-seal"}},
		"pace.interior: must be":      {Pace: map[pricing.Area]float64{pricing.Interior: 0.01}},
		`"nowhere" is unknown`:        {Pace: map[pricing.Area]float64{"nowhere": 1}},
		`answers: "nowhere" is`:       {Answers: map[pricing.Area]pricing.Gradings{"nowhere": {}}},
	} {
		if err := r.CheckLayer(l); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %q", l, err, want)
		}
	}
}

// A pace moves the minutes of its area and of no other.
func TestLayerPace(t *testing.T) {
	r := pricing.DefaultRules()
	over := r.Under(pricing.Layer{Version: 1, Pace: map[pricing.Area]float64{pricing.Interior: 0.5}})
	at := func(r *pricing.Rules) (in, out float64) {
		q := quote(t, r, wash("exterior", "interior"))
		for _, l := range q.In {
			if task, ok := r.Task(l.Task); ok && task.Area == pricing.Interior {
				in += l.Minutes
			} else {
				out += l.Minutes
			}
		}
		return in, out
	}
	in, out := at(r)
	in2, out2 := at(over)
	if in2 > in/2+1e-6 || in2 < in/2-1e-6 || out2 != out {
		t.Errorf("%.2f inside and %.2f elsewhere became %.2f and %.2f", in, out, in2, out2)
	}
}

// What is not in use is neither done nor offered; the next lower takes its place.
func TestLayerProtectionsInUse(t *testing.T) {
	r := pricing.DefaultRules()
	tasks := func(r *pricing.Rules, want string) (in, out []string) {
		q := quote(t, r, wash("exterior", want))
		for _, l := range q.In {
			in = append(in, l.Task)
		}
		for _, l := range q.Out {
			out = append(out, l.Task)
		}
		return in, out
	}
	if in, _ := tasks(r, "protection"); !slices.Contains(in, "sealant") {
		t.Fatalf("asked for protection: %v", in)
	}
	over := r.Under(pricing.Layer{Version: 1, Unused: []string{"sealant", "ceramic-coating"}})
	in, out := tasks(over, "protection")
	if slices.Contains(in, "sealant") || !slices.Contains(in, "wax") || slices.Contains(out, "ceramic-coating") || slices.Contains(out, "sealant") {
		t.Errorf("in %v, out %v", in, out)
	}
	none := r.Under(pricing.Layer{Version: 1, Unused: []string{"sealant", "ceramic-coating", "wax", "spray-sealant"}})
	if in, _ := tasks(none, "protection"); slices.ContainsFunc(in, func(id string) bool { task, _ := r.Task(id); return task.Family == "protection" }) {
		t.Errorf("nothing is in use, and in is %v", in)
	}
	var ids []string
	for _, p := range r.Optional() {
		ids = append(ids, p.ID)
	}
	if slices.Contains(ids, "lamp-seal") || !slices.Contains(ids, "wax") || !slices.Contains(ids, "wheel-seal") {
		t.Errorf("may be taken out of use: %v", ids)
	}
}

// Further than we drive is refused, kindly, and bringing the car is not.
func TestLayerMostMiles(t *testing.T) {
	over := pricing.DefaultRules().Under(pricing.Layer{Version: 1, MostMiles: ptr(15.0)})
	e := wash("interior")
	e.Site = pricing.Site{Miles: 16, Tap: true, Socket: true, Surface: "driveway", Drain: "foul"}
	if q := quote(t, over, e); q.Refused != over.Place.TooFar || q.Refused == "" {
		t.Errorf("refused: %q", q.Refused)
	}
	e.Site.Miles = 15
	if q := quote(t, over, e); q.Refused != "" {
		t.Errorf("refused at the limit: %q", q.Refused)
	}
}

// It is laid over the file for every message: it has to cost next to nothing.
func BenchmarkUnder(b *testing.B) {
	r := pricing.DefaultRules()
	l := pricing.Layer{Version: 9, Rate: ptr(pricing.Pence(4200)), Hours: map[string][]pricing.Span{"saturday": {{From: 540, To: 780}}}, Unused: []string{"wax"},
		Answers: map[pricing.Area]pricing.Gradings{pricing.Wheels: {{3, 1}, {4, 6}}, pricing.Interior: {{3, 1}, {4, 6}}}, Pace: map[pricing.Area]float64{pricing.Interior: 0.9}}
	for b.Loop() {
		r.Under(l)
	}
}
