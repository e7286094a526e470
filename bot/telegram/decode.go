package telegram

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"example.org/dryhand/bot"
)

// The few fields of an update that are read. The library's own types fail the
// whole update on one member of a union they do not know.
type update struct {
	ID      *int64      `json:"update_id"`
	Message *message    `json:"message"`
	Edited  *message    `json:"edited_message"`
	Tap     *tap        `json:"callback_query"`
	Member  *membership `json:"my_chat_member"`
}

type person struct {
	ID        int64  `json:"id"`
	FirstName string `json:"first_name"`
	Language  string `json:"language_code"`
}

type chat struct {
	ID   int64  `json:"id"`
	Type string `json:"type"`
}

type message struct {
	ID       int64     `json:"message_id"`
	From     person    `json:"from"`
	Chat     chat      `json:"chat"`
	Date     int64     `json:"date"`
	EditDate int64     `json:"edit_date"`
	Text     *string   `json:"text"`
	Caption  string    `json:"caption"`
	Album    string    `json:"media_group_id"`
	Photo    []picture `json:"photo"`
	Document *document `json:"document"`
	Location *location `json:"location"`
	Origin   *origin   `json:"forward_origin"`

	// kind is the platform's word for content that is not read, "" if there is
	// none: the message only tells of something that happened in the chat.
	kind string
}

// unread are the kinds of content a person may send that are not read. A venue
// carries a location and is read as one; an animation comes with a document.
// Names as in the description of Bot API 10.1 (core.telegram.org/bots/api#message).
var unread = [...]string{
	"animation", "audio", "document", "live_photo", "paid_media", "sticker", "story", "video", "video_note", "voice",
	"checklist", "contact", "dice", "game", "poll", "rich_message", "web_app_data", "invoice", "giveaway",
}

// UnmarshalJSON also looks which of the unread kinds is there.
func (m *message) UnmarshalJSON(data []byte) error {
	type plain message
	if err := json.Unmarshal(data, (*plain)(m)); err != nil {
		return err
	}
	var there map[string]json.RawMessage
	if err := json.Unmarshal(data, &there); err != nil {
		return err
	}
	for _, kind := range unread {
		if _, ok := there[kind]; ok {
			m.kind = kind
			break
		}
	}
	return nil
}

// origin is whose a message was before it was sent on, of whichever kind: a
// member that a kind does not have is empty (core.telegram.org/bots/api#messageorigin:
// user, hidden_user, chat and channel, as in Bot API 10.1).
type origin struct {
	User struct {
		person
		Bot bool `json:"is_bot"`
	} `json:"sender_user"`
	Hidden string `json:"sender_user_name"`
	Sender titled `json:"sender_chat"`
	Chat   titled `json:"chat"`
}

type titled struct {
	Title string `json:"title"`
}

