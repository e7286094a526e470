package conversations

import (
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/diary/when"
	"example.org/dryhand/conversations/wording"
)

// The owner says in his own words when he is off, when after all not, and when he
// works although he usually does not. Each is answered with what was understood of
// it, and taken back with one tap.

// offSaid takes what the owner says of his time, and reports whether it was that.
// While he answers for somebody who rang, only what is clear is taken.
func (t *turn) offSaid(c *Chat, text string) bool {
	deed, rest := t.deed(text)
	if deed == "" {
		deed, rest = t.offBehind(text)
	}
	if deed == "" || c.Setting != "" || c.Noting != "" {
		return false
	}
	b := when.ReadBlocks(rest, t.saidAt())
	if len(b.Of) == 0 || len(b.Unread) > 0 {
		b = when.ReadBlocks(t.asRead(rest), t.saidAt())
	}
	busy := isGuest(c.Guest) || c.Finishing != ""
	switch {
	case busy && (len(b.Of) == 0 || len(b.Unread) > 0):
		return false
	case len(b.Doubts) > 0 && b.Doubts[0].Why == when.Past:
		t.tell(c.ID, wording.OwnerOffPast, wording.Facts{})
	case len(b.Of) == 0:
		return false // it may be about something else: "free miles 5"
	case b.Either:
		t.askWhichDay(c, deed, b.Of)
	default:
		for _, s := range b.Of {
			t.do(c, deed, s)
		}
	}
	return true
}

// offUnread answers what began like time off and nobody could make anything of. It
// reports false if it did not.
func (t *turn) offUnread(c *Chat, text string) bool {
	if deed, _ := t.deed(text); deed == "" {
		return false
	}
	t.tell(c.ID, wording.OwnerOffUnread, wording.Facts{})
	return true
}

// deed is what the owner's words begin with, as the kind of press that does it,
// and what they say of the time.
func (t *turn) deed(text string) (kind, rest string) {
	words := strings.Fields(text)
	for _, d := range []struct {
		key  wording.Key
		kind string
	}{{wording.SayOff, deskBlock}, {wording.SayOpen, deskOpen}, {wording.SayWorking, deskWork}} {
		for _, w := range t.typed(d.key) {
			n := len(strings.Fields(w))
			if n <= len(words) && wording.Plain(strings.Join(words[:n], " ")) == wording.Plain(w) && (kind == "" || n > len(words)-len(strings.Fields(rest))) {
				kind, rest = d.kind, strings.Join(words[n:], " ")
			}
		}
	}
	return kind, rest
}

// offBehind reads "Thursday off", where the deed stands behind its time and there is
// nothing else.
func (t *turn) offBehind(text string) (kind, rest string) {
	words := strings.Fields(text)
	for _, w := range t.typed(wording.SayOff) {
		n := len(words) - len(strings.Fields(w))
		if n <= 0 || wording.Plain(strings.Join(words[n:], " ")) != wording.Plain(w) {
			continue
		}
		before := strings.Join(words[:n], " ")
		for _, said := range []string{before, t.asRead(before)} {
			if b := when.ReadBlocks(said, t.saidAt()); len(b.Of) > 0 && len(b.Unread) == 0 {
				return deskBlock, said
			}
		}
	}
	return "", ""
}

// mostOff is how many stretches of time off are shown.
const mostOff = 20

// showOff shows when he is off in the days that can be booked.
func (t *turn) showOff(c *Chat) {
	f := wording.Facts{Count: t.Rules.Diary.HorizonDays}
	for _, date := range t.horizon() {
		for _, en := range t.day(date).Entries {
			if en.Kind == diary.Off && len(f.Items) < mostOff {
				from, to := en.Start.In(t.Zone), en.End.In(t.Zone)
				line := wording.Facts{When: from.Format("15:04"), Until: to.Format("15:04")}
				f.Items = append(f.Items, t.Words.Date(from)+": "+t.word(wording.LineTimeOff, line))
			}
		}
	}
	t.tell(c.ID, wording.OwnerWhenOff, f, t.deskWays()...)
}

// askWhichDay asks which of two readings is meant.
func (t *turn) askWhichDay(c *Chat, deed string, of []when.Block) {
	var rows [][]bot.Choice
	for _, b := range of {
		rows = append(rows, []bot.Choice{t.deedChoice(t.stretch(b), deed, b)})
	}
	t.tell(c.ID, wording.OwnerWhichDay, wording.Facts{}, rows...)
}

