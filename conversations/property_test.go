package conversations_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
)

// What people write in the property tests: answers, words that mean the same
// everywhere, times, figures and nonsense.
var (
	theyWrite = []string{
		"Ford Fiesta", "volvo v60 estate, inside only please", "golf", "an old van", "my mx5 roof is green", "Fiat 500C, dog hair and muddy, about £120",
		"stop", "/start", "/start abc", "/help", "start", "person", "can you call me", "carry on", "back", "start again", "cancel", "change an answer", "another car",
		"settings", "privacy", "when", "move it", "cant make it", "no", "yes", "ok", "nothing", "no photo", "just the price", "thats all", "inside and outside",
		"1", "4", "£100", "95", "9", "100000", "LS29 8AB", "LS29", "12 miles", "bring it", "at ours", "driveway, we have a tap and a socket", "street",
		"next tuesday morning", "any time but not mondays", "tomorrow at 9", "an hour later", "can you make it half an hour earlier", "a day later", "keep it", "never", "find a day", "cheaper", "later", "fleas and a leak",
		"next Friday", "at 7", "Saturday the 18th", "asdf qwer", "🚗🚗", "|", "<b>&\"", "\u202emirror\u200b", "…", "0", "-1", strings.Repeat("mud and 🐕 ", 372),
	}
	bossWrites = []string{"today", "tomorrow", "this week", "rained off", "running 20 late", "late", "an hour late for mia", "25", "need another hour", "half an hour over", "nobody here", "shes here now", "start", "finished mia", "mia", "zoe?", "yes", "no", "too busy that week", "tell mia hello", "tell them hello", "half", "paid 40", "cash", "not yet", "as reckoned", "thats it", "4", "make it 90", "what now", "raining", "forget mia", "an hour later", "half an hour earlier", "150", "0", "150 minutes", "off today", "off tomorrow 9 to 12", "off Friday", "free tomorrow again", "off tomorrow to the 30th", "working Sunday till 1", "off street", "see you then", "/start", "calendar", "done", "inside 90, wheels 40, rest 20", "inside 90, nonsense 3", "scratch on the left door", "settings", "rate 42", "rate 0", "minimum 80", "hours sat 9-1", "hours mon-fri 10-2", "hours fri off", "notice 3 days", "radius 10", "undo", "changes",
		"learnt", "kept the tar off", "golf estate, inside and outside, took me 6 hours", "protections", strings.Repeat("words ", 682)}
	// Data no button of ours ever had.
	forgedData = []string{"", "x", "|||", "5|1|site|own", "2t-1|0|visit|surely", "2u-1|3|slot|20270415T0900", "2t-1|1|owner|approve", "-|0|desk|today",
		"-|0|desk|block:20270413-20270414@0900-1200", "-|0|desk|unblock:20270413-20270414@0900-1200", "-|0|desk|work:20270101-21270101@0000-2400",
		"-|0|desk|open:20270413-20270412@", "-|0|desk|unwork:2027@99-x",
		"-|0|desk|off:2027-04-20", "2t-1|0|move|yes", "2t-1|0|kind|sealant", "2t-1|0|review|vehicle", "2t-1|0|settings|off", "2t-1|0|job|done:wash", "2t-1|0|job|on:wheels-full:0:0", "2t-1|0|job|off:7", "2t-1|0|job|late:9999", "2t-1|0|job|start",
		"2t-1|0|job|minutes:-1", "2t-1|0|snag|by:9", "2t-1|0|their|trial:0on", "2t-1|0|their|trial:9leave", "2t-1|0|their|seen", "2t-1|0|their|right", "2t-1|0|job|paid", "2t-1|0|job|view:", "2u-1|0|nudge|yes", strings.Repeat("9", 64)}
)

// play lets two customers and the owner do anything at all, from a random stage
// of things, and checks after every event what must always be so.
type play struct {
	*office
	revs map[string]int
	// unasked counts what each chat has heard on each day that nobody had asked for.
	unasked map[string]int
	// reads, if set, looks at every message; began is what the owner read
	// at the start.
	reads func(*play, bot.Message)
	began string
	// mixed: the owner has read another language in between.
	mixed bool
}

func TestAnythingAtAll(t *testing.T) {
	begun := stages(t, talk(t))
	for name, o := range stages(t, with(t, bank...)) {
		begun["money in advance, "+name] = o
	}
	for name, o := range stages(t, with(t, append([]string{"when: after-yes ", "when: before-yes "}, bank...)...)) {
		begun["money beforehand, "+name] = o
	}
	anything(t, begun, nil)
}

