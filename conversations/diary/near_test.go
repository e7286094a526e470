package diary_test

import (
	"slices"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"pgregory.net/rapid"
)

// The offer beside other work is the one that is driven least for: in diaries with a job
// a day at places all over, none that begins in a half of a day not on offer anyway costs
// less. And who is out already never drives more for it than from the base and back.
func TestOfferDrivesLess(t *testing.T) {
	loc := london(t)
	choices := 0
	look := func(t *rapid.T) {
		d := draws{t}
		point := func(label string) diary.Point {
			return diary.Point{Lat: 53.5 + float64(rapid.IntRange(0, 20).Draw(t, label))/40, Lon: -2 + float64(rapid.IntRange(0, 20).Draw(t, label))/30}
		}
		now := time.Date(2027, 4, 12, 8, 0, 0, 0, loc)
		r := diary.Rules{Loc: loc, Hours: diary.Hours{}, HorizonDays: 9, Notice: 24 * time.Hour, Base: point("base"), Travel: diary.Travel{RoadFactor: 1.3, KmPerHour: 50}}
		days := map[string]diary.Day{}
		for i := range 10 {
			at := time.Date(2027, 4, 12+i, 0, 0, 0, 0, loc)
			r.Hours[at.Weekday()] = []diary.Span{{From: 540, To: 1020}}
			start := at.Add(9*time.Hour + time.Duration(rapid.IntRange(0, 12).Draw(t, "start"))*diary.Step)
			days[at.Format(time.DateOnly)] = diary.Day{Entries: []diary.Entry{{ID: "job", Kind: diary.Booked, Start: start, End: start.Add(2 * time.Hour), Point: point("job")}}}
		}
		w := diary.Wish{Need: d.minutes("need", 60, 150), Point: point("place")}
		free := diary.Free(days, w, r, now)
		offer := diary.Offer(free, 4)
		half := func(s diary.Slot) string { return s.Start.Format(time.DateOnly) + string(diary.PartOf(s.Start)) }
		on := map[string]bool{}
		least := time.Duration(-1)
		for _, s := range offer {
			on[half(s)] = true
			if s.Beside && (least < 0 || s.Drive < least) {
				least = s.Drive
			}
		}
		costs := map[time.Duration]bool{}
		for _, s := range free {
			// Full minutes are rounded up.
			if alone := 2 * r.Travel.Between(r.Base, w.Point); s.Drive > alone+3*time.Minute {
				t.Fatalf("%v costs %v of driving, alone it would be %v", s.Start, s.Drive, alone)
			}
			if s.Beside && !on[half(s)] && !free[0].Beside {
				costs[s.Drive] = true
				if least < 0 || s.Drive < least {
					t.Fatalf("%v is beside other work for %v of driving, and not offered: %v", s.Start, s.Drive, starts(offer))
				}
			}
		}
		if !slices.ContainsFunc(offer, func(s diary.Slot) bool { return s.Beside }) && slices.ContainsFunc(free, func(s diary.Slot) bool { return s.Beside && half(s) != half(free[0]) }) {
			t.Fatalf("none beside other work is offered: %v", starts(offer))
		}
		choices += count(len(costs) > 1)
	}
	for lots := 0; choices < 20 && lots < 8 && !t.Failed(); lots++ { // chance may leave few in the first
		rapid.Check(t, look)
	}
	if choices < 20 {
		t.Errorf("there was something to choose from %d times only", choices)
	}
}
