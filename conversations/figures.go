package conversations

import (
	"fmt"
	"math"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// figures tells the owner what this month has come to: jobs, money, time, how good
// the prices were, and how customers see their own cars.
func (t *turn) figures(c *Chat) {
	y, m, d := t.now.Date()
	first := time.Date(y, m, 1, 0, 0, 0, 0, t.Zone)
	var s sums
	s.gradings = map[pricing.Area]gap{}
	seen := map[string]bool{}
	for i := range d {
		for _, en := range t.day(diary.Key(first.AddDate(0, 0, i), t.Zone)).Entries {
			e := t.enquiry(en.ID)
			if e == nil || seen[e.ID] || en.Kind != diary.Booked {
				continue
			}
			seen[e.ID] = true
			s.add(e)
		}
	}
	if len(t.out.Need) > 0 {
		return // comes again with all of it
	}
	f := wording.Facts{Day: t.Words.Month(first), Count: s.done, Minutes: s.booked - s.done}
	if s.done == 0 {
		t.tell(c.ID, wording.OwnerFigures, f)
		return
	}
	f.Likely = pounds(s.pence)
	f.Hours = t.length(float64(s.minutes))
	f.Low = pricing.Pence(math.Round(float64(s.pence) / float64(s.minutes) * 60)).Near(100).String()
	f.Items = append(f.Items, t.word(wording.FiguresInRange, wording.Facts{Count: s.inRange, Minutes: s.done}))
	if s.reckoned > 0 {
		off := int(math.Round(100 * (float64(s.minutes)/s.reckoned - 1)))
		f.Items = append(f.Items, t.word(wording.FiguresPace, wording.Facts{Count: off, Minutes: -off}))
	}
	for _, a := range t.Rules.Areas() {
		if g := s.gradings[a.ID]; g.n > 0 {
			by := math.Round(10*float64(g.sum)/float64(g.n)) / 10
			f.Items = append(f.Items, t.word(wording.FiguresGrading, wording.Facts{Text: a.Name, When: fmt.Sprintf("%+.1f", by), Count: g.n}))
		}
	}
	t.tell(c.ID, wording.OwnerFigures, f)
}

// sums are what a month's bookings add up to.
type sums struct {
	booked, done, inRange int
	minutes               int
	reckoned              float64
	pence                 int64
	gradings              map[pricing.Area]gap
}

// gap is how many grades worse an area was than said, summed, and how often both
// are known.
type gap struct{ sum, n int }

func (s *sums) add(e *Enquiry) {
	s.booked++
	for area, seen := range e.Graded {
		if said := e.said(area); said > 0 {
			g := s.gradings[area]
			s.gradings[area] = gap{g.sum + int(seen) - int(said), g.n + 1}
		}
	}
	if e.Stage != Done || e.Work == nil || e.Quote == nil {
		return
	}
	s.done++
	s.minutes += e.Work.Minutes
	s.reckoned += e.Quote.P50
	s.pence += e.Work.Price
	if low, high := e.Quote.Low, e.Quote.High; e.Work.Price >= low && e.Work.Price <= high {
		s.inRange++
	}
}

// said is the grade the customer chose for an area, 0 if none.
func (e *Enquiry) said(a pricing.Area) pricing.Grade {
	if s := e.answer(askCond + string(a)); len(s) == 1 && s[0] >= '1' && s[0] <= '4' {
		return pricing.Grade(s[0] - '0')
	}
	return 0
}
