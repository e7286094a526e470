package diary_test

import (
	"encoding/json"
	"fmt"
	"syscall"
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
)

// year is a business's diary for a year, with so many of every ten working days
// taken from morning to evening and one job in the morning of the others.
func year(loc *time.Location, full int) question {
	q := question{days: map[string]diary.Day{}, wish: diary.Wish{Need: 3 * time.Hour, Point: diary.Point{Lat: 51.5, Lon: -0.1}}}
	q.now = time.Date(2026, time.November, 25, 10, 0, 0, 0, loc)
	q.rules = diary.Rules{
		Loc: loc, Hours: diary.Hours{}, Closed: map[string]bool{}, Notice: 24 * time.Hour, HorizonDays: 365, Buffer: 15 * time.Minute, MaxPerDay: 3,
		Travel: diary.Travel{RoadFactor: 1.3, KmPerHour: 45},
	}
	for d := time.Monday; d <= time.Saturday; d++ {
		q.rules.Hours[d] = []diary.Span{{From: 8 * 60, To: 17*60 + 30}}
	}
	for _, year := range []int{2026, 2027} {
		holidays, err := diary.Holidays(diary.EnglandAndWales, year)
		if err != nil {
			panic(err)
		}
		for _, h := range holidays {
			q.rules.Closed[h.Date] = true
		}
	}
	for i := range 366 {
		hours := [][2]int{{8, 10}}
		if i%10 < full {
			hours = [][2]int{{8, 12}, {13, 17}}
		}
		var day diary.Day
		for _, h := range hours {
			start := time.Date(2026, time.November, 25+i, h[0], 0, 0, 0, loc)
			day.Place(diary.Entry{ID: fmt.Sprint(i, h), Kind: diary.Booked, Start: start, End: start.Add(time.Duration(h[1]-h[0]) * time.Hour), Point: diary.Point{Lat: 51.6, Lon: -0.2}})
		}
		q.days[diary.Key(day.Entries[0].Start, loc)] = day
	}
	return q
}

func BenchmarkYear(b *testing.B) {
	loc := london(b)
	// few are enough starts to offer some from: those of four days.
	few := func(book *diary.Book, w diary.Wish) int {
		days, last := 0, -1
		for s := range book.Starts(w) {
			if day := s.Start.YearDay(); day != last {
				days, last = days+1, day
			}
			if days == 4 {
				break
			}
		}
		return days
	}
	all := func(book *diary.Book, w diary.Wish) int { return len(book.Free(w)) }
	for _, bm := range []struct {
		name   string
		full   int
		opened bool // searched before
		laid   bool // out before
		run    func(*diary.Book, diary.Wish) int
		want   int
	}{
		{"first few, seven days in ten full", 7, true, true, few, 4},
		{"not one day free", 10, true, true, few, 0},
		{"all, seven days in ten full", 7, true, true, all, 712},
		{"newly opened, first few, seven days in ten full", 7, false, true, few, 4},
		{"newly opened, not one day free", 10, false, true, few, 0},
		{"laid out and newly opened, not one day free", 10, false, false, few, 0},
	} {
		b.Run(bm.name, func(b *testing.B) {
			q := year(loc, bm.full)
			days := diary.Ahead(q.days, q.rules, q.now)
			book := diary.NewBook(days, q.rules, q.now)
			book.Free(q.wish)
			b.ReportAllocs()
			began := cpu(b)
			for b.Loop() {
				if !bm.laid {
					days = diary.Ahead(q.days, q.rules, q.now)
				}
				if !bm.opened {
					book = diary.NewBook(days, q.rules, q.now)
				}
				if got := bm.run(book, q.wish); got != bm.want {
					b.Fatalf("found %d, want %d", got, bm.want)
				}
			}
			b.ReportMetric(float64(cpu(b)-began)/float64(b.N), "cpu-ns/op")
		})
	}
}

// BenchmarkReadYear is what comes before a search of such a year where it is kept
// as JSON, a document a day.
func BenchmarkReadYear(b *testing.B) {
	var bodies [][]byte
	size := 0
	for _, day := range year(london(b), 10).days {
		body, err := json.Marshal(day)
		if err != nil {
			b.Fatal(err)
		}
		bodies, size = append(bodies, body), size+len(body)
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	began := cpu(b)
	for b.Loop() {
		for _, body := range bodies {
			var day diary.Day
			if err := json.Unmarshal(body, &day); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(float64(cpu(b)-began)/float64(b.N), "cpu-ns/op")
}

// cpu is the time this process has had of the processors: what others do on the
// machine meanwhile does not count.
func cpu(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
