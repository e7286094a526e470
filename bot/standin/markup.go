package standin

import "strings"

// Undocumented limits of a keyboard, known from other bots' experience.
const (
	maxButtons   = 100
	maxRowLength = 8
)

// Button is a button below a message, with the one thing it does: a press brings
// Data to the bot, or opens URL, or something else that is not played.
type Button struct {
	Text  string `json:"text"`
	Data  string `json:"callback_data,omitempty"`
	URL   string `json:"url,omitempty"`
	Style string `json:"style,omitempty"`
}

// markup is what may stand in reply_markup.
type markup struct {
	Inline      [][]map[string]any `json:"inline_keyboard"`
	Keyboard    [][]replyButton    `json:"keyboard"`
	Remove      bool               `json:"remove_keyboard"`
	Force       bool               `json:"force_reply"`
	Placeholder string             `json:"input_field_placeholder"`

	buttons [][]Button
}

type replyButton struct {
	Text string `json:"text"`
}

// readMarkup reads and checks reply_markup.
func readMarkup(p params) (markup, error) {
	var m markup
	there, err := p.object("reply_markup", &m)
	if err != nil || !there {
		return m, err
	}
	if n := units(m.Placeholder); n > 64 {
		return m, badRequest("input field placeholder is too long")
	}
	count := 0
	for _, row := range m.Inline {
		var buttons []Button
		for _, fields := range row {
			b, err := readButton(fields)
			if err != nil {
				return m, err
			}
			buttons = append(buttons, b)
		}
		if count += len(buttons); count > maxButtons || len(buttons) > maxRowLength {
			return m, badRequest("reply markup is too long")
		}
		if len(buttons) > 0 {
			m.buttons = append(m.buttons, buttons)
		}
	}
	for _, row := range m.Keyboard {
		for _, b := range row {
			if strings.TrimSpace(b.Text) == "" {
				return m, badRequest("text of keyboard button can't be empty") // own wording
			}
		}
	}
	return m, nil
}

// actions are the fields of a button of which exactly one must be used.
var actions = []string{"url", "callback_data", "web_app", "login_url", "switch_inline_query",
	"switch_inline_query_current_chat", "switch_inline_query_chosen_chat", "copy_text", "callback_game", "pay"}

// readButton checks one button, whose fields' names and types have been checked.
func readButton(fields map[string]any) (Button, error) {
	text := func(name string) string { s, _ := fields[name].(string); return s }
	b := Button{Text: text("text"), Data: text("callback_data"), URL: text("url"), Style: text("style")}
	used := 0
	for _, a := range actions {
		if v, there := fields[a]; there && !emptyAction(a, v) {
			used++
		}
	}
	switch {
	case strings.TrimSpace(b.Text) == "":
		return b, badRequest("can't parse inline keyboard button: field \"text\" must not be empty") // own wording
	case used == 0:
		return b, badRequest("can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard")
	case used > 1:
		return b, badRequest("stand-in: a button must have exactly one action")
	case len(b.Data) > maxData:
		return b, badRequest("BUTTON_DATA_INVALID")
	}
	return b, nil
}

// emptyAction tells whether a field does nothing: the client library writes an
// empty copy_text into every button, and the platform lets it.
func emptyAction(name string, value any) bool {
	switch name {
	case "copy_text":
		c, _ := value.(map[string]any)
		return c["text"] == ""
	case "pay":
		return value == false
	case "callback_data", "url":
		return value == ""
	}
	return false
}

// inline is the markup as a message carries it, nil without buttons.
func inline(buttons [][]Button) *wireMarkup {
	if len(buttons) == 0 {
		return nil
	}
	return &wireMarkup{Rows: buttons}
}
