package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/photos"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// quiet is how long an album must have brought nothing new before it is
// answered. The platform marks no end of an album.
const quiet = 3 * time.Second

// mostPhotos bounds what one enquiry keeps of pictures.
const mostPhotos = 30

func (p Photo) measured() bool { return p.Report != nil || p.Failed != "" }

// usable: the owner can look at it. Faults advise, they never block.
func (p Photo) usable() bool { return p.Failed == "" }

func (p Photo) fine() bool {
	return p.Kept || p.Failed == "" && p.Report != nil && p.Report.Usable() && !p.Same
}

func putPhoto(t *turn, e *Enquiry) prompt {
	p := prompt{text: t.word(wording.AskPhoto, wording.Facts{Items: t.views(e)})}
	for _, ph := range e.Photos {
		if ph.Told && !ph.fine() {
			p.options = append(p.options, t.choose(choiceKeep, wording.LabelKeepPhoto))
			break
		}
	}
	p.options = append(p.options, t.choose(choiceSkip, wording.LabelSkip))
	return p
}

// mostViews is how many pictures are asked for at once.
const mostViews = 3

// views are the pictures worth having of this car: the whole, and the parts whose
// state is in doubt or bad.
func (t *turn) views(e *Enquiry) []string {
	var out []string
	for _, v := range []struct {
		area pricing.Area
		k    wording.Key
	}{
		{pricing.Interior, wording.ViewInside}, {pricing.SoftTop, wording.ViewSoftTop}, {pricing.Headlights, wording.ViewLamps},
		{pricing.Wheels, wording.ViewWheels}, {pricing.Paintwork, wording.ViewPaint},
	} {
		if len(out) < mostViews-1 && t.touched(e, v.area) && e.answer(askCond+string(v.area)) != "1" && e.answer(askCond+string(v.area)) != "2" {
			out = append(out, t.word(v.k, wording.Facts{}))
		}
	}
	return append([]string{t.word(wording.ViewWhole, wording.Facts{})}, out...)
}

// touched tells whether what is wanted depends on an area of this car.
func (t *turn) touched(e *Enquiry, a pricing.Area) bool {
	if a == pricing.SoftTop && (e.Car == nil || e.Car.SoftTopArea() == 0) {
		return false
	}
	return slices.ContainsFunc(e.Answers[askWants], func(want string) bool { return slices.Contains(t.Rules.AreasOf(want), a) })
}

// tookPhoto: "use it anyway" is the customer's word against ours, and counts.
func tookPhoto(t *turn, e *Enquiry) string {
	if e.answer(askPhoto) == choiceKeep {
		for i := range e.Photos {
			e.Photos[i].Kept = e.Photos[i].Failed == ""
		}
	}
	if e.answer(askQuote) == choiceLook {
		return t.look(e)
	}
	return ""
}

// sentPhoto keeps a picture's name and asks for it to be looked at. It is
// answered when that is done, and an album once, when it has gone quiet.
func (t *turn) sentPhoto(c *Chat, w bot.Photo) {
	e := t.current(c)
	if c.Stopped {
		t.tell(c.ID, wording.StoppedStill, wording.Facts{Name: c.Name})
		return
	}
	if t.snagPhoto(c, w) {
		return
	}
	if e == nil || e.Stage == Closed || e.Stage == Done {
		t.greet(c, w.Caption)
		e = t.current(c)
	}
	if len(e.Photos) >= mostPhotos {
		t.lead(c, t.word(wording.PhotoEnough, wording.Facts{Count: mostPhotos}))
		return
	}
	e.Photos = append(e.Photos, Photo{File: w.File, Unique: w.Unique, Album: w.Album})
	n := len(e.Photos) - 1
	t.set(t.now, Came{Kind: CamePhoto, Enquiry: e.ID, Photo: n, File: w.File})
	if w.Album != "" {
		t.set(t.now.Add(quiet), Came{Kind: CameAlbum, Enquiry: e.ID})
	}
}

// measured takes a photo's verdict.
func (t *turn) measured(m Measured) {
	e := t.enquiry(m.Enquiry)
	if e == nil || m.Photo >= len(e.Photos) {
		return
	}
	p := &e.Photos[m.Photo]
	if p.Failed = m.Failed; m.Failed == "" {
		r := m.Report
		p.Report = &r
	}
	// A better take of a picture we found fault with is meant to look alike.
	for i, other := range e.Photos {
		if i != m.Photo && other.Report != nil && p.Report != nil && (other.Unique == p.Unique || other.fine() && photos.Near(*other.Report, *p.Report)) {
			p.Same = true
		}
	}
	if p.Album == "" {
		t.verdict(e)
	}
}

