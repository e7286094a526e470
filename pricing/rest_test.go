package pricing_test

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
)

func mobile(t *testing.T) string {
	t.Helper()
	src, err := os.ReadFile("../testdata/rules/mobile.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

// The second business says what is different; everything else is as shipped.
func TestRestIsShipped(t *testing.T) {
	own, err := pricing.ParseRules("mobile.yaml", []byte(mobile(t)))
	if err != nil {
		t.Fatal(err)
	}
	shipped := pricing.DefaultRules()
	if own.Money.Rate != 34_00 || own.Money.MaterialsMarkup != shipped.Money.MaterialsMarkup {
		t.Errorf("money is %+v", own.Money)
	}
	if _, works := own.Diary.Hours["monday"]; works || len(own.Diary.Hours) != 6 {
		t.Errorf("a table is given whole, so Monday is off: %v", own.Diary.Hours)
	}
	if !own.Place.MobileOnly || own.Place.LowWater != shipped.Place.LowWater {
		t.Errorf("place is %+v", own.Place)
	}
	sealant, _ := own.Protection("sealant")
	was, _ := shipped.Protection("sealant")
	if sealant.MonthsHigh != 5 || !reflect.DeepEqual(sealant.Care, was.Care) {
		t.Errorf("the sealant is %+v", sealant)
	}
	wash, _ := own.Task("wash")
	if theirs, _ := shipped.Task("wash"); !reflect.DeepEqual(wash, theirs) {
		t.Errorf("washing is %+v, shipped %+v", wash, theirs)
	}
	if low, _ := own.Task("low-water-wash"); low.Minutes["1"] != [3]float64{16, 19, 23} || low.Words == "" {
		t.Errorf("the low-water wash is %+v", low)
	}
	if _, ok := own.Task("salt-rinse"); !ok {
		t.Error("a task of its own is missing")
	}
	if _, ok := shipped.Task("salt-rinse"); ok || shipped.Money.Rate != 40_00 {
		t.Error("the shipped rules have changed with it")
	}
	if own.Version() == shipped.Version() {
		t.Error("both have one version")
	}
}

// Mistakes in such a file are named as in a whole one.
func TestMistakesBesideWhatIsShipped(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"  rate: £34 ", "  rat: £34 ", `mine.yaml:16:3: money.rat: unknown; did you mean "rate"?`},
		{"  rate: £34 ", "  rate: lots ", "mine.yaml:16:9: money.rate: must be an amount"},
		{"  rate: £34 ", "  rate: £0 ", "mine.yaml:16:3: money.rate: must be between 1 and 1000"},
		{"    words: Sills, arches and underside rinsed free of salt\n", "", `"words" is missing`},
		{"\nrest: shipped", "\nrest: yours", `mine.yaml:9:1: rest: must be "shipped", or left out`},
		{"\nrest: shipped", "", `"quotes" is missing`},
		{"    needs: [wash]", "    needs: [wsh]", "wsh"},
	} {
		changed := strings.Replace(mobile(t), c.old, c.new, 1)
		if changed == mobile(t) {
			t.Fatalf("%q is not in the file", c.old)
		}
		if _, err := pricing.ParseRules("mine.yaml", []byte(changed)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: error\n%v\nwant %s", c.new, err, c.want)
		}
	}
}
