package diary_test

import (
	"slices"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"github.com/google/go-cmp/cmp"
)

// margin is how long before sunset work has to be over.
const margin = 45 * time.Minute

// everyDay opens each weekday for the same spans.
func everyDay(spans ...diary.Span) diary.Hours {
	h := diary.Hours{}
	for d := time.Sunday; d <= time.Saturday; d++ {
		h[d] = spans
	}
	return h
}

func starts(slots []diary.Slot) []string {
	var out []string
	for _, s := range slots {
		out = append(out, s.Start.Format("2006-01-02 15:04"))
	}
	return out
}

// On Friday 4 December 2026 the shop is open from nine to one, and the job
// takes two hours, unless the case says otherwise.
func TestFree(t *testing.T) {
	const today = "2026-12-04"
	leeds, york := diary.Point{Lat: 53.80, Lon: -1.55}, diary.Point{Lat: 53.96, Lon: -1.08}
	all := []string{"09:00", "09:30", "10:00", "10:30", "11:00"}
	for _, tt := range []struct {
		name    string
		now     string
		entries []diary.Entry
		change  func(*diary.Wish, *diary.Rules)
		want    []string
	}{
		{name: "empty day", want: all},
		{name: "started already", now: "2026-12-04 09:40", want: []string{"10:00", "10:30", "11:00"}},
		{name: "notice", change: func(_ *diary.Wish, r *diary.Rules) { r.Notice = 10*time.Hour + time.Minute }, want: []string{"10:30", "11:00"}},
		{name: "wanted from ten", change: func(w *diary.Wish, _ *diary.Rules) { w.From = at(t, "2026-12-04 10:00") }, want: []string{"10:00", "10:30", "11:00"}},
		{name: "ready by noon", change: func(w *diary.Wish, _ *diary.Rules) { w.To = at(t, "2026-12-04 12:00") }, want: []string{"09:00", "09:30", "10:00"}},
		{name: "too long for the day", change: func(w *diary.Wish, _ *diary.Rules) { w.Need = 4*time.Hour + time.Minute }},
		{name: "as long as the day", change: func(w *diary.Wish, _ *diary.Rules) { w.Need = 4 * time.Hour }, want: []string{"09:00"}},
		{name: "dries for an hour", change: func(w *diary.Wish, _ *diary.Rules) { w.Dry = time.Hour }, want: []string{"09:00", "09:30", "10:00"}},
		{name: "closed", change: func(_ *diary.Wish, r *diary.Rules) { r.Closed = map[string]bool{today: true} }},
		{name: "no work on Fridays", change: func(_ *diary.Wish, r *diary.Rules) { delete(r.Hours, time.Friday) }},
		{name: "not over the break", change: func(_ *diary.Wish, r *diary.Rules) {
			r.Hours = everyDay(diary.Span{From: 9 * 60, To: 11 * 60}, diary.Span{From: 11*60 + 15, To: 13*60 + 45})
		}, want: []string{"09:00", "11:15", "11:45"}},
		{name: "job until ten", entries: []diary.Entry{entry(t, "a", diary.Booked, "08:00", "10:00")}, want: []string{"10:00", "10:30", "11:00"}},
		{name: "job of ten minutes in between", entries: []diary.Entry{entry(t, "a", diary.Asked, "11:00", "11:10")}, want: []string{"09:00"}},
		{name: "buffer", entries: []diary.Entry{entry(t, "a", diary.Booked, "08:00", "09:30")}, change: func(_ *diary.Wish, r *diary.Rules) { r.Buffer = 15 * time.Minute }, want: []string{"10:00", "10:30", "11:00"}},
		{name: "as long as buffer and closing leave", entries: []diary.Entry{entry(t, "a", diary.Booked, "08:00", "09:45")}, change: func(w *diary.Wish, r *diary.Rules) {
			w.Need, r.Buffer = 3*time.Hour, 15*time.Minute
		}, want: []string{"10:00"}},
		{name: "as long as two buffers leave", entries: []diary.Entry{entry(t, "a", diary.Booked, "08:00", "09:45"), entry(t, "b", diary.Booked, "12:15", "13:00")}, change: func(w *diary.Wish, r *diary.Rules) { r.Buffer = 15 * time.Minute }, want: []string{"10:00"}},
		{name: "buffer before", entries: []diary.Entry{entry(t, "a", diary.Booked, "12:30", "13:00")}, change: func(_ *diary.Wish, r *diary.Rules) { r.Buffer = 45 * time.Minute }, want: []string{"09:00", "09:30"}},
		{name: "no buffer to time off", entries: []diary.Entry{entry(t, "a", diary.Off, "08:00", "09:30")}, change: func(_ *diary.Wish, r *diary.Rules) { r.Buffer = 45 * time.Minute }, want: []string{"09:30", "10:00", "10:30", "11:00"}},
		{name: "travel, some 50 minutes", entries: []diary.Entry{{ID: "a", Kind: diary.Booked, Start: at(t, "2026-12-04 07:00"), End: at(t, "2026-12-04 09:00"), Point: york}}, change: func(w *diary.Wish, r *diary.Rules) {
			w.Point, r.Travel = leeds, diary.Travel{RoadFactor: 1.3, KmPerHour: 56}
		}, want: []string{"10:00", "10:30", "11:00"}},
		{name: "hold that lapsed", entries: []diary.Entry{{ID: "a", Kind: diary.Hold, Start: at(t, "2026-12-04 09:00"), End: at(t, "2026-12-04 13:00"), Until: at(t, "2026-12-04 00:00")}}, change: func(_ *diary.Wish, r *diary.Rules) { r.MaxPerDay = 1 }, want: all},
		{name: "hold that stands", entries: []diary.Entry{{ID: "a", Kind: diary.Hold, Start: at(t, "2026-12-04 09:00"), End: at(t, "2026-12-04 11:00"), Until: at(t, "2026-12-04 00:01")}}, want: []string{"11:00"}},
		{name: "enough for a day", entries: []diary.Entry{entry(t, "a", diary.Hold, "05:00", "06:00"), entry(t, "b", diary.Off, "06:00", "07:00")}, change: func(_ *diary.Wish, r *diary.Rules) { r.MaxPerDay = 1 }},
		{name: "not yet enough", entries: []diary.Entry{entry(t, "b", diary.Off, "06:00", "07:00")}, change: func(_ *diary.Wish, r *diary.Rules) { r.MaxPerDay = 1 }, want: all},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := diary.Wish{Need: 2 * time.Hour}
			r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 9 * 60, To: 13 * 60})}
			if tt.change != nil {
				tt.change(&w, &r)
			}
			now := at(t, "2026-12-04 00:00")
			if tt.now != "" {
				now = at(t, tt.now)
			}
			var want []string
			for _, clock := range tt.want {
				want = append(want, today+" "+clock)
			}
			got := starts(diary.Free(map[string]diary.Day{today: {Entries: tt.entries}}, w, r, now))
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestHorizonCountsLocalDays(t *testing.T) {
	r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 9 * 60, To: 10 * 60}), HorizonDays: 2}
	// Half past midnight on the 2nd in London is still the 1st in UTC.
	now := moment(t, time.RFC3339, "2026-07-01T23:30:00Z", time.UTC)
	want := []string{"2026-07-02 09:00", "2026-07-03 09:00", "2026-07-04 09:00"}
	if diff := cmp.Diff(want, starts(diary.Free(nil, diary.Wish{Need: time.Hour}, r, now))); diff != "" {
		t.Error(diff)
	}
}

