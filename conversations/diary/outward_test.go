package diary_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
)

// Published middles of outward codes (testdata/README.md) lie where the table
// from memory says that their areas are, by its own measure of how sure it is.
func TestOutwardAgainstPublishedPoints(t *testing.T) {
	squares, codes := map[string]float64{}, map[string]float64{}
	for _, r := range table(t, "outward.csv") {
		got, ok := diary.Outward(r[0])
		if !ok {
			t.Errorf("%s is not known", r[0])
			continue
		}
		km := diary.Distance(got, diary.Point{Lat: number(t, r[1]), Lon: number(t, r[2])})
		if km > 2.5*got.Within {
			t.Errorf("%s is %.0f km from where it is said to be, within %.0f", r[0], km, got.Within)
		}
		area := strings.TrimRight(r[0], "0123456789")
		squares[area], codes[area] = squares[area]+km*km, codes[area]+1
	}
	for _, area := range []string{"CT", "CA", "SM"} {
		said, _ := diary.Outward(area + "1")
		if rms := math.Sqrt(squares[area] / codes[area]); said.Within < rms/1.5 || said.Within > rms*1.5 {
			t.Errorf("%s: codes lie %.1f km from the middle, %.1f is said", area, rms, said.Within)
		}
	}
}

func TestOutward(t *testing.T) {
	leeds, _ := diary.Outward("LS6")
	for _, tt := range []struct {
		code string
		ok   bool
	}{
		{"LS6 2AB", true}, {"ls62ab", true}, {"  Ls6  2ab ", true}, {"LS16", true},
		{"LS", false}, {"LS6 2A", false}, {"6", false}, {"", false}, {"LSX6", false}, {"LS6 2ABC", false},
		{"JE2 3AB", false}, {"XX1", false}, {"S", false}, {"#1", false},
	} {
		got, ok := diary.Outward(tt.code)
		if ok != tt.ok || ok && got != leeds {
			t.Errorf("%q: %v, %v", tt.code, got, ok)
		}
	}
	// One letter is not the beginning of two.
	if got, _ := diary.Outward("S1"); got == leeds || got.Lat > 53.6 {
		t.Errorf("S1 lies at %v", got)
	}
	if _, ok := diary.Outward("EC1A 1BB"); !ok {
		t.Error("EC1A is not known")
	}
}

// Two places known only by their area are some way apart though they have one
// middle: as far as two offsets of 3 and 4 km, which is 5.
func TestTravelBetweenRoughPlaces(t *testing.T) {
	by := diary.Travel{RoadFactor: 1.2, KmPerHour: 36}
	a, b := diary.Point{Lat: 53, Lon: -1, Within: 3}, diary.Point{Lat: 53, Lon: -1, Within: 4}
	if got := by.Between(a, b); got != 10*time.Minute {
		t.Errorf("got %v, want 10m for 5 km", got)
	}
	if got := by.Between(a, diary.Point{Lat: 53, Lon: -1}); got != 6*time.Minute {
		t.Errorf("got %v, want 6m for 3 km", got)
	}
}

// Whatever is taken for a postcode lies in the United Kingdom (its outermost points
// generously, from memory: 49 to 61 north, 9 west to 2 east), however it is typed.
func FuzzOutward(f *testing.F) {
	for _, s := range []string{"LS6 2AB", "ls62ab", "  Ls6  2ab ", "BT1", "ZE2 9AA", "TR21 0PU", "LS", "6", "", "LSX6", "JE2 3AB", "#1", "\nAB1", "LS6\x00", "ſ1", "A1,2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, code string) {
		at, ok := diary.Outward(code)
		if !ok {
			if at != (diary.Point{}) {
				t.Errorf("%q: refused, and yet %v", code, at)
			}
			return
		}
		if !(at.Lat > 49 && at.Lat < 61 && at.Lon > -9 && at.Lon < 2 && at.Within > 0 && at.Within < 100) {
			t.Errorf("%q lies at %v", code, at)
		}
		for _, same := range []string{strings.ToLower(code), strings.ToUpper(code), " " + code + " "} {
			if again, ok := diary.Outward(same); !ok || again != at {
				t.Errorf("%q lies at %v, %q at %v, %t", code, at, same, again, ok)
			}
		}
	})
}
