package diary_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations/diary"
)

// Time off lies around what is there, is cut by what is given back of it, and lets
// in nobody new.
func TestTimeOff(t *testing.T) {
	at := func(hour int) time.Time { return time.Date(2026, 12, 4, hour, 0, 0, 0, time.UTC) }
	job := diary.Entry{ID: "a", Start: at(10), End: at(12), Kind: diary.Asked}
	var d diary.Day
	if !d.Place(job) {
		t.Fatal("an empty day has no room")
	}
	if jobs := d.TakeOff("off", at(9), at(17)); len(jobs) != 1 || jobs[0] != job {
		t.Errorf("in it: %v", jobs)
	}
	job.Kind = diary.Booked
	if !d.Place(job) {
		t.Error("what stands in time off cannot be agreed to")
	}
	later := job
	later.Start, later.End = at(13), at(15)
	if !d.Place(later) {
		t.Error("what stands in time off cannot run late in it")
	}
	if d.Place(diary.Entry{ID: "b", Start: at(16), End: at(18), Kind: diary.Hold}) || d.Place(diary.Entry{ID: "b", Start: at(12), End: at(14), Kind: diary.Hold}) {
		t.Error("somebody else is let in")
	}
	copied := d
	if was := d.GiveBack(at(11), at(14)); len(was) != 1 || was[0].Start != at(11) || was[0].End != at(14) {
		t.Errorf("given back: %v", was)
	}
	want := []diary.Entry{
		{ID: "off", Start: at(9), End: at(11), Kind: diary.Off}, later, {ID: "off", Start: at(14), End: at(17), Kind: diary.Off},
	}
	if diff := cmp.Diff(want, d.Entries); diff != "" {
		t.Errorf("after that (-want +got):\n%s", diff)
	}
	if len(copied.Entries) != 2 {
		t.Errorf("the day that was is %v", copied.Entries)
	}
	if d.GiveBack(at(11), at(14)) != nil {
		t.Error("given back twice")
	}
	d.Remove("off")
	if len(d.Entries) != 1 {
		t.Errorf("without time off: %v", d.Entries)
	}
}

func TestOpen(t *testing.T) {
	r := diary.Rules{Hours: diary.Hours{time.Friday: {{From: 540, To: 720}, {From: 780, To: 1020}}}, Closed: map[string]bool{"2026-12-25": true}}
	extra := diary.Day{Extra: []diary.Span{{From: 1000, To: 1200}, {From: 480, To: 540}}}
	for _, tc := range []struct {
		date string
		day  diary.Day
		want []diary.Span
	}{
		{"2026-12-04", diary.Day{}, []diary.Span{{From: 540, To: 720}, {From: 780, To: 1020}}},
		{"2026-12-04", extra, []diary.Span{{From: 480, To: 720}, {From: 780, To: 1200}}},
		{"2026-12-25", diary.Day{}, nil},
		{"2026-12-25", extra, []diary.Span{{From: 480, To: 540}, {From: 1000, To: 1200}}},
	} {
		if diff := cmp.Diff(tc.want, r.Open(tc.date, time.Friday, tc.day)); diff != "" {
			t.Errorf("%s with %v (-want +got):\n%s", tc.date, tc.day.Extra, diff)
		}
	}
}
