package conversations

import (
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/photos"
	"example.org/dryhand/pricing"
)

// Rested is what a price rests on that can be changed at the price, as it was before a
// change. Trail are the questions answered by then.
type Rested struct {
	Answers map[string][]string `json:"answers,omitempty"`
	Trail   []string            `json:"trail,omitempty"`
	Named   []string            `json:"named,omitempty"`
	Spared  []string            `json:"spared,omitempty"`
	Minds   []pricing.Area      `json:"minds,omitempty"`
	Place   *Place              `json:"place,omitempty"`
	// Likely and High are the price that was named for it, in pence.
	Likely int64 `json:"likely,omitempty"`
	High   int64 `json:"high,omitempty"`
}

// Reopened is one answer on its way to another, and how the price stood before.
type Reopened struct {
	Question string   `json:"question"`
	Answer   []string `json:"answer,omitempty"`
	Place    *Place   `json:"place,omitempty"`
	// Agreed tells that they had gone on from that price; In is what was in it.
	Agreed bool     `json:"agreed,omitempty"`
	Likely int64    `json:"likely,omitempty"`
	High   int64    `json:"high,omitempty"`
	In     []string `json:"in,omitempty"`
}

// Place is a point on the map, known to within some kilometres.
type Place struct {
	Lat    float64 `json:"lat"`
	Lon    float64 `json:"lon"`
	Within float64 `json:"within,omitempty"`
}

// Unclear is a time somebody named that can be meant in two ways: one date or
// another, or, if there are no dates, an hour of the morning or of the evening.
type Unclear struct {
	Phrase string `json:"phrase"`
	// Said is how it was written, where that was in another language than the phrase.
	Said  string   `json:"said,omitempty"`
	Dates []string `json:"dates,omitempty"`
	// Slot is the time in that place of the list, where a number may be a place or an hour;
	// named as its button names it.
	Slot string `json:"slot,omitempty"`
	// Apart: a day of the week was named with a date that is none.
	Apart bool `json:"apart,omitempty"`
}

// Move is a booking on its way to another time. Until it is agreed the old time
// stands.
type Move struct {
	// By is who wants it.
	By Side `json:"by"`
	// From is from when on times are being offered.
	From time.Time `json:"from,omitzero"`
	// Times are those that were named for it and Only what bounds them, in the place of
	// what the customer said before they were booked.
	Times []diary.Times `json:"times,omitempty"`
	Only  *diary.Times  `json:"only,omitempty"`
	// To is the time kept for it, nil while one is being chosen.
	To *Span `json:"to,omitempty"`
	// Until is when the time goes back if the other side has not answered.
	Until time.Time `json:"until,omitzero"`
	// Offered: the customer may choose, and what they choose is agreed to.
	Offered bool `json:"offered,omitempty"`
	// Wet: the old time cannot be kept, for the weather.
	Wet bool `json:"wet,omitempty"`
	// Absent: nor for that the customer was not there, which is theirs, as a late
	// change would be.
	Absent bool `json:"missed,omitempty"`
	// Late tells that the customer chose it later than a booking can be moved
	// without a word.
	Late bool `json:"late,omitempty"`
	// Off: they said that they cannot come, and may as well call it off.
	Off bool `json:"off,omitempty"`
	// Reminded tells that the one who is to answer has been.
	Reminded bool `json:"asked,omitempty"`
}

// Side is one of the two sides of a booking.
type Side string

// The sides.
const (
	Customer Side = "customer"
	Owner    Side = "owner"
)

// Span is a stretch of time.
type Span struct {
	Start time.Time `json:"start"`
	End   time.Time `json:"end"`
}

// Photo is one picture a customer sent: never its bytes.
type Photo struct {
	File   bot.FileID `json:"file"`
	Unique string     `json:"unique"`
	Album  string     `json:"album,omitempty"`
	// AsFile: it was sent as a file, and can be sent on only as one.
	AsFile bool `json:"as_file,omitempty"`
	// Of are the parts of the car that its caption says it shows.
	Of     []pricing.Area `json:"of,omitempty"`
	Report *photos.Report `json:"report,omitempty"`
	Failed string         `json:"failed,omitempty"`
	Same   bool           `json:"same,omitempty"`
	// Kept: the customer said to use it although we found fault with it.
	Kept bool `json:"kept,omitempty"`
	// Told: they have heard what we think of it.
	Told bool `json:"told,omitempty"`
}

