package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin/page"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/pricing"
)

// How much of what is behind the desk the page shows.
const (
	daysShown = 7
	dueShown  = 8
)

// known is everything the trial's store holds that the page shows.
type known struct {
	chats     map[bot.ChatID]conversations.Chat
	enquiries map[string]conversations.Enquiry
	days      map[string]diary.Day
	due       []ledger.Record
	// layer is what the owner has set over the rules.
	layer pricing.Layer
}

// all reads the whole store. It is small: it holds what was said since the page
// was opened.
func (t *trial) all(ctx context.Context) (known, error) {
	k := known{chats: map[bot.ChatID]conversations.Chat{}, enquiries: map[string]conversations.Enquiry{}, days: map[string]diary.Day{}}
	err := t.ledger.Each(ctx, func(r ledger.Record) error {
		if r.Kind == "due" {
			k.due = append(k.due, r)
			return nil
		}
		if r.Kind != "doc" {
			return nil
		}
		kind, id, _ := strings.Cut(r.Key, ":")
		var err error
		switch kind {
		case "chat":
			var c conversations.Chat
			err = json.Unmarshal(r.Body, &c)
			k.chats[c.ID] = c
		case "enq":
			var e conversations.Enquiry
			err = json.Unmarshal(r.Body, &e)
			k.enquiries[id] = e
		case conversations.LayerKey:
			if id == "" {
				err = json.Unmarshal(r.Body, &k.layer)
			}
		case "day":
			var d diary.Day
			err = json.Unmarshal(r.Body, &d)
			k.days[id] = d
		}
		if err != nil {
			return fmt.Errorf("document %s: %w", r.Key, err)
		}
		return nil
	})
	k.due = slices.DeleteFunc(k.due, k.idle)
	slices.SortFunc(k.due, func(a, b ledger.Record) int { return a.At.Compare(b.At) })
	return k, err
}

// idle tells that, as things stand, nothing will come of a due item: what has been booked
// is not cleared out as if it had not, and nobody is asked about a price they have
// answered.
func (k known) idle(r ledger.Record) bool {
	var came conversations.Came
	if json.Unmarshal(r.Body, &came) != nil {
		return false
	}
	e := k.enquiries[came.Enquiry]
	switch came.Kind {
	case conversations.CameClear:
		return e.Stage == conversations.Booked || e.Stage == conversations.Done
	case conversations.CameQuote:
		c := k.chats[e.Chat]
		return !conversations.PriceOpen(&e, &c, r.At)
	}
	return false
}

// nextDue is what falls due next, in words.
func (t *trial) nextDue(ctx context.Context) (page.Due, bool, error) {
	k, err := t.all(ctx)
	if err != nil || len(k.due) == 0 {
		return page.Due{}, false, err
	}
	due, err := k.words(k.due[0])
	return due, err == nil, err
}

// behind is what the page shows beside the chats.
func (t *trial) behind(ctx context.Context, customer int64) (page.Behind, error) {
	k, err := t.all(ctx)
	if err != nil {
		return page.Behind{}, err
	}
	talk := t.desk.Talk()
	out := page.Behind{Days: k.week(talk.Rules, t.clock.Now().In(t.zone))}
	if e, ok := k.enquiries[k.chats[bot.ChatID(customer)].Enquiry]; ok {
		talk.Rules = talk.Rules.Under(k.layer)
		if out.Price, err = priceOf(talk, e, &t.hills); err != nil {
			return page.Behind{}, err
		}
	}
	for _, r := range k.due[:min(dueShown, len(k.due))] {
		due, err := k.words(r)
		if err != nil {
			return page.Behind{}, err
		}
		out.Next = append(out.Next, due)
	}
	return out, nil
}

// hills remembers how the price of every enquiry was spread when that was last known: while
// an answer is being changed, the price that has been named still stands.
type hills struct {
	mu sync.Mutex
	of map[string]page.Spread
}

// last is the spread itself if it has steps, else the last of the enquiry that was for the
// same price.
func (h *hills) last(enquiry string, s page.Spread) page.Spread {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(s.Steps) > 0 {
		if h.of == nil {
			h.of = map[string]page.Spread{}
		}
		h.of[enquiry] = s
		return s
	}
	if was := h.of[enquiry]; was.Low == s.Low && was.Likely == s.Likely && was.High == s.High {
		return was
	}
	return s
}

