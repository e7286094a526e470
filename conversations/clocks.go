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

// worthRinging: what may stay on for less than this is off before a clock is set.
const worthRinging = 2 * time.Minute

// stay is one product of a step that stays on: on how many pieces, on how many at
// once, and for how long on each.
type stay struct {
	what         string
	pieces, once int
	names        []string
	piece        string
	least, most  time.Duration
}

// stays are a step's products that stay on for a while, those with a timetable
// first. Where the rules do not say piece by piece, there is one clock after the
// other, as often as it is needed.
func stays(x jobsheet.Step) []stay {
	var out []stay
	for _, w := range x.Waiting {
		if w.Impossible == nil {
			out = append(out, stay{w.What, w.Task.N, w.Plan.AtOnce, w.Names, w.Piece, w.Task.Min, w.Task.Max})
		}
	}
	for _, m := range x.Mixes {
		known := slices.ContainsFunc(x.Waiting, func(w jobsheet.Waiting) bool { return w.What == m.What })
		if !known && m.LeaveMax >= worthRinging && m.LeaveMin > 0 {
			out = append(out, stay{what: m.What, pieces: mostClocks, once: 1, least: m.LeaveMin, most: m.LeaveMax})
		}
	}
	return out
}

// name is how a piece is called, empty where pieces are not told apart.
func (s stay) name(i int) string {
	switch {
	case i < len(s.names):
		return s.names[i]
	case s.piece != "":
		return s.piece + " " + strconv.Itoa(i+1)
	}
	return ""
}

// pieceName is the name of a piece as it is read in the language of the turn; a
// clock keeps it as the rules have it.
func (t *turn) pieceName(name string) string {
	if kind, number, ok := strings.Cut(name, " "); ok {
		if _, err := strconv.Atoi(number); err == nil {
			return t.atWork(kind) + " " + number
		}
	}
	return t.atWork(name)
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
	for n, s := range stays(x) {
		on, running := 0, 0
		for _, c := range e.Job.Clocks {
			if c.Task == x.Task && c.What == s.what {
				on = max(on, c.Piece+1)
				if c.Off.IsZero() {
					running++
				}
			}
		}
		if on >= s.pieces {
			continue // all of it has had this one
		}
		if running < s.once {
			label := t.word(wording.LabelClockOn, wording.Facts{Text: t.atWork(s.what), Name: t.pieceName(s.name(on))})
			data := strings.Join([]string{x.Task, strconv.Itoa(n), strconv.Itoa(on)}, ":")
			rows = append(rows, []bot.Choice{{Label: label, Data: press{e.ID, 0, pressJob, jobOn + data}.data()}})
		}
		if s.names != nil || s.piece != "" {
			break // one product after the other, piece by piece
		}
	}
	return rows
}

func (t *turn) offButton(e *Enquiry, i int, c Clock) bot.Choice {
	return bot.Choice{Label: t.word(wording.LabelClockOff, wording.Facts{Name: t.pieceName(c.Name), Text: t.atWork(c.What)}), Data: press{e.ID, 0, pressJob, jobOff + strconv.Itoa(i)}.data()}
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
	return wording.Facts{Name: t.pieceName(c.Name), Text: t.atWork(c.What), When: on.Add(seconds(c.Least)).Format(layout), Until: on.Add(seconds(c.Most)).Format(layout), Day: on.Format(layout)}
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
	all := stays(x)
	if n < 0 || n >= len(all) || piece < 0 || piece >= all[n].pieces {
		return
	}
	of := all[n]
	if slices.ContainsFunc(e.Job.Clocks, func(k Clock) bool { return k.Task == x.Task && k.What == of.what && k.Piece == piece }) {
		return // pressed twice
	}
	k := Clock{Task: x.Task, What: of.what, Piece: piece, Name: of.name(piece), On: t.now,
		Least: int(of.least.Seconds()), Most: int(of.most.Seconds()), Sharp: t.sharp(of.what)}
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
