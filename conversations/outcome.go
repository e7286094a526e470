package conversations

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// mostMinutes is longer than any job takes.
const mostMinutes = 24 * 60

// askMinutes asks how long a job took; where its steps were pressed, the clock
// knows.
func (t *turn) askMinutes(c *Chat, e *Enquiry) {
	t.keepEnd(c, e)
	t.tell(c.ID, wording.OwnerMinutes, wording.Facts{Name: e.Name, Car: carName(e), Minutes: e.Quote.reckoned()}, t.minutesRows(e)...)
}

// minutesRows are how long a job took, to be tapped: by the clock where one ran, and as
// reckoned where not every step was marked; and the way back.
func (t *turn) minutesRows(e *Enquiry) [][]bot.Choice {
	minutes := func(k wording.Key, n int) bot.Choice {
		return bot.Choice{Label: t.word(k, wording.Facts{Minutes: n}), Data: press{e.ID, 0, pressJob, jobMinutes + strconv.Itoa(n)}.data()}
	}
	rows := [][]bot.Choice{{minutes(wording.LabelAsReckoned, e.Quote.reckoned())}}
	if n := t.byClock(e); n > 0 && n <= mostMinutes {
		rows = slices.Insert(rows, 0, []bot.Choice{minutes(wording.LabelByClock, n)})
		if t.allMarked(e) || n == e.Quote.reckoned() {
			rows = rows[:1]
		}
	}
	back := []bot.Choice{{Label: t.label(wording.LabelBack), Data: press{e.ID, e.Rev, pressOwner, pressOpen}.data()}}
	if e.working() {
		back = t.jobRow(e, named{jobStep, wording.LabelBack})
	}
	return append(rows, back)
}

// minutesTapped takes the minutes by the clock, and with them those of each area.
func (t *turn) minutesTapped(c *Chat, e *Enquiry, rest string) {
	if n := atoi(rest); n > 0 && n <= mostMinutes && c.Finishing == e.ID && e.Work == nil {
		t.took(c, e, n, t.minutesByArea(e))
		return
	}
	t.staleVisit(c, e)
}

// minutesByArea is how long the steps took, by the area they belong to; what
// belongs to none is left out. Where only some were marked as done nobody knows.
func (t *turn) minutesByArea(e *Enquiry) map[pricing.Area]int {
	if !t.allMarked(e) {
		return nil
	}
	spent := map[pricing.Area]float64{}
	at := e.Job.Started
	for _, s := range e.Job.Steps {
		if a := t.areaOf(s.Task); a != "" {
			spent[a] += s.At.Sub(at).Minutes()
		}
		at = s.At
	}
	out := map[pricing.Area]int{}
	for a, m := range spent {
		if n := int(math.Round(m)); n > 0 {
			out[a] = n
		}
	}
	return out
}

// hoursSaid tells a length of time that is said in hours from a number of minutes.
var hoursSaid = regexp.MustCompile(`(?i)hour|hr|[0-9½¼¾] ?h|^[0-9]{1,2}:[0-5][0-9]$`)

// readMinutes reads how long a job took: "150", "2 hours 30", or by area, "inside 90, wheels 40,
// rest 20". A name it does not know is a mistake, not nought.
func (t *turn) readMinutes(text string) (int, map[pricing.Area]int, bool) {
	text = t.exceptRoughly(apart(text))
	if n, ok := lengthSaid(wording.Plain(text)); ok {
		return n, nil, n >= 1 && n <= mostMinutes
	}
	for _, said := range []string{text, t.asRead(text)} {
		if n, ok := lasting(said); ok && hoursSaid.MatchString(strings.TrimSpace(said)) {
			return n, nil, n <= mostMinutes
		}
	}
	sum, byArea := 0, map[pricing.Area]int{}
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		at := strings.IndexAny(part, "0123456789")
		if at < 0 {
			return 0, nil, false
		}
		n, ok := lengthSaid(wording.Plain(part[at:]))
		name := wording.Plain(part[:at])
		area, known := t.areaCalled(name)
		if !ok || n < 1 || n > mostMinutes || !known && !t.means(name, wording.SayRest) {
			return 0, nil, false
		}
		if known {
			byArea[area] += n
		}
		sum += n
	}
	return sum, byArea, sum >= 1 && sum <= mostMinutes
}

