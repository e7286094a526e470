package conversations

import (
	"strconv"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// Chat is what is remembered about one person's chat.
type Chat struct {
	ID   bot.ChatID `json:"id"`
	Name string     `json:"name,omitempty"`
	// Enquiry is the one in hand, empty before the first; Count is how many
	// there have been, and makes their ids.
	Enquiry string `json:"enquiry,omitempty"`
	Count   int    `json:"count,omitempty"`
	// Blocked: they shut us out. Stopped: they said stop. Nothing is sent to
	// the one, nothing unasked to the other.
	Blocked bool `json:"blocked,omitempty"`
	Stopped bool `json:"stopped,omitempty"`
	// NoNudge: they want no reminders, whatever they said with an enquiry.
	NoNudge bool `json:"no_nudge,omitempty"`
	// NoCare: they want no care notes on the days after a job.
	NoCare bool `json:"no_care,omitempty"`
	// Visits are the standing visits to come, by enquiry.
	Visits []string `json:"visits,omitempty"`
	// TimeZone is where they live, by its name in the IANA list, if they have said.
	TimeZone string `json:"time_zone,omitempty"`
	// Language is what their client was last set to, a BCP 47 tag as the platform sends
	// it; empty where it does not say.
	Language string `json:"language,omitempty"`
	// Reads is the language they are written to in, empty for the business's own: that of
	// their client when they first wrote, if we have words in it, or what they chose.
	Reads string `json:"reads,omitempty"`
	// Heard is when they last heard something nobody had asked for just then: how
	// to look after a car, or that its protection falls due.
	Heard time.Time `json:"heard,omitzero"`
	// Jobs are the finished jobs of which something may still be said, by enquiry.
	Jobs []string `json:"jobs,omitempty"`
	// Person: they asked for a person, who has not handed back yet.
	Person bool `json:"person,omitempty"`
	// Passed: since then they have heard that what they write goes there, or have had an
	// answer from there.
	Passed bool `json:"passed,omitempty"`
	// Called is when the owner was last told that they want him.
	Called time.Time `json:"called,omitzero"`
	// Unanswered: something they wrote was handed to the owner for one answer, and has none
	// yet.
	Unanswered bool `json:"unanswered,omitempty"`
	// Again is what somebody wrote who was asked which of their cars it is about.
	Again string `json:"again,omitempty"`
	// Queried: his answer asked them something, and what they say next is for him.
	Queried bool `json:"queried,omitempty"`
	// Spoke: the owner has written to them of a price or a time, see handback.go.
	Spoke bool `json:"spoke,omitempty"`
	// Awaited: the owner has written to them, and they have not since.
	Awaited bool `json:"awaited,omitempty"`
	// Answering is the enquiry the owner's question to them is about, empty if none is
	// open.
	Answering string `json:"asked,omitempty"`
	// Took are the guests whose things this person has taken over, Moved who has
	// taken over this guest's, and Offer the number of the link that does it.
	Took  []bot.ChatID `json:"took,omitempty"`
	Moved bot.ChatID   `json:"moved,omitempty"`
	Offer int          `json:"offer,omitempty"`
	// Typing is what the owner's next text is, nil for nothing in particular.
	Typing *Typing `json:"typing,omitempty"`
	// Excused is when they were last told that we had been away.
	Excused time.Time `json:"excused,omitzero"`
	// Owner's chat only: whom the next text goes to, or which job it finishes.
	Writing   string `json:"writing,omitempty"`
	Finishing string `json:"finishing,omitempty"`
	// Job is the one he is at, and Noting what his next words or photograph are
	// about, if not simply that job.
	Job    string `json:"job,omitempty"`
	Noting string `json:"noting,omitempty"`
	// Guests is how many enquiries he has opened for people who do not write here,
	// and Guest whose form he is answering.
	Guests int        `json:"guests,omitempty"`
	Guest  bot.ChatID `json:"guest,omitempty"`
	// Moving is the booking he is choosing another time for.
	Moving string `json:"moving,omitempty"`
	// Draft is a line of his for a customer, shown to him and not sent yet.
	Draft string `json:"draft,omitempty"`
	// Under is, in the owner's, whose words he was shown last, nil if anything else.
	Under *Under `json:"under,omitempty"`
	// Meant is the request of which the owner was asked last whether he means it.
	Meant string `json:"meant,omitempty"`
	// Talks are enquiries he has last been told of that have no time yet, see talks.go.
	Talks []string `json:"talks,omitempty"`
	// Setting is what he is asked a new value for, see running.go.
	Setting string `json:"setting,omitempty"`
	// Remark is what he is about to say of a finished job, see history.go.
	Remark string `json:"remark,omitempty"`
	// Shown are the buttons they saw last, of questions beside the form (the owner: of
	// any), and Given when
	// they were last told that something went on to the owner, see shown.go and after.go.
	Shown *Shown    `json:"shown,omitempty"`
	Given time.Time `json:"given,omitzero"`
	// Snag is the job of which a customer is telling what is not right.
	Snag string `json:"snag,omitempty"`
}

// Stage is how far an enquiry has come.
type Stage string

// The stages, in order.
const (
	Asking Stage = ""       // the form is being filled, up to and with the guide price
	Held   Stage = "held"   // a time is kept for some minutes
	Waits  Stage = "asked"  // the owner has been asked for that time
	Booked Stage = "booked" // he said yes
	Done   Stage = "done"   // the work is done
	Closed Stage = "closed" // over: declined, stopped, begun again
)

// Enquiry is everything one customer has told us about one car, and what came
// of it.
type Enquiry struct {
	ID   string     `json:"id"`
	Chat bot.ChatID `json:"chat"`
	Name string     `json:"name,omitempty"`
	// Rev rises with everything that is accepted. A button carries the Rev it
	// was made for, and is stale under another.
	Rev   int   `json:"rev"`
	Stage Stage `json:"stage,omitempty"`
	// At is the question on the table.
	At string `json:"at,omitempty"`
	// Spoken is the message that gave the last answer, if it was written: edited,
	// it is that answer anew.
	Spoken bot.MessageID `json:"spoken,omitempty"`
	// Trail are the answered questions in the order they were answered.
	Trail   []string            `json:"trail,omitempty"`
	Answers map[string][]string `json:"answers,omitempty"`
	// Pending are the choices ticked so far on a question that takes several.
	Pending []string          `json:"pending,omitempty"`
	Car     *pricing.Vehicle  `json:"car,omitempty"`
	Cars    []pricing.Vehicle `json:"cars,omitempty"`
	Photos  []Photo           `json:"photos,omitempty"`
	Quote   *Quoted           `json:"quote,omitempty"`
	// PriceAsked: they have been asked once after a guide price without an answer.
	PriceAsked bool `json:"asked,omitempty"`
	// HeldUntil is when a held time goes back.
	HeldUntil time.Time `json:"held_until,omitzero"`
	Slot      *Span     `json:"slot,omitempty"`
	From      time.Time `json:"from,omitzero"`
	Work      *Work     `json:"work,omitempty"`
	// Place is where the car stands, if the customer has shown it; Times what they
	// said of when it suits them.
	Place *Place        `json:"place,omitempty"`
	Times []diary.Times `json:"times,omitempty"`
	// Phone is the telephone number of somebody who rang, as the owner wrote it down.
	Phone string `json:"phone,omitempty"`
	// Address is where exactly that is, in the customer's words.
	Address string `json:"address,omitempty"`
	// Only bounds those times: not before, not on.
	Only *diary.Times `json:"only,omitempty"`
	// Struck are times that do not suit, of those that would.
	Struck []diary.Times `json:"struck,omitempty"`
	// Needed is the last day on which the car may be had back, by diary.Key, if one was
	// named. It stands on the owner's card also where nothing is free by then.
	Needed string `json:"needed,omitempty"`
	// Ahead is the day before which it is to be, by diary.Key, where Needed was said so.
	Ahead string `json:"ahead,omitempty"`
	// Spread: they would have it over several days, as no single one is long enough; Gap:
	// the owner has been asked to look for a time.
	Spread bool `json:"spread,omitempty"`
	Gap    bool `json:"gap,omitempty"`
	// Unclear is what of it can be meant in two ways, and is still to be asked.
	Unclear []Unclear `json:"unclear,omitempty"`
	// Unsure are the questions they could not answer, which were answered for them;
	// Noted what they said that nobody understood, for the owner to read; Helped the
	// question that has been explained to them.
	Unsure []string `json:"unsure,omitempty"`
	// First is what they began with, if they did in words of their own.
	First string   `json:"first,omitempty"`
	Noted []string `json:"noted,omitempty"`
	// Cab is what they wrote who want only the cab of their van done inside.
	Cab string `json:"cab,omitempty"`
	// Wrote is what the owner has written to them by himself while the work was to come.
	Wrote []string `json:"wrote,omitempty"`
	// Offered is the one day and hour the owner has written to them last, until they name
	// another; zero if he has written none.
	Offered time.Time `json:"offered,omitzero"`
	Helped  string    `json:"helped,omitempty"`
	// Reviewed is one more than the revision at which they were shown what can be changed,
	// so that the name of it may be typed.
	Reviewed int `json:"reviewed,omitempty"`
	// Told are flags of the rules that follow from what was said in own words.
	Told []string `json:"told,omitempty"`
	// Past is what is known of this car from the last time.
	Past *Past `json:"past,omitempty"`
	// Minds are the areas they complained of unasked, which matter most to them.
	Minds []pricing.Area `json:"minds,omitempty"`
	// Tells are the areas of which they have told that there is something to them, as a dog
	// that rides along has hair, and not how much.
	Tells []pricing.Area `json:"tells,omitempty"`
	// Named are the tasks and areas they spoke of by name, which go before the rest where
	// their money does not reach.
	Named []string `json:"named,omitempty"`
	// Spared are tasks they want left out, though what they ask for brings them in.
	Spared []string `json:"spared,omitempty"`
	// Sum is the figure in whole pounds of which they have been asked, at the price, whether
	// to fit the work to it; empty if none is on the table.
	Sum string `json:"sum,omitempty"`
	// Meant is what the price rests on with a yes to Sum, where that is more than the figure:
	// work that the present one does not reach without dropping what was asked for before.
	Meant *Rested `json:"meant,omitempty"`
	// SeeFirst is why the car has to be seen before there is a price, as they last read it.
	SeeFirst string `json:"see_first,omitempty"`
	// Reopened is an answer that is being changed by its name, nil if none is.
	Reopened *Reopened `json:"reopened,omitempty"`
	// Was is what the price rested on before the last change made at the price itself.
	Was *Rested `json:"was,omitempty"`
	// Every is in how many weeks the car comes again, 0 if nobody has agreed on that;
	// Due when a standing visit would be, had its day had room.
	Every int       `json:"every,omitempty"`
	Due   time.Time `json:"due,omitzero"`
	// Renews tells that a nudge was taken up, and how far that has come; Wish is what was
	// written with the yes, until it is plain which of the two is meant.
	Renews string `json:"renews,omitempty"`
	Wish   string `json:"wish,omitempty"`
	// Plan is what they are to hear of the protection of this car.
	Plan *reminders.Plan `json:"plan,omitempty"`
	// Graded is what the owner has seen himself, Extra the tasks added on the day,
	// Dropped those that were agreed to be left out, whatever is graded later.
	Graded  map[pricing.Area]pricing.Grade `json:"graded,omitempty"`
	Extra   []string                       `json:"extra,omitempty"`
	Dropped []string                       `json:"dropped,omitempty"`
	// Seen is the price as things were seen, waiting for the customer's yes; Before
	// are the prices agreed to earlier, the first first.
	Seen   *Quoted  `json:"seen,omitempty"`
	Before []Quoted `json:"before,omitempty"`
	// Move is the booking's way to another time; Changes counts how often what
	// stands in people's calendars has changed.
	Move    *Move `json:"move,omitempty"`
	Changes int   `json:"changes,omitempty"`
	// Refused are the times the owner has said no to, which are not offered again.
	Refused []Span `json:"refused,omitempty"`
	// ByHand is what the owner has set over the rules; Queries are what he asked.
	// Terms are what was agreed to with the request; Deposits what was asked for in
	// advance, the one in force last.
	ByHand   *ByHand   `json:"by_hand,omitempty"`
	Queries  []Query   `json:"queries,omitempty"`
	Terms    *Agreed   `json:"terms,omitempty"`
	Deposits []Deposit `json:"deposits,omitempty"`
	// Job is what happened on the day, Snags what was not right afterwards, Absences
	// the times at which nobody was there.
	Job      *Job        `json:"job,omitempty"`
	Snags    []Snag      `json:"snags,omitempty"`
	Absences []time.Time `json:"missed,omitempty"`
	// Waiting is what waits until the owner's hands are free.
	Waiting []bot.Message `json:"held,omitempty"`
	// Touched is when a person last did something about it while it was not booked, to
	// the second; zero where an earlier release kept it, see clear.go.
	Touched time.Time `json:"touched,omitzero"`
}

func chatKey(id bot.ChatID) string { return "chat:" + strconv.FormatInt(int64(id), 10) }
func enquiryKey(id string) string  { return "enq:" + id }
func dayKey(day string) string     { return "day:" + day }
func enquiryID(c bot.ChatID, n int) string {
	return strconv.FormatInt(int64(c), 36) + "-" + strconv.Itoa(n)
}

// answer is the only or first answer to a question, empty if there is none.
func (e *Enquiry) answer(question string) string {
	if a := e.Answers[question]; len(a) > 0 {
		return a[0]
	}
	return ""
}

// has tells whether a question was answered with this among its answers.
func (e *Enquiry) has(question, answer string) bool {
	for _, a := range e.Answers[question] {
		if a == answer {
			return true
		}
	}
	return false
}

// open tells whether the enquiry can still be changed by its customer.
func (e *Enquiry) open() bool { return e.Stage == Asking || e.Stage == Held }