// anything lets everybody do anything from any of these stages on. reads, if set, looks
// at every message.
func anything(t *testing.T, begun map[string]*office, reads func(*play, bot.Message)) {
	t.Helper()
	for name, o := range begun {
		if strings.HasSuffix(name, byAnHour) && len(o.clashes()) != 1 {
			t.Errorf("%s: what lies over each other is %v", name, o.clashes())
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.SampledFrom(slices.Sorted(maps.Keys(begun))).Draw(t, "from")
		p := &play{office: begun[from].fork(), revs: map[string]int{}, unasked: map[string]int{}, reads: reads}
		p.t = t
		p.began = p.language(boss)
		p.check(nil, bot.Event{}, nil)
		t.Repeat(map[string]func(*rapid.T){
			"writes": func(t *rapid.T) {
				p.step(t, p.somebody(t), bot.Text{Body: rapid.SampledFrom(theyWrite).Draw(t, "text"), Message: p.next()})
			},
			"edits": func(t *rapid.T) {
				id := bot.MessageID(rapid.IntRange(1, int(p.last)+1).Draw(t, "message"))
				p.step(t, p.somebody(t), bot.Text{Body: rapid.SampledFrom(theyWrite).Draw(t, "text"), Message: id, Edited: true})
			},
			"goes on":       func(t *rapid.T) { p.onward(t, p.somebody(t)) },
			"goes on again": func(t *rapid.T) { p.onward(t, p.somebody(t)) },
			"presses":       func(t *rapid.T) { p.press(t, p.somebody(t)) },
			"sends": func(t *rapid.T) {
				ph := p.picture(rapid.SampledFrom([]string{"", "", "a", "b"}).Draw(t, "album"))
				ph.Caption = rapid.SampledFrom([]string{"", "Ford Fiesta", "stop"}).Draw(t, "caption")
				p.step(t, p.somebody(t), ph)
			},
			"is somewhere": func(t *rapid.T) {
				at := rapid.SampledFrom([]bot.Place{{Lat: 53.9, Lon: -1.8}, {Lat: 51.5, Lon: 0}, {Lat: -90, Lon: 180}}).Draw(t, "at")
				p.step(t, p.somebody(t), at)
			},
			"moves a little": func(t *rapid.T) {
				who := p.somebody(t)
				p.step(t, who, bot.Text{Body: rapid.SampledFrom([]string{"make it an hour later", "half an hour earlier"}).Draw(t, "by"), Message: p.next()})
				if m := p.lastTo(who); m.Kind == "move" {
					p.step(t, who, bot.Tap{ID: "t", Data: m.Choices[0][0].Data})
				}
			},
			"leaves or returns": func(t *rapid.T) {
				p.step(t, p.somebody(t), bot.Membership{Blocked: rapid.Bool().Draw(t, "blocked")})
			},
			"sends something": func(t *rapid.T) { p.step(t, p.somebody(t), bot.Other{Kind: "voice"}) },
			"owner writes": func(t *rapid.T) {
				p.step(t, boss, bot.Text{Body: rapid.SampledFrom(bossWrites).Draw(t, "text"), Message: p.next()})
			},
			"owner sends": func(t *rapid.T) {
				ph := p.picture("")
				ph.Caption = rapid.SampledFrom([]string{"", "", "wheels", "after", "a dent by the fuel flap"}).Draw(t, "caption")
				p.step(t, boss, ph)
			},
			"owner forwards": func(t *rapid.T) {
				from := &bot.Forward{Name: rapid.SampledFrom([]string{"Sarah", "Sarah", "Tom", ""}).Draw(t, "of")}
				words := rapid.SampledFrom(slices.Concat(theyWrite, bossWrites)).Draw(t, "text")
				if rapid.Bool().Draw(t, "pictured") {
					ph := p.picture("")
					ph.Caption, ph.Forward = words, from
					p.step(t, boss, ph)
					return
				}
				p.step(t, boss, bot.Text{Body: words, Message: p.next(), Forward: from})
			},
			"owner goes on": func(t *rapid.T) { p.onward(t, boss) },
			"owner presses": func(t *rapid.T) { p.press(t, boss) },
			"time goes by": func(t *rapid.T) {
				p.pass(t, rapid.SampledFrom([]time.Duration{time.Second, 5 * time.Second, 90 * time.Second, 25 * time.Minute, 7 * time.Hour, 30 * time.Hour, 15 * 24 * time.Hour, 200 * 24 * time.Hour}).Draw(t, "time"))
			},
		})
	})
}