// Quoted is the guide price as the customer read it, kept with the version of
// the rules it was made with.
type Quoted struct {
	Rules string `json:"rules"`
	// Low, Likely and High are in pence; P10 to P90 in minutes.
	Low    int64     `json:"low"`
	Likely int64     `json:"likely"`
	High   int64     `json:"high"`
	P10    float64   `json:"p10"`
	P50    float64   `json:"p50"`
	P80    float64   `json:"p80"`
	P90    float64   `json:"p90"`
	Until  time.Time `json:"until"`
	// Language is what its words are in, empty for the business's own. Other are the
	// same words in another, for the side that reads that.
	Language string                `json:"language,omitempty"`
	Other    map[string]QuoteWords `json:"other,omitempty"`
	// Step is what buys all of Further, in pence; 0 in documents of releases that reckoned
	// with £20 whatever it was.
	Step int64 `json:"step,omitempty"`
	QuoteWords
	// Of is a digest of what was asked for; Budget the figure it is fitted to,
	// in pence, and Small tells that the smallest job there is exceeds it.
	Of     string `json:"of,omitempty"`
	Budget int64  `json:"budget,omitempty"`
	Small  bool   `json:"small,omitempty"`
	// Named are the likely price and the most, in pence, of all that the customer named and
	// nothing else, nil if their figure reaches all of that.
	Named *[2]int64 `json:"named,omitempty"`
	// Way is how much of the likely price is for the way beyond the free miles, in pence.
	Way int64 `json:"way,omitempty"`
	// Tasks are the ids of the work.
	Tasks []string `json:"tasks,omitempty"`
	// Stops are the minutes after which work stops, as they were told, by task.
	Stops map[string]int `json:"stops,omitempty"`
	// Adds is what each piece of work that was left out was told to add to the likely price,
	// in pence, by task.
	Adds map[string]int64 `json:"adds,omitempty"`
	// Dry is how many minutes the car stays where it is when the work is done.
	Dry int `json:"dry,omitempty"`
}

// QuoteWords are the words of a quote, in one language. Main is the weightiest of In;
// the rest are its other lines.
type QuoteWords struct {
	In      []string `json:"in"`
	NeedSee string   `json:"need_see,omitempty"`
	Refused string   `json:"refused,omitempty"`
	Main    []string `json:"main,omitempty"`
	Out     []string `json:"out,omitempty"`
	Further []string `json:"further,omitempty"`
	// Unreached is what the customer named that their figure does not reach.
	Unreached []string `json:"missed,omitempty"`
	// Over is what was asked for and is over the customer's figure.
	Over  []string `json:"over,omitempty"`
	Stays []string `json:"stays,omitempty"`
	Why   []string `json:"why,omitempty"`
	Refer []string `json:"refer,omitempty"`
	Notes []string `json:"notes,omitempty"`
}

// Work is what the owner says was done.
type Work struct {
	At      time.Time `json:"at"`
	Minutes int       `json:"minutes"`
	// ByArea are the minutes by area, as far as anybody knows them.
	ByArea map[pricing.Area]int `json:"by_area,omitempty"`
	// Price is what it came to, in pence.
	Price int64 `json:"price,omitempty"`
	// Paid is when the owner said that it is paid; Owed that it is still to come.
	Paid time.Time `json:"paid,omitzero"`
	Owed bool      `json:"owed,omitempty"`
	// Part is what of it has come so far, in pence, while the rest is open.
	// Half tells that half of it is here, before it was said what it came to.
	Part int64 `json:"part,omitempty"`
	Half bool  `json:"half,omitempty"`
	// Protections are what was applied. Protection is the one that releases of
	// form 1 kept.
	Protections []string `json:"protections,omitempty"`
	Protection  string   `json:"protection,omitempty"`
	// Worked and Stayed are what the owner says worked on this car, and what never
	// came out of it.
	Worked []string `json:"worked,omitempty"`
	Stayed []string `json:"stayed,omitempty"`
	// Cared is when the customer was last told about looking after it.
	Cared time.Time `json:"cared,omitzero"`
	// Nudge is when the customer is to hear again, zero if never.
	Nudge time.Time `json:"nudge,omitzero"`
	// NudgeTold is what the owner was last told of it.
	NudgeTold time.Time `json:"nudge_told,omitzero"`
	Nudged    bool      `json:"nudged,omitempty"`
}
