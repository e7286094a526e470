package conversations_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/photos"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
)

// The people of these tests, all invented.
const (
	boss = bot.ChatID(100)
	mia  = bot.ChatID(101)
	zoe  = bot.ChatID(102)
)

var names = map[bot.ChatID]string{boss: "Boss", mia: "Mia", zoe: "Zoe"}

// tb is what the office needs of a test, be it one of testing's or of rapid's.
type tb interface {
	Helper()
	Fatalf(format string, args ...any)
	Logf(format string, args ...any)
}

// office is a desk whose store is three maps: every event is loaded, stepped and
// committed as the real one does it, and messages get the ids the platform would
// give them.
type office struct {
	t    tb
	talk conversations.Talk
	now  time.Time
	docs map[string]conversations.Doc
	due  map[string]conversations.Due
	// chat is what each person has been shown, as it stands now.
	chat map[bot.ChatID][]bot.Message
	ids  map[bot.ChatID][]bot.MessageID
	// ever are all buttons each person has ever been shown.
	ever  map[bot.ChatID][]bot.Tap
	toast string
	// said is everything anybody was told, in order, edits included.
	said  []bot.Message
	last  bot.MessageID
	files int
	// look measures a fetched picture.
	look func(bot.FileID) conversations.Measured
}

// monday is a Monday noon in London, in summer time.
var monday = time.Date(2027, 4, 12, 11, 0, 0, 0, time.UTC)

// What is shipped and no test changes is read once.
var (
	shippedWords  = sync.OnceValues(wording.Default)
	shippedReader = sync.OnceValues(func() (*reading.Reader, error) { return reading.Default(pricing.DefaultRules()) })
)

// talk is how the desk talks as shipped, with rules of its own that a test may change.
func talk(t tb) conversations.Talk {
	t.Helper()
	rules := pricing.DefaultRules()
	words, err := shippedWords()
	if err != nil {
		t.Fatalf("words: %v", err)
	}
	reader, err := shippedReader()
	if err != nil {
		t.Fatalf("reader: %v", err)
	}
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		t.Fatalf("zone: %v", err)
	}
	sheet, err := jobsheet.Default()
	if err != nil {
		t.Fatalf("sheet: %v", err)
	}
	return conversations.Talk{Rules: rules, Words: words, Reader: reader, Sheet: sheet, Owner: boss, Zone: zone}
}

func newOffice(t tb, talk conversations.Talk) *office {
	return &office{t: t, talk: talk, now: monday, docs: map[string]conversations.Doc{}, due: map[string]conversations.Due{},
		chat: map[bot.ChatID][]bot.Message{}, ids: map[bot.ChatID][]bot.MessageID{}, ever: map[bot.ChatID][]bot.Tap{}, look: sharp}
}

// sharp finds nothing wrong with a picture; no two look alike.
func sharp(f bot.FileID) conversations.Measured {
	h := uint64(14695981039346656037)
	for _, b := range []byte(f) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return conversations.Measured{Report: photos.Report{Format: "jpeg", Width: 1280, Height: 960, SHA256: string(f), DHash: h}}
}

// fork is the same office, to try something in that leaves this one as it is.
func (o *office) fork() *office {
	c := *o
	c.docs, c.due = maps.Clone(o.docs), maps.Clone(o.due)
	c.chat, c.ids, c.ever = maps.Clone(o.chat), maps.Clone(o.ids), maps.Clone(o.ever)
	for k := range c.chat {
		c.chat[k], c.ids[k] = slices.Clone(c.chat[k]), slices.Clone(c.ids[k])
	}
	return &c
}

// load brings documents with all they link to, as ledger.Load does.
func (o *office) load(keys []string) map[string][]byte {
	loaded := map[string][]byte{}
	for queue := slices.Clone(keys); len(queue) > 0; queue = queue[1:] {
		if _, seen := loaded[queue[0]]; !seen {
			d := o.docs[queue[0]]
			loaded[queue[0]] = d.Body
			queue = append(queue, d.Links...)
		}
	}
	return loaded
}

