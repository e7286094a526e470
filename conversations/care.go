package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// setting is what reminders have to know of the business.
func (t *turn) setting() reminders.Setting {
	closed := t.diaryRules().Closed
	return reminders.Setting{Rules: t.Rules, Zone: t.Zone, Holiday: func(date string) bool { return closed[date] }}
}

// job is a finished job as far as looking after it goes, with what was done to the
// car since.
func (t *turn) job(e *Enquiry) reminders.Job {
	j := reminders.Job{At: e.Work.At, Protections: e.Work.Protections}
	if e.Quote != nil {
		j.Tasks = e.Quote.Tasks
	}
	for _, later := range t.jobs(t.chat(e.Chat)) {
		if later.ID != e.ID && later.Work.At.After(e.Work.At) && sameCar(later, e) {
			j.Since = append(j.Since, later.Work.Protections...)
			if later.Quote != nil {
				j.Since = append(j.Since, later.Quote.Tasks...)
			}
		}
	}
	return j
}

// care tells what today brings in looking after a customer's cars, all of it in one
// message, and sets the next day that brings something. After the handover it
// speaks once a day at most, whatever was done when: what there is to say on a day
// on which the customer has heard from us already, or is coming anyway, waits.
func (t *turn) care(e *Enquiry) {
	if e.Work == nil || e.Stage != Done {
		return
	}
	s, c := t.setting(), t.chat(e.Chat)
	if c.Blocked || c.Stopped {
		return
	}
	t.remembered(c, e)
	handover := e.Work.Cared.IsZero()
	if !handover {
		if c.NoCare || t.unhappy(c) { // who complains is not thanked; it goes on once that is seen to
			return
		}
		at := s.Serviceable(t.now)
		if v := t.visiting(c); t.sameDay(c.Heard, t.now) || v != nil && v.Stage == Booked && t.sameDay(v.Slot.Start, t.now) {
			y, m, d := t.now.In(t.Zone).Date()
			at = time.Date(y, m, d+1, t.Rules.Service.CareHour, 0, 0, 0, t.Zone)
		}
		if at.After(t.now) {
			t.set(at, Came{Kind: CameCare, Enquiry: e.ID})
			return
		}
	}
	t.tellCare(c, e, handover)
}

// tellCare words what a day brings: what the job asks for that fell due, then what
// the others have for the same day.
func (t *turn) tellCare(c *Chat, e *Enquiry, handover bool) {
	const enough = 3000 // of the 4096 units a message may have; the rest comes tomorrow
	s := t.setting()
	var parts []string
	kind, length := wording.CareLater, 0
	for _, j := range t.caredFor(c, e) {
		var tips []reminders.Tip
		if j == e || !j.Work.Cared.IsZero() && !c.NoCare {
			tips = s.CareNow(t.job(j), j.Work.Cared, t.now)
		}
		if j != e && (len(tips) == 0 || length > enough) {
			continue
		}
		j.Work.Cared = t.now
		if next, ok := s.NextCare(t.job(j), t.now); ok && !c.NoCare {
			t.set(next, Came{Kind: CameCare, Enquiry: j.ID})
		} else if j != e {
			t.unset(CameCare, j)
		}
		if len(tips) == 0 {
			continue
		}
		k := wording.CareLater
		switch {
		case len(parts) > 0:
			k = wording.CareAlso
		case handover:
			k, kind = wording.Aftercare, wording.Aftercare
		}
		parts = append(parts, t.word(k, wording.Facts{Name: e.Name, Car: carName(j), Items: tipLines(tips)}))
		length += len(parts[len(parts)-1])
	}
	if len(parts) == 0 {
		return
	}
	c.Heard = t.now
	t.say(bot.Message{Chat: e.Chat, Text: strings.Join(parts, "\n\n"), Kind: string(kind)})
}

// caredFor are the jobs of a chat, the one that fell due first.
func (t *turn) caredFor(c *Chat, e *Enquiry) []*Enquiry {
	rest := slices.DeleteFunc(t.jobs(c), func(j *Enquiry) bool { return j.ID == e.ID })
	return append([]*Enquiry{e}, rest...)
}

func tipLines(tips []reminders.Tip) []string {
	var out []string
	for _, tip := range tips {
		line := tip.Words
		if tip.About != "" {
			line = firstUpper(tip.About) + ": " + tip.Words
		}
		out = append(out, line)
	}
	return out
}
