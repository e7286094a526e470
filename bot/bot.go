// Package bot is the vocabulary of a chat: who said what, and what is said back.
//
// It imports nothing of ours and knows no platform. The platform's edge
// (bot/telegram) turns updates into an [Event]; the conversation answers with
// [Message] values; a second channel would be a second such edge.
package bot

import "time"

// ChatID names one private chat at the platform. Zero is no chat.
type ChatID int64

// MessageID names one message inside a chat. Zero is no message.
type MessageID int64

// FileID fetches a file from the platform again. It belongs to one bot's token
// and says nothing about the file's content.
type FileID string

// Person is who did something, as the platform tells it. Name is what they
// call themselves there: never trusted, never used as a key.
type Person struct {
	ID   ChatID
	Name string
	// Language is what their client is set to, as a BCP 47 tag such as "cy" or
	// "pt-BR", empty where the platform does not say.
	Language string
}

// Event is one thing that happened in a chat.
type Event struct {
	// Op is unique to this happening. The same Op delivered twice is the same
	// event, and is applied once.
	Op string
	// Chat is where it happened.
	Chat ChatID
	// From is who did it.
	From Person
	// At is when they did it, which after an outage may be hours before it
	// reaches us.
	At time.Time
	// What is one of [Text], [Tap], [Photo], [Place], [Membership], [Undelivered] or
	// [Other].
	What any
}

// Text is a written message, or an edit of an earlier one.
type Text struct {
	Body    string
	Message MessageID
	Edited  bool
	// Forward is set if somebody else's words were sent on.
	Forward *Forward
}

// Forward tells that a message was first written by somebody else, and sent on.
type Forward struct {
	// Name is what its writer calls themselves, empty where the platform does not
	// say or it was a bot. Never trusted, never used as a key.
	Name string
}

// Tap is a press on a button. Data comes from the client and is never trusted.
type Tap struct {
	// ID is what the platform wants back so that the button stops spinning.
	ID   string
	Data string
	// Message is the message that carried the button, zero if the platform no
	// longer says.
	Message MessageID
}

// Photo is a picture sent as a photo or as a file.
type Photo struct {
	// File fetches it; Unique is the same for the same picture, whoever sends
	// it and whenever.
	File   FileID
	Unique string
	// Width, Height in pixels and Size in bytes as the platform states them,
	// zero where it does not.
	Width, Height int
	Size          int64
	// Album groups pictures sent together; the platform marks no end.
	Album   string
	Caption string
	// AsFile tells that it came uncompressed, as a document.
	AsFile  bool
	MIME    string
	Message MessageID
	// Forward is set if somebody else's picture was sent on.
	Forward *Forward
}

// Place is a shared location, in degrees.
type Place struct{ Lat, Lon float64 }

// Membership tells that the person shut us out, or let us back in.
type Membership struct{ Blocked bool }

// Undelivered tells that a message of ours did not arrive.
type Undelivered struct {
	// About and Kind are the message's.
	About, Kind string
	// Uncertain: it may have arrived after all. Never: it would not if it were sent
	// again. Neither: it surely has not, for want of time.
	Uncertain, Never bool
}

// Other is anything we do not read: a sticker, a voice note. Kind is the
// platform's word for it, for the log and for a kind answer.
type Other struct{ Kind string }

// Choice is one button. Data is at most 64 bytes and comes back in a [Tap].
type Choice struct {
	Label string `json:"label"`
	Data  string `json:"data"`
}

// Delivery says which hurts more when a send is cut off half-way and nobody
// can tell whether it arrived.
type Delivery string

const (
	// Repeatable messages are sent again after an uncertain send: a question
	// or a confirmation may arrive twice rather than go missing.
	Repeatable Delivery = ""
	// Once messages are never sent again after an uncertain send: a nudge.
	Once Delivery = "once"
	// Cosmetic changes are tried once and forgotten if they fail: taking the
	// buttons off a question that has been answered.
	Cosmetic Delivery = "cosmetic"
)

// File is a small file we made: an appointment for a calendar, a page to print.
// It waits in the outbox with its message, so that a megabyte is much too large.
type File struct {
	Name string `json:"name"`
	Data []byte `json:"data"`
	// Shown tells that it is a picture to be seen in the chat, not a file to keep.
	Shown bool `json:"shown,omitempty"`
}

// Message is something to say. It is plain text, without markup, so that
// nothing a customer writes can break it.
type Message struct {
	Chat ChatID `json:"chat"`
	// Text is 1 to 4096 characters, or 0 to 1024 with Photo, Album or File; see also
	// Edit.
	Text string `json:"text"`
	// Choices are the rows of buttons below it.
	Choices [][]Choice `json:"choices,omitempty"`
	// Photo, if set, is a picture the platform already holds; Text is its caption.
	Photo FileID `json:"photo,omitempty"`
	// AsFile tells that Photo came as a file: the platform sends it on only as one.
	AsFile bool `json:"as_file,omitempty"`
	// Album, if set, are two to ten such pictures shown together; Text is the first
	// one's caption, and there are no buttons.
	Album []FileID `json:"album,omitempty"`
	// Picture, if set, names a picture of our own to send; Text is its caption.
	Picture string `json:"picture,omitempty"`
	// About, if set, names what the message is about, for those who are told that
	// it did not arrive.
	About string `json:"about,omitempty"`
	// File, if set, is a small file to hand over; Text is its caption.
	File *File `json:"file,omitempty"`
	// Edit, if set, is the earlier message this one replaces. With an empty Text
	// only its buttons are replaced by Choices, or taken off if there are none.
	Edit MessageID `json:"edit,omitempty"`
	// Delivery says what to do after an uncertain send.
	Delivery Delivery `json:"delivery,omitempty"`
	// NotAfter, if set, is when the message has lost its sense and is dropped
	// instead of sent.
	NotAfter time.Time `json:"not_after,omitzero"`
	// Kind is a short constant word for logs and counts ("question", "nudge").
	Kind string `json:"kind,omitempty"`
	// Ref is what the event that led to it is called in the logs, and Said when that
	// was. Whoever commits the message sets them.
	Ref  string    `json:"ref,omitempty"`
	Said time.Time `json:"said,omitzero"`
}
