package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// Before anything gets wet the owner goes round the car with the phone. Whatever
// is noted then was there before us, and the customer knows of it.

// shotDamage is what a photograph of damage is of.
const shotDamage = "damage"

// views are the photographs of a car as it came, in the order of a walk round it.
var walkViews = []named{
	{"front", wording.LabelViewFront}, {"left", wording.LabelViewLeft}, {"back", wording.LabelViewBack}, {"right", wording.LabelViewRight},
	{"wheels", wording.LabelViewWheels}, {"inside", wording.LabelViewInside}, {"dash", wording.LabelViewDash},
}

// arrive begins the walk round, or shows it again.
func (t *turn) arrive(c *Chat, e *Enquiry) {
	c.Job, c.Writing, c.Finishing, c.Noting = e.ID, "", "", ""
	j := e.onDay()
	if j.Begun.IsZero() || diary.Key(j.Begun, t.Zone) != diary.Key(t.now, t.Zone) {
		*j = Job{Begun: t.now} // an earlier day's was another visit
	}
	j.Absent, j.Coming = time.Time{}, time.Time{}
	t.unset(CameAbsent, e) // the car is here
	t.showWalk(e, 0)
}

// showWalk puts the list before the owner, in the place of an earlier one if
// there is one.
func (t *turn) showWalk(e *Enquiry, edit bot.MessageID) {
	f := wording.Facts{Name: e.Name, Car: carName(e), Items: e.Job.Damage}
	var rows [][]bot.Choice
	var row []bot.Choice
	for _, v := range walkViews {
		label := t.label(v.label)
		if e.Job.has(v.key) {
			f.In = append(f.In, label)
			label = "✓ " + label
		} else {
			f.Out = append(f.Out, label)
		}
		row = append(row, bot.Choice{Label: label, Data: press{e.ID, 0, pressJob, jobView + v.key}.data()})
		if len(row) == 4 {
			rows, row = append(rows, row), nil
		}
	}
	rows = append(rows, row)
	k := wording.OwnerWalk
	if len(f.In) == 0 {
		rows = nil // nothing to sort yet
	}
	if len(f.In)+len(f.Items) > 0 {
		k = wording.OwnerWalked
	}
	if len(f.Items) > 0 {
		rows = append(rows, t.jobRow(e, named{jobUnsay, wording.LabelNotDamage}))
	}
	rows = append(rows, t.jobRow(e, named{jobGrades, wording.LabelGrades}, named{jobShow, wording.LabelShowThem}))
	rows = append(rows, t.jobRow(e, named{jobAway, wording.LabelTheyAreAway}, named{jobStart, wording.LabelStartWork}))
	t.say(bot.Message{Chat: t.Owner, Text: t.word(k, f), Choices: rows, Edit: edit, Kind: "walk"})
}

// has tells whether there is a photograph of a view.
func (j *Job) has(view string) bool {
	return slices.ContainsFunc(j.Shots, func(s Shot) bool { return s.Of == view || s.View == view })
}

// shotOnArrival files a photograph of the car as it came: by its caption, or as
// the next view of the walk. Any other words under it tell of damage.
func (t *turn) shotOnArrival(e *Enquiry, s *Shot, caption string) {
	words := brief(caption)
	for _, v := range walkViews {
		if words != "" && t.means(wording.Plain(words), v.label) {
			s.Of = v.key
			return
		}
	}
	if words != "" {
		s.Of, s.Words, s.View = shotDamage, words, t.viewIn(words)
		if len(e.Job.Damage) < mostNotes {
			e.Job.Damage = append(e.Job.Damage, words)
		}
		return
	}
	for _, v := range walkViews {
		if !e.Job.has(v.key) {
			s.Of = v.key
			return
		}
	}
}

// viewIn is the view that words under a photograph of damage name first: "small dent back
// bumper left" is of the back; empty if they name none.
func (t *turn) viewIn(words string) (view string) {
	said := " " + wording.Plain(words) + " "
	first := len(said)
	for _, v := range walkViews {
		for _, w := range t.typed(v.label) {
			if i := strings.Index(said, " "+wording.Plain(w)+" "); i >= 0 && i < first {
				first, view = i, v.key
			}
		}
	}
	return view
}

// walkPressed takes the owner's presses on the walk round.
func (t *turn) walkPressed(c *Chat, e *Enquiry, kind, rest string, w bot.Tap) {
	if e.Job == nil || e.Job.Begun.IsZero() {
		t.arrive(c, e)
		return
	}
	c.Job = e.ID
	switch kind {
	case jobGrades:
		t.takeOff(w)
		t.panel(e)
	case jobShow, jobAway:
		if missing := t.missing(e); len(missing) > 0 && !e.Job.ToldMissing {
			e.Job.ToldMissing = true
			t.takeOff(w)
			go1 := named{kind, wording.LabelGoOnWithout}
			t.tell(t.Owner, wording.OwnerWalkMissing, wording.Facts{Items: missing, Count: len(missing)}, t.jobRow(e, go1))
			return
		}
		t.takeOff(w)
		t.showThem(e, kind == jobAway)
	case jobUnsay:
		t.unsay(e)
		t.showWalk(e, w.Message)
	case "view":
		t.refile(e, rest)
		t.showWalk(e, w.Message)
	default:
		t.showWalk(e, 0)
	}
}