func (t *turn) deedChoice(label, deed string, b when.Block) bot.Choice {
	return bot.Choice{Label: label, Data: press{noEnquiry, 0, pressDesk, deed + blockCode(b)}.data()}
}

// do carries out what the owner said or pressed.
func (t *turn) do(c *Chat, deed string, b when.Block) {
	_, end := t.bounds(b, b.Last)
	days := int(b.Last.Sub(b.First).Hours()/24+0.5) + 1
	f := wording.Facts{When: t.stretch(b), Day: t.Words.Date(b.First), Count: when.MostDays}
	switch {
	case days > when.MostDays:
		t.tell(c.ID, wording.OwnerOffLong, f)
		return
	case !end.After(t.now):
		t.tell(c.ID, wording.OwnerOffPast, f)
		return
	}
	switch deed {
	case deskBlock:
		t.takeOffTime(c, b, f)
	case deskUnblock:
		for _, date := range dates(b) {
			t.day(t.key(date)).Remove(offID(b))
		}
		t.tell(c.ID, wording.OwnerOffUndone, f)
	case deskOpen:
		t.backToWork(c, b, f)
	case deskWork:
		t.work(c, b, f)
	case deskUnwork:
		for _, date := range dates(b) {
			d := t.day(t.key(date))
			d.Extra = slices.DeleteFunc(slices.Clone(d.Extra), func(s diary.Span) bool { return s == span(b) })
		}
		t.tell(c.ID, wording.OwnerOffUndone, f)
	}
}

// takeOffTime keeps time free of further jobs. Those in it already stand, and are
// named.
func (t *turn) takeOffTime(c *Chat, b when.Block, f wording.Facts) {
	rows := [][]bot.Choice{{t.deedChoice(t.label(wording.LabelUndo), deskUnblock, b)}}
	named := map[string]bool{}
	for _, date := range dates(b) {
		start, end := t.bounds(b, date)
		for _, en := range t.day(t.key(date)).TakeOff(offID(b), start, end) {
			e := t.enquiry(strings.TrimSuffix(en.ID, "~"))
			line := wording.Facts{When: t.Words.Moment(en.Start.In(t.Zone))}
			if e != nil {
				line.Name, line.Car = e.Name, carName(e)
			}
			if named[en.ID] {
				continue
			}
			named[en.ID] = true
			k := wording.LineStillIn
			if en.Kind != diary.Booked {
				k = wording.LineStillAsked
			} else if e != nil && e.Stage == Booked {
				rows = append(rows, []bot.Choice{{Label: t.word(wording.LabelMoveOf, line), Data: press{e.ID, e.Rev, pressVisit, visitMove}.data()}})
			}
			f.Items = append(f.Items, t.word(k, line))
		}
	}
	t.tell(c.ID, wording.OwnerOff, f, rows...)
}

// backToWork takes time off back.
func (t *turn) backToWork(c *Chat, b when.Block, f wording.Facts) {
	if !t.backOn(b) {
		usual := false
		for _, date := range dates(b) {
			usual = usual || len(t.open(date)) > 0
		}
		if !usual {
			f.Text = t.Words.Date(b.First)
		}
		t.tell(c.ID, wording.OwnerNothingOff, f)
		return
	}
	t.tell(c.ID, wording.OwnerBackOn, f, []bot.Choice{t.deedChoice(t.label(wording.LabelUndo), deskBlock, b)})
}

// backOn ends the time off in a stretch, and reports whether there was any.
func (t *turn) backOn(b when.Block) (any bool) {
	for _, date := range dates(b) {
		start, end := t.bounds(b, date)
		any = len(t.day(t.key(date)).GiveBack(start, end)) > 0 || any
	}
	return any
}

// work opens hours that are not the usual ones. What was not said is as on other
// days.
func (t *turn) work(c *Chat, b when.Block, f wording.Facts) {
	if t.backOn(b) {
		t.tell(c.ID, wording.OwnerBackOn, f, []bot.Choice{t.deedChoice(t.label(wording.LabelUndo), deskBlock, b)})
	}
	b = t.filled(b)
	f.When = t.stretch(b)
	if b.To <= b.From {
		t.tell(c.ID, wording.OwnerOffUnread, f)
		return
	}
	fresh := false
	for _, date := range dates(b) {
		if within(t.open(date), span(b)) {
			continue
		}
		fresh = true
		d := t.day(t.key(date))
		d.Extra = append(slices.Clone(d.Extra), span(b))
	}
	if !fresh {
		t.tell(c.ID, wording.OwnerWorksAnyway, f)
		return
	}
	t.tell(c.ID, wording.OwnerWorks, f, []bot.Choice{t.deedChoice(t.label(wording.LabelUndo), deskUnwork, b)})
}