// Around every clock change until 2037, as tzdata has them, nine o'clock stays
// nine o'clock.
func TestNineOClockOverClockChanges(t *testing.T) {
	loc := london(t)
	r := diary.Rules{Loc: loc, Hours: everyDay(diary.Span{From: 9 * 60, To: 10 * 60}), HorizonDays: 2}
	before := 0
	for _, row := range table(t, "clock_changes.csv") {
		change, after := moment(t, time.RFC3339, row[0], time.UTC), int(number(t, row[2]))
		slots := diary.Free(nil, diary.Wish{Need: time.Hour}, r, change.AddDate(0, 0, -1))
		offsets := []int{before, after, after}
		if len(slots) != len(offsets) {
			t.Fatalf("%s: %v", row[0], starts(slots))
		}
		for i, s := range slots {
			want := time.Date(change.Year(), change.Month(), change.Day()+i-1, 9, 0, 0, 0, time.UTC).Add(-time.Duration(offsets[i]) * time.Second)
			if !s.Start.Equal(want) || s.Start.Format("15:04") != "09:00" {
				t.Errorf("%s, day %d: %v, want %v", row[0], i, s.Start, want)
			}
		}
		before = after
	}
}

// The day of the change in spring has 23 hours, the one in autumn 25. A time
// the clock skips is the moment of the change.
func TestDaysOfOtherLengths(t *testing.T) {
	for _, tt := range []struct {
		day   string
		span  diary.Span
		first string
		count int
	}{
		{"2026-03-29", diary.Span{To: 1440}, "2026-03-29T00:00:00Z", 46},
		{"2026-10-25", diary.Span{To: 1440}, "2026-10-24T23:00:00Z", 50},
		{"2026-03-28", diary.Span{To: 1440}, "2026-03-28T00:00:00Z", 48},
		{"2026-03-29", diary.Span{From: 75, To: 240}, "2026-03-29T01:00:00Z", 4},
		{"2026-03-29", diary.Span{From: 0, To: 90}, "2026-03-29T00:00:00Z", 2},
	} {
		r := diary.Rules{Loc: london(t), Hours: everyDay(tt.span)}
		slots := diary.Free(nil, diary.Wish{Need: diary.Step}, r, at(t, tt.day+" 00:00"))
		if len(slots) != tt.count || slots[0].Start.UTC().Format(time.RFC3339) != tt.first {
			t.Errorf("%s %v: %d from %v, want %d from %s", tt.day, tt.span, len(slots), slots[0].Start.UTC(), tt.count, tt.first)
		}
	}
}

