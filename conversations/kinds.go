package conversations

import (
	"slices"
	"strconv"
)

// The kinds of [Came]. Each has a row in kinds, is answered in came, and has its words in
// cmd/dryhand/behind.go; tests hold the four together. It is stored: a name once given
// stays.
const (
	CamePhoto   = "photo"   // a photo is to be fetched and measured
	CameAlbum   = "album"   // the pictures have gone quiet: answer once, or go on
	CameHold    = "hold"    // a held time goes back
	CameLapsing = "lapsing" // a held time will soon go back
	CameAsk     = "ask"     // the owner has not answered
	CameQuote   = "quote"   // a guide price has not been answered
	CameDeposit = "deposit" // money in advance has not come, or lies idle
	CameMove    = "move"    // nobody has answered to another time for a booking
	CameVisit   = "visit"   // a visit is near: the day before, the morning
	CameEvening = "evening" // tomorrow's jobs are put before the owner
	CameBegin   = "begin"   // a job is due to begin
	CameJob     = "job"     // a job's time is over
	CameOver    = "over"    // a job should be finished by now
	CameAbsent  = "absent"  // nobody has come
	CameShots   = "shots"   // the owner's photographs have gone quiet
	CameClock   = "clock"   // a product may come off, or must
	CameHands   = "hands"   // whatever is on must be off, and what waited is handed over
	CameUnpaid  = "unpaid"  // a job has not been paid
	CameCare    = "care"    // something is to be told about looking after a job
	CameSnag    = "snag"    // something is to be put right today, was to be, or has no day yet
	CameNudge   = "nudge"   // protection falls due
	CameClear   = "clear"   // an enquiry nobody booked may be cleared out
)

// ending is what may put an end to what an enquiry is still to be reminded of.
type ending uint8

const (
	closes   ending = 1 << iota // it is over without a booking
	finishes                    // its job is done
	clears                      // it is cleared out
)

// kind is what there is to know of one kind of moment besides what it says when it comes.
type kind struct {
	name string
	// ends are what drops it for the whole enquiry. What falls away in the middle, as a
	// hold that is released, is dropped there, by unset.
	ends ending
	// nth tells several of one enquiry apart; nil where there is one at a time. Each of
	// several is dropped by itself.
	nth func(Came) int
}

var kinds = []kind{
	{name: CamePhoto, nth: func(w Came) int { return w.Photo }},
	{name: CameAlbum, ends: clears},
	{name: CameHold, ends: closes | clears},
	{name: CameLapsing, ends: clears},
	{name: CameAsk, ends: closes | clears},
	{name: CameQuote, ends: closes | clears},
	{name: CameDeposit, ends: clears},
	{name: CameMove, ends: clears},
	{name: CameVisit}, // several, by what they say
	{name: CameEvening},
	{name: CameBegin},
	{name: CameJob, ends: finishes},
	{name: CameOver, ends: finishes},
	{name: CameAbsent, ends: finishes},
	{name: CameShots},
	{name: CameClock, nth: func(w Came) int { return w.Clock }},
	{name: CameHands},
	{name: CameUnpaid},
	{name: CameCare},
	{name: CameSnag},
	{name: CameNudge, ends: clears},
	{name: CameClear},
}

// Kinds are the names of all kinds of [Came] there are.
func Kinds() []string {
	var names []string
	for _, k := range kinds {
		names = append(names, k.name)
	}
	return names
}

// kindOf is a kind by its name, false if this release has none of it.
func kindOf(name string) (kind, bool) {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.name == name })
	if i < 0 {
		return kind{}, false
	}
	return kinds[i], true
}

// unsetAll drops what an enquiry need no longer be reminded of after an ending.
func (t *turn) unsetAll(by ending, e *Enquiry) {
	for _, k := range kinds {
		if k.ends&by != 0 {
			t.unset(k.name, e)
		}
	}
}

// dueID is the name a moment is kept under: its kind, and whose or of which day it is, then
// what it says and which of several it is. Setting it again moves it.
func dueID(w Came) string {
	id := w.Kind + ":" + w.Enquiry + w.Day
	if w.Say != "" {
		id += ":" + string(w.Say)
	}
	if k, _ := kindOf(w.Kind); k.nth != nil {
		id += ":" + strconv.Itoa(k.nth(w))
	}
	return id
}