// byAnHour is the stage at which a move lies over the time it is to replace.
const byAnHour = "moving by an hour"

// stages are offices in which something has happened already, by what.
func stages(t *testing.T, tk conversations.Talk) map[string]*office {
	t.Helper()
	out := map[string]*office{}
	for name, begin := range map[string]func(*office){
		"nothing": func(*office) {},
		"priced":  func(o *office) { o.priced(mia, "Ford Fiesta") },
		"held":    func(o *office) { o.held(mia, "Ford Fiesta"); o.held(zoe, "Volvo V60") },
		"asked":   func(o *office) { o.asked(mia, "Ford Fiesta"); o.priced(zoe, "Volvo V60") },
		"booked":  func(o *office) { o.booked(mia, "Ford Fiesta"); o.booked(zoe, "Volvo V60") },
		"declined": func(o *office) {
			o.asked(mia, "Ford Fiesta")
			for _, label := range []string{"Deposit's here", "No"} {
				for _, m := range slices.Clone(o.chat[boss]) {
					for _, c := range slices.Concat(m.Choices...) {
						if c.Label == label {
							o.event(boss, bot.Tap{ID: "t", Data: c.Data})
						}
					}
				}
			}
			o.tap(boss, "Not that time")
		},
		"moving": func(o *office) { o.booked(mia, "Ford Fiesta"); o.tap(mia, "Move it"); o.held(zoe, "Volvo V60") },
		byAnHour: func(o *office) {
			o.booked(mia, "Ford Fiesta")
			o.say(mia, "make it an hour later")
			o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
			o.held(zoe, "Volvo V60")
		},
		"at the car": func(o *office) {
			o.booked(mia, "Ford Fiesta")
			o.asked(zoe, "Volvo V60")
			o.until(o.enquiry(mia).Slot.Start)
			o.tap(boss, "Look over")
		},
		"at work": func(o *office) {
			o.booked(mia, "Ford Fiesta")
			o.booked(zoe, "Volvo V60")
			o.until(o.enquiry(mia).Slot.Start)
			o.tap(boss, "Start work")
			for range 2 { // setting up, the walk round
				o.tap(boss, "Done ›")
			}
			o.tap(boss, "On:")
		},
		"not right": func(o *office) {
			o.booked(mia, "Ford Fiesta")
			o.until(o.enquiry(mia).Slot.Start)
			o.tap(boss, "Start work")
			o.until(o.enquiry(mia).Slot.End)
			o.tap(boss, "Finish")
			o.say(boss, "150")
			o.say(boss, "80")
			o.tap(boss, "That's all ›", "Not yet")
			o.tap(mia, "Something's not right")
			o.say(mia, "a smear on the rear window")
		},
		"nudged": func(o *office) {
			o.booked(mia, "Ford Fiesta")
			o.done()
			o.until(o.enquiry(mia).Work.Nudge)
		},
		"two cars in a week": func(o *office) {
			o.booked(mia, "Ford Fiesta")
			o.done()
			o.booked(mia, "Volvo V60")
			o.done()
		},
	} {
		o := newOffice(t, tk)
		begin(o)
		out[name] = o
	}
	return out
}

func (p *play) next() bot.MessageID { p.last++; return p.last }

func (p *play) somebody(t *rapid.T) bot.ChatID {
	return rapid.SampledFrom([]bot.ChatID{mia, mia, zoe}).Draw(t, "who")
}

// onward presses a button of the last message somebody has, most often not the
// ways out at its end.
func (p *play) onward(t *rapid.T, who bot.ChatID) {
	all := p.chat[who]
	for i := len(all) - 1; i >= 0 && i > len(all)-4; i-- {
		if n := len(all[i].Choices); n > 0 {
			row := all[i].Choices[min(rapid.IntRange(0, n).Draw(t, "row"), n-1)]
			c := rapid.SampledFrom(row).Draw(t, "button")
			p.step(t, who, bot.Tap{ID: "t", Data: c.Data, Message: p.ids[who][i]})
			return
		}
	}
}

