package diary_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
)

// table reads figures from testdata, whose README names their sources.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func moment(t *testing.T, layout, s string, loc *time.Location) time.Time {
	t.Helper()
	v, err := time.ParseInLocation(layout, s, loc)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// apart is how far two moments lie from each other.
func apart(a, b time.Time) time.Duration { return a.Sub(b).Abs() }

// The tables of the United States Naval Observatory give whole minutes.
func TestSunAgainstNavalTables(t *testing.T) {
	type row struct {
		place, date, rise, set, layout string
		zone                           *time.Location
		at                             diary.Point
	}
	var rows []row
	for _, r := range table(t, "sun_usno_fredonia_2023.csv") {
		at := diary.Point{Lat: number(t, r[3]), Lon: number(t, r[4])}
		rows = append(rows, row{"Fredonia", r[0], r[1], r[2], "2006-01-02 15:04", time.FixedZone("MST", -7*3600), at})
	}
	for _, r := range table(t, "sun_usno_other.csv") {
		zone := time.FixedZone("", int(number(t, r[3]))*3600)
		at := diary.Point{Lat: number(t, r[1]), Lon: number(t, r[2])}
		rows = append(rows, row{r[0], r[4], r[5], r[6], "2006-01-02 1504", zone, at})
	}
	if len(rows) != 365+24+17 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, r := range rows {
		rise, set, light := diary.Sun(moment(t, time.DateOnly, r.date, r.zone), r.at)
		if light != diary.Ordinary {
			t.Errorf("%s %s: light %v", r.place, r.date, light)
		}
		for _, c := range []struct {
			what, want string
			got        time.Time
		}{{"rise", r.rise, rise}, {"set", r.set, set}} {
			want := moment(t, r.layout, r.date+" "+c.want, r.zone)
			if apart(c.got.Round(time.Minute), want) > time.Minute {
				t.Errorf("%s %s: %s is %v, want %v", r.place, r.date, c.what, c.got.In(r.zone), want)
			}
		}
	}
}

// near is the sunrise or sunset on dates about the one given that is nearest to
// a moment: the grid counts days by UTC.
func near(date, want time.Time, at diary.Point, pick func(rise, set time.Time) time.Time) time.Duration {
	best := time.Duration(math.MaxInt64)
	for _, d := range []int{-1, 0, 1} {
		rise, set, light := diary.Sun(date.AddDate(0, 0, d), at)
		if light == diary.Ordinary {
			best = min(best, apart(pick(rise, set), want))
		}
	}
	return best
}

func TestSunAgainstGrid(t *testing.T) {
	for _, r := range table(t, "sun_grid.csv") {
		place, at := r[0], diary.Point{Lat: number(t, r[1]), Lon: number(t, r[2])}
		date := moment(t, time.DateOnly, r[3], time.UTC)
		// Near the polar circle the sun runs along the horizon.
		allowed := 30 * time.Second
		if place == "Tromso" {
			allowed = time.Minute
		}
		for i, pick := range []func(rise, set time.Time) time.Time{
			func(rise, _ time.Time) time.Time { return rise },
			func(_, set time.Time) time.Time { return set },
		} {
			switch want := r[4+i]; want {
			case "AlwaysUpError", "NeverUpError":
				_, _, light := diary.Sun(date, at)
				if (light == diary.AlwaysUp) != (want == "AlwaysUpError") || light == diary.Ordinary {
					t.Errorf("%s %s: light is %v, want %s", place, r[3], light, want)
				}
			default:
				if d := near(date, moment(t, time.RFC3339, want, time.UTC), at, pick); d > allowed {
					t.Errorf("%s %s: off by %v from %s", place, r[3], d, want)
				}
			}
		}
	}
}

// London in the winter of 2015, as printed by timeanddate.com and
// quoted in the tests of the Python package astral.
func TestSunLondon(t *testing.T) {
	for _, tt := range [][3]string{
		{"2015-01-01", "08:06", "16:01"}, {"2015-12-01", "07:43", "15:55"},
		{"2015-12-12", "07:56", "15:51"}, {"2015-12-25", "08:05", "15:55"},
	} {
		rise, set, _ := diary.Sun(moment(t, time.DateOnly, tt[0], time.UTC), diary.Point{Lat: 51.5074, Lon: -0.1278})
		for i, got := range []time.Time{rise, set} {
			if want := moment(t, "2006-01-02 15:04", tt[0]+" "+tt[1+i], time.UTC); apart(got.Round(time.Minute), want) > time.Minute {
				t.Errorf("got %v, want %v", got, want)
			}
		}
	}
}

func TestDistance(t *testing.T) {
	for _, r := range table(t, "great_circle.csv") {
		var v [5]float64
		for i, column := range []int{1, 2, 3, 4, 6} { // 6: the mean radius, 6371.0088 km
			v[i] = number(t, r[column])
		}
		got := diary.Distance(diary.Point{Lat: v[0], Lon: v[1]}, diary.Point{Lat: v[2], Lon: v[3]})
		if math.Abs(got-v[4]) > 1e-6 {
			t.Errorf("%s: %v km, want %v", r[0], got, v[4])
		}
	}
}

func TestTravel(t *testing.T) {
	edinburgh, glasgow := diary.Point{Lat: 55.9533, Lon: -3.1883}, diary.Point{Lat: 55.8642, Lon: -4.2518}
	by := diary.Travel{RoadFactor: 1.25, KmPerHour: 60, Unknown: 20 * time.Minute}
	for _, tt := range []struct {
		name string
		by   diary.Travel
		a, b diary.Point
		want time.Duration
	}{
		// 67.02 km as the crow flies are 83.77 by road, and as many minutes.
		{"known", by, edinburgh, glasgow, 84 * time.Minute},
		{"nowhere to go", by, glasgow, glasgow, 0},
		{"unknown end", by, edinburgh, diary.Point{}, 20 * time.Minute},
		{"unknown start", by, diary.Point{}, glasgow, 20 * time.Minute},
		{"no speed", diary.Travel{RoadFactor: 1, Unknown: time.Minute}, edinburgh, glasgow, time.Minute},
	} {
		if got := tt.by.Between(tt.a, tt.b); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}