// filled takes what was not said of the hours from those of the day, or of the
// week.
func (t *turn) filled(b when.Block) when.Block {
	hours := t.open(b.First)
	if len(hours) == 0 {
		for _, spans := range t.diaryRules().Hours {
			hours = append(hours, spans...)
		}
	}
	if len(hours) == 0 {
		return b
	}
	if !b.FromSaid {
		b.From, b.FromSaid = slices.MinFunc(hours, func(x, y diary.Span) int { return x.From - y.From }).From, true
	}
	if !b.ToSaid {
		b.To, b.ToSaid = slices.MaxFunc(hours, func(x, y diary.Span) int { return x.To - y.To }).To, true
	}
	return b
}

// open are the hours of a date, given by its midnight.
func (t *turn) open(date time.Time) []diary.Span {
	key := t.key(date)
	return t.diaryRules().Open(key, date.Weekday(), *t.day(key))
}

// within tells whether a stretch lies in hours, breaks in it apart.
func within(hours []diary.Span, s diary.Span) bool {
	return len(hours) > 0 && hours[0].From <= s.From && s.To <= hours[len(hours)-1].To
}

func (t *turn) key(date time.Time) string { return diary.Key(date, t.Zone) }

func span(b when.Block) diary.Span { return diary.Span{From: b.From, To: b.To} }

// dates are the midnights of a stretch's days.
func dates(b when.Block) []time.Time {
	var out []time.Time
	for d := b.First; !d.After(b.Last) && len(out) < when.MostDays; {
		out = append(out, d)
		y, m, day := d.Date()
		d = time.Date(y, m, day+1, 0, 0, 0, 0, d.Location())
	}
	return out
}

// bounds are the moments a stretch begins and ends on one of its days.
func (t *turn) bounds(b when.Block, date time.Time) (start, end time.Time) {
	y, m, d := date.Date()
	return time.Date(y, m, d, 0, b.From, 0, 0, t.Zone), time.Date(y, m, d, 0, b.To, 0, 0, t.Zone)
}

// stretch puts a stretch in words.
func (t *turn) stretch(b when.Block) string {
	f := wording.Facts{Day: t.Words.Date(b.First)}
	if !b.Last.Equal(b.First) {
		f.Until = t.Words.Date(b.Last)
	}
	start, end := t.bounds(b, b.First)
	if b.FromSaid {
		f.When = start.Format("15:04")
	}
	if b.ToSaid {
		f.Hours = end.Format("15:04")
		if b.To == 24*60 {
			f.Hours = "24:00"
		}
	}
	return t.word(wording.Stretch, f)
}

// offID is the name under which time off stands in the diary. The same words twice
// are the same time off.
func offID(b when.Block) string { return deskOff + blockCode(b) }

const blockDay = "20060102"

// blockCode is a stretch as a button carries it.
func blockCode(b when.Block) string {
	clock := func(minutes int) string {
		return string([]byte{
			byte('0' + minutes/600), byte('0' + minutes/60%10), byte('0' + minutes%60/10), byte('0' + minutes%10),
		})
	}
	return b.First.Format(blockDay) + "-" + b.Last.Format(blockDay) + "@" + clock(b.From) + "-" + clock(b.To)
}

// parseBlock reads what blockCode writes. A button comes from outside, so that it
// may be anything.
func (t *turn) parseBlock(code string) (b when.Block, ok bool) {
	days, clock, _ := strings.Cut(code, "@")
	first, last, _ := strings.Cut(days, "-")
	from, to, _ := strings.Cut(clock, "-")
	var err [2]error
	b.First, err[0] = time.ParseInLocation(blockDay, first, t.Zone)
	b.Last, err[1] = time.ParseInLocation(blockDay, last, t.Zone)
	minutes := func(s string) int {
		if len(s) != 4 || strings.Trim(s, "0123456789") != "" {
			return -1
		}
		return 600*int(s[0]-'0') + 60*int(s[1]-'0') + 10*int(s[2]-'0') + int(s[3]-'0')
	}
	b.From, b.To = minutes(from), minutes(to)
	b.FromSaid, b.ToSaid = b.From > 0, b.To < 24*60
	return b, err[0] == nil && err[1] == nil && !b.Last.Before(b.First) && b.From >= 0 && b.From < b.To && b.To <= 24*60
}

// wholeDay is one day as a stretch.
func wholeDay(midnight time.Time) when.Block {
	return when.Block{First: midnight, Last: midnight, To: 24 * 60}
}