// West of Greenwich as well: on 8 March 2026 New York's clock goes from 02:00
// EST to 03:00 EDT, which is 07:00 UTC (tzdata, from memory).
func TestSkippedTimeInTheWest(t *testing.T) {
	newYork, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Fatal(err)
	}
	r := diary.Rules{Loc: newYork, Hours: everyDay(diary.Span{From: 150, To: 240})}
	got := starts(diary.Free(nil, diary.Wish{Need: diary.Step}, r, time.Date(2026, time.March, 8, 0, 0, 0, 0, newYork)))
	if diff := cmp.Diff([]string{"2026-03-08 03:00", "2026-03-08 03:30"}, got); diff != "" {
		t.Error(diff)
	}
}

// A clock moved at midnight: on 26 April 2024 Cairo's showed 01:00 after 23:59
// (tzdata, from memory).
func TestMidnightSkipped(t *testing.T) {
	cairo, err := time.LoadLocation("Africa/Cairo")
	if err != nil {
		t.Fatal(err)
	}
	r := diary.Rules{Loc: cairo, Hours: everyDay(diary.Span{To: 120})}
	now := time.Date(2024, time.April, 26, 1, 0, 0, 0, cairo)
	got := starts(diary.Free(nil, diary.Wish{Need: diary.Step}, r, now))
	if diff := cmp.Diff([]string{"2024-04-26 01:00", "2024-04-26 01:30"}, got); diff != "" {
		t.Error(diff)
	}
}

// Sunset on the shortest day of 2026 is at 15:53 in London and 15:39 in
// Edinburgh, sunrise at 08:03 and 08:42 (testdata/sun_grid.csv); work has to be
// over three quarters of an hour before.
func TestOutdoorWorkEndsBeforeDusk(t *testing.T) {
	capital := diary.Point{Lat: 51.5074, Lon: -0.1278}
	edinburgh := diary.Point{Lat: 55.9533, Lon: -3.1883}
	for _, tt := range []struct {
		name        string
		wish        diary.Wish
		base        diary.Point
		first, last string
	}{
		{"indoors", diary.Wish{Point: capital}, diary.Point{}, "06:00", "19:00"},
		{"London", diary.Wish{Outdoor: true, Point: capital}, edinburgh, "08:30", "14:00"},
		{"Edinburgh", diary.Wish{Outdoor: true, Point: edinburgh}, capital, "09:00", "13:30"},
		{"from the base", diary.Wish{Outdoor: true}, edinburgh, "09:00", "13:30"},
		{"dries in the open", diary.Wish{Outdoor: true, Point: capital, Dry: time.Hour}, edinburgh, "08:30", "13:00"},
		{"beyond the polar circle", diary.Wish{Outdoor: true, Point: diary.Point{Lat: 69.65, Lon: 18.96}}, edinburgh, "", ""},
	} {
		tt.wish.Need = time.Hour
		r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 6 * 60, To: 20 * 60}), Base: tt.base, Dusk: margin}
		slots := diary.Free(nil, tt.wish, r, at(t, "2026-12-21 00:00"))
		var first, last string
		if len(slots) > 0 {
			first, last = slots[0].Start.Format("15:04"), slots[len(slots)-1].Start.Format("15:04")
		}
		if first != tt.first || last != tt.last {
			t.Errorf("%s: %s to %s, want %s to %s", tt.name, first, last, tt.first, tt.last)
		}
	}
}

