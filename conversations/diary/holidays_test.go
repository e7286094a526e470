package diary_test

import (
	"strconv"
	"testing"

	"example.org/dryhand/conversations/diary"
	"github.com/google/go-cmp/cmp"
)

// The published list, all three divisions, 2019 to 2028: one-off days and
// substitute days included.
func TestHolidaysAgainstPublishedList(t *testing.T) {
	want := map[string][]string{}
	for _, r := range table(t, "bank_holidays.csv") {
		key := r[0] + " " + r[1][:4]
		want[key] = append(want[key], r[1])
	}
	if len(want) != 30 {
		t.Fatalf("%d years of divisions published, want 30", len(want))
	}
	for _, d := range []diary.Division{diary.EnglandAndWales, diary.Scotland, diary.NorthernIreland} {
		for year := 2019; year <= 2028; year++ {
			holidays, err := diary.Holidays(d, year)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, h := range holidays {
				got = append(got, h.Date)
			}
			if diff := cmp.Diff(want[string(d)+" "+strconv.Itoa(year)], got); diff != "" {
				t.Errorf("%s %d (-want +got):\n%s", d, year, diff)
			}
		}
	}
}

func TestHolidaysOfNoDivision(t *testing.T) {
	if h, err := diary.Holidays("wales", 2026); err == nil {
		t.Errorf("got %v, want an error", h)
	}
}
