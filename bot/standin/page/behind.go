package page

import (
	"time"
)

// Behind is what the desk knows and the chats do not show.
type Behind struct {
	// Price is the guide price of the customer in view, nil before there is one.
	Price *Price
	// Days are the coming days of the diary, in order.
	Days []Day
	// Next is what falls due, the soonest first.
	Next []Due
}

// Price is a guide price with the spread it stands for.
type Price struct {
	Car string
	// Low, Likely and High are money in words, and Takes how long the work takes.
	Low, Likely, High string
	Takes             string
	// Spread is how the price is spread.
	Spread Spread
	// Budget is the figure it is fitted to, in words, empty if there is none.
	Budget string
	// Waits is the price as the owner has it now, in words, while the customer's yes to
	// it is waited for.
	Waits string
	// Own tells that the price is a figure of the owner's.
	Own bool
	// Why are the things that move it most, and by how much.
	Why []string
}

// Spread is how a price is spread: where it stands at its lowest, likely and highest,
// and how probable each step of it is. All amounts are in one unit. Without steps only
// the range is known.
type Spread struct {
	Low, Likely, High float64
	Steps             []Step
	// Above is the probability that the work comes to more than High.
	Above float64
	// On is the one thing the price hangs on most, in words; Told whether anything is
	// known of it.
	On   string
	Told bool
}

// Step is a part of a spread, and the probability that the price falls into it.
type Step struct{ From, To, P float64 }

// Day is one day of the diary.
type Day struct {
	Date time.Time // its midnight
	// Open are the working hours that are left, none on a day off; Taken what is in it.
	Open, Taken []Stretch
	// Over tells that it is today, and its hours are over.
	Over bool
}

// Stretch is a part of a day.
type Stretch struct {
	From, To time.Time
	// Kind is hold, asked, booked or off; Words what it says.
	Kind, Words string
}

// behind is [Behind] as the page draws it.
type behind struct {
	Price *priceDrawn
	Days  []dayDrawn
	Next  []next
}

type priceDrawn struct {
	Price
	// Flat tells that the price is the same whatever is found: there is no hill.
	Flat  bool
	Curve curve
	// Tail says how often the work comes to more than is asked at most.
	Tail string
}

type dayDrawn struct {
	Words        string
	Over         bool
	Open         []box
	Taken        []box
	NothingTaken bool
}

// box is a stretch of a day as a part of the strip, in thousandths of it.
type box struct {
	X, Width    int
	Kind, Words string
}

type next struct {
	When moment
	What string
}

// The strip of a day begins and ends at these hours: earlier and later there is
// neither work nor light.
const stripFrom, stripTo = 6, 22

func (p *Page) draw(b Behind) behind {
	var out behind
	if b.Price != nil {
		d := priceDrawn{Price: *b.Price, Curve: drawn(b.Price.Spread), Flat: b.Price.Low == b.Price.High, Tail: tail(b.Price.Spread)}
		out.Price = &d
	}
	for _, day := range b.Days {
		d := dayDrawn{Words: day.Date.In(p.Zone).Format("Mon 2 Jan"), Over: day.Over, NothingTaken: len(day.Taken) == 0}
		for _, s := range day.Open {
			d.Open = append(d.Open, p.box(day, s))
		}
		for _, s := range day.Taken {
			d.Taken = append(d.Taken, p.box(day, s))
		}
		out.Days = append(out.Days, d)
	}
	for _, due := range b.Next {
		out.Next = append(out.Next, next{p.dueMoment(due.At), due.What})
	}
	return out
}

func (p *Page) box(day Day, s Stretch) box {
	at := func(t time.Time) int {
		t = t.In(p.Zone)
		minutes := t.Hour()*60 + t.Minute()
		switch date := t.Format(time.DateOnly); {
		case date < day.Date.In(p.Zone).Format(time.DateOnly):
			minutes = 0
		case date > day.Date.In(p.Zone).Format(time.DateOnly):
			minutes = 24 * 60
		}
		return min(1000, max(0, (minutes-stripFrom*60)*1000/((stripTo-stripFrom)*60)))
	}
	words := s.Words
	if words != "" {
		words += ", "
	}
	words += s.From.In(p.Zone).Format(timeLayout) + "–" + s.To.In(p.Zone).Format(timeLayout)
	return box{X: at(s.From), Width: max(4, at(s.To)-at(s.From)), Kind: s.Kind, Words: words}
}

// dueMoment is a moment with its year where that is not the clock's.
func (p *Page) dueMoment(t time.Time) moment {
	m := p.moment(t)
	if t = t.In(p.Zone); t.Year() != p.Standin.Clock().Now().In(p.Zone).Year() {
		m.Words = t.Format("Mon 2 Jan 2006 15:04")
	}
	return m
}