// Without any place, the day is taken for that of the middle of Britain: the
// first start is after that sunrise, and no later than in the north.
func TestOutdoorWorkAtNoKnownPlace(t *testing.T) {
	r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 6 * 60, To: 20 * 60}), Dusk: margin}
	slots := diary.Free(nil, diary.Wish{Need: time.Hour, Outdoor: true}, r, at(t, "2026-12-21 00:00"))
	if got := starts(slots); len(got) == 0 || got[0] != "2026-12-21 08:30" || got[len(got)-1] != "2026-12-21 14:00" {
		t.Errorf("%v", got)
	}
}

func TestMidnightSunSetsNoBounds(t *testing.T) {
	r := diary.Rules{Loc: time.UTC, Hours: everyDay(diary.Span{To: 1440})}
	tromso := diary.Point{Lat: 69.65, Lon: 18.96}
	slots := diary.Free(nil, diary.Wish{Need: diary.Step, Outdoor: true, Point: tromso}, r, at(t, "2026-06-21 01:00"))
	if len(slots) != 48 {
		t.Errorf("%d starts, want 48", len(slots))
	}
}

func TestPreferenceAndNeighbours(t *testing.T) {
	r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 9 * 60, To: 15 * 60}), HorizonDays: 1, Buffer: 30 * time.Minute}
	w := diary.Wish{Need: time.Hour, Prefer: []diary.Times{{Weekdays: []time.Weekday{time.Saturday}, StartFrom: 720}}}
	days := map[string]diary.Day{"2026-12-04": {Entries: []diary.Entry{
		entry(t, "a", diary.Booked, "09:00", "10:00"), entry(t, "b", diary.Off, "13:00", "13:30"),
	}}}
	var fit, beside []string
	for s := range diary.Starts(days, w, r, at(t, "2026-12-04 00:00")) {
		if s.Fits {
			fit = append(fit, s.Start.Format("Mon 15:04"))
		}
		if s.Beside {
			beside = append(beside, s.Start.Format("Mon 15:04"))
		}
	}
	want := [][]string{{"Sat 12:00", "Sat 12:30", "Sat 13:00", "Sat 13:30", "Sat 14:00"}, {"Fri 10:30"}}
	if diff := cmp.Diff(want, [][]string{fit, beside}); diff != "" {
		t.Error(diff)
	}
}

