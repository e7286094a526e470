package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// Who is done says how long it took and what it came to in one breath: "all done, took
// 2h10, £95 cash". He is asked whether the job is finished, and what he said of it is kept,
// so that nothing has to be typed twice.

// endFigures are what is said of a job with the word that it is done, 0 for what is not.
type endFigures struct {
	minutes int
	pence   int64
}

// typingEnd is that the next text answers whether a job is finished; the figures stand
// behind a colon.
const typingEnd = "end"

func (f endFigures) String() string { return fmt.Sprint(f.minutes, "/", f.pence) }

// parseFigures reads what [endFigures.String] wrote; what cannot be is left out.
func parseFigures(s string) (f endFigures) {
	m, p, _ := strings.Cut(s, "/")
	if n := atoi(m); n > 0 && n <= mostMinutes {
		f.minutes = n
	}
	if n, err := strconv.ParseInt(p, 10, 64); err == nil && n > 0 {
		f.pence = n
	}
	return f
}

// figuresIn are the length and the sum in a text, and the words that are left of it. A
// bare number is neither: it may be either.
func (t *turn) figuresIn(text string) (f endFigures, rest []string) {
	how := slices.Concat(t.typed(wording.SayHowPaid), t.typed(wording.SayPounds))
	words := strings.Fields(strings.ReplaceAll(text, "£", " £"))
	for i, w := range words {
		w = strings.Trim(w, ".,;!")
		p, err := pricing.ParsePence(strings.TrimPrefix(w, "£"))
		money := strings.HasPrefix(w, "£") || i+1 < len(words) && slices.Contains(how, wording.Plain(words[i+1]))
		if f.pence == 0 && err == nil && p > 0 && money {
			f.pence = int64(p)
			continue
		}
		rest = append(rest, words[i])
	}
	plain := strings.Fields(wording.Plain(strings.Join(rest, " ")))
	n, left := t.lengthIn(plain)
	if n > 0 && bareNumber(plain, left) {
		return f, plain
	}
	f.minutes = n
	return f, left
}

// bareNumber tells whether all that is missing of some words is a number without a unit.
func bareNumber(words, left []string) bool {
	words = strings.Fields(apart(strings.Join(words, " ")))
	for i, w := range words {
		if i >= len(left) || left[i] != w {
			return isSum(w) && len(words) == len(left)+1
		}
	}
	return false
}

// endSaidWhole takes the word that a job is done with what it took or came to, and asks
// whether it is finished. It reports whether the text was that.
func (t *turn) endSaidWhole(c *Chat, text string) bool {
	if c.Finishing != "" || c.Noting != "" || c.Writing != "" || strings.Contains(text, "?") {
		return false
	}
	f, rest := t.figuresIn(text)
	if f == (endFigures{}) {
		return false
	}
	of, rest := t.spokenOf(rest)
	small := slices.Concat(t.typed(wording.SayHowPaid), t.typed(wording.SayPaid), t.typed(wording.SayPaidBeside), t.typed(wording.SayBeside), t.typed(wording.SayRoughly), t.typed(wording.SayPounds), t.typed(wording.SayUs))
	ends := t.among(rest, wording.SayJobDone) || t.among(rest, wording.SayTook)
	if !ends || !t.saysJust(strings.Join(rest, " "), slices.Concat(small, t.typed(wording.SayJobDone), t.typed(wording.SayTook))) {
		return false
	}
	if of == nil {
		of = t.atHand(c)
	}
	of = slices.DeleteFunc(slices.Clone(of), func(e *Enquiry) bool {
		return e.Stage != Booked || diary.Key(e.Slot.Start, t.Zone) > diary.Key(t.now, t.Zone)
	})
	switch len(of) {
	case 0:
		return false
	case 1:
		t.askEnd(c, of[0], f)
	default:
		t.tell(c.ID, wording.OwnerWhichVisit, wording.Facts{}, t.visitRows(of, func(e *Enquiry) string {
			return press{e.ID, 0, pressJob, jobFinish + ":" + f.String()}.data()
		})...)
	}
	return true
}

// askEnd asks whether a job is finished, with what was said of it.
func (t *turn) askEnd(c *Chat, e *Enquiry, f endFigures) {
	facts := wording.Facts{Name: e.Name, Car: carName(e)}
	var said []string
	if f.minutes > 0 {
		said = append(said, t.exactly(f.minutes))
	}
	if f.pence > 0 {
		said = append(said, t.pounds(f.pence))
	}
	facts.Text = strings.Join(said, ", ")
	t.expect(c, typingEnd+":"+f.String(), e)
	t.tell(c.ID, wording.OwnerIsItFinished, facts, t.finishRow(e, f))
}

// finishRow are the buttons that finish a job, with what was said of it, or leave it.
func (t *turn) finishRow(e *Enquiry, f endFigures) []bot.Choice {
	finish := jobFinish
	if f != (endFigures{}) {
		finish += ":" + f.String()
	}
	row := t.jobRow(e, named{finish, wording.LabelFinishJob})
	if e.working() {
		return append(row, t.jobRow(e, named{jobStep, wording.LabelCarryOn})...)
	}
	return append(row, bot.Choice{Label: t.label(wording.LabelBack), Data: press{e.ID, e.Rev, pressOwner, pressOpen}.data()})
}

// endAnswered takes the owner's word whether a job is finished. It reports whether the
// text was one.
func (t *turn) endAnswered(c *Chat, e *Enquiry, figures, text string) bool {
	if e.Stage != Booked || e.Slot == nil {
		return false
	}
	switch {
	case t.saysJust(text, slices.Concat(t.typed(wording.SayYes), t.typed(wording.LabelFinishJob), t.typed(wording.SayJobDone))):
		t.finishWith(c, e, parseFigures(figures))
	case t.saysJust(text, slices.Concat(t.typed(wording.SayNo), t.typed(wording.SayCarryOn), t.typed(wording.SayNotPaid))) && e.working():
		t.showStep(e, 0, "")
	case t.saysJust(text, slices.Concat(t.typed(wording.SayNo), t.typed(wording.LabelBack))):
		t.opened(c, e)
	default:
		return false
	}
	return true
}

// finishWith begins the end of a job with what was said of it already, and asks the rest.
func (t *turn) finishWith(c *Chat, e *Enquiry, f endFigures) {
	e.onDay().Sum = f.pence
	t.keepEnd(c, e)
	if f.minutes == 0 {
		t.askMinutes(c, e)
		return
	}
	t.took(c, e, f.minutes, nil)
}

// keepEnd opens the questions about the end of a job.
func (t *turn) keepEnd(c *Chat, e *Enquiry) {
	c.Finishing, c.Writing, c.Noting = e.ID, "", ""
	e.Work = nil
}