// do carries an event through and returns what was said.
func (o *office) do(e bot.Event) []bot.Message {
	o.t.Helper()
	if e.At.IsZero() {
		e.At = o.now
	}
	keys := conversations.Touches(e)
	talk := o.talk
	talk.Worked = new(conversations.Worked) // as at the desk
	for range 5 {
		stored, lists := conversations.Lists(keys)
		docs := o.load(stored)
		for _, l := range lists {
			docs[string(l)] = o.list(l)
		}
		d, err := conversations.Step(talk, docs, e, o.now)
		if err != nil {
			o.t.Fatalf("%#v: %v", e, err)
		}
		if len(d.Need) == 0 {
			// What was worked out before makes no difference to what anybody reads.
			if anew, err := conversations.Step(o.talk, docs, e, o.now); err != nil || !reflect.DeepEqual(d.Say, anew.Say) || d.Toast != anew.Toast {
				o.t.Fatalf("%#v: %v; -with what was worked out +anew:\n%s", e, err, cmp.Diff(d.Say, anew.Say))
			}
			o.commit(d)
			return d.Say
		}
		keys = append(keys, d.Need...)
	}
	o.t.Fatalf("%#v: never has all it needs", e)
	return nil
}

// list is what falls due in a month, as the desk puts it together.
func (o *office) list(l conversations.List) []byte {
	from, to := l.Span(o.talk.Zone)
	listed := []conversations.Listed{}
	for _, id := range slices.Sorted(maps.Keys(o.due)) {
		if at := o.due[id].At; !at.Before(from) && at.Before(to) {
			listed = append(listed, conversations.Listed{ID: id, At: at})
		}
	}
	slices.SortStableFunc(listed, func(a, b conversations.Listed) int { return a.At.Compare(b.At) })
	body, err := json.Marshal(listed)
	if err != nil {
		o.t.Fatalf("%v", err)
	}
	return body
}

func (o *office) commit(d conversations.Decision) {
	for _, doc := range d.Put {
		o.docs[doc.Key] = doc
	}
	for _, key := range d.Drop {
		delete(o.docs, key)
	}
	for _, id := range d.Unset {
		delete(o.due, id)
	}
	for _, due := range d.Set {
		o.due[due.ID] = due
	}
	o.toast = d.Toast
	o.said = append(o.said, d.Say...)
	for _, m := range d.Say {
		o.show(m)
	}
}

// show lets a message arrive.
func (o *office) show(m bot.Message) {
	if m.Edit == 0 {
		o.last++
		o.chat[m.Chat] = append(o.chat[m.Chat], m)
		o.ids[m.Chat] = append(o.ids[m.Chat], o.last)
		o.remember(m, o.last)
		return
	}
	o.remember(m, m.Edit)
	if i := slices.Index(o.ids[m.Chat], m.Edit); i >= 0 {
		o.chat[m.Chat][i].Choices = m.Choices
		if m.Text != "" {
			o.chat[m.Chat][i].Text = m.Text
		}
	}
}

func (o *office) remember(m bot.Message, id bot.MessageID) {
	for _, row := range m.Choices {
		for _, c := range row {
			o.ever[m.Chat] = append(o.ever[m.Chat], bot.Tap{ID: "t", Data: c.Data, Message: id})
		}
	}
}

func (o *office) event(who bot.ChatID, what any) []bot.Message {
	o.t.Helper()
	return o.do(bot.Event{Op: fmt.Sprint("u", o.last), Chat: who, From: bot.Person{ID: who, Name: names[who]}, What: what})
}

// say writes texts, one after the other.
func (o *office) say(who bot.ChatID, texts ...string) (said []bot.Message) {
	o.t.Helper()
	for _, text := range texts {
		o.last++
		said = o.event(who, bot.Text{Body: text, Message: o.last})
	}
	return said
}

// tap presses buttons by their labels, each on the latest message that has it.
func (o *office) tap(who bot.ChatID, labels ...string) (said []bot.Message) {
	o.t.Helper()
	for _, label := range labels {
		said = o.event(who, o.button(who, label))
	}
	return said
}

// button is the latest button whose label begins so.
func (o *office) button(who bot.ChatID, label string) bot.Tap {
	o.t.Helper()
	for i, m := range slices.Backward(o.chat[who]) {
		for _, row := range m.Choices {
			for _, c := range row {
				if strings.HasPrefix(strings.TrimPrefix(c.Label, "✓ "), label) {
					return bot.Tap{ID: "t", Data: c.Data, Message: o.ids[who][i]}
				}
			}
		}
	}
	o.t.Fatalf("%s has no button %q; last was told\n%s", names[who], label, o.lastTo(who).Text)
	return bot.Tap{}
}

// picture is a photo nobody has sent before.
func (o *office) picture(album string) bot.Photo {
	o.files++
	o.last++
	f := fmt.Sprintf("file-%d", o.files)
	return bot.Photo{File: bot.FileID(f), Unique: f, Album: album, Message: o.last}
}