// press presses any button anybody was ever shown, or none at all.
func (p *play) press(t *rapid.T, who bot.ChatID) {
	var taps []bot.Tap
	for _, of := range []bot.ChatID{boss, mia, zoe} {
		taps = append(taps, p.ever[of]...)
	}
	for _, d := range forgedData {
		taps = append(taps, bot.Tap{ID: "t", Data: d})
	}
	p.step(t, who, rapid.SampledFrom(taps).Draw(t, "tap"))
}

// step carries one event through and checks everything.
func (p *play) step(t *rapid.T, who bot.ChatID, what any) {
	p.t = t
	before := p.fork()
	e := bot.Event{Op: "op", Chat: who, From: bot.Person{ID: who, Name: names[who]}, At: p.now, What: what}
	said := p.do(e)
	p.check(before, e, said)
}

func (p *play) pass(t *rapid.T, by time.Duration) {
	p.t = t
	to := p.now.Add(by)
	const most = 2000 // no end of them, in other words: what happened before may bring on many
	for range most {
		next, ok := p.nextDue()
		if !ok || next.At.After(to) {
			p.now = to
			return
		}
		if next.At.After(p.now) {
			p.now = next.At
		}
		before := p.fork()
		n := len(p.said)
		p.come(next)
		p.check(before, bot.Event{What: next.What}, p.said[n:])
	}
	t.Fatalf("%d moments within %s: %v", most, by, p.due)
}

// check is what must hold after every event.
func (p *play) check(before *office, e bot.Event, said []bot.Message) {
	for _, m := range said {
		p.fits(m)
		p.spares(m)
		if p.reads != nil {
			p.reads(p, m)
		}
	}
	p.diaryTells()
	p.heldTells()
	p.goneTells()
	for key := range p.docs {
		if !strings.HasPrefix(key, "enq:") {
			continue
		}
		q := read[conversations.Enquiry](p.office, key)
		if q.Rev < p.revs[key] {
			p.t.Fatalf("%s fell from revision %d to %d", key, p.revs[key], q.Rev)
		}
		p.revs[key] = q.Rev
		p.reminded(q)
	}
	if before == nil {
		return
	}
	p.keptFree(before)
	for _, who := range []bot.ChatID{mia, zoe} {
		p.leftAlone(before, who, e, said)
	}
	if e.Chat == mia || e.Chat == zoe {
		p.nextStep(e, said)
	}
}

// fits tells whether the platform takes a message: core.telegram.org/bots/api, sendMessage,
// sendPhoto and InlineKeyboardButton.
func (p *play) fits(m bot.Message) {
	limit := 4096
	if m.Photo != "" || m.Picture != "" || m.Album != nil || m.File != nil {
		limit = 1024
	}
	if n := len(utf16.Encode([]rune(m.Text))); n > limit {
		p.t.Fatalf("%d units of text in %q", n, m.Kind)
	}
	if strings.TrimSpace(m.Text) == "" && m.Edit == 0 && m.Photo == "" && m.Album == nil {
		p.t.Fatalf("a message without words: %+v", m)
	}
	for _, row := range m.Choices {
		if len(row) == 0 {
			p.t.Fatalf("an empty row under %q", m.Text)
		}
		for _, c := range row {
			if c.Label == "" || len(c.Data) < 1 || len(c.Data) > 64 {
				p.t.Fatalf("button %+v under %q", c, m.Text)
			}
		}
	}
}

// spares: nobody hears twice a day of looking after cars, whatever was done when.
func (p *play) spares(m bot.Message) {
	if m.Kind != "care-later" && m.Kind != "nudge" && m.Kind != "follow-up" {
		return
	}
	day := fmt.Sprint(m.Chat, " ", p.now.In(p.talk.Zone).Format(time.DateOnly))
	if p.unasked[day]++; p.unasked[day] > 1 {
		p.t.Fatalf("%s hears a second time on one day: %q", day, m.Text)
	}
}

