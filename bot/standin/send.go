package standin

import (
	"strings"
)

// post puts the bot's messages into a chat and returns them as the platform
// answers them.
func (s *Standin) post(p params, drafts ...wireMessage) ([]wireMessage, error) {
	m, err := readMarkup(p)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	to, err := s.reachable(p)
	if err != nil {
		return nil, err
	}
	reply, err := to.replied(p)
	if err != nil {
		return nil, err
	}
	album := ""
	if len(drafts) > 1 {
		album = s.nextAlbum()
	}
	var sent []wireMessage
	for _, draft := range drafts {
		draft.ReplyTo, draft.Album, draft.Markup = reply, album, inline(m.buttons)
		sent = append(sent, *s.add(to, s.bot, draft))
	}
	to.setKeyboard(m)
	return sent, nil
}

func (s *Standin) postOne(p params, draft wireMessage) (any, error) {
	sent, err := s.post(p, draft)
	if err != nil {
		return nil, err
	}
	return sent[0], nil
}

// setKeyboard replaces what stands below the chat.
func (p *Person) setKeyboard(m markup) {
	if m.Remove {
		p.keyboard = nil
	}
	if len(m.Keyboard) == 0 {
		return
	}
	p.keyboard = nil
	for _, row := range m.Keyboard {
		var labels []string
		for _, b := range row {
			labels = append(labels, b.Text)
		}
		p.keyboard = append(p.keyboard, labels)
	}
}

// replied finds the message a call replies to, nil if it replies to none.
func (p *Person) replied(call params) (*wireMessage, error) {
	var r struct {
		ID     int64 `json:"message_id"`
		Anyway bool  `json:"allow_sending_without_reply"`
	}
	if there, err := call.object("reply_parameters", &r); err != nil || !there {
		return nil, err
	}
	i := p.index(r.ID)
	if i < 0 {
		if r.Anyway {
			return nil, nil
		}
		return nil, badRequest("message to be replied not found")
	}
	replied := *p.lines[i]
	replied.ReplyTo = nil
	return &replied, nil
}

func (s *Standin) sendMessage(p params) (any, error) {
	text, entities, err := readText(p, "text", maxText)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(text) == "" {
		return nil, badRequest("message text is empty")
	}
	return s.postOne(p, wireMessage{Text: text, Entities: entities})
}

func (s *Standin) sendPhoto(p params) (any, error) {
	caption, styled, err := readText(p, "caption", maxCaption)
	if err != nil {
		return nil, err
	}
	sizes, err := s.photoOf(p, "photo", p.text["photo"])
	if err != nil {
		return nil, err
	}
	return s.postOne(p, wireMessage{Photo: sizes, Caption: caption, Styled: styled})
}

func (s *Standin) sendDocument(p params) (any, error) {
	caption, styled, err := readText(p, "caption", maxCaption)
	if err != nil {
		return nil, err
	}
	d, err := s.documentOf(p, "document", p.text["document"])
	if err != nil {
		return nil, err
	}
	return s.postOne(p, wireMessage{Document: d, Caption: caption, Styled: styled})
}

func (s *Standin) sendLocation(p params) (any, error) {
	l := wireLocation{p.float("latitude"), p.float("longitude")}
	if l.Latitude < -90 || l.Latitude > 90 || l.Longitude < -180 || l.Longitude > 180 {
		return nil, badRequest("wrong location specified") // own wording
	}
	return s.postOne(p, wireMessage{Location: &l})
}

// media is one item of an album.
type media struct {
	Type    string `json:"type"`
	Media   string `json:"media"`
	Caption string `json:"caption"`
	Mode    string `json:"parse_mode"`
}

func (s *Standin) sendMediaGroup(p params) (any, error) {
	var items []media
	if _, err := p.object("media", &items); err != nil {
		return nil, err
	}
	if len(items) < minAlbum || len(items) > maxAlbum {
		return nil, badRequest("stand-in: an album has %d to %d items, not %d", minAlbum, maxAlbum, len(items))
	}
	var drafts []wireMessage
	for _, item := range items {
		if item.Type != items[0].Type {
			return nil, badRequest("stand-in: photos and documents do not go into one album")
		}
		draft, err := s.item(p, item)
		if err != nil {
			return nil, err
		}
		drafts = append(drafts, draft)
	}
	return s.post(p, drafts...)
}

func (s *Standin) item(p params, item media) (m wireMessage, err error) {
	own := params{text: map[string]string{"caption": item.Caption, "parse_mode": item.Mode}}
	if m.Caption, m.Styled, err = readText(own, "caption", maxCaption); err != nil {
		return m, err
	}
	switch name, _ := strings.CutPrefix(item.Media, "attach://"); item.Type {
	case "photo":
		m.Photo, err = s.photoOf(p, name, item.Media)
	case "document":
		m.Document, err = s.documentOf(p, name, item.Media)
	default:
		err = badRequest("stand-in: an item of type %q is not played", item.Type)
	}
	return m, err
}

// busyWith are the actions of core.telegram.org/bots/api#sendchataction.
const busyWith = " typing upload_photo record_video upload_video record_voice upload_voice upload_document choose_sticker find_location record_video_note upload_video_note "

func (s *Standin) sendChatAction(p params) (any, error) {
	action := p.text["action"]
	if !strings.Contains(busyWith, " "+action+" ") {
		return nil, badRequest("wrong parameter action in request")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	to, err := s.reachable(p)
	if err != nil {
		return nil, err
	}
	s.record(Event{Kind: Typing, Chat: to.id, Text: action})
	return true, nil
}
