package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/photos"
	"example.org/dryhand/conversations/wording"
)

// quiet is how long an album must have brought nothing new before it is
// answered. The platform marks no end of an album.
const quiet = 3 * time.Second

// lull is how long somebody who sends one picture after the other is left to take the
// next, before we go on with what there is.
const lull = 90 * time.Second

// mostPhotos bounds what one enquiry keeps of pictures.
const mostPhotos = 30

func (p Photo) measured() bool { return p.Report != nil || p.Failed != "" }

// usable: the owner can look at it. Faults advise, they never block.
func (p Photo) usable() bool { return p.Failed == "" }

func (p Photo) fine() bool {
	return p.Kept || p.Failed == "" && p.Report != nil && p.Report.Usable() && !p.Same
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
	} else {
		t.caption(c, e, w.Caption)
	}
	t.filePhoto(e, w)
}

// filePhoto puts a picture to an enquiry and asks for it to be looked at.
func (t *turn) filePhoto(e *Enquiry, w bot.Photo) {
	if len(e.Photos) >= mostPhotos {
		t.lead(t.chat(e.Chat), t.word(wording.PhotoEnough, wording.Facts{Count: mostPhotos}))
		return
	}
	e.Photos = append(e.Photos, Photo{File: w.File, Unique: w.Unique, Album: w.Album, AsFile: w.AsFile, Of: t.shows(w.Caption)})
	n := len(e.Photos) - 1
	t.set(t.now, Came{Kind: CamePhoto, Enquiry: e.ID, Photo: n, File: w.File})
	if w.Album != "" {
		t.set(t.now.Add(quiet), Came{Kind: CameAlbum, Enquiry: e.ID})
	}
}

// caption takes the words under a picture. They are no answer to the question on
// the table, and are listened to like any others.
func (t *turn) caption(c *Chat, e *Enquiry, words string) {
	switch {
	case strings.TrimSpace(words) == "":
	case c.Person || !e.open():
		for _, part := range pieces(words) {
			t.toOwner(wording.OwnerTheirText, e, wording.Facts{Text: part}, pressWrite, pressHand)
		}
	default:
		if said := t.hear(e, words); len(said) > 0 {
			e.At = ""
			t.put(e, t.understood(said))
		}
	}
}

// measured takes a photo's verdict.
func (t *turn) measured(m Measured) {
	if m.Kind != CamePhoto {
		t.fail(errUnknownKind)
		return
	}
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
	if p.Album == "" && !slices.ContainsFunc(e.Photos, func(p Photo) bool { return p.Album == "" && !p.measured() }) {
		t.verdict(e) // of several sent in one go, once
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
		t.lulled(e)
		return
	}
	t.verdict(e)
}

// moreTo tells whether a picture that came by itself leaves others to be waited for:
// somebody who walks round the car sends them one by one. An album is all of it.
func (t *turn) moreTo(e *Enquiry, fresh []Photo) bool {
	alone := !slices.ContainsFunc(fresh, func(p Photo) bool { return p.Album != "" })
	most := len(t.views(e))
	if e.answer(askQuote) == choiceLook { // one from a step back and one close up, at least
		most = max(most, 2)
	}
	return alone && fineViews(e) < most
}

// lulled goes on with the pictures there are, once nobody has sent more for a while.
func (t *turn) lulled(e *Enquiry) {
	q := t.find(askPhoto)
	if e.At != askPhoto || fineViews(e) == 0 || t.chat(e.Chat).Person || q == nil || !e.Photos[len(e.Photos)-1].fine() {
		return
	}
	f := wording.Facts{Count: len(worthSeeing(e.Photos))} // as on the owner's card
	if out := len(e.Photos) - f.Count; out > 0 {
		f.Text = strconv.Itoa(out)
	}
	t.accept(e, q, []string{"sent"}, t.word(wording.PhotoOn, f))
}