func TestOffer(t *testing.T) {
	slot := func(s string, fits, beside bool) diary.Slot {
		return diary.Slot{Start: at(t, s), End: at(t, s).Add(2 * time.Hour), Fits: fits, Beside: beside}
	}
	var week []diary.Slot
	for d := at(t, "2026-12-07 00:00"); d.Before(at(t, "2026-12-12 00:00")); d = d.AddDate(0, 0, 1) {
		for _, hour := range []int{9, 10, 11, 12, 13, 14} {
			week = append(week, diary.Slot{Start: d.Add(time.Duration(hour) * time.Hour), End: d.Add(time.Duration(hour+2) * time.Hour)})
		}
	}
	marked := slices.Clone(week)
	marked[16].Beside = true // Wednesday, one o'clock
	marked[25].Fits = true   // Friday, ten
	driven := slices.Clone(marked)
	driven[16].Drive = 40 * time.Minute
	driven[21].Beside, driven[21].Drive = true, 10*time.Minute // Thursday, noon
	driven[22].Beside, driven[22].Drive = true, 10*time.Minute
	for _, tt := range []struct {
		name string
		free []diary.Slot
		n    int
		want []string
	}{
		{"the least driving", driven, 3, []string{"2026-12-07 09:00", "2026-12-10 12:00", "2026-12-11 10:00"}},
		{"nothing free", nil, 4, nil},
		{"nothing wanted", week, 0, nil},
		{"days and halves in turn", week, 4, []string{"2026-12-07 09:00", "2026-12-08 12:00", "2026-12-09 09:00", "2026-12-10 12:00"}},
		{"one", marked, 1, []string{"2026-12-07 09:00"}},
		{"what fits before what is near", marked, 2, []string{"2026-12-07 09:00", "2026-12-11 10:00"}},
		{"earliest, fitting, near, other", marked, 4, []string{"2026-12-07 09:00", "2026-12-08 09:00", "2026-12-09 13:00", "2026-12-11 10:00"}},
		{"one day only", week[:6], 4, []string{"2026-12-07 09:00", "2026-12-07 10:00", "2026-12-07 11:00", "2026-12-07 12:00"}},
		{"fewer than wanted", week[:1], 4, []string{"2026-12-07 09:00"}},
		{"earliest is all of it", []diary.Slot{slot("2026-12-07 09:00", true, true), slot("2026-12-08 09:00", true, true)}, 1, []string{"2026-12-07 09:00"}},
	} {
		if diff := cmp.Diff(tt.want, starts(diary.Offer(tt.free, tt.n))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
}

// From nine to twelve and from one to five, a job of five hours is worked on over
// the break; one of three is not, though it could begin at eleven.
func TestLongJobPausesOverTheBreak(t *testing.T) {
	r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 9 * 60, To: 12 * 60}, diary.Span{From: 13 * 60, To: 17 * 60})}
	for _, tt := range []struct {
		need time.Duration
		want []string
	}{
		{3 * time.Hour, []string{"09:00-12:00", "13:00-16:00", "13:30-16:30", "14:00-17:00"}},
		{5 * time.Hour, []string{"09:00-15:00", "09:30-15:30", "10:00-16:00", "10:30-16:30", "11:00-17:00"}},
		{7 * time.Hour, []string{"09:00-17:00"}},
	} {
		var got []string
		for _, s := range diary.Free(nil, diary.Wish{Need: tt.need}, r, at(t, "2026-12-04 00:00")) {
			got = append(got, s.Start.Format("15:04-")+s.End.Format("15:04"))
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%v (-want +got):\n%s", tt.need, diff)
		}
	}
}

