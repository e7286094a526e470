package pricing_test

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
)

func TestCareMistakesAreAnswered(t *testing.T) {
	brakes := "    after: [wheels-face, wheels-full, wash]\n"
	for _, tt := range []struct{ name, old, new, want string }{
		{"unknown work", brakes, "    after: [weels-face]\n", `: aftercare.brakes: "weels-face" is unknown; did you mean "wheels-face"?`},
		{"unknown in unless", "    unless: [soft-top-proof]\n", "    unless: [soft-top-prof]\n", `: aftercare.soft-top-drying: "soft-top-prof" is unknown; did you mean "soft-top-proof"?`},
		{"never brought in", brakes, "", `: aftercare.brakes: needs either after, with what brings it in, or always: true`},
		{"always and after", brakes, brakes + "    always: true\n", `: aftercare.brakes: needs either after`},
		{"days in disorder", "{day: 4, words: ", "{day: 24, words: ", `: aftercare.sealant.say.1.day: the days must follow each other, each once`},
		{"a day before the job", "{day: 14, words: \"For", "{day: -1, words: \"For", `: aftercare.short-lived.say.0.day: must be between 0 and 120, not -1`},
		{"too wordy", "Brake dust should rinse off now.", strings.Repeat("Brake dust should rinse off now. ", 8), `: aftercare.wheels.say.0.words: must have 1 to 240 characters, not `},
		{"a template", "Thank you for having us.", "Thank you, {{.Name}}.", `: aftercare.thanks.say.0.words: is said as it stands`},
		{"misspelt", "good-for: 21}", "goodfor: 21}", `goodfor: unknown; did you mean "good-for"?`},
		{"care in the night", "care-hour: 10", "care-hour: 22", `: service.care-hour: must be between 7 and 19, not 22`},
		{"hours backwards", "to-hour: 20 ", "to-hour: 7 ", `: service.to-hour: must be between 8 and 24, not 7`},
		{"unknown surface", "leads: [paint, soft-top, lamps]", "leads: [pain]", `: nudges.leads: "pain" is unknown; did you mean "paint"?`},
		{"unknown wear", "wear: salted-winter", "wear: salty-winter", `: nudges.winter.wear: "salty-winter" is unknown; `},
		{"no such day", `from: "11-01"`, `from: "11-31"`, `: nudges.winter.from: must be month and day such as 12-15, not "11-31"`},
		{"no day left", `not-to: "01-31"`, `not-to: "12-14"`, `: nudges.not-to: leaves hardly a day of the year to write on`},
		{"below half is fine, above all is not", "at-least: 0.5", "at-least: 1.5", `: nudges.winter.at-least: must be between 0 and 1, not 1.5`},
	} {
		_, err := pricing.ParseRules("f.yaml", []byte(edited(t, tt.old, tt.new)))
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %s", tt.name, err, tt.want)
		}
	}
}

func TestCareFields(t *testing.T) {
	r := pricing.DefaultRules()
	if d := cmp.Diff([]string{"glass", "lamps", "leather", "paint", "soft-top", "trim", "wheels"}, r.Surfaces()); d != "" {
		t.Errorf("surfaces (-want +got):\n%s", d)
	}
	for date, want := range map[string]bool{"10-31": false, "11-01": true, "12-31": true, "01-01": true, "03-15": true, "03-16": false} {
		d, err := time.Parse("01-02", date)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Nudges.Winter.In(pricing.MonthDay{Month: d.Month(), Day: d.Day()}); got != want {
			t.Errorf("%s: salted %v, want %v", date, got, want)
		}
	}
	care := r.Aftercare()
	care[0].ID = "changed"
	if r.Aftercare()[0].ID == "changed" {
		t.Error("rules can be changed from outside")
	}
}
