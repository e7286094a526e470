package conversations

import (
	"strings"

	"example.org/dryhand/conversations/wording"
)

// What is said of photographs beside sending them: that they have been sent already, that
// there are no more, that one was the wrong one after the request has gone to the owner.

// mostOfPhotos is how many words such a text has at most.
const mostOfPhotos = 9

// sentAlready takes "I've sent it", "that's all I have" where photos are asked for: the form
// goes on with what is there, or without.
func (t *turn) sentAlready(w *reply) bool {
	said := wording.Plain(w.text)
	if w.q.id != askPhoto || strings.Contains(w.text, "?") || len(strings.Fields(said)) > mostOfPhotos || !t.speaksOf(said, wording.SaySentAlready) {
		return false
	}
	if n := len(worthSeeing(w.e.Photos)); n > 0 {
		t.accept(w.e, w.q, []string{"sent"}, t.word(wording.PhotoOn, wording.Facts{Count: n}))
		return true
	}
	t.accept(w.e, w.q, []string{choiceSkip}, t.word(wording.PhotoNoneHere, wording.Facts{}))
	return true
}

// wrongPhotoLate takes the last photo out again once the request is before the owner or agreed
// to. He is told, and sees the card as it is now while it waits for him.
func (t *turn) wrongPhotoLate(c *Chat, e *Enquiry, text string) bool {
	said, last := wording.Plain(text), len(e.Photos)-1
	if last < 0 || !e.Photos[last].measured() || len(strings.Fields(said)) > mostOfPhotos || !t.speaksOf(said, wording.SayWrongPhoto) {
		return false
	}
	e.Photos = e.Photos[:last]
	f := wording.Facts{Name: e.Name, Car: carName(e), Text: text, Count: len(worthSeeing(e.Photos))}
	t.toOwner(wording.OwnerWrongPhoto, e, f, pressWrite)
	if e.Stage == Waits && t.Owner != 0 {
		t.tell(t.Owner, wording.OwnerAsk, t.card(e), t.cardWays(e)...)
	}
	t.tell(c.ID, wording.PhotoOutLate, f)
	return true
}
