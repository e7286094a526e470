package conversations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// A product that stays on has a clock for each piece it is on. It rings when it
// may come off and once more before it has been on too long. While an acid or a
// caustic is on, what customers write to the owner waits.

// mostClocks bounds what one job keeps of clocks.
const mostClocks = 200

// clocksFor are the waitings of a step that have a plan.
func planned(x jobsheet.Step) []jobsheet.Waiting {
	return slices.DeleteFunc(slices.Clone(x.Waiting), func(w jobsheet.Waiting) bool { return w.Impossible != nil })
}

// clockRows are the buttons of a step's products: what may come off, the one that
// has been on longest first, and the piece that is next to be treated.
func (t *turn) clockRows(e *Enquiry, x jobsheet.Step) [][]bot.Choice {
	var rows [][]bot.Choice
	for i, c := range e.Job.Clocks {
		if c.Off.IsZero() {
			rows = append(rows, []bot.Choice{t.offButton(e, i, c)})
		}
	}
	for n, w := range planned(x) {
		on, running := 0, 0
		for _, c := range e.Job.Clocks {
			if c.Task == x.Task && c.What == w.What {
				on = max(on, c.Piece+1)
				if c.Off.IsZero() {
					running++
				}
			}
		}
		if on >= w.Task.N {
			continue // all of it has had this one
		}
		if running < w.Plan.AtOnce {
			label := t.word(wording.LabelClockOn, wording.Facts{Text: w.What, Name: pieceName(w, on)})
			data := strings.Join([]string{x.Task, strconv.Itoa(n), strconv.Itoa(on)}, ":")
			rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, 0, pressJob, jobOn + data}.data()}})
		}
		break // one product after the other
	}
	return rows
}

func (t *turn) offButton(e *Enquiry, i int, c Clock) bot.Choice {
	return bot.Choice{Label: t.word(wording.LabelClockOff, wording.Facts{Name: c.Name}), Data: press{e.ID, 0, pressJob, jobOff + strconv.Itoa(i)}.data()}
}

func pieceName(w jobsheet.Waiting, i int) string {
	if i < len(w.Names) {
		return w.Names[i]
	}
	return w.Piece + " " + strconv.Itoa(i+1)
}

// clockLines tell what is on, since when and until when.
func (t *turn) clockLines(e *Enquiry) []string {
	var out []string
	for _, c := range e.Job.Clocks {
		if c.Off.IsZero() {
			out = append(out, t.word(wording.JobClock, t.clockFacts(c)))
		}
	}
	return out
}

func (t *turn) clockFacts(c Clock) wording.Facts {
	const layout = "15:04:05"
	on := c.On.In(t.Zone)
	return wording.Facts{Name: c.Name, Text: c.What, When: on.Add(seconds(c.Least)).Format(layout), Until: on.Add(seconds(c.Most)).Format(layout), Day: on.Format(layout)}
}

func seconds(n int) time.Duration { return time.Duration(n) * time.Second }

// clockPressed puts a product on a piece, or takes it off.
func (t *turn) clockPressed(e *Enquiry, on bool, rest string) {
	if !on {
		i := atoi(rest)
		if i < 0 || i >= len(e.Job.Clocks) || !e.Job.Clocks[i].Off.IsZero() {
			return
		}
		e.Job.Clocks[i].Off = t.now
		t.unsetClock(e, i)
		t.handsFree(e)
		return
	}
	c, ok := t.course(e)
	part := strings.Split(rest, ":")
	if !ok || c.at < 0 || len(part) != 3 || c.sheet.Steps[c.at].Task != part[0] || len(e.Job.Clocks) >= mostClocks {
		return
	}
	x, n, piece := c.sheet.Steps[c.at], atoi(part[1]), atoi(part[2])
	ws := planned(x)
	if n < 0 || n >= len(ws) || piece < 0 || piece >= ws[n].Task.N {
		return
	}
	w := ws[n]
	if slices.ContainsFunc(e.Job.Clocks, func(k Clock) bool { return k.Task == x.Task && k.What == w.What && k.Piece == piece }) {
		return // pressed twice
	}
	k := Clock{Task: x.Task, What: w.What, Index: n, Piece: piece, Name: pieceName(w, piece), On: t.now,
		Least: int(w.Task.Min.Seconds()), Most: int(w.Task.Max.Seconds()), Sharp: t.sharp(w.What)}
	e.Job.Clocks = append(e.Job.Clocks, k)
	i := len(e.Job.Clocks) - 1
	t.set(k.rings(t.now), Came{Kind: CameClock, Enquiry: e.ID, Clock: i})
	if k.Sharp {
		t.handsFull(e, k.On.Add(seconds(k.Most)))
	}
}

// sharp tells whether a product must not be left alone for a message.
func (t *turn) sharp(what string) bool {
	p, _ := t.Rules.Sheet().Product(what)
	return slices.ContainsFunc(p.Is, func(h pricing.Hazard) bool { return h == pricing.Acid || h == pricing.Caustic || h == pricing.Bleach })
}

// near is when a product has been on for four fifths of the longest time.
func (c Clock) near() time.Time { return c.On.Add(seconds(c.Most) * 4 / 5) }

// rings is when a clock rings next after a moment, zero if it has done so for the
// last time.
func (c Clock) rings(after time.Time) time.Time {
	least := c.On.Add(seconds(c.Least))
	switch {
	case c.Least > 0 && least.After(after):
		return least
	case c.near().After(after):
		return c.near()
	}
	return time.Time{}
}

// ring tells the owner that a product may come off, or must.
func (t *turn) ring(e *Enquiry, i int) {
	if !e.working() || i < 0 || i >= len(e.Job.Clocks) || !e.Job.Clocks[i].Off.IsZero() || t.Owner == 0 {
		return
	}
	c := e.Job.Clocks[i]
	k := wording.ClockRinse
	if !t.now.Before(c.near()) {
		k = wording.ClockNear
	}
	if next := c.rings(t.now); !next.IsZero() {
		t.set(next, Came{Kind: CameClock, Enquiry: e.ID, Clock: i})
	}
	t.say(bot.Message{Chat: t.Owner, Text: t.word(k, t.clockFacts(c)), Choices: [][]bot.Choice{{t.offButton(e, i, c)}},
		NotAfter: c.On.Add(2 * seconds(c.Most)), Kind: string(k)})
}

func (t *turn) unsetClock(e *Enquiry, i int) {
	id := dueID(Came{Kind: CameClock, Enquiry: e.ID, Clock: i})
	t.out.Set = slices.DeleteFunc(t.out.Set, func(d Due) bool { return d.ID == id })
	t.out.Unset = append(t.out.Unset, id)
}
