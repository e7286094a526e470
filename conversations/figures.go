package conversations

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/chart"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The spans the owner's figures are of.
const (
	figuresWeek  = "week"
	figuresMonth = "month"
	figuresLast  = "last" // month
	figuresPast  = "past" // week
)

// stretch is some whole days, both ends included, in parts that make a bar each.
type stretch struct {
	name     string
	from, to time.Time
	parts    []time.Time // the first day of each
}

// stretchOf are the days of one of the spans.
func (t *turn) stretchOf(span string) stretch {
	y, m, d := t.now.Date()
	today := time.Date(y, m, d, 0, 0, 0, 0, t.Zone)
	monday := func(day time.Time) time.Time { return day.AddDate(0, 0, -(int(day.Weekday())+6)%7) }
	if span == figuresWeek || span == figuresPast {
		s := stretch{name: t.label(wording.LabelThisWeek), from: monday(today)}
		if span == figuresPast {
			s.from = s.from.AddDate(0, 0, -7)
		}
		s.to = s.from.AddDate(0, 0, 6)
		if span == figuresPast {
			s.name = t.word(wording.FiguresWeek, wording.Facts{Day: t.Words.Date(s.from), Until: t.Words.Date(s.to)})
		}
		for i := range 7 {
			s.parts = append(s.parts, s.from.AddDate(0, 0, i))
		}
		return s
	}
	first := time.Date(y, m, 1, 0, 0, 0, 0, t.Zone)
	if span == figuresLast {
		first = first.AddDate(0, -1, 0)
	}
	s := stretch{name: t.Words.Month(first), from: first, to: first.AddDate(0, 1, -1)}
	for at := first; !at.After(s.to); at = monday(at).AddDate(0, 0, 7) {
		s.parts = append(s.parts, at)
	}
	return s
}

// figuresSaid is the span whose figures are asked for: "how much did I make last week". It
// reports false for anything else.
func (t *turn) figuresSaid(said string) (span string, ok bool) {
	words := strings.Fields(said)
	n := longestOf(t.typed(wording.SayFigures), words)
	rest := strings.Join(words[n:], " ")
	for _, s := range []struct {
		say  wording.Key
		span string
	}{{wording.LabelThisWeek, figuresWeek}, {wording.LabelThisMonth, figuresMonth}, {wording.LabelLastMonth, figuresLast}, {wording.SayLastWeek, figuresPast}} {
		if n > 0 && t.saysJust(rest, t.typed(s.say)) {
			return s.span, true
		}
	}
	return figuresMonth, t.means(said, wording.SayFigures)
}

// figures tells the owner what a week or a month has come to: how many asked, what
// was earned, how good the prices were; in words under a picture.
func (t *turn) figures(c *Chat, span string) {
	s := t.stretchOf(span)
	all := sums{bars: make([]sums, len(s.parts)), gradings: map[pricing.Area]gap{}}
	seen := map[string]bool{}
	part := 0
	for day := s.from; !day.After(s.to); day = day.AddDate(0, 0, 1) {
		for part+1 < len(s.parts) && !day.Before(s.parts[part+1]) {
			part++
		}
		for _, en := range t.day(diary.Key(day, t.Zone)).Entries {
			e := t.enquiry(en.ID)
			if e == nil || seen[e.ID] || en.Kind != diary.Booked {
				continue
			}
			seen[e.ID] = true
			all.add(e)
			all.bars[part].add(e)
		}
	}
	asked := t.counted(s.from, s.to)
	due := t.dueIn(s)
	if len(t.out.Need) > 0 {
		return // comes again with all of it
	}
	ways := t.runRow(named{runFigures + figuresWeek, wording.LabelThisWeek}, named{runFigures + figuresMonth, wording.LabelThisMonth}, named{runFigures + figuresLast, wording.LabelLastMonth})
	more := append(t.deskRow(named{deskDue, wording.LabelDue}), t.runRow(named{runLearned, wording.LabelLearned})...)
	m := bot.Message{Chat: c.ID, Text: t.figuresWords(s, all, asked, due), Choices: [][]bot.Choice{ways, more}, Kind: "figures"}
	if all.booked > 0 {
		picture, err := chart.PNG(t.drawn(s, all))
		if err != nil {
			t.fail(fmt.Errorf("conversations: figures: %w", err))
			return
		}
		m.File = &bot.File{Name: "figures.png", Data: picture, Shown: true}
	}
	t.say(m)
}

