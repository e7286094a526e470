package jobsheet_test

import (
	"html"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/pricing"
)

// Which work meets what: common practice, no source. Each must be told on the
// step, in the chat and on the page.
func TestCautionsWhereTheyApply(t *testing.T) {
	r, w := pricing.DefaultRules(), words(t)
	for caution, tasks := range map[string][]string{
		"acid":         {"fallout", "water-marks", "wheels-full"},
		"no-bleach":    {"fallout", "water-marks", "wheels-full", "mould-out"},
		"caustic":      {"wheels-face", "wheels-full", "pre-wash", "door-shuts", "plastics-deep", "engine-bay-wipe", "engine-bay-rinse", "trim-coat"},
		"solvent":      {"tar", "panel-wipe", "polish-wipe", "soft-top-proof", "ceramic-coating", "wheels-full", "wheel-seal", "trim-coat", "lamps-polish", "lamps-sand", "glass-polish"},
		"biocide":      {"mould-out", "soft-top-growth"},
		"hot":          {"wheels-face", "wheels-full"},
		"brakes":       {"wheels-full", "handover"},
		"high-voltage": {"engine-bay-wipe", "engine-bay-rinse"},
		"engine":       {"engine-bay-wipe", "engine-bay-rinse"},
		"drains":       {"engine-bay-rinse", "soft-top-growth", "soft-top-wash", "wheels-full", "pre-wash", "foam", "wash", "fallout"},
		"rcd":          {"fabric-extract", "polish-one-step", "polish-two-step"},
		"spores":       {"mould-out"},
		"airbags":      {"fabric-shampoo", "fabric-extract", "plastics-wipe", "plastics-deep"},
		"tread":        {"dress-tyres"},
		"beam":         {"lamps-sand", "lamps-polish", "handover"},
	} {
		for _, task := range tasks {
			text := r.Caution(caution)
			if text == "" {
				t.Fatalf("the rules have no caution %q", caution)
			}
			s := sheet(t, r, jobOf(30, task))
			page, err := w.Page(s)
			if err != nil {
				t.Fatal(err)
			}
			for where, got := range map[string]string{
				"step": strings.Join(step(t, s, task).Cautions, " "),
				"chat": strings.Join(w.Messages(s), "\n"),
				"page": html.UnescapeString(string(page)),
			} {
				if !strings.Contains(got, text) {
					t.Errorf("%s: no %s on the %s", task, caution, where)
				}
			}
		}
	}
}

// Every sheet begins with what comes before it.
func TestDataSheetComesFirst(t *testing.T) {
	w := words(t)
	s := sheet(t, pricing.DefaultRules(), jobOf(30, "handover"))
	page, err := w.Page(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{w.Messages(s)[0], string(page)} {
		for _, want := range []string{"safety data sheet", "local rules", "licensed practice"} {
			if i := strings.Index(text, want); i < 0 || i > strings.Index(text, "A last look") {
				t.Errorf("%q does not come before the work", want)
			}
		}
	}
}

func TestAcidAndBleach(t *testing.T) {
	const want = "They must never meet"
	for _, tt := range []struct {
		tasks []string
		warn  bool
	}{
		{[]string{"mould-out", "fallout"}, true},
		{[]string{"mould-out", "wheels-full"}, true},
		{[]string{"mould-out", "wash"}, false},
		{[]string{"fallout", "water-marks"}, false},
	} {
		s := sheet(t, pricing.DefaultRules(), jobOf(30, tt.tasks...))
		if got := strings.Contains(strings.Join(words(t).Messages(s), "\n"), want); got != tt.warn {
			t.Errorf("%v: warned %v, want %v", tt.tasks, got, tt.warn)
		}
	}
}

// A circumstance that refuses leaves no step to follow; one that refers takes out
// what it stops and says so; one that only warns warns.
func TestFlags(t *testing.T) {
	r, w := pricing.DefaultRules(), words(t)
	for _, tt := range []struct {
		flag, says string
		steps      int
	}{
		{"needles", "Do not start: We can't work in a car with needles", 0},
		{"flood", "Do not start: A car that has stood in water", 0},
		{"failed-lacquer", "Not to be done: Clay treatment", 1},
		{"corroded-wheels", "a wheel refurbisher gets those out", 2},
		{"body-fluids", "Look before you agree a price: What has soaked in", 2},
		{"electric", "Hands off orange cables", 2},
	} {
		j := jobOf(30, "clay", "wash")
		j.Flags = []string{tt.flag}
		s := sheet(t, r, j)
		page, err := w.Page(s)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Steps) != tt.steps {
			t.Errorf("%s: %d steps, want %d", tt.flag, len(s.Steps), tt.steps)
		}
		for _, text := range []string{strings.Join(w.Messages(s), "\n"), html.UnescapeString(string(page))} {
			if !strings.Contains(text, tt.says) {
				t.Errorf("%s: does not say %q in %q", tt.flag, tt.says, text)
			}
		}
	}
}

