package conversations

import (
	"slices"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
)

var (
	bringOrMine = []named{{"own", wording.LabelBring}, {"theirs", wording.LabelMyPlace}}
	surfaces    = []named{{"driveway", wording.LabelDriveway}, {"garage", wording.LabelGarage}, {"shared", wording.LabelShared}, {"street", wording.LabelStreet}}
	services    = []named{{"both", wording.LabelTapSocket}, {"tap", wording.LabelTapOnly}, {"socket", wording.LabelSocketOnly}, {"neither", wording.LabelNeither}}
	drains      = []named{{"soil", wording.LabelSoil}, {"foul", wording.LabelFoul}, {"surface", wording.LabelSurface}, {choiceUnknown, wording.LabelDontKnow}}
	distances   = []named{{"5", wording.LabelNear}, {"12", wording.LabelMiddling}, {"20", wording.LabelFar}}
)

// readServices takes what is told of a tap and a socket where the words of no one option are
// said: "yes, there's an outside tap" is a tap, and a socket nobody has told of.
func readServices(t *turn, _ *Enquiry, text string) ([]string, bool) {
	if t.Reader == nil || t.isQuestion(text) {
		return nil, false
	}
	p := t.heardIn(text).Place
	tap, socket := p.Tap == reading.Yes, p.Socket == reading.Yes
	switch {
	case tap && socket:
		return []string{"both"}, true
	case tap:
		return []string{"tap"}, true
	case socket:
		return []string{"socket"}, true
	}
	return []string{"neither"}, p.Tap == reading.No && p.Socket == reading.No
}

// suppliedAgain takes what is said of a tap or a socket where that was answered otherwise:
// "no, there is a socket as well". It reports whether the text was that.
func (t *turn) suppliedAgain(w *reply) bool {
	e, was := w.e, w.e.answer(askServices)
	if was == "" || w.q.id == askServices || !workable(t, e) || t.Reader == nil || t.isQuestion(w.text) {
		return false
	}
	p, tap, socket := t.heardIn(w.text).Place, was == "both" || was == "tap", was == "both" || was == "socket"
	if p.Tap != "" {
		tap = p.Tap == reading.Yes
	}
	if p.Socket != "" {
		socket = p.Socket == reading.Yes
	}
	now := map[[2]bool]string{{true, true}: "both", {true, false}: "tap", {false, true}: "socket", {false, false}: "neither"}[[2]bool{tap, socket}]
	if now == was {
		return false
	}
	if e.Quote == nil {
		t.forget(e, askServices)
	} else {
		t.opensAnswer(e, askServices)
	}
	h := &heard{turn: t, e: e}
	h.fill(askServices, now)
	h.tell(labels(sited(wording.AskServices, services)(t, e), []string{now})[0])
	h.keep()
	e.At = ""
	t.put(e, t.understood(h.said))
	return true
}

// readDrain takes a drain that nothing else is said of for the one by the house.
func readDrain(t *turn, _ *Enquiry, text string) ([]string, bool) {
	return []string{"foul"}, t.allOf(text, t.typed(wording.SayDrain))
}

func atTheirs(_ *turn, e *Enquiry) bool { return e.answer(askSite) == "theirs" }

// workable: at the customer's place, and not in the street, where nothing further
// about the place would change the answer.
func workable(t *turn, e *Enquiry) bool { return atTheirs(t, e) && e.answer(askSurface) != "street" }

// washed: workable, and more is wanted than the inside, whose water is taken away in the
// machine that drew it out: it runs nowhere.
func washed(t *turn, e *Enquiry) bool {
	return workable(t, e) && !slices.Equal(e.Answers[askWants], []string{"interior"})
}

// mayBring tells whether there is a choice of place at all.
func mayBring(t *turn, _ *Enquiry) bool { return !t.Rules.Place.MobileOnly }

// settleSite answers where it is done for those who are not asked, because there is no
// workshop to bring a car to.
func (t *turn) settleSite(e *Enquiry) {
	if t.Rules.Place.MobileOnly && e.answer(askSite) == "" {
		e.Answers[askSite] = []string{"theirs"}
	}
}
