package diary_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"github.com/google/go-cmp/cmp"
)

func london(t testing.TB) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// at is a moment by the clock on a London wall.
func at(t testing.TB, s string) time.Time {
	t.Helper()
	v, err := time.ParseInLocation("2006-01-02 15:04", s, london(t))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// entry takes a time on 4 December 2026.
func entry(t testing.TB, id, kind, from, to string) diary.Entry {
	return diary.Entry{ID: id, Kind: kind, Start: at(t, "2026-12-04 "+from), End: at(t, "2026-12-04 "+to)}
}

func TestKey(t *testing.T) {
	for _, tt := range []struct{ utc, want string }{
		{"2026-12-04T12:00:00Z", "2026-12-04"},
		{"2026-07-01T23:30:00Z", "2026-07-02"}, // summer time: half past midnight
		{"2026-12-04T23:30:00Z", "2026-12-04"},
	} {
		if got := diary.Key(moment(t, time.RFC3339, tt.utc, time.UTC), london(t)); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.utc, got, tt.want)
		}
	}
}

func TestClash(t *testing.T) {
	d := diary.Day{Entries: []diary.Entry{entry(t, "a", diary.Booked, "10:00", "12:00")}}
	for _, tt := range []struct {
		from, to string
		want     bool
	}{
		{"10:00", "12:00", true}, // the same
		{"09:00", "10:30", true}, // begins before
		{"11:30", "13:00", true}, // ends after
		{"09:00", "13:00", true}, // around it
		{"10:30", "11:00", true}, // within it
		{"09:00", "10:00", false},
		{"12:00", "13:00", false},
	} {
		e := entry(t, "", "", tt.from, tt.to)
		if got := d.Clash(e.Start, e.End); got != tt.want {
			t.Errorf("%s to %s: %v, want %v", tt.from, tt.to, got, tt.want)
		}
	}
}

func ids(d diary.Day) []string {
	var out []string
	for _, e := range d.Entries {
		out = append(out, e.ID)
	}
	return out
}

func TestPlaceRemove(t *testing.T) {
	var d diary.Day
	for _, tt := range []struct {
		place diary.Entry
		ok    bool
		want  []string
	}{
		{entry(t, "b", diary.Booked, "13:00", "15:00"), true, []string{"b"}},
		{entry(t, "a", diary.Hold, "09:00", "11:00"), true, []string{"a", "b"}},
		{entry(t, "c", diary.Asked, "10:30", "12:00"), false, []string{"a", "b"}},
		{entry(t, "c", diary.Asked, "11:00", "13:00"), true, []string{"a", "c", "b"}},
		{entry(t, "a", diary.Booked, "09:30", "11:00"), true, []string{"a", "c", "b"}}, // over itself
		{entry(t, "a", diary.Booked, "12:30", "13:30"), false, []string{"a", "c", "b"}},
		{entry(t, "d", diary.Booked, "16:00", "16:00"), false, []string{"a", "c", "b"}},
		{entry(t, "d", diary.Booked, "17:00", "16:00"), false, []string{"a", "c", "b"}},
	} {
		if got := d.Place(tt.place); got != tt.ok {
			t.Errorf("placing %s: %v, want %v", tt.place.ID, got, tt.ok)
		}
		if diff := cmp.Diff(tt.want, ids(d)); diff != "" {
			t.Errorf("after placing %s:\n%s", tt.place.ID, diff)
		}
	}
	if d.Entries[0].Kind != diary.Booked {
		t.Errorf("a is still %s", d.Entries[0].Kind)
	}
	if d.Remove("nobody") || !d.Remove("c") {
		t.Error("removing tells the wrong thing")
	}
	if diff := cmp.Diff([]string{"a", "b"}, ids(d)); diff != "" {
		t.Error(diff)
	}
}

