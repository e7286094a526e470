package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// mostViews is how many pictures are asked for at once.
const mostViews = 3

// view is one picture worth having: of what, and the sentence that says from
// where, how far off and why.
type view struct {
	area pricing.Area
	k    wording.Key
}

// areaViews are the views of single parts. Where nothing tells which matters
// more, those that hide most from a description come first.
var areaViews = []view{
	{pricing.Interior, wording.ViewInside}, {pricing.SoftTop, wording.ViewSoftTop}, {pricing.Headlights, wording.ViewLamps},
	{pricing.Wheels, wording.ViewWheels}, {pricing.Paintwork, wording.ViewPaint},
}

// views are the pictures worth having of this car, by these doubts: what they
// complained of unasked, then the whole of it, then the parts whose state moves
// the price most and is not known, or known to be bad. What a caption says has
// been sent already is not asked for again.
func (t *turn) views(e *Enquiry) []view {
	var out []view
	add := func(v view) {
		if len(out) < mostViews && !slices.ContainsFunc(e.Photos, func(p Photo) bool { return p.fine() && slices.Contains(p.Of, v.area) }) {
			out = append(out, v)
		}
	}
	minded := slices.IndexFunc(e.Minds, func(a pricing.Area) bool { return a != pricing.Smell && t.touched(e, a) })
	if minded >= 0 { // a smell cannot be seen
		add(view{e.Minds[minded], wording.ViewMinded})
	}
	if minded >= 0 && e.Quote != nil && e.Quote.NeedSee != "" && slices.Equal(e.Answers[askWants], []string{"interior"}) && len(out) > 0 {
		return out // it is by this that the owner names a price
	}
	out = append(out, view{k: wording.ViewWhole})
	for _, a := range t.unseen(e) {
		if !t.inTheJob(e, a) {
			continue
		}
		for _, v := range areaViews {
			if v.area == a && (minded < 0 || a != e.Minds[minded]) {
				add(v)
			}
		}
	}
	return out
}

// inTheJob tells whether anything of the work that has been priced is on a part of the
// car; before there is a price, and for what stands for the whole, it may be.
func (t *turn) inTheJob(e *Enquiry, a pricing.Area) bool {
	if a == pricing.Interior || a == pricing.Paintwork || e.Quote == nil || len(e.Quote.Tasks) == 0 || e.Quote.NeedSee != "" {
		return true
	}
	return slices.ContainsFunc(e.Quote.Tasks, func(task string) bool { return t.areaOf(task) == a })
}

// unseen are the areas a picture would tell something about, the most telling
// first.
func (t *turn) unseen(e *Enquiry) []pricing.Area {
	var out []pricing.Area
	add := func(a pricing.Area) {
		g := e.answer(askCond + string(a))
		if !slices.Contains(out, a) && t.touched(e, a) && g != "1" && g != "2" {
			out = append(out, a)
		}
	}
	// Without an order of what matters the fixed one below has to do.
	if next, err := t.nextQuestions(t.priced(e)); err == nil {
		for _, q := range next.Ask {
			add(q.Area)
		}
	}
	for _, v := range areaViews {
		add(v.area)
	}
	return out
}

// fineViews is how many pictures have come out well.
func fineViews(e *Enquiry) (n int) {
	for _, p := range e.Photos {
		if p.fine() {
			n++
		}
	}
	return n
}

// wantsPhoto: whoever has sent as many as would be asked for is not asked, unless
// the pictures are what the owner is to decide by.
func wantsPhoto(t *turn, e *Enquiry) bool {
	if t.settledUnseen(e) || e.settled() {
		return false // he has seen enough to price it
	}
	return e.answer(askQuote) == choiceLook || fineViews(e) < len(t.views(e))
}

func putPhoto(t *turn, e *Enquiry) prompt {
	f := wording.Facts{Count: fineViews(e)}
	for _, v := range t.views(e) {
		f.Items = append(f.Items, t.word(v.k, wording.Facts{}))
	}
	p := prompt{text: t.word(wording.AskPhoto, f)}
	// A better take puts an end to the question whether the doubtful one will do.
	for _, ph := range slices.Backward(e.Photos) {
		if ph.Told && !ph.Same {
			if !ph.fine() {
				p.options = append(p.options, t.choose(choiceKeep, wording.LabelKeepPhoto))
			}
			break
		}
	}
	skip := t.choose(choiceSkip, wording.LabelSkip)
	if f.Count > 0 {
		skip = t.choose(choiceSkip, wording.LabelNoMorePhotos)
	}
	p.options = append(p.options, skip)
	return p
}

// readPhoto takes a no to photos in own words, whatever they were to be of.
func readPhoto(t *turn, _ *Enquiry, text string) ([]string, bool) {
	said := wording.Plain(text)
	return []string{choiceSkip}, t.speaksOf(said, wording.SayNoPhotos)
}

// touched tells whether what is wanted depends on an area of this car.
func (t *turn) touched(e *Enquiry, a pricing.Area) bool {
	if a == pricing.SoftTop && (e.Car == nil || e.Car.SoftTopArea() == 0) {
		return false
	}
	return slices.ContainsFunc(e.Answers[askWants], func(want string) bool { return slices.Contains(t.Rules.AreasOf(want), a) })
}

// shows are the areas a caption says the picture is of.
func (t *turn) shows(caption string) (of []pricing.Area) {
	if t.Reader == nil || strings.TrimSpace(caption) == "" {
		return nil
	}
	r := t.heardIn(caption)
	for _, v := range areaViews {
		_, graded := r.Grades[v.area]
		hinted := slices.ContainsFunc(r.Hints, func(h reading.Hint) bool { return h.Area == string(v.area) })
		if graded || hinted || slices.Contains(r.Wants, string(v.area)) {
			of = append(of, v.area)
		}
	}
	return of
}