// priceOf is an enquiry's guide price, nil if no money has been named.
func priceOf(talk conversations.Talk, e conversations.Enquiry, drawn *hills) (*page.Price, error) {
	q := e.Quote
	if q == nil || e.Car == nil || q.Refused != "" || q.NeedSee != "" || q.High <= 0 {
		return nil, nil
	}
	spread, err := conversations.Spread(talk.Rules, e)
	if err != nil {
		return nil, err
	}
	p := &page.Price{Car: "the " + e.Car.Name, Low: pricing.Pence(q.Low).String(), Likely: pricing.Pence(q.Likely).String(), High: pricing.Pence(q.High).String(), Why: q.Why}
	p.Spread = page.Spread{Low: float64(q.Low), Likely: float64(q.Likely), High: float64(q.High)}
	if int64(spread.High) == q.High {
		p.Spread.Above, p.Spread.On, p.Spread.Told = spread.Above, strings.ToLower(spread.On), spread.Told
		for _, o := range spread.Steps {
			p.Spread.Steps = append(p.Spread.Steps, page.Step{From: float64(o.From), To: float64(o.To), P: o.P})
		}
	}
	p.Spread = drawn.last(e.ID, p.Spread)
	p.Own = q.Low == q.High && pricing.Pence(q.Low) != talk.Rules.Money.Minimum
	if s := e.Seen; s != nil && s.High > 0 && (s.Likely != q.Likely || s.High != q.High) {
		p.Waits = pricing.Pence(s.Likely).String()
		if s.High != s.Likely {
			p.Waits = "likely " + p.Waits + ", at most " + pricing.Pence(s.High).String()
		}
	}
	p.Takes = conversations.Takes(talk, q)
	if q.Budget > 0 && !q.Small {
		p.Budget = pricing.Pence(q.Budget).String()
	}
	return p, nil
}

// week are the coming days: the hours of each, and what is in it.
func (k known) week(rules *pricing.Rules, now time.Time) []page.Day {
	var out []page.Day
	for i := range daysShown {
		date := time.Date(now.Year(), now.Month(), now.Day()+i, 0, 0, 0, 0, now.Location())
		day := page.Day{Date: date}
		if !slices.Contains(rules.Diary.Closed, pricing.Date(date.Format(time.DateOnly))) {
			for _, s := range rules.Diary.On(date.Weekday()) {
				at := func(minute int) time.Time {
					return time.Date(date.Year(), date.Month(), date.Day(), 0, minute, 0, 0, date.Location())
				}
				if to := at(s.To); to.After(now) {
					day.Open = append(day.Open, page.Stretch{From: later(at(s.From), now), To: to, Kind: "open"})
				} else {
					day.Over = true
				}
			}
			day.Over = day.Over && len(day.Open) == 0
		}
		for _, e := range k.days[date.Format(time.DateOnly)].Entries {
			day.Taken = append(day.Taken, page.Stretch{From: e.Start, To: e.End, Kind: e.Kind, Words: k.takenWords(e)})
		}
		out = append(out, day)
	}
	return out
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func (k known) takenWords(e diary.Entry) string {
	words := map[string]string{diary.Hold: "kept for ", diary.Asked: "asked for: ", diary.Booked: ""}
	enquiry, ok := k.enquiries[e.ID]
	if !ok {
		return "off"
	}
	return words[e.Kind] + enquiry.Name
}

// words say what a due item will do.
func (k known) words(r ledger.Record) (page.Due, error) {
	var came conversations.Came
	if err := json.Unmarshal(r.Body, &came); err != nil {
		return page.Due{}, fmt.Errorf("due item %s: %w", r.Key, err)
	}
	return page.Due{At: r.At, What: dueWords(came, k.enquiries[came.Enquiry], r.At)}, nil
}

// dueWords say what will happen when a moment comes. The owner is reminded of what he has
// not answered before the time is over by which the customer was told to hear.
func dueWords(came conversations.Came, of conversations.Enquiry, at time.Time) string {
	name := of.Name
	switch came.Kind {
	case conversations.CamePhoto:
		return "photo " + strconv.Itoa(came.Photo+1) + " of " + name + "'s is looked at"
	case conversations.CameAlbum:
		return name + " hears about the photos"
	case conversations.CameHold:
		return "the time kept for " + name + " goes back"
	case conversations.CameLapsing:
		return name + " hears that the time kept will go back"
	case conversations.CameAsk:
		if at.Before(of.From) {
			return "the owner is reminded that " + name + " waits for his answer"
		}
		return name + " hears that the owner couldn't answer in time, if he hasn't"
	case conversations.CameMove:
		if of.Move != nil && at.Before(of.Move.Until) {
			return "whoever is asked about another time for " + name + " is reminded"
		}
		return name + "'s booking stays where it was, if nobody has answered about another time"
	case conversations.CameJob:
		return "the owner is asked whether " + name + "'s job is done"
	case conversations.CameCare:
		return name + " hears how to look after it"
	case conversations.CameVisit:
		return name + " hears about the visit"
	case conversations.CameQuote:
		return name + " is asked once about the price"
	case conversations.CameEvening:
		return "the owner hears about tomorrow"
	case conversations.CameNudge:
		return name + "'s protection is due again"
	case conversations.CameDeposit:
		return "the money in advance for " + name + " is looked after"
	case conversations.CameBegin:
		return name + "'s job begins"
	case conversations.CameShots:
		return "the owner's photographs of " + name + "'s car are filed"
	case conversations.CameClock, conversations.CameHands:
		return "a product on " + name + "'s car is to come off"
	case conversations.CameOver:
		return "the owner hears that " + name + "'s job is running late, if it is"
	case conversations.CameAbsent:
		return "the owner is asked again whether " + name + " has come"
	case conversations.CameUnpaid:
		return "the owner is asked whether " + name + " has paid"
	case conversations.CameSnag:
		return "something is to be put right for " + name
	case conversations.CameClear:
		return name + "'s enquiry, if not booked, is cleared out"
	}
	return came.Kind
}