// verdict says what we think of the pictures nobody has been told about. Where a
// person has the chat, or the owner has been asked already, they go to him.
func (t *turn) verdict(e *Enquiry) {
	var faults []string
	var fresh []Photo
	fine := 0
	for i := range e.Photos {
		p := &e.Photos[i]
		if p.Told || !p.measured() {
			continue
		}
		p.Told = true
		fresh = append(fresh, *p)
		if p.fine() {
			fine++
		} else {
			faults = append(faults, t.faultsOf(*p)...)
		}
	}
	c := t.chat(e.Chat)
	if len(fresh) == 0 || e.Stage == Closed || c.Stopped {
		return // nothing to say, or nobody who wants to hear it
	}
	words := t.word(wording.PhotoFine, wording.Facts{Count: fine})
	if len(faults) > 0 {
		words = t.word(wording.PhotoAgain, wording.Facts{Count: fine, Items: unique(faults)})
	}
	switch {
	case t.queryPictured(e, words):
	case c.Person || !e.open():
		t.passPhotos(c, e, fresh)
	case e.At == askPhoto && len(faults) == 0 && t.moreTo(e, fresh):
		q := t.find(askPhoto)
		t.set(t.now.Add(lull), Came{Kind: CameAlbum, Enquiry: e.ID})
		if fine == 1 && fineViews(e) > 1 {
			words = t.word(wording.PhotoFineToo, wording.Facts{})
		}
		t.say(bot.Message{Chat: e.Chat, Text: words + " " + t.word(wording.PhotoNext, wording.Facts{}), Choices: t.keyboard(e, q, q.ask(t, e)), Kind: "photo"})
	case e.At == askPhoto && len(faults) == 0:
		if n := fineViews(e); n > 1 {
			words += " " + t.word(wording.PhotoOn, wording.Facts{Count: n})
		}
		t.accept(e, t.find(askPhoto), []string{"sent"}, words)
	default: // a picture answers no question but its own: what was asked stands again below
		e.Rev++
		t.put(e, words)
	}
}

// takesPhotoOut takes the last picture out again for somebody who says that it is the wrong
// one, while photos are asked for or were the last thing that was.
func (t *turn) takesPhotoOut(w *reply) bool {
	e := w.e
	const most = 9 // words
	last, words := len(e.Photos)-1, strings.Fields(wording.Plain(w.text))
	asked := w.q.id == askPhoto || len(e.Trail) > 0 && e.Trail[len(e.Trail)-1] == askPhoto
	if !asked || last < 0 || !e.Photos[last].measured() || len(words) > most || !t.speaksOf(strings.Join(words, " "), wording.SayWrongPhoto) {
		return false
	}
	e.Photos = e.Photos[:last]
	t.retract(e, askPhoto) // the right one may come now
	e.At = ""
	e.Rev++
	t.put(e, t.word(wording.PhotoTakenOut, wording.Facts{}))
	return true
}

// worthSeeing are the pictures an owner decides by: all that can be looked at,
// those that came out well first. Our faults advise; only a repeat is left out.
func worthSeeing(all []Photo) []Photo {
	var fine, doubtful []Photo
	for _, p := range all {
		switch {
		case p.fine():
			fine = append(fine, p)
		case p.usable() && !p.Same:
			doubtful = append(doubtful, p)
		}
	}
	return append(fine, doubtful...)
}

// passPhotos shows the owner pictures that came after he was asked, and says so
// unless he has the chat himself.
func (t *turn) passPhotos(c *Chat, e *Enquiry, fresh []Photo) {
	var failed []string
	var usable []Photo
	for _, p := range fresh {
		if p.usable() {
			usable = append(usable, p)
		} else {
			failed = append(failed, t.faultsOf(p)...)
		}
	}
	if t.Owner != 0 && !isGuest(e.Chat) { // a guest's he sent on himself
		t.showPhotos(e, usable)
	}
	switch {
	case len(failed) > 0: // only they can send it again
		t.say(bot.Message{Chat: e.Chat, Text: t.word(wording.PhotoAgain, wording.Facts{Items: unique(failed)}), Kind: "photo"})
	case len(usable) > 0 && !c.Person:
		t.say(bot.Message{Chat: e.Chat, Text: t.word(wording.PhotoKept, wording.Facts{}), Kind: "photo"})
	}
}

// sayPhoto shows somebody a customer's picture.
func (t *turn) sayPhoto(to bot.ChatID, p Photo, e *Enquiry) {
	if to == 0 {
		return
	}
	text := t.word(wording.OwnerPhoto, wording.Facts{Name: e.Name, Car: carName(e)})
	t.say(bot.Message{Chat: to, Photo: p.File, AsFile: p.AsFile, Text: text, Kind: "photo"})
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