// diaryTells: no two jobs overlap, and every entry and every stage have each
// other.
func (p *play) diaryTells() {
	kinds := map[conversations.Stage]string{conversations.Held: diary.Hold, conversations.Waits: diary.Asked, conversations.Booked: diary.Booked, conversations.Done: diary.Booked}
	for _, key := range slices.Sorted(maps.Keys(p.docs)) {
		if !strings.HasPrefix(key, "day:") {
			continue
		}
		d := read[diary.Day](p.office, key)
		for i, en := range d.Entries {
			if en.Kind == diary.Off {
				continue
			}
			for _, o := range d.Entries[:i] {
				if o.Kind != diary.Off && en.Start.Before(o.End) && o.Start.Before(en.End) && en.For != o.ID && o.For != en.ID {
					p.t.Fatalf("%s holds overlapping entries %+v", key, d.Entries)
				}
			}
			id, moving := strings.CutSuffix(en.ID, "~")
			q := read[conversations.Enquiry](p.office, "enq:"+id)
			switch {
			case moving && (q.Stage != conversations.Booked || q.Move == nil || q.Move.To == nil || en.Kind != diary.Asked):
				p.t.Fatalf("%s keeps a time for a move of %s that is none: %+v, %+v", key, id, en, q)
			case !moving && kinds[q.Stage] != en.Kind:
				p.t.Fatalf("%s says %q of %s, which is %q", key, en.Kind, id, q.Stage)
			}
		}
	}
	for key := range p.docs {
		id, ok := strings.CutPrefix(key, "enq:")
		if !ok {
			continue
		}
		q := read[conversations.Enquiry](p.office, key)
		if kinds[q.Stage] != "" {
			p.keeps(id, *q.Slot)
		} else if q.Slot != nil {
			p.t.Fatalf("%s is %q and has a time", id, q.Stage)
		}
		if q.Move != nil && q.Move.To != nil {
			p.keeps(id+"~", *q.Move.To)
		}
	}
}

// heldTells: what waits for the owner's hands is on the list of what waits, with
// a moment at which it is handed over, and every product that is on has a clock.
func (p *play) heldTells() {
	h := read[conversations.Hands](p.office, "hands")
	if _, ok := p.due["hands:"+h.Enquiry]; h.Enquiry != "" && !ok {
		p.t.Fatalf("nothing ends %+v", h)
	}
	for key := range p.docs {
		if !strings.HasPrefix(key, "enq:") {
			continue
		}
		q := read[conversations.Enquiry](p.office, key)
		if len(q.Waiting) > 0 && !slices.Contains(h.Waiting, q.ID) {
			p.t.Fatalf("%d messages of %s wait, and %+v knows nothing of it", len(q.Waiting), q.ID, h)
		}
		if q.Job == nil || q.Stage != conversations.Booked {
			continue
		}
		for i, c := range q.Job.Clocks {
			_, ok := p.due[fmt.Sprintf("clock:%s:%d", q.ID, i)]
			if near := c.On.Add(time.Duration(c.Most) * time.Second * 4 / 5); c.Off.IsZero() != ok && near.After(p.now) {
				p.t.Fatalf("clock %d of %s: %+v, rings: %v", i, q.ID, c, ok)
			}
		}
	}
}

// goneTells: nobody's chat leads to an enquiry that has been cleared out, be it in hand, a
// job or a visit.
func (p *play) goneTells() {
	for _, who := range []bot.ChatID{boss, mia, zoe} {
		c := p.chatOf(who)
		for _, id := range append([]string{c.Enquiry, c.Answering, c.Writing, c.Finishing, c.Job, c.Snag}, append(slices.Clone(c.Jobs), c.Visits...)...) {
			if _, ok := p.docs["enq:"+id]; id != "" && !ok {
				p.t.Fatalf("%s is led to %s, which is gone: %+v", names[who], id, c)
			}
		}
	}
}

func (p *play) keeps(id string, s conversations.Span) {
	en := p.entries(id)
	if len(en) == 0 || !en[0].Start.Equal(s.Start) || !en[len(en)-1].End.Equal(s.End) {
		p.t.Fatalf("%s has %s to %s, and the diary has %+v", id, s.Start, s.End, en)
	}
}

// reminded: what waits for somebody does not wait for ever.
func (p *play) reminded(q conversations.Enquiry) {
	need := map[conversations.Stage]string{conversations.Held: "hold:", conversations.Waits: "ask:"}[q.Stage]
	if q.Stage == conversations.Booked && !(q.Move != nil && q.Move.Wet) && p.now.Before(q.Slot.End) {
		need = "job:"
	}
	if _, ok := p.due[need+q.ID]; need != "" && !ok {
		p.t.Fatalf("%s is %q and nothing reminds of %s", q.ID, q.Stage, need)
	}
	if _, ok := p.due["move:"+q.ID]; q.Move != nil && (q.Move.To != nil || q.Move.Offered) && !ok {
		p.t.Fatalf("%s is to be moved and nothing ends that", q.ID)
	}
}