// Twenty hours on days of eight: two whole days and a half in a row of working
// days, from an opening on. Friday 4 December 2026 is today, and Monday the 14th is
// closed; the weekends are free.
func TestJobOfSeveralDays(t *testing.T) {
	hours := everyDay(diary.Span{From: 9 * 60, To: 17 * 60})
	delete(hours, time.Saturday)
	delete(hours, time.Sunday)
	r := diary.Rules{Loc: london(t), Hours: hours, HorizonDays: 12, Closed: map[string]bool{"2026-12-14": true}}
	off := diary.Entry{ID: "off", Kind: diary.Off, Start: at(t, "2026-12-09 09:00"), End: at(t, "2026-12-09 10:00")}
	job := diary.Entry{ID: "job", Kind: diary.Booked, Start: at(t, "2026-12-08 14:00"), End: at(t, "2026-12-08 16:00")}
	const layout = "Mon 2 15:04"
	for _, tt := range []struct {
		name string
		days map[string]diary.Day
		wish diary.Wish
		want []string
	}{
		{"empty", nil, diary.Wish{}, []string{
			"Fri 4 09:00 - Tue 8 13:00", "Mon 7 09:00 - Wed 9 13:00", "Tue 8 09:00 - Thu 10 13:00",
			"Wed 9 09:00 - Fri 11 13:00", "Thu 10 09:00 - Tue 15 13:00", "Fri 11 09:00 - Wed 16 13:00",
		}},
		{"an hour off, and a job on an afternoon", map[string]diary.Day{"2026-12-08": {Entries: []diary.Entry{job}}, "2026-12-09": {Entries: []diary.Entry{off}}}, diary.Wish{}, []string{
			"Fri 4 09:00 - Tue 8 13:00", "Thu 10 09:00 - Tue 15 13:00", "Fri 11 09:00 - Wed 16 13:00",
		}},
		{"dry before closing", nil, diary.Wish{Dry: 5 * time.Hour}, nil},
		{"not on a Tuesday", nil, diary.Wish{Only: diary.Times{Not: []time.Weekday{time.Tuesday}}}, []string{"Wed 9 09:00 - Fri 11 13:00"}},
		{"back by Thursday", nil, diary.Wish{To: at(t, "2026-12-10 13:00")}, []string{
			"Fri 4 09:00 - Tue 8 13:00", "Mon 7 09:00 - Wed 9 13:00", "Tue 8 09:00 - Thu 10 13:00",
		}},
	} {
		tt.wish.Need = 20 * time.Hour
		var got []string
		for _, s := range diary.Free(tt.days, tt.wish, r, at(t, "2026-12-04 08:00")) {
			got = append(got, s.Start.Format(layout)+" - "+s.End.Format(layout))
			if s.Days != 3 {
				t.Errorf("%s: %v takes %d days", tt.name, s.Start, s.Days)
			}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
	var got []string
	for _, s := range r.Stretches(at(t, "2026-12-11 09:00"), at(t, "2026-12-16 13:00")) {
		got = append(got, s.Date+" "+s.Start.Format(layout)+" - "+s.End.Format(layout))
	}
	want := []string{"2026-12-11 Fri 11 09:00 - Fri 11 17:00", "2026-12-15 Tue 15 09:00 - Tue 15 17:00", "2026-12-16 Wed 16 09:00 - Wed 16 13:00"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("stretches (-want +got):\n%s", diff)
	}
}

// London's sun on the shortest day allows work from 08:04 to 15:08 (testdata): a
// job of eight hours outdoors fits into no day, and into two.
func TestShortDaysSpread(t *testing.T) {
	capital := diary.Point{Lat: 51.5074, Lon: -0.1278}
	r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 8 * 60, To: 18 * 60}), HorizonDays: 1, Dusk: margin}
	w := diary.Wish{Need: 8 * time.Hour, Outdoor: true, Point: capital}
	if got := diary.Free(nil, w, r, at(t, "2026-12-20 00:00")); len(got) != 0 {
		t.Errorf("in a day: %v", starts(got))
	}
	w.Spread = true
	got := diary.Free(nil, w, r, at(t, "2026-12-20 00:00"))
	// On the 20th from 08:30 to 15:07, which leaves 1 h 23 min.
	if len(got) != 1 || got[0].Days != 2 || got[0].End.Format("2 15:04") != "21 09:53" {
		t.Errorf("in two: %+v", got)
	}
	// The days are taken whole: what comes after dark is in the way as well.
	evening := diary.Entry{ID: "a", Kind: diary.Booked, Start: at(t, "2026-12-20 17:00"), End: at(t, "2026-12-20 18:00")}
	if got := diary.Free(map[string]diary.Day{"2026-12-20": {Entries: []diary.Entry{evening}}}, w, r, at(t, "2026-12-20 00:00")); len(got) != 0 {
		t.Errorf("before another job in the evening: %v", starts(got))
	}
}

// Driving for a job between two others is what it adds: with 60 km/h and straight
// roads, a degree of latitude is 112 minutes (111.19 km), rounded up.
func TestDriving(t *testing.T) {
	r := diary.Rules{
		Loc: london(t), Hours: everyDay(diary.Span{From: 6 * 60, To: 22 * 60}), Base: diary.Point{Lat: 52, Lon: -1},
		Travel: diary.Travel{RoadFactor: 1, KmPerHour: 60},
	}
	job := func(id, from, to string, lat float64) diary.Entry {
		e := entry(t, id, diary.Booked, from, to)
		e.Lat, e.Lon = lat, -1
		return e
	}
	w := diary.Wish{Need: time.Hour, Point: diary.Point{Lat: 53, Lon: -1}, Only: diary.Times{StartFrom: 13 * 60, StartBefore: 13*60 + 1}}
	for _, tt := range []struct {
		name string
		day  []diary.Entry
		home bool
		want string
	}{
		{"there and back", nil, false, "3h44m0s"},
		{"on the way home, but for the rounding", []diary.Entry{job("a", "08:00", "09:00", 54)}, false, "1m0s"},
		{"further out than the next", []diary.Entry{job("b", "18:00", "19:00", 52.5)}, false, "1h52m0s"},
		{"between two", []diary.Entry{job("a", "08:00", "09:00", 54), job("b", "18:00", "19:00", 54)}, false, "3h44m0s"},
		{"time off is no neighbour", []diary.Entry{entry(t, "off", diary.Off, "11:00", "12:00")}, false, "3h44m0s"},
		{"first way in working hours", nil, true, "3h44m0s"},
	} {
		r.DriveInHours = tt.home
		got := diary.Free(map[string]diary.Day{"2026-12-04": {Entries: tt.day}}, w, r, at(t, "2026-12-04 00:00"))
		if len(got) != 1 || got[0].Drive.String() != tt.want {
			t.Errorf("%s: %+v, want one of %s", tt.name, got, tt.want)
		}
	}
	w.Only = diary.Times{}
	free := starts(diary.Free(nil, w, r, at(t, "2026-12-04 00:00")))
	// Open from six, and 1 h 52 min to drive; home by ten at night.
	if len(free) == 0 || free[0] != "2026-12-04 08:00" || free[len(free)-1] != "2026-12-04 19:00" {
		t.Errorf("driving in working hours: %v", free)
	}
}

