package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// What the owner writes at a car is a finding or a note only if it can be one: a customer
// reads findings, and money and minutes belong to the end of the job.

// grumbles tells whether words are of the state of a car and of no damage: "its filthy",
// "way dirtier than he said", "its a 4". What begins with a word for noting is kept.
func (t *turn) grumbles(text string) bool {
	words := strings.Fields(wording.Plain(text))
	if t.among(words, wording.SayDamage) || t.noted(text) != text {
		return false
	}
	if t.among(words, wording.SayGrubby) {
		return true
	}
	small := slices.Concat(t.typed(wording.SayBeside), t.typed(wording.SayRoughly))
	grade := slices.ContainsFunc(words, func(w string) bool { return len(w) == 1 && w >= "1" && w <= "4" })
	return grade && !slices.ContainsFunc(words, func(w string) bool { return !isSum(w) && !slices.Contains(small, w) })
}

// noted is what he asks to note: "note: bonnet very dirty".
func (t *turn) noted(text string) string {
	for _, say := range t.typed(wording.SayNote) {
		if rest, ok := after(text, say); ok && rest != "" {
			return strings.TrimSpace(text[len(text)-len(rest):])
		}
	}
	return text
}

// moneyAtWork takes words of money or of how long the whole job took while its steps run:
// "85 cash", "100 mins", "kai done 90 mins, paid half". They are no notes; they are asked
// for when the job is finished, and he can finish it here. It reports whether the text was
// such.
func (t *turn) moneyAtWork(c *Chat, e *Enquiry, text string) bool {
	words := strings.Fields(wording.Plain(apart(text)))
	money := t.among(words, wording.SayPaid) || t.among(words, wording.SayHowPaid) && slices.ContainsFunc(words, isSum) || strings.Contains(text, "£") ||
		t.saysJust(text, slices.Concat(t.typed(wording.SayHalf), t.typed(wording.SayHowPaid)))
	n, rest := t.lengthIn(words)
	length := n > 0 && t.saysJust(strings.Join(append(rest, "done"), " "), t.typed(wording.SayJobDone))
	if !money && !length {
		return false
	}
	f, left := t.figuresIn(text)
	if f.pence > 0 && !isGuest(e.Chat) && t.saysWork(left) { // "shampoo the seats £20": theirs to say yes to
		t.drafted(c, []*Enquiry{e}, text, nil)
		return true
	}
	if f != (endFigures{}) {
		t.askEnd(c, e, f)
		return true
	}
	t.expect(c, typingEnd+":", e)
	t.tell(c.ID, wording.OwnerFinishFirst, wording.Facts{Name: e.Name, Car: carName(e), Text: text}, t.finishRow(e, f))
	return true
}

// saysWork tells whether words beside a sum speak of work or parts of a car, and neither
// that it was paid nor that the job is done.
func (t *turn) saysWork(words []string) bool {
	if t.Reader == nil || t.among(words, wording.SayPaid) || t.among(words, wording.SayJobDone) || t.among(words, wording.SayTook) {
		return false
	}
	r := t.Reader.Read(t.asRead(strings.Join(words, " ")))
	return len(r.Wants)+len(r.Tasks)+len(r.Hints) > 0
}

// wholeJob tells whether "done" may be the whole job: most of its time is over and steps
// are left that nobody has marked.
func (t *turn) wholeJob(e *Enquiry) bool {
	at, ok := t.course(e)
	const fewLeft = 2
	if !ok || at.at < 0 || len(at.sheet.Steps)-len(e.Job.Steps) < fewLeft {
		return false
	}
	return t.worked(e.Job.Started, t.now).Minutes()*4 >= float64(e.Quote.reckoned())*3
}

// stepOrJob are the buttons for both.
func (t *turn) stepOrJob(e *Enquiry) [][]bot.Choice {
	at, ok := t.course(e)
	if !ok || at.at < 0 {
		return nil
	}
	return [][]bot.Choice{t.jobRow(e, named{jobDone + at.sheet.Steps[at.at].Task, wording.LabelStepDone}, named{jobFinish, wording.LabelFinishJob})}
}