// A day that was read stays as it was when its copy is changed: the loser of a
// race steps again from what it loaded.
func TestCopiesAreApart(t *testing.T) {
	var read diary.Day
	for _, e := range []diary.Entry{
		entry(t, "a", diary.Hold, "08:00", "09:00"), entry(t, "b", diary.Hold, "09:00", "10:00"), entry(t, "c", diary.Hold, "10:00", "11:00"),
	} {
		read.Place(e)
	}
	read.Entries[0].Until = at(t, "2026-12-04 07:00")
	read.Entries = slices.Grow(read.Entries, 8)
	want := slices.Clone(read.Entries)
	for _, change := range []func(*diary.Day){
		func(d *diary.Day) { d.Remove("a") },
		func(d *diary.Day) { d.Place(entry(t, "d", diary.Hold, "07:00", "08:00")) },
		func(d *diary.Day) { d.Lapse(at(t, "2026-12-04 07:30")) },
	} {
		changed := read
		change(&changed)
		if diff := cmp.Diff(want, read.Entries); diff != "" {
			t.Fatal(diff)
		}
	}
}

func TestLapse(t *testing.T) {
	until := at(t, "2026-12-01 12:00")
	hold, asked, open := entry(t, "hold", diary.Hold, "09:00", "10:00"), entry(t, "asked", diary.Asked, "10:00", "11:00"), entry(t, "open", diary.Hold, "11:00", "12:00")
	hold.Until, asked.Until = until, until
	for _, tt := range []struct {
		now        time.Time
		kept, gone []string
	}{
		{until.Add(-1), []string{"hold", "asked", "open"}, nil},
		{until, []string{"asked", "open"}, []string{"hold"}},
		{until.AddDate(1, 0, 0), []string{"asked", "open"}, []string{"hold"}},
	} {
		d := diary.Day{Entries: []diary.Entry{hold, asked, open}}
		gone := d.Lapse(tt.now)
		if diff := cmp.Diff([][]string{tt.kept, tt.gone}, [][]string{ids(d), ids(diary.Day{Entries: gone})}); diff != "" {
			t.Errorf("at %v:\n%s", tt.now, diff)
		}
	}
}

func TestDates(t *testing.T) {
	for _, tt := range []struct {
		start, end string
		want       []string
	}{
		{"2026-12-04 09:00", "2026-12-04 12:00", []string{"2026-12-04"}},
		{"2026-12-04 20:00", "2026-12-05 00:00", []string{"2026-12-04"}},
		{"2026-12-31 18:00", "2027-01-02 08:00", []string{"2026-12-31", "2027-01-01", "2027-01-02"}},
		{"2026-03-28 23:30", "2026-03-30 00:30", []string{"2026-03-28", "2026-03-29", "2026-03-30"}},
		{"2026-10-24 23:30", "2026-10-26 00:30", []string{"2026-10-24", "2026-10-25", "2026-10-26"}},
	} {
		e := diary.Entry{Start: at(t, tt.start), End: at(t, tt.end)}
		if diff := cmp.Diff(tt.want, e.Dates(london(t))); diff != "" {
			t.Errorf("%s to %s:\n%s", tt.start, tt.end, diff)
		}
	}
}

func TestDayAsJSON(t *testing.T) {
	e := entry(t, "k3-1", diary.Hold, "09:00", "11:30")
	e.Until, e.Point = at(t, "2026-12-01 12:00"), diary.Point{Lat: 51.5, Lon: -0.25}
	for _, tt := range []struct {
		day  diary.Day
		want string
	}{
		{diary.Day{}, `{}`},
		{diary.Day{Entries: []diary.Entry{e}}, `{"entries":[{"id":"k3-1","start":"2026-12-04T09:00:00Z","end":"2026-12-04T11:30:00Z","kind":"hold","until":"2026-12-01T12:00:00Z","lat":51.5,"lon":-0.25}]}`},
	} {
		data, err := json.Marshal(tt.day)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tt.want, string(data)); diff != "" {
			t.Error(diff)
		}
		var back diary.Day
		if err := json.Unmarshal(data, &back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tt.day, back); diff != "" {
			t.Error(diff)
		}
	}
}