// A coat that cures for twelve hours keeps the car overnight, if it may stay.
func TestOvernight(t *testing.T) {
	r := diary.Rules{Loc: london(t), Hours: everyDay(diary.Span{From: 9 * 60, To: 17 * 60})}
	w := diary.Wish{Need: 7 * time.Hour, Dry: 12 * time.Hour}
	if got := diary.Free(nil, w, r, at(t, "2026-12-04 00:00")); len(got) != 0 {
		t.Errorf("without staying: %v", starts(got))
	}
	w.Overnight = true
	got := diary.Free(nil, w, r, at(t, "2026-12-04 00:00"))
	if len(got) != 3 || got[0].Ready.Format("2 15:04") != "5 04:00" {
		t.Errorf("staying: %+v", got)
	}
}

// What is nearest to a day comes from both sides of it, other halves of days before
// more of the same.
func TestNearest(t *testing.T) {
	at := func(day, hour int) diary.Slot {
		return diary.Slot{Start: time.Date(2026, 12, day, hour, 0, 0, 0, london(t))}
	}
	free := []diary.Slot{at(1, 9), at(8, 9), at(8, 10), at(8, 14), at(11, 9), at(11, 10), at(20, 9)}
	for _, tc := range []struct {
		day, n int
		want   []diary.Slot
	}{
		{10, 3, []diary.Slot{at(8, 9), at(8, 14), at(11, 9)}},
		{11, 3, []diary.Slot{at(8, 9), at(11, 9), at(11, 10)}},
		{30, 2, []diary.Slot{at(11, 9), at(20, 9)}},
		{2, 9, free},
	} {
		got := diary.Nearest(free, time.Date(2026, 12, tc.day, 0, 0, 0, 0, london(t)), tc.n)
		if diff := cmp.Diff(tc.want, got); diff != "" {
			t.Errorf("%d nearest to the %d. (-want +got):\n%s", tc.n, tc.day, diff)
		}
	}
}

// The last day of a job of several has an hour of it at least: the day before leaves as much.
func TestNobodyComesForAQuarterOfAnHour(t *testing.T) {
	loc, now := time.UTC, time.Date(2027, time.March, 8, 7, 0, 0, 0, time.UTC)
	rules := diary.Rules{Loc: loc, Hours: diary.Hours{}, HorizonDays: 5}
	for d := time.Monday; d <= time.Friday; d++ {
		rules.Hours[d] = []diary.Span{{From: 9 * 60, To: 17 * 60}}
	}
	for need, want := range map[time.Duration]string{
		8*time.Hour + 15*time.Minute: "Tue 10:00", // not 9:15
		8*time.Hour + 59*time.Minute: "Tue 10:00",
		10 * time.Hour:               "Tue 11:00",
		16*time.Hour + 5*time.Minute: "Wed 10:00",
	} {
		free := diary.Free(nil, diary.Wish{Need: need}, rules, now)
		if len(free) == 0 || free[0].End.Format("Mon 15:04") != want {
			t.Fatalf("%v of work: %v, want the end at %s", need, free[:min(1, len(free))], want)
		}
		if over, ok := rules.Over(diary.Wish{Need: need}, free[0].Start); !ok || !over.Equal(free[0].End) {
			t.Errorf("%v of work from %v is over at %v, want %v", need, free[0].Start, over, free[0].End)
		}
	}
}