// exceptRoughly is a text without the small words before its figure: "about 3 hours".
func (t *turn) exceptRoughly(text string) string {
	words := strings.Fields(text)
	for len(words) > 1 {
		w := wording.Plain(words[0])
		if _, number := numbers[w]; number || !slices.Contains(t.typed(wording.SayRoughly), w) {
			break
		}
		words = words[1:]
	}
	return strings.Join(words, " ")
}

// lengths are the ways a length of time is written: "150", "55 mins", "1h 10", "2 hours",
// "1 godz 10 min".
var lengths = regexp.MustCompile(`^(?:(\d{1,2}) ?(?:h|hr|hrs|hour|hours|godz|godzina|godziny|godzin)(?: and)?)? ?(?:(\d{1,5}) ?(?:m|min|mins|minute|minutes|minut|minuty)?)?$`)

// lengthSaid is a length of time in minutes, and false if a text is none.
func lengthSaid(said string) (minutes int, ok bool) {
	m := lengths.FindStringSubmatch(said)
	if m == nil || m[1] == "" && m[2] == "" {
		return 0, false
	}
	return 60*max(0, atoi(m[1])) + max(0, atoi(m[2])), true
}

func (t *turn) areaCalled(name string) (pricing.Area, bool) {
	all := t.Rules.Areas()
	i := slices.IndexFunc(all, func(a pricing.AreaRule) bool {
		return wording.Plain(a.Name) == name || wording.Plain(string(a.ID)) == name
	})
	if i < 0 {
		return "", false
	}
	return all[i].ID, true
}

// mostPairs is how many pairs of photographs a customer gets with the care notes.
const mostPairs = 4

// pair is a part of the car before and after the work on it.
type pair struct {
	words         string
	before, after bot.FileID
}

// viewOf is the view of the walk round on which an area is to be seen.
var viewOf = map[pricing.Area]string{
	pricing.Wheels: "wheels", pricing.Interior: "inside", pricing.Stains: "inside", pricing.PetHair: "inside", pricing.Mould: "inside",
	pricing.Paintwork: "front", pricing.Headlights: "front", pricing.SoftTop: "left", pricing.Glass: "front", pricing.Trim: "front",
}

// paired are the photographs of the work in pairs, one for each area: those of a
// step, or where there is only one afterwards, that with the walk round's.
func (t *turn) paired(e *Enquiry) []pair {
	if e.Job == nil {
		return nil
	}
	var out []pair
	var seen []pricing.Area
	for _, after := range slices.Backward(e.Job.Shots) {
		area := t.areaOf(after.Of)
		if !after.After || area == "" || slices.Contains(seen, area) || len(out) >= mostPairs {
			continue
		}
		var before bot.FileID
		for _, s := range slices.Backward(e.Job.Shots) {
			switch {
			case s.After:
			case s.Of == after.Of:
				before = s.File
			case before == "" && s.Of != "" && s.Of == viewOf[area]:
				before = s.File
			}
			if s.Of == after.Of && !s.After {
				break
			}
		}
		if before != "" {
			out, seen = append(out, pair{t.areaName(area), before, after.File}), append(seen, area)
		}
	}
	slices.Reverse(out)
	return out
}

// pairs sends the customer what came of it.
func (t *turn) pairs(e *Enquiry) {
	if t.chat(e.Chat).Blocked {
		return
	}
	for _, p := range t.paired(e) {
		t.say(bot.Message{Chat: e.Chat, Photo: p.before, Text: t.word(wording.PhotoBefore, wording.Facts{Text: p.words}), Kind: "pair"})
		t.say(bot.Message{Chat: e.Chat, Photo: p.after, Text: t.word(wording.PhotoAfter, wording.Facts{Text: p.words}), Kind: "pair"})
	}
}