// Daylight matters outdoors only, and from the step it fails in.
func TestDaylight(t *testing.T) {
	for _, tt := range []struct {
		site pricing.Site
		dark int
	}{
		{pricing.Site{Surface: "driveway"}, 2},
		{pricing.Site{Surface: "garage"}, 0},
		{pricing.Site{Own: true}, 0},
	} {
		j := jobOf(60, "check-in", "dry", "handover")
		j.Site, j.Sunset = tt.site, morning().Add(90*time.Minute)
		s := sheet(t, pricing.DefaultRules(), j)
		if s.Dark != tt.dark {
			t.Errorf("%+v: dark from step %d, want %d", tt.site, s.Dark, tt.dark)
		}
		said := strings.Contains(words(t).Messages(s)[0], "dark from about 10:30, during step 2")
		if said != (tt.dark == 2) {
			t.Errorf("%+v: said so: %v", tt.site, said)
		}
	}
}

// What cannot be made a sheet of is answered, all of it.
func TestWrongWork(t *testing.T) {
	j := jobOf(30, "wash", "wash", "wish")
	j.Work[0].Minutes = 0
	_, err := jobsheet.New(pricing.DefaultRules(), j)
	for _, want := range []string{`"wash" is in the work twice`, `"wish" is no task`, `"wash" takes 0 minutes`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %s", err, want)
		}
	}
}

// An enquiry that was quoted becomes a sheet with all of the quote's work, the
// grades that were seen or are likeliest, and the flags its answers raise.
func TestFromQuote(t *testing.T) {
	r := pricing.DefaultRules()
	e := pricing.Enquiry{
		Vehicle: pricing.VehicleFromBody(pricing.Hatchback, 4300), Wants: []string{"exterior", "interior"},
		Said:   map[pricing.Area]pricing.Grade{pricing.Wheels: 4},
		Graded: map[pricing.Area]pricing.Grade{pricing.Paintwork: pricing.Severe},
		Flags:  []string{"full-of-things"}, Site: pricing.Site{Own: true, Miles: 40},
	}
	q, err := r.Quote(e)
	if err != nil {
		t.Fatal(err)
	}
	j := jobsheet.FromQuote(r, q, e, morning())
	s := sheet(t, r, j)
	var sum float64
	for _, x := range s.Steps {
		sum += x.Hands.Minutes()
	}
	if d := sum - q.Minutes.Likely; d > 1 || d < -1 {
		t.Errorf("%v minutes of steps, the quote has %v", sum, q.Minutes.Likely)
	}
	if s.Steps[0].Task != "check-in" || s.Steps[1].Task != "set-up" || s.Steps[2].Task != "full-of-things" {
		t.Errorf("begins with %s, %s, %s", s.Steps[0].Task, s.Steps[1].Task, s.Steps[2].Task)
	}
	if j.Grades[pricing.Paintwork] != pricing.Severe || j.Grades[pricing.Wheels] != pricing.Poor {
		t.Errorf("grades %v", j.Grades)
	}
	if got := strings.Join(s.Elsewhere, " "); !strings.Contains(got, "wheel refurbisher") {
		t.Errorf("nothing about the wheels in %q", got)
	}
}