func (t *turn) figuresWords(s stretch, all sums, asked Count, due int) string {
	f := wording.Facts{Day: s.name, Count: all.done, Minutes: all.booked - all.done}
	if asked.Enquiries > 0 {
		f.Out = append(f.Out, t.word(wording.FiguresAsked, wording.Facts{Count: asked.Enquiries, Minutes: asked.Quotes, Now: fmt.Sprint(all.booked)}))
	}
	if due > 0 {
		f.Out = append(f.Out, t.word(wording.FiguresDue, wording.Facts{Count: due}))
	}
	if all.done == 0 {
		f.Items = t.keptLine(asked, 0)
		return t.word(wording.OwnerFigures, f)
	}
	f.Likely = t.pounds(all.pence)
	f.Hours = t.length(float64(all.minutes))
	f.Low = t.pounds(int64(all.anHour()))
	f.Items = append(t.keptLine(asked, all.done), t.word(wording.FiguresInRange, wording.Facts{Count: all.inRange, Minutes: all.done}))
	if all.reckoned > 0 {
		off := int(math.Round(100 * (float64(all.minutes)/all.reckoned - 1)))
		f.Items = append(f.Items, t.word(wording.FiguresPace, wording.Facts{Count: off, Minutes: -off}))
	}
	for _, a := range t.Rules.Areas() {
		if g := all.gradings[a.ID]; g.n > 0 {
			by := math.Round(10*float64(g.sum)/float64(g.n)) / 10
			line := wording.Facts{Text: a.Name, Minutes: int(10 * by), Count: g.n}
			if by != 0 {
				line.When = fmt.Sprint(math.Abs(by))
			}
			f.Items = append(f.Items, t.word(wording.FiguresGrading, line))
		}
	}
	return t.word(wording.OwnerFigures, f)
}

// dueIn is how many are to be reminded in what is left of a span.
func (t *turn) dueIn(s stretch) (n int) {
	end := s.to.AddDate(0, 0, 1)
	if !t.now.Before(end) {
		return 0
	}
	for m := time.Date(t.now.Year(), t.now.Month(), 1, 0, 0, 0, 0, t.Zone); m.Before(end); m = m.AddDate(0, 1, 0) {
		var list []Listed
		t.read(string(listOf(m)), &list)
		for _, l := range list {
			if strings.HasPrefix(l.ID, CameNudge+":") && !l.At.Before(t.now) && l.At.Before(end) {
				n++
			}
		}
	}
	return n
}

// keptLine is what was kept of money in advance, beside what was earned: no hour was
// worked for it. None where nothing was.
func (t *turn) keptLine(asked Count, done int) []string {
	if asked.Kept <= 0 {
		return nil
	}
	return []string{t.word(wording.FiguresKept, wording.Facts{Likely: t.pounds(asked.Kept), Count: done})}
}

// drawn is the picture of a span: what each part of it earned, and what is booked.
func (t *turn) drawn(s stretch, all sums) chart.Chart {
	title := wording.Facts{Day: s.name, Likely: t.pounds(all.pence)}
	if all.minutes > 0 {
		title.Low = t.pounds(int64(all.anHour()))
	}
	c := chart.Chart{Title: t.word(wording.ChartTitle, title), Dark: t.label(wording.ChartEarned), Pale: t.label(wording.ChartBooked)}
	for i, b := range all.bars {
		bar := chart.Bar{Dark: float64(b.pence) / 100, Pale: float64(b.likely) / 100, Label: t.partName(s, i)}
		if sum := pricing.Pence(b.pence + b.likely); sum > 0 {
			bar.Value = t.pounds(int64(sum.Near(100)))
		}
		if b.booked > 0 {
			bar.Note = t.word(wording.ChartJobs, wording.Facts{Count: b.booked})
		}
		c.Bars = append(c.Bars, bar)
	}
	return c
}

// partName is the name of a bar: a day of the week, or the dates of one.
func (t *turn) partName(s stretch, i int) string {
	from, to := s.parts[i], s.to
	if i+1 < len(s.parts) {
		to = s.parts[i+1].AddDate(0, 0, -1)
	}
	switch {
	case len(s.parts) == 7 && from.Equal(to):
		return t.Words.Day(from.Weekday())
	case from.Equal(to):
		return fmt.Sprint(from.Day())
	}
	return fmt.Sprintf("%d–%d", from.Day(), to.Day())
}

// sums are what some bookings add up to.
type sums struct {
	booked, done, inRange int
	minutes               int
	reckoned              float64
	// pence were earned, likely is what is booked and not done yet.
	pence, likely int64
	gradings      map[pricing.Area]gap
	bars          []sums
}

// anHour is what an hour of work earned, to the pound.
func (s *sums) anHour() pricing.Pence {
	return pricing.Pence(math.Round(float64(s.pence) / float64(s.minutes) * 60)).Near(100)
}

// gap is how many grades worse an area was than said, summed, and how often both
// are known.
type gap struct{ sum, n int }

func (s *sums) add(e *Enquiry) {
	s.booked++
	for area, seen := range e.Graded {
		if said := e.said(area); said > 0 && s.gradings != nil {
			g := s.gradings[area]
			s.gradings[area] = gap{g.sum + int(seen) - int(said), g.n + 1}
		}
	}
	if e.Quote == nil {
		return
	}
	if e.Stage != Done || e.Work == nil {
		s.likely += e.Quote.Likely
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