type picture struct {
	File   string `json:"file_id"`
	Unique string `json:"file_unique_id"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Size   int64  `json:"file_size"`
}

type document struct {
	File   string `json:"file_id"`
	Unique string `json:"file_unique_id"`
	Name   string `json:"file_name"`
	MIME   string `json:"mime_type"`
	Size   int64  `json:"file_size"`
}

type location struct {
	Lat float64 `json:"latitude"`
	Lon float64 `json:"longitude"`
}

type tap struct {
	ID      string   `json:"id"`
	From    person   `json:"from"`
	Message *message `json:"message"`
	Data    string   `json:"data"`
}

type membership struct {
	Chat chat   `json:"chat"`
	From person `json:"from"`
	Date int64  `json:"date"`
	New  struct {
		Status string `json:"status"`
	} `json:"new_chat_member"`
}

// errNoID: without an update_id there is nothing to recognise a repeat by.
var errNoID = errors.New("telegram: update without update_id")

// Decode turns an update's bytes into an event. It reports false for what is
// well formed and none of our business: groups, kinds that were not asked for,
// messages that only tell of something. A tap is in the event even then, since
// its button spins all the same. Taps carry no time: At is zero.
//
// Whatever the bytes are, it does not panic; an event that it reports true for
// has a chat and something in What.
func Decode(raw []byte) (e bot.Event, ours bool, err error) {
	var u update
	if err := json.Unmarshal(raw, &u); err != nil {
		return e, false, fmt.Errorf("telegram: update: %w", err)
	}
	if u.ID == nil {
		return e, false, errNoID
	}
	e.Op = "u" + strconv.FormatInt(*u.ID, 10)
	switch {
	case u.Message != nil:
		ours = u.Message.into(&e, false)
	case u.Edited != nil:
		ours = u.Edited.into(&e, true)
	case u.Tap != nil:
		ours = u.Tap.into(&e)
	case u.Member != nil:
		ours = u.Member.into(&e)
	}
	return e, ours && e.Chat != 0, nil
}

func (m *message) into(e *bot.Event, edited bool) bool {
	if m.Chat.Type != private {
		return false
	}
	e.Chat, e.From, e.At = bot.ChatID(m.Chat.ID), m.From.in(m.Chat), moment(m.Date)
	if edited && m.EditDate != 0 {
		e.At = moment(m.EditDate)
	}
	if edited {
		e.What = m.edited()
	} else {
		e.What = m.what()
	}
	return e.What != nil
}

// edited is the new words of an earlier message. Other edits (a live location
// that moves, a game's score) are no answer to anything.
func (m *message) edited() any {
	switch {
	case m.Text != nil:
		return bot.Text{Body: *m.Text, Message: bot.MessageID(m.ID), Edited: true}
	case m.Caption != "":
		return bot.Text{Body: m.Caption, Message: bot.MessageID(m.ID), Edited: true}
	}
	return nil
}

// what is the message's content, nil for none: somebody pinned something.
func (m *message) what() any {
	id := bot.MessageID(m.ID)
	switch {
	case m.Text != nil:
		return bot.Text{Body: *m.Text, Message: id, Forward: m.forward()}
	case len(m.Photo) > 0:
		p := largestOf(m.Photo)
		return bot.Photo{File: bot.FileID(p.File), Unique: p.Unique, Width: p.Width, Height: p.Height, Size: p.Size,
			Album: m.Album, Caption: m.Caption, Message: id, Forward: m.forward()}
	case m.Document != nil && m.Document.picture():
		d := m.Document
		return bot.Photo{File: bot.FileID(d.File), Unique: d.Unique, Size: d.Size, Album: m.Album, Caption: m.Caption,
			AsFile: true, MIME: d.MIME, Message: id, Forward: m.forward()}
	case m.Location != nil:
		return bot.Place{Lat: m.Location.Lat, Lon: m.Location.Lon}
	case m.kind != "":
		return bot.Other{Kind: m.kind}
	}
	return nil
}

// forward is whose the message was first, nil if it is the sender's own. A bot has
// no name here: what a desk says is nobody's enquiry.
func (m *message) forward() *bot.Forward {
	o := m.Origin
	if o == nil || o.User.ID != 0 && o.User.ID == int64(m.From.in(m.Chat).ID) {
		return nil
	}
	if o.User.Bot {
		return &bot.Forward{}
	}
	return &bot.Forward{Name: name(cmp.Or(o.User.FirstName, o.Hidden, o.Sender.Title, o.Chat.Title))}
}

// largestOf finds the picture with the most pixels; the order of sizes is not
// promised. Sides are taken as float64, which no forged ones overflow.
func largestOf(sizes []picture) picture {
	area := func(p picture) float64 { return float64(p.Width) * float64(p.Height) }
	return slices.MaxFunc(sizes, func(a, b picture) int { return cmp.Compare(area(a), area(b)) })
}

// picture tells whether a file says it is a picture. Its bytes decide later.
func (d *document) picture() bool {
	if strings.HasPrefix(d.MIME, "image/") {
		return true
	}
	switch strings.ToLower(path.Ext(d.Name)) {
	case ".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif", ".avif":
		return true
	}
	return false
}

func (t *tap) into(e *bot.Event) bool {
	w := bot.Tap{ID: t.ID, Data: t.Data}
	// A private chat has the id of the person in it.
	in := chat{ID: t.From.ID, Type: private}
	if t.Message != nil {
		// A message that is no longer accessible has no date, and keeps its id.
		w.Message = bot.MessageID(t.Message.ID)
		if t.Message.Chat.Type != "" {
			in = t.Message.Chat
		}
	}
	e.Chat, e.From, e.What = bot.ChatID(in.ID), t.From.in(in), w
	return in.Type == private
}

func (m *membership) into(e *bot.Event) bool {
	if m.Chat.Type != private {
		return false
	}
	e.Chat, e.From, e.At = bot.ChatID(m.Chat.ID), m.From.in(m.Chat), moment(m.Date)
	switch m.New.Status {
	case "kicked":
		e.What = bot.Membership{Blocked: true}
	case "member":
		e.What = bot.Membership{}
	}
	return e.What != nil
}

// moment is a date of the platform's, in seconds since 1970. The zero time stands
// for none and for what no calendar can write.
func moment(seconds int64) time.Time {
	const year10000 = 253402300800
	if seconds <= 0 || seconds >= year10000 {
		return time.Time{}
	}
	return time.Unix(seconds, 0).UTC()
}

// private is the platform's word for a chat between one person and the bot.
const private = "private"

// longestName bounds what somebody may call themselves towards the owner.
const longestName = 64

// in is the person, in a private chat. Such a chat has the id of its person,
// should the platform leave them out.
func (p person) in(c chat) bot.Person {
	if p.ID == 0 && c.Type == private {
		p.ID = c.ID
	}
	return bot.Person{ID: bot.ChatID(p.ID), Name: name(p.FirstName), Language: language(p.Language)}
}

// language is a tag if it looks like one: parts of letters and digits with hyphens
// between, at most 35 characters in all (RFC 5646, 2.1 and 4.4.1, from memory). It is
// told by the client, so that anything else counts as not told.
func language(tag string) string {
	const longest = 35
	if len(tag) > longest {
		return ""
	}
	for part := range strings.SplitSeq(tag, "-") {
		if part == "" || len(part) > 8 || strings.ContainsFunc(part, func(r rune) bool {
			return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (r < '0' || r > '9')
		}) {
			return ""
		}
	}
	return tag
}

// name takes out of a first name what could not be read or would disturb the
// line it stands in: control characters, and those that turn the direction.
func name(first string) string {
	first = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), unicode.IsControl(r):
			return ' '
		case unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, first)
	runes := []rune(strings.Join(strings.Fields(first), " "))
	return strings.TrimSpace(string(runes[:min(len(runes), longestName)]))
}
