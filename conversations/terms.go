package conversations

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"time"

	"example.org/dryhand/conversations/wording"
)

// What somebody is told before they ask for a time, and what they agree to with
// it. In the United Kingdom a booking made in a chat is a distance contract: it
// may be cancelled for 14 days, work inside them needs an express request, and the
// terms are to be confirmed in a form that lasts (the Consumer Contracts
// (Information, Cancellation and Additional Charges) Regulations 2013, regulations
// 16, 29, 30 and 36, from memory). The numbers and most of the words are the rules
// file's, for the law is another elsewhere.

// Agreed is what somebody was told before asking for a time and agreed to with it.
type Agreed struct {
	At time.Time `json:"at"`
	// By is who said yes: the owner, for somebody who rang.
	By Side `json:"by"`
	// Text is all of it as it read then, Version a short digest of that.
	Text    string `json:"text"`
	Version string `json:"version"`
	// Start: they asked for the work inside the days in which they may cancel.
	Start bool `json:"start,omitempty"`
	// Until is when those days end, zero before the booking and where there are
	// none.
	Until time.Time `json:"until,omitzero"`
}

// asideConfirm shows the whole of the terms before the yes.
func asideConfirm(t *turn, e *Enquiry, choice string) (string, bool) {
	if choice != choiceInFull {
		return "", false
	}
	return t.word(wording.TermsInFull, wording.Facts{Text: t.wholeTerms(e)}), true
}

// wholeTerms are the terms at length, a paragraph each.
func (t *turn) wholeTerms(e *Enquiry) string {
	r := t.Rules.Terms
	parts := []string{r.Price, r.Notice}
	parts = append(parts, strings.Join(t.depositTerms(e), " "))
	if r.CancelDays > 0 {
		parts = append(parts, r.Cancel, r.Start)
	}
	parts = append(parts, r.Law)
	days := t.word(wording.DaysLong, wording.Facts{Count: r.CancelDays})
	fill := strings.NewReplacer("{notice}", t.notice(), "{days} days", days, "{days}", days)
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, fill.Replace(p))
		}
	}
	return strings.Join(out, "\n\n")
}

// notice is how long before the work a booking can be changed, in words.
func (t *turn) notice() string { return t.length(float64(60 * t.Rules.Diary.ChangeNoticeHours)) }

// shortTerms are the terms in a sentence or two, for the question that leads to
// the yes.
func (t *turn) shortTerms(e *Enquiry) []string {
	r := t.Rules.Terms
	if !r.Given() {
		return nil
	}
	f := wording.Facts{Hours: t.notice(), Count: r.CancelDays}
	out := []string{t.word(wording.TermsNotice, f)}
	if d := t.depositTerms(e); d != nil {
		out = append(out, strings.Join(d, " "))
		f.Deposit = t.advance(e)
	}
	switch {
	case r.CancelDays == 0:
	case t.startsInside(e):
		f.Day = t.Words.Date(e.Slot.Start.In(t.Zone))
		out = append(out, t.word(wording.TermsStart, f))
	default:
		out = append(out, t.word(wording.TermsCancel, f))
	}
	return out
}

// startsInside tells whether the time asked for may fall within the days in which
// it can be cancelled. They run from the owner's yes, which may come as late as
// the request lapses.
func (t *turn) startsInside(e *Enquiry) bool {
	return t.Rules.Terms.CancelDays > 0 && e.Slot != nil && e.Slot.Start.Before(t.cancelUntil(t.answerBy()))
}

// cancelUntil is the end of the days in which a contract of that moment can be
// cancelled: the last of them ends at midnight.
func (t *turn) cancelUntil(from time.Time) time.Time {
	y, m, d := from.In(t.Zone).Date()
	return time.Date(y, m, d+1+t.Rules.Terms.CancelDays, 0, 0, 0, 0, t.Zone)
}

// agree keeps what was told and agreed to, in the commit that asks for the time.
func (t *turn) agree(e *Enquiry) {
	e.Terms = nil
	if !t.Rules.Terms.Given() {
		return
	}
	a := &Agreed{At: t.now, By: Customer, Text: t.wholeTerms(e), Start: t.startsInside(e)}
	if isGuest(e.Chat) {
		a.By = Owner
	}
	sum := sha256.Sum256([]byte(a.Text))
	a.Version = hex.EncodeToString(sum[:6])
	e.Terms = a
}

// confirmTerms hands the terms over to keep, and begins the days in which they can
// cancel.
func (t *turn) confirmTerms(e *Enquiry) {
	if e.Terms == nil {
		return
	}
	if t.Rules.Terms.CancelDays > 0 {
		e.Terms.Until = t.cancelUntil(t.now)
	}
	if !t.chat(e.Chat).Blocked {
		t.tell(e.Chat, wording.TermsToKeep, wording.Facts{Text: e.Terms.Text, Day: t.Words.DateYear(e.Terms.At.In(t.Zone))})
	}
}

// mayCancel tells whether somebody who booked at a distance can still cancel for
// no reason at all.
func (t *turn) mayCancel(e *Enquiry) bool { return e.Terms != nil && t.now.Before(e.Terms.Until) }

// startAsked keeps that another time inside those days was asked for; the question
// said so.
func (t *turn) startAsked(e *Enquiry, s Span) {
	if e.Terms != nil && s.Start.Before(e.Terms.Until) {
		e.Terms.Start = true
	}
}

// startLine says, where times are offered to a customer, that choosing an early one
// asks for work inside the days in which they can cancel. Empty where that has no
// meaning or was said already.
func (t *turn) startLine(e *Enquiry, side Side) string {
	if side != Customer || !t.mayCancel(e) || e.Terms.Start || e.Move != nil && e.Move.To != nil && !e.Move.To.Start.Before(e.Terms.Until) {
		return ""
	}
	last := e.Terms.Until.Add(-time.Minute)
	return t.word(wording.TermsStartMove, wording.Facts{Day: t.Words.Date(last.In(t.Zone)), Count: t.Rules.Terms.CancelDays})
}

// showTerms shows the terms to whoever asks for them: those agreed to, or those
// that would be.
func (t *turn) showTerms(c *Chat, e *Enquiry) {
	if e != nil && e.Terms != nil && (e.Stage == Booked || e.Stage == Waits) {
		t.tell(c.ID, wording.TermsToKeep, wording.Facts{Text: e.Terms.Text, Day: t.Words.DateYear(e.Terms.At.In(t.Zone))})
		return
	}
	if e == nil {
		e = &Enquiry{}
	}
	t.tell(c.ID, wording.TermsInFull, wording.Facts{Text: t.wholeTerms(e)})
}