// until lets the clock run, stopping at everything that falls due.
func (o *office) until(to time.Time) {
	o.t.Helper()
	for {
		next, ok := o.nextDue()
		if !ok || next.At.After(to) {
			break
		}
		if next.At.After(o.now) {
			o.now = next.At
		}
		o.come(next)
	}
	if to.After(o.now) {
		o.now = to
	}
}

func (o *office) nextDue() (next conversations.Due, ok bool) {
	for _, d := range o.due {
		if !ok || d.At.Before(next.At) || d.At.Equal(next.At) && d.ID < next.ID {
			next, ok = d, true
		}
	}
	return next, ok
}

// come brings a moment. It is done with only if it was not set again.
func (o *office) come(d conversations.Due) {
	o.t.Helper()
	delete(o.due, d.ID)
	var what any = d.What
	if d.What.File != "" {
		m := o.look(d.What.File)
		m.Came = d.What
		what = m
	}
	o.do(bot.Event{Op: "d:" + d.ID, At: d.At, What: what})
}

func (o *office) lastTo(who bot.ChatID) bot.Message {
	if all := o.chat[who]; len(all) > 0 {
		return all[len(all)-1]
	}
	return bot.Message{}
}

func read[T any](o *office, key string) (v T) {
	o.t.Helper()
	if body := o.docs[key].Body; body != nil {
		if err := json.Unmarshal(body, &v); err != nil {
			o.t.Fatalf("%s: %v", key, err)
		}
	}
	return v
}

func (o *office) chatOf(who bot.ChatID) conversations.Chat {
	return read[conversations.Chat](o, fmt.Sprintf("chat:%d", who))
}

// enquiry is the one somebody has in hand.
func (o *office) enquiry(who bot.ChatID) conversations.Enquiry {
	return read[conversations.Enquiry](o, "enq:"+o.chatOf(who).Enquiry)
}

// entries are everything in the diary under an enquiry's name, or that of its move.
func (o *office) entries(id string) (out []diary.Entry) {
	for _, key := range slices.Sorted(maps.Keys(o.docs)) {
		if strings.HasPrefix(key, "day:") {
			for _, en := range read[diary.Day](o, key).Entries {
				if en.ID == id {
					out = append(out, en)
				}
			}
		}
	}
	return out
}

// Somebody's way to a price, to a time, to a request and to a booking.
func (o *office) priced(who bot.ChatID, car string) {
	o.t.Helper()
	o.say(who, car)
	o.tap(who, "Outside", "That's all", "At the workshop")
	o.say(who, "just the price")
}

func (o *office) held(who bot.ChatID, car string) {
	o.t.Helper()
	o.priced(who, car)
	o.tap(who, "Find a day", "Nothing like that", "No photo")
	o.event(who, bot.Tap{ID: "t", Data: o.lastTo(who).Choices[0][0].Data})
}

func (o *office) asked(who bot.ChatID, car string) {
	o.t.Helper()
	o.held(who, car)
	o.tap(who, "Yes, remind me", "Yes, ask for it")
}

func (o *office) booked(who bot.ChatID, car string) {
	o.t.Helper()
	o.asked(who, car)
	o.tap(boss, "Yes, book it")
	if e := o.enquiry(who); e.Stage != conversations.Booked {
		o.t.Fatalf("%s is %q, not booked", names[who], e.Stage)
	}
}

// done lets the one visit that is booked come and go, a sealant put on.
func (o *office) done() {
	o.t.Helper()
	o.until(o.enquiry(mia).Slot.End)
	o.tap(boss, "Done")
	o.say(boss, "150", "80")
	o.tap(boss, "paint sealant", "All of it ›")
}

func TestWayToABooking(t *testing.T) {
	o := newOffice(t, talk(t))
	o.booked(mia, "Ford Fiesta")
	if en := o.entries(o.enquiry(mia).ID); len(en) != 1 || en[0].Kind != diary.Booked {
		t.Errorf("in the diary: %+v", en)
	}
}

// puzzled tells whether a message says that something was not followed, in whatever words
// it says so now.
func (o *office) puzzled(m bot.Message) bool {
	for _, k := range []wording.Key{wording.NotFollowed, wording.OwnerUnread} {
		if strings.Contains(m.Text, o.talk.Words.Say(k, wording.Facts{})) {
			return true
		}
	}
	return false
}
