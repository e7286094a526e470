package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"path"
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
}

type chat struct {
	ID   int64  `json:"id"`
	Type string `json:"type"`
}

type message struct {
	ID       int64           `json:"message_id"`
	From     person          `json:"from"`
	Chat     chat            `json:"chat"`
	Date     int64           `json:"date"`
	EditDate int64           `json:"edit_date"`
	Text     *string         `json:"text"`
	Caption  string          `json:"caption"`
	Album    string          `json:"media_group_id"`
	Photo    []picture       `json:"photo"`
	Document *document       `json:"document"`
	Location *location       `json:"location"`
	Sticker  json.RawMessage `json:"sticker"`
	Voice    json.RawMessage `json:"voice"`
	Video    json.RawMessage `json:"video"`
	Contact  json.RawMessage `json:"contact"`
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
// well formed and none of our business: groups, kinds that were not asked for.
// Whatever the bytes are, it does not panic; an event that it reports true for
// has a chat.
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
	if m.Chat.Type != "private" {
		return false
	}
	e.Chat, e.From, e.At = bot.ChatID(m.Chat.ID), m.From.person(), time.Unix(m.Date, 0).UTC()
	if edited && m.EditDate != 0 {
		e.At = time.Unix(m.EditDate, 0).UTC()
	}
	e.What = m.what(edited)
	return true
}

func (m *message) what(edited bool) any {
	id := bot.MessageID(m.ID)
	switch {
	case edited && m.Text == nil:
		return bot.Text{Body: m.Caption, Message: id, Edited: true}
	case m.Text != nil:
		return bot.Text{Body: *m.Text, Message: id, Edited: edited}
	case len(m.Photo) > 0:
		p := m.Photo[0]
		for _, q := range m.Photo {
			if q.Width*q.Height > p.Width*p.Height {
				p = q
			}
		}
		return bot.Photo{File: bot.FileID(p.File), Unique: p.Unique, Width: p.Width, Height: p.Height, Size: p.Size,
			Album: m.Album, Caption: m.Caption, Message: id}
	case m.Document != nil && m.Document.picture():
		d := m.Document
		return bot.Photo{File: bot.FileID(d.File), Unique: d.Unique, Size: d.Size, Album: m.Album, Caption: m.Caption,
			AsFile: true, MIME: d.MIME, Message: id}
	case m.Location != nil:
		return bot.Place{Lat: m.Location.Lat, Lon: m.Location.Lon}
	}
	return bot.Other{Kind: m.kind()}
}

// kind names what we do not read.
func (m *message) kind() string {
	switch {
	case m.Document != nil:
		return "document"
	case m.Sticker != nil:
		return "sticker"
	case m.Voice != nil:
		return "voice"
	case m.Video != nil:
		return "video"
	case m.Contact != nil:
		return "contact"
	}
	return "other"
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
	// A private chat has the id of the person in it.
	e.Chat, e.From = bot.ChatID(t.From.ID), t.From.person()
	w := bot.Tap{ID: t.ID, Data: t.Data}
	if t.Message != nil {
		if t.Message.Chat.Type != "" && t.Message.Chat.Type != "private" {
			return false
		}
		// A message that is no longer accessible has no date, and keeps its id.
		w.Message = bot.MessageID(t.Message.ID)
	}
	e.What = w
	return true
}

func (m *membership) into(e *bot.Event) bool {
	if m.Chat.Type != "private" {
		return false
	}
	e.Chat, e.From, e.At = bot.ChatID(m.Chat.ID), m.From.person(), time.Unix(m.Date, 0).UTC()
	e.What = bot.Membership{Blocked: m.New.Status == "kicked"}
	return true
}

// longestName bounds what somebody may call themselves towards the owner.
const longestName = 64

func (p person) person() bot.Person {
	name := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Cf) {
			return -1
		}
		return r
	}, p.FirstName)
	if r := []rune(strings.TrimSpace(name)); len(r) > longestName {
		name = string(r[:longestName])
	}
	return bot.Person{ID: bot.ChatID(p.ID), Name: strings.TrimSpace(name)}
}
