// Package conversations decides what to say and what to remember.
//
// [Step] is a function from state and event to state and effects: it reads no
// clock, calls no network and knows no store. Effects are data: documents to
// keep, messages to say, moments to be reminded of. The desk (conversations/desk)
// carries them out in one commit, and asks again when something moved meanwhile.
//
// # Keys
//
// The documents a conversation lives in, as JSON:
//
//	chat:<chat id>      one [Chat]: whose it is, the enquiry in hand, consent
//	enq:<enquiry id>    one [Enquiry]: everything told about one car, and the job
//	hands               one [Hands]: what the owner must not be disturbed in
//	owner               one [Ownership]: whose business it is, once claimed by link
//	day:<2006-01-02>    one diary.Day: what the local day holds
//	settings            one pricing.Layer: what the owner has set over the rules file
//	settings:past       one [Layers]: the changes that came to that
//	learned             one [Learned]: what finished jobs teach, as counts
//	tally:<month>:<n>   one [Tally]: who asked, who got a price and what deposits stayed, by day
//
// A chat links to its enquiry, an enquiry to its chat and, while a time is being
// chosen, to the days in view, so that one load brings them together.
//
// The moments it asks to be reminded of are [Came] values; [Kinds] are all there are.
package conversations

import (
	"crypto/sha256"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/photos"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// Talk is what a conversation knows besides its state.
type Talk struct {
	Rules *pricing.Rules
	Words *wording.Words
	// Languages are the other languages somebody may choose; Words and Rules are in
	// the business's own.
	Languages []Language
	// Reader reads what people write in their own words; without it only buttons'
	// words are understood.
	Reader *reading.Reader
	// Sheet words the job sheet; without it there is none.
	Sheet *jobsheet.Words
	// sheetIn words it in the language of the turn, nil where that is the business's
	// own or the rules have no words in it for all of the sheet.
	sheetIn *jobsheet.Words
	// Owner is the detailer's own chat, zero while nobody has claimed it.
	Owner bot.ChatID
	// Claim, while there is no owner, is the digest of the code that makes whoever
	// sends it the owner; nil if nobody can become it.
	Claim *[sha256.Size]byte
	// Zone is the business's time zone.
	Zone *time.Location
	// Bot is the bot's name at the platform and Secret what its links are signed with;
	// without them nobody is handed one.
	Bot    string
	Secret []byte
	// Feed is the secret address of the owner's calendar, empty if there is none.
	Feed string
	// Worked is what has been reckoned for the event before, nil if it is new.
	Worked *Worked
}

// Came is a moment that was asked for and has come. It reaches [Step] as the
// What of an event.
type Came struct {
	// Kind is one of [Kinds]. What came of a newer release may have another.
	Kind    string `json:"kind"`
	Enquiry string `json:"enquiry"`
	// Photo is which photo, for the kinds that concern one.
	Photo int `json:"photo,omitempty"`
	// File is what to fetch before the moment is told, if anything.
	File bot.FileID `json:"file,omitempty"`
	// Clock is which clock of a job, for the kind that concerns one.
	Clock int `json:"clock,omitempty"`
	// Say is what kind of message is to be said, for the kinds with several.
	Say reminders.Kind `json:"say,omitempty"`
	// Day is the local date it concerns, for the kinds that concern a whole day.
	Day string `json:"day,omitempty"`
}

// Measured is a fetched photo's verdict, or why there is none.
type Measured struct {
	Came
	Report photos.Report
	// Failed is empty, or one of the Failed words.
	Failed string
}

// Why a photo could not be measured.
const (
	FailedHEIC   = "heic"
	FailedTooBig = "too-big"
	FailedUnread = "unread"
)

// Doc is a document to keep: Links are the documents to load along with it.
type Doc struct {
	Key   string
	Links []string
	Body  []byte
}

// Due is a moment to be reminded of. Setting an id again moves it.
type Due struct {
	ID   string
	At   time.Time
	What Came
}

// Decision is what a step wants done, all of it or nothing.
type Decision struct {
	// Need, if not empty, names documents the step missed; nothing else counts
	// until they are loaded.
	Need []string
	Put  []Doc
	// Drop are the keys of documents to delete.
	Drop  []string
	Set   []Due
	Unset []string
	Say   []bot.Message
	// Reached are the stages to which enquiries have newly come.
	Reached []Stage
	// Claimed, if not zero, is who has just become the owner.
	Claimed bot.ChatID
	// Toast is the short answer to a tap, often empty.
	Toast string
}

// Touches names the documents an event may touch, as far as the event itself
// tells. Their links bring the rest.
func Touches(e bot.Event) []string {
	keys := []string{LayerKey}
	if e.Chat != 0 {
		// Whatever is said to the owner depends on what his hands are in.
		keys = append(keys, chatKey(e.Chat), handsKey)
	}
	switch w := e.What.(type) {
	case bot.Tap:
		if p, ok := parsePress(w.Data); ok {
			keys = append(keys, enquiryKey(p.enquiry))
		}
	case Came:
		if w.Day != "" {
			keys = append(keys, dayKey(w.Day))
		} else {
			keys = append(keys, enquiryKey(w.Enquiry))
		}
	case Measured:
		keys = append(keys, enquiryKey(w.Enquiry))
	case bot.Undelivered:
		keys = append(keys, enquiryKey(w.About))
	}
	return keys
}
