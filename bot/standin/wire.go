package standin

import "encoding/json"

// The types below are what goes over the wire, in the platform's own field
// names (core.telegram.org/bots/api#available-types). Additional fields omitted.

type wireUser struct {
	ID        int64  `json:"id"`
	IsBot     bool   `json:"is_bot"`
	FirstName string `json:"first_name"`
	Username  string `json:"username,omitempty"`
	Language  string `json:"language_code,omitempty"`
}

type wireChat struct {
	ID        int64  `json:"id"`
	Type      string `json:"type"`
	FirstName string `json:"first_name,omitempty"`
}

type wireEntity struct {
	Type   string `json:"type"`
	Offset int    `json:"offset"` // in UTF-16 units, as Length
	Length int    `json:"length"`
	URL    string `json:"url,omitempty"`
}

type wirePhoto struct {
	ID     string `json:"file_id"`
	Unique string `json:"file_unique_id"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Size   int    `json:"file_size"`
	// Name is what the bot's upload was called. The platform forgets it.
	Name string `json:"-"`
}

type wireDocument struct {
	ID     string `json:"file_id"`
	Unique string `json:"file_unique_id"`
	Name   string `json:"file_name,omitempty"`
	MIME   string `json:"mime_type,omitempty"`
	Size   int    `json:"file_size"`
}

type wireSticker struct {
	wirePhoto
	Type       string `json:"type"`
	IsAnimated bool   `json:"is_animated"`
	IsVideo    bool   `json:"is_video"`
	Emoji      string `json:"emoji,omitempty"`
}

type wireVoice struct {
	wireDocument
	Duration int `json:"duration"`
}

type wireLocation struct {
	Latitude  float64 `json:"latitude"`
	Longitude float64 `json:"longitude"`
}

type wireMarkup struct {
	Rows [][]Button `json:"inline_keyboard"`
}

type wireMessage struct {
	ID       int64         `json:"message_id"`
	From     *wireUser     `json:"from,omitempty"`
	Chat     wireChat      `json:"chat"`
	Date     int64         `json:"date"`
	EditDate int64         `json:"edit_date,omitempty"`
	ReplyTo  *wireMessage  `json:"reply_to_message,omitempty"`
	Origin   *wireOrigin   `json:"forward_origin,omitempty"`
	Album    string        `json:"media_group_id,omitempty"`
	Text     string        `json:"text,omitempty"`
	Entities []wireEntity  `json:"entities,omitempty"`
	Photo    []wirePhoto   `json:"photo,omitempty"`
	Document *wireDocument `json:"document,omitempty"`
	Caption  string        `json:"caption,omitempty"`
	Styled   []wireEntity  `json:"caption_entities,omitempty"`
	Location *wireLocation `json:"location,omitempty"`
	Sticker  *wireSticker  `json:"sticker,omitempty"`
	Voice    *wireVoice    `json:"voice,omitempty"`
	Markup   *wireMarkup   `json:"reply_markup,omitempty"`
}

// wireOrigin is whose a message was that was sent on. Only one kind is played: that
// of somebody who does not let their account be named
// (core.telegram.org/bots/api#messageoriginhiddenuser).
type wireOrigin struct {
	Type string `json:"type"`
	Date int64  `json:"date"`
	Name string `json:"sender_user_name"`
}

type wireQuery struct {
	ID           string   `json:"id"`
	From         wireUser `json:"from"`
	Message      any      `json:"message,omitempty"`
	ChatInstance string   `json:"chat_instance"`
	Data         string   `json:"data"`
}

// wireGone is a message that can no longer be reached; its date is always 0.
type wireGone struct {
	Chat wireChat `json:"chat"`
	ID   int64    `json:"message_id"`
	Date int64    `json:"date"`
}

type wireMember struct {
	User   wireUser `json:"user"`
	Status string   `json:"status"`
	Until  *int64   `json:"until_date,omitempty"`
}

type wireMembership struct {
	Chat wireChat   `json:"chat"`
	From wireUser   `json:"from"`
	Date int64      `json:"date"`
	Old  wireMember `json:"old_chat_member"`
	New  wireMember `json:"new_chat_member"`
}

type wireAnswer struct {
	OK          bool            `json:"ok"`
	Result      any             `json:"result,omitempty"`
	Code        int             `json:"error_code,omitempty"`
	Description string          `json:"description,omitempty"`
	Parameters  *wireParameters `json:"parameters,omitempty"`
}

type wireParameters struct {
	RetryAfter int `json:"retry_after,omitempty"`
}

// encode is JSON of a value of this package's own types, which cannot fail.
func encode(v any) json.RawMessage {
	raw, err := json.Marshal(v)
	if err != nil {
		panic("standin: " + err.Error())
	}
	return raw
}
