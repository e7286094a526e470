package telegram

import (
	"bytes"
	"context"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot"
)

// The platform's limits (core.telegram.org/bots/api#sendmessage, #sendphoto,
// #inlinekeyboardbutton): text in "characters", of which UTF-16 units are the
// strictest reading, and a button's data in bytes.
const (
	longestText    = 4096
	longestCaption = 1024
	longestData    = 64
)

// call makes the call a message is, and a second one if the message it was to
// replace is gone and its words still matter.
func (s *Sender) call(ctx context.Context, m bot.Message) (v verdict, wait time.Duration, err error) {
	if most := limit(m); units(m.Text) > most {
		// Whoever writes keeps to the limit; a cut text is better than none.
		s.Log.Error("message too long", "kind", m.Kind, "units", units(m.Text))
		m.Text = cut(m.Text, most)
	}
	err = s.Client.say(ctx, m)
	v, wait = judge(err)
	if v == lostTarget && m.Text != "" && m.Delivery != bot.Cosmetic {
		m.Edit = 0
		err = s.Client.say(ctx, m)
		v, wait = judge(err)
	}
	return v, wait, err
}

// say makes the one call a message is.
func (c *Client) say(ctx context.Context, m bot.Message) (err error) {
	chat, id, markup := int64(m.Chat), int(m.Edit), keyboard(m.Choices)
	off := true
	plain := &models.LinkPreviewOptions{IsDisabled: &off}
	switch {
	case m.Edit != 0 && m.Text == "":
		_, err = c.EditMessageReplyMarkup(ctx, &tg.EditMessageReplyMarkupParams{ChatID: chat, MessageID: id, ReplyMarkup: markup})
	case m.Edit != 0 && (m.Photo != "" || m.Picture != ""):
		_, err = c.EditMessageCaption(ctx, &tg.EditMessageCaptionParams{ChatID: chat, MessageID: id, Caption: m.Text, ReplyMarkup: markup})
	case m.Edit != 0:
		_, err = c.EditMessageText(ctx, &tg.EditMessageTextParams{ChatID: chat, MessageID: id, Text: m.Text, ReplyMarkup: markup, LinkPreviewOptions: plain})
	case m.File != nil && m.File.Shown:
		_, err = c.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: chat, Photo: &models.InputFileUpload{Filename: m.File.Name, Data: bytes.NewReader(m.File.Data)}, Caption: m.Text, ReplyMarkup: markup})
	case m.File != nil:
		_, err = c.SendDocument(ctx, &tg.SendDocumentParams{ChatID: chat, Document: &models.InputFileUpload{Filename: m.File.Name, Data: bytes.NewReader(m.File.Data)}, Caption: m.Text, ReplyMarkup: markup})
	case len(m.Album) > 0:
		_, err = c.SendMediaGroup(ctx, &tg.SendMediaGroupParams{ChatID: chat, Media: album(m)})
	case c.picture(m) != nil:
		_, err = c.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: chat, Photo: &models.InputFileUpload{Filename: m.Picture + ".png", Data: bytes.NewReader(c.picture(m))}, Caption: m.Text, ReplyMarkup: markup})
	case m.Photo != "" && m.AsFile:
		_, err = c.SendDocument(ctx, &tg.SendDocumentParams{ChatID: chat, Document: &models.InputFileString{Data: string(m.Photo)}, Caption: m.Text, ReplyMarkup: markup})
	case m.Photo != "":
		_, err = c.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: chat, Photo: &models.InputFileString{Data: string(m.Photo)}, Caption: m.Text, ReplyMarkup: markup})
	default:
		_, err = c.SendMessage(ctx, &tg.SendMessageParams{ChatID: chat, Text: m.Text, ReplyMarkup: markup, LinkPreviewOptions: plain})
	}
	return err
}

// album are the pictures of a message, the first with its words.
func album(m bot.Message) (items []models.InputMedia) {
	for i, f := range m.Album {
		p := &models.InputMediaPhoto{Media: string(f)}
		if i == 0 {
			p.Caption = m.Text
		}
		items = append(items, p)
	}
	return items
}

// picture is the picture of our own that a message shows, nil if it shows none.
func (c *Client) picture(m bot.Message) []byte {
	if m.Picture == "" || c.Pictures == nil {
		return nil
	}
	return c.Pictures(m.Picture)
}

// keyboard is the rows of buttons, nil for none: a nil interface, which the
// library leaves out of the call.
func keyboard(rows [][]bot.Choice) models.ReplyMarkup {
	if len(rows) == 0 {
		return nil
	}
	k := &models.InlineKeyboardMarkup{}
	for _, row := range rows {
		var line []models.InlineKeyboardButton
		for _, c := range row {
			line = append(line, models.InlineKeyboardButton{Text: c.Label, CallbackData: c.Data})
		}
		k.InlineKeyboard = append(k.InlineKeyboard, line)
	}
	return k
}

// unsendable finds what the platform would refuse for ever.
func unsendable(m bot.Message) string {
	for _, row := range m.Choices {
		for _, c := range row {
			if c.Label == "" || len(c.Data) == 0 || len(c.Data) > longestData {
				return "a button without label, or with data of other than 1 to 64 bytes"
			}
		}
	}
	if m.File != nil && (m.File.Name == "" || len(m.File.Data) == 0) {
		return "a file without a name, or empty"
	}
	if n := len(m.Album); n > 0 && (n < 2 || n > 10 || len(m.Choices) > 0) {
		return "an album of other than 2 to 10 pictures, or with buttons"
	}
	if m.Text == "" && m.Edit == 0 && m.Photo == "" && m.Album == nil && m.File == nil {
		return "no text"
	}
	return ""
}

// limit is how long a message's text may be.
func limit(m bot.Message) int {
	if m.Photo != "" || m.Album != nil || m.Picture != "" || m.File != nil {
		return longestCaption
	}
	return longestText
}

// units is the length of a text in UTF-16 units.
func units(text string) (n int) {
	for _, r := range text {
		if n++; r > 0xFFFF {
			n++
		}
	}
	return n
}

// cut shortens text to at most n UTF-16 units, the last of them an ellipsis if
// anything was cut off, at a space if there is one near.
func cut(text string, n int) string {
	if units(text) <= n {
		return text
	}
	end, used := 0, 0
	for i, r := range text {
		if used++; r > 0xFFFF {
			used++
		}
		if end = i; used > n-1 {
			break
		}
	}
	const near = 40
	short := text[:end]
	if space := strings.LastIndexAny(short, " \n"); space > 0 && space > len(short)-near {
		short = short[:space]
	}
	return short + "…"
}
