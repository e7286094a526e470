package conversations

import (
	"example.org/dryhand/conversations/wording"
)

var (
	bringOrMine = []named{{"own", wording.LabelBring}, {"theirs", wording.LabelMyPlace}}
	surfaces    = []named{{"driveway", wording.LabelDriveway}, {"garage", wording.LabelGarage}, {"shared", wording.LabelShared}, {"street", wording.LabelStreet}}
	services    = []named{{"both", wording.LabelTapSocket}, {"tap", wording.LabelTapOnly}, {"socket", wording.LabelSocketOnly}, {"neither", wording.LabelNeither}}
	drains      = []named{{"soil", wording.LabelSoil}, {"foul", wording.LabelFoul}, {"surface", wording.LabelSurface}, {choiceUnknown, wording.LabelDontKnow}}
	distances   = []named{{"5", wording.LabelNear}, {"12", wording.LabelMiddling}, {"20", wording.LabelFar}}
)

func atTheirs(_ *turn, e *Enquiry) bool { return e.answer(askSite) == "theirs" }

// workable: at the customer's place, and not in the street, where nothing further
// about the place would change the answer.
func workable(t *turn, e *Enquiry) bool { return atTheirs(t, e) && e.answer(askSurface) != "street" }

// mayBring tells whether there is a choice of place at all.
func mayBring(t *turn, _ *Enquiry) bool { return !t.Rules.Place.MobileOnly }

// settleSite answers where it is done for those who are not asked, because there is no
// workshop to bring a car to.
func (t *turn) settleSite(e *Enquiry) {
	if t.Rules.Place.MobileOnly && e.answer(askSite) == "" {
		e.Answers[askSite] = []string{"theirs"}
	}
}
