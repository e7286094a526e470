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
	t.tell(c.ID, wording.DoneWhen, f)
}