func (t *turn) missing(e *Enquiry) []string {
	var out []string
	for _, v := range walkViews {
		if !e.Job.has(v.key) {
			out = append(out, t.label(v.label))
		}
	}
	return out
}

// refile says what the last photograph of the walk is really of.
func (t *turn) refile(e *Enquiry, view string) {
	if !slices.ContainsFunc(walkViews, func(v named) bool { return v.key == view }) {
		return
	}
	for i := len(e.Job.Shots) - 1; i >= 0; i-- {
		if s := &e.Job.Shots[i]; s.Of != shotDamage {
			s.Of = view
			return
		}
	}
}

// unsay takes back the last thing noted as damage, with the photograph it stood under.
func (t *turn) unsay(e *Enquiry) {
	n := len(e.Job.Damage)
	if n == 0 {
		return
	}
	last := e.Job.Damage[n-1]
	e.Job.Damage = e.Job.Damage[:n-1]
	for i, s := range slices.Backward(e.Job.Shots) {
		if s.Of == shotDamage && s.Words == last {
			e.Job.Shots = slices.Delete(e.Job.Shots, i, i+1)
			return
		}
	}
}

// showThem sends the customer what was found, and asks whether they have seen it.
// That somebody is not there is no reason not to tell them.
func (t *turn) showThem(e *Enquiry, away bool) {
	e.Job.Seen = &Seen{Asked: t.now, Away: away}
	f := wording.Facts{Name: e.Name, Car: carName(e), Items: e.Job.Damage, Count: len(e.Job.Shots)}
	if !t.chat(e.Chat).Blocked {
		for _, s := range e.Job.Shots {
			if s.Of == shotDamage {
				t.say(bot.Message{Chat: e.Chat, Photo: s.File, Text: s.Words, Kind: "found"})
			}
		}
		k := wording.AskSeenDamage
		if away {
			k = wording.AskSeenAway
		}
		ways := []named{{theirSeen, wording.LabelSeen}}
		if slices.ContainsFunc(e.Job.Shots, func(s Shot) bool { return s.Of != shotDamage }) {
			ways = append(ways, named{theirPhotos, wording.LabelShowPhotos})
		}
		t.tell(e.Chat, k, f, t.theirRow(e, ways...), t.theirRow(e, named{theirDenied, wording.LabelNotSo}))
	}
	if away {
		f.Text = "away"
	}
	t.tell(t.Owner, wording.OwnerShown, f, t.jobRow(e, named{jobGrades, wording.LabelGrades}, named{jobStart, wording.LabelStartWork}))
}

// seenPressed takes the customer's answer to what was found.
func (t *turn) seenPressed(c *Chat, e *Enquiry, kind string, w bot.Tap) {
	if e.Job == nil || e.Job.Seen == nil {
		t.staleVisit(c, e)
		return
	}
	again := t.theirRow(e, named{theirSeen, wording.LabelSeen}, named{theirDenied, wording.LabelNotSo})
	switch kind {
	case theirPhotos:
		t.takeOff(w)
		for _, s := range e.Job.Shots {
			if v := t.viewName(s.Of); v != "" && !s.After {
				t.say(bot.Message{Chat: e.Chat, Photo: s.File, Text: v, Kind: "found"})
			}
		}
		t.tell(e.Chat, wording.SeenAll, wording.Facts{}, again)
	case theirDenied:
		t.takeOff(w)
		e.Job.Seen.Denied = true
		t.tell(e.Chat, wording.SeenDenied, t.visitFacts(e), t.theirWays(e)...)
		t.toOwner(wording.OwnerSeenDenied, e, wording.Facts{}, pressWrite)
	default:
		t.takeOff(w)
		if e.Job.Seen.At.IsZero() {
			e.Job.Seen.At, e.Job.Seen.Denied = t.now, false
			t.toOwner(wording.OwnerSeen, e, wording.Facts{When: t.now.Format("15:04")})
		}
		f := t.visitFacts(e)
		t.tell(e.Chat, wording.SeenThanks, f, t.theirWays(e)...)
	}
}

// viewName is how a view of the walk is called, empty for what is none.
func (t *turn) viewName(id string) string {
	for _, v := range walkViews {
		if v.key == id {
			return strings.TrimSpace(t.label(v.label))
		}
	}
	return ""
}
