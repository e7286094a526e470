package conversations

import (
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// asksWhenDone tells whether somebody whose car is being worked on asks when it is ready.
func (t *turn) asksWhenDone(text string) bool {
	said := wording.Plain(text)
	return t.means(said, wording.SayWhen) || t.asksJust(text, wording.SayWhenAgain) ||
		t.isQuestion(text) && (t.asksJust(text, wording.SayReady) || t.asksJust(text, wording.SayHowLong))
}

// tellWhenDone says when the car should be ready as the work now stands, which is the
// hour the owner reads: not the one that was kept.
func (t *turn) tellWhenDone(c *Chat, e *Enquiry) {
	end := e.Slot.End
	if work, ok := t.course(e); ok && e.working() {
		if work.at < 0 {
			t.tell(c.ID, wording.DoneSoon, wording.Facts{Car: carName(e)})
			return
		}
		end = work.end
	}
	t.tell(c.ID, wording.DoneWhen, t.readyFacts(e, end))
}

// readyFacts are when a car should be ready whose work is done at an hour, rounded up, and
// when it is dry.
func (t *turn) readyFacts(e *Enquiry, end time.Time) wording.Facts {
	const grid = 5 * time.Minute
	if over := end.Sub(end.Truncate(grid)); over > 0 {
		end = end.Add(grid - over)
	}
	f := wording.Facts{Car: carName(e), Until: t.until(t.now, end)}
	if dry := time.Duration(e.Quote.Dry) * time.Minute; dry > 0 {
		f.When = t.until(t.now, end.Add(dry))
		if !atTheirs(t, e) {
			f.When = t.until(t.now, t.handedOver(end.In(t.Zone).Add(dry)))
		}
	}
	if diary.Key(end, t.Zone) != diary.Key(t.now, t.Zone) {
		f.Until = t.Words.Moment(end.In(t.Zone))
	}
	return f
}

// readyNow says when the car should be ready with other work than was agreed before, empty
// where that has not moved or nobody can tell. Until work begins the hour is that of the
// booking, which was to end at another.
func (t *turn) readyNow(e *Enquiry, was time.Time) string {
	end := e.Slot.End
	if e.working() {
		work, ok := t.course(e)
		if !ok || work.at < 0 || work.guesses(e) {
			return ""
		}
		end = work.end
	} else if end.Equal(was) {
		return ""
	}
	return t.word(wording.ReadyNow, t.readyFacts(e, end))
}