// albumQuiet answers an album once nothing new has come and all of it has been
// looked at. What comes later still joins it, and is spoken of only if something is
// wrong with it: an album is thanked for once.
func (t *turn) albumQuiet(e *Enquiry) {
	answered, faulty := map[string]bool{}, false
	for _, p := range e.Photos {
		if p.Album != "" && !p.measured() {
			t.set(t.now.Add(quiet), Came{Kind: CameAlbum, Enquiry: e.ID})
			return
		}
		answered[p.Album] = answered[p.Album] || p.Told
	}
	var late []*Photo
	for i := range e.Photos {
		p := &e.Photos[i]
		if p.Album == "" || p.Told {
			continue
		}
		if faulty = faulty || !p.fine() || !answered[p.Album]; !faulty {
			late = append(late, p)
		}
	}
	if !faulty && e.open() {
		for _, p := range late {
			p.Told = true
		}
		return
	}
	t.verdict(e)
}

// verdict says what we think of the pictures nobody has been told about.
func (t *turn) verdict(e *Enquiry) {
	var faults []string
	fine := 0
	for i := range e.Photos {
		p := &e.Photos[i]
		if p.Told || !p.measured() {
			continue
		}
		p.Told = true
		if p.fine() {
			fine++
		} else {
			faults = append(faults, t.faultsOf(*p)...)
		}
	}
	if fine+len(faults) == 0 || e.Stage == Closed || t.chat(e.Chat).Stopped {
		return // nothing to say, or nobody who wants to hear it
	}
	words := t.word(wording.PhotoFine, wording.Facts{Count: fine})
	if len(faults) > 0 {
		words = t.word(wording.PhotoAgain, wording.Facts{Count: fine, Items: unique(faults)})
	}
	switch {
	case t.queryPictured(e, words):
	case !e.open():
		t.say(bot.Message{Chat: e.Chat, Text: t.word(wording.PhotoKept, wording.Facts{}), Kind: "photo"})
		t.passPhotos(e)
	case e.At == askPhoto && len(faults) == 0:
		t.accept(e, t.find(e, askPhoto), []string{"sent"}, words)
	case e.At == askPhoto:
		e.Rev++
		t.put(e, words)
	default:
		t.say(bot.Message{Chat: e.Chat, Text: words, Kind: "photo"})
	}
}

// worthSeeing are the pictures an owner decides by: those that came out well, or
// if there are none, those that can be looked at.
func worthSeeing(all []Photo) []Photo {
	var fine, usable []Photo
	for _, p := range all {
		if p.fine() {
			fine = append(fine, p)
		}
		if p.usable() {
			usable = append(usable, p)
		}
	}
	if len(fine) > 0 {
		return fine
	}
	return usable
}

// passPhotos shows the owner pictures that came after he was asked.
func (t *turn) passPhotos(e *Enquiry) {
	if p := e.Photos[len(e.Photos)-1]; p.usable() {
		t.sayPhoto(t.Owner, p, e)
	}
}

// sayPhoto shows somebody a customer's picture.
func (t *turn) sayPhoto(to bot.ChatID, p Photo, e *Enquiry) {
	if to == 0 {
		return
	}
	text := t.word(wording.OwnerPhoto, wording.Facts{Name: e.Name, Car: carName(e)})
	t.say(bot.Message{Chat: to, Photo: p.File, Text: text, Kind: "photo"})
}

var failures = map[string]wording.Key{FailedHEIC: wording.PhotoHEIC, FailedTooBig: wording.PhotoTooBig, FailedUnread: wording.PhotoUnread}

var faultWords = map[photos.Fault]wording.Key{
	photos.TooSmall: wording.PhotoSmall, photos.TooDark: wording.PhotoDark,
	photos.TooBright: wording.PhotoBright, photos.Blurred: wording.PhotoBlurred,
}

// faultsOf are our doubts about a picture, in words.
func (t *turn) faultsOf(p Photo) []string {
	if p.Failed != "" {
		return []string{t.word(failures[p.Failed], wording.Facts{})}
	}
	var out []string
	for _, f := range p.Report.Faults {
		out = append(out, t.word(faultWords[f], wording.Facts{}))
	}
	if p.Same {
		out = append(out, t.word(wording.PhotoSame, wording.Facts{}))
	}
	return out
}

func unique(s []string) []string {
	seen := map[string]bool{}
	var out []string
	for _, w := range s {
		if !seen[strings.ToLower(w)] {
			seen[strings.ToLower(w)] = true
			out = append(out, w)
		}
	}
	return out
}