// keptFree: nobody is given a time in which the owner is off.
func (p *play) keptFree(before *office) {
	for key := range p.docs {
		if !strings.HasPrefix(key, "day:") {
			continue
		}
		was, is := read[diary.Day](before, key), read[diary.Day](p.office, key)
		for _, en := range is.Entries {
			if en.Kind == diary.Off || slices.ContainsFunc(was.Entries, func(o diary.Entry) bool { return o.ID == en.ID }) {
				continue
			}
			if slices.ContainsFunc(is.Entries, func(o diary.Entry) bool {
				return o.Kind == diary.Off && o.Start.Before(en.End) && en.Start.Before(o.End)
			}) {
				p.t.Fatalf("%s gives away time off: %+v", key, is.Entries)
			}
		}
	}
}

// leftAlone: who said stop, or shut us out, hears nothing that they did not ask
// for, and nothing of theirs changes, but for a booking that is agreed.
func (p *play) leftAlone(before *office, who bot.ChatID, e bot.Event, said []bot.Message) {
	was, is := before.chatOf(who), p.chatOf(who)
	if was.Blocked && is.Blocked {
		for _, m := range said {
			if m.Chat == who {
				p.t.Fatalf("%s has shut us out and is told %q", names[who], m.Text)
			}
		}
	}
	if !was.Stopped || !is.Stopped || e.Chat == who {
		return
	}
	agreed := false
	for _, q := range before.all(who) {
		after := read[conversations.Enquiry](p.office, "enq:"+q.ID)
		if came, ok := e.What.(conversations.Came); ok && came.Kind == conversations.CameClear && after.ID == "" {
			continue // after so many months it goes, as they are told
		}
		after.Touched = q.Touched
		after.Deposits = q.Deposits // money that comes all the same is written down
		after.Photos = q.Photos     // what was sent before may still be looked at
		after.Waiting = q.Waiting   // and what was said before still reaches the owner
		if q.Stage == conversations.Booked || q.Stage == conversations.Done {
			agreed = true
		} else if d := cmp.Diff(q, after); d != "" {
			p.t.Fatalf("%s had said stop, and on %#v\n%s", names[who], e.What, d)
		}
	}
	for _, m := range said {
		if m.Chat == who && !agreed && m.Kind != "from-the-person" {
			p.t.Fatalf("%s had said stop and is told %q on %#v", names[who], m.Text, e.What)
		}
	}
}

// all are somebody's enquiries.
func (o *office) all(who bot.ChatID) (out []conversations.Enquiry) {
	for _, key := range slices.Sorted(maps.Keys(o.docs)) {
		if strings.HasPrefix(key, "enq:") {
			if q := read[conversations.Enquiry](o, key); q.Chat == who {
				out = append(out, q)
			}
		}
	}
	return out
}

// nextStep: whoever did something can go on: the last message to them has buttons
// or says what to write, unless it is somebody else's turn.
func (p *play) nextStep(e bot.Event, said []bot.Message) {
	c, q := p.chatOf(e.Chat), p.enquiry(e.Chat)
	if q.Stage == conversations.Done || q.Stage == conversations.Closed {
		return // it is over, by their own wish or because it is done; any word begins anew
	}
	asked := q.Move != nil && q.Move.To != nil && q.Move.By == conversations.Customer
	if c.Stopped || c.Blocked || c.Person || q.Stage == conversations.Waits || asked {
		return
	}
	switch w := e.What.(type) {
	case bot.Photo, bot.Membership:
		return // answered when it has been looked at; coming back is no question
	case bot.Tap:
		if strings.Contains(w.Data, "|agree|") {
			return // the owner is at their car, and it is his turn
		}
	}
	if slices.ContainsFunc(said, func(m bot.Message) bool { return m.Chat == e.Chat && (len(m.Choices) > 0 || says(m.Text)) }) {
		return
	}
	m := p.lastTo(e.Chat)
	if len(m.Choices) == 0 && !says(m.Text) {
		p.t.Fatalf("%s does %#v at %q and is left with %q", names[e.Chat], e.What, q.At, m.Text)
	}
}

// says tells whether a text says what to write: something in quotation marks, or
// the question that is answered in words.
func says(text string) bool {
	return strings.ContainsAny(text, `"„`) || strings.Contains(text, "What car is it?") || strings.Contains(text, "You'll hear when it is") || strings.Contains(text, "?")
}
