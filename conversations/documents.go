package conversations

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
)

// The documents of a turn: brought where they are asked for, and put back where something
// in them has changed.

// read decodes a document. Missing documents leave into as it is.
func (t *turn) read(key string, into any) {
	body, loaded := t.docs[key]
	if !loaded {
		t.out.Need = append(t.out.Need, key)
		return
	}
	if body == nil {
		return
	}
	if err := json.Unmarshal(body, into); err != nil && t.err == nil {
		t.err = fmt.Errorf("conversations: document %s: %w", key, err)
	}
}

func (t *turn) chat(id bot.ChatID) *Chat {
	if c, ok := t.chats[id]; ok {
		return c
	}
	c := &Chat{ID: id}
	t.read(chatKey(id), c)
	t.chats[id] = c
	return c
}

// enquiry is the enquiry of that id, nil if there is none.
func (t *turn) enquiry(id string) *Enquiry {
	if id == "" {
		return nil
	}
	if e, ok := t.enquiries[id]; ok {
		return e
	}
	var e Enquiry
	t.read(enquiryKey(id), &e)
	if e.ID == "" {
		t.enquiries[id] = nil
		return nil
	}
	if e.Answers == nil {
		e.Answers = map[string][]string{}
	}
	t.enquiries[id] = &e
	t.were[id] = before{e.Stage, e.Rev}
	t.reads(&e)
	return &e
}

// current is the enquiry a chat has in hand, nil if none.
func (t *turn) current(c *Chat) *Enquiry { return t.enquiry(c.Enquiry) }

// day is the diary of one local day, by its date.
func (t *turn) day(date string) *diary.Day {
	if d, ok := t.days[date]; ok {
		return d
	}
	var d diary.Day
	t.read(dayKey(date), &d)
	t.days[date] = &d
	return &d
}

// keep puts every document whose content has changed into the decision.
func (t *turn) keep() {
	for _, c := range t.chats {
		// The next enquiry's key comes along, so that beginning it needs no
		// second load.
		links := []string{enquiryKey(enquiryID(c.ID, c.Count+1))}
		if c.Enquiry != "" {
			links = append(links, enquiryKey(c.Enquiry))
		}
		if !reflect.DeepEqual(*c, Chat{ID: c.ID}) || t.docs[chatKey(c.ID)] != nil {
			t.write(chatKey(c.ID), links, c)
		}
	}
	for id, e := range t.enquiries {
		if e != nil {
			t.home(e)
			t.keepEnquiry(id, e)
		}
	}
	for date, d := range t.days {
		if len(d.Entries)+len(d.Extra) > 0 || t.docs[dayKey(date)] != nil {
			t.write(dayKey(date), nil, d)
		}
	}
	for key, y := range t.tallies {
		if len(y) > 0 {
			t.write(key, nil, y)
		}
	}
	if t.hands != nil && (t.hands.Enquiry != "" || t.docs[handsKey] != nil) {
		t.write(handsKey, nil, t.hands)
	}
	slices.SortFunc(t.out.Put, func(a, b Doc) int { return strings.Compare(a.Key, b.Key) })
}

// keepEnquiry writes an enquiry if something has changed in it, and when that was. Who
// has just done something need not be told so soon that time is running out.
func (t *turn) keepEnquiry(id string, e *Enquiry) {
	was, old := t.were[id]
	if old && was.rev == e.Rev { // nothing was accepted: perhaps nothing has changed
		if body, err := json.Marshal(e); err == nil && bytes.Equal(body, t.docs[enquiryKey(id)]) {
			return
		}
	}
	t.stamp(e)
	if e.Stage == Held && t.event.Chat != 0 && !e.HeldUntil.IsZero() {
		t.warnOfLapse(e)
	}
	if !old || was.stage != e.Stage {
		t.out.Reached = append(t.out.Reached, e.Stage)
	}
	t.write(enquiryKey(id), t.links(e), e)
}

func (t *turn) write(key string, links []string, v any) {
	body, err := json.Marshal(v)
	if err != nil {
		t.err = fmt.Errorf("conversations: document %s: %w", key, err)
		return
	}
	if !bytes.Equal(body, t.docs[key]) {
		t.out.Put = append(t.out.Put, Doc{Key: key, Links: links, Body: body})
	}
}

// links are what the next event about an enquiry will need beside it.
func (t *turn) links(e *Enquiry) []string {
	links := []string{chatKey(e.Chat)}
	if e.At == askSlot || e.Move != nil && e.Move.To == nil {
		for _, d := range t.horizon() {
			links = append(links, dayKey(d))
		}
		return links
	}
	if e.Slot != nil && e.Stage != Done && e.Stage != Closed {
		links = append(links, t.daysOf(*e.Slot)...)
	}
	if e.Move != nil && e.Move.To != nil {
		links = append(links, t.daysOf(*e.Move.To)...)
	}
	return links
}

// daysOf are the documents of the days a time takes part of.
func (t *turn) daysOf(s Span) []string {
	var out []string
	for _, st := range t.diaryRules().Stretches(s.Start, s.End) {
		out = append(out, dayKey(st.Date))
	}
	return out
}
