package standin

import (
	"strings"
	"unicode/utf16"
)

// The limits of core.telegram.org/bots/api (Bot API 10.1, in the descriptions of
// sendMessage, sendPhoto, answerCallbackQuery and InlineKeyboardButton). Text is
// counted in UTF-16 units, after markup: at least as strict as code points.
const (
	maxText     = 4096
	maxCaption  = 1024
	maxData     = 64 // bytes of a button's callback data
	maxToast    = 200
	minAlbum    = 2
	maxAlbum    = 10
	maxDownload = 20 << 20
	maxPhoto    = 10 << 20
)

// units is the length of s in UTF-16 units.
func units(s string) int {
	n := 0
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n
}

// readText reads a text or a caption with its markup. Like the platform it takes
// white space off both ends.
func readText(p params, name string, limit int) (string, []wireEntity, error) {
	text, entities := p.text[name], []wireEntity(nil)
	switch mode := p.text["parse_mode"]; strings.ToLower(mode) {
	case "":
	case "html":
		var err error
		if text, entities, err = parseHTML(text); err != nil {
			return "", nil, err
		}
	default:
		return "", nil, badRequest("stand-in: parse mode %q is not played", mode)
	}
	if len(entities) == 0 { // offsets would move
		text = strings.TrimSpace(text)
	}
	if units(text) > limit {
		if limit == maxCaption {
			return "", nil, badRequest("message caption is too long")
		}
		return "", nil, badRequest("message is too long")
	}
	return text, entities, nil
}

// htmlTags are the tags of core.telegram.org/bots/api#html-style, with the type
// of entity each makes.
var htmlTags = map[string]string{
	"b": "bold", "strong": "bold", "i": "italic", "em": "italic", "u": "underline", "ins": "underline",
	"s": "strikethrough", "strike": "strikethrough", "del": "strikethrough", "tg-spoiler": "spoiler", "span": "spoiler",
	"a": "text_link", "code": "code", "pre": "pre", "blockquote": "blockquote", "tg-emoji": "custom_emoji", "tg-time": "date_time",
}

// parseHTML reads the little HTML the platform knows: balanced tags and four
// named entities. Attributes other than a link's address are not looked at.
func parseHTML(source string) (string, []wireEntity, error) {
	type open struct {
		tag string
		wireEntity
	}
	var text strings.Builder
	var stack []open
	var done []wireEntity
	at := 0 // in UTF-16 units
	for i := 0; i < len(source); {
		if source[i] != '<' {
			n := strings.IndexByte(source[i:], '<')
			if n < 0 {
				n = len(source) - i
			}
			piece := htmlEscapes.Replace(source[i : i+n])
			text.WriteString(piece)
			at += units(piece)
			i += n
			continue
		}
		n := strings.IndexByte(source[i:], '>')
		if n < 0 {
			return "", nil, badRequest("can't parse entities: Unclosed start tag at byte offset %d", i)
		}
		tag := source[i+1 : i+n]
		name, rest, _ := strings.Cut(strings.TrimSpace(strings.TrimPrefix(tag, "/")), " ")
		name = strings.ToLower(name)
		kind, known := htmlTags[name]
		switch {
		case !known:
			return "", nil, badRequest("can't parse entities: Unsupported start tag %q at byte offset %d", name, i)
		case tag[0] != '/':
			stack = append(stack, open{name, wireEntity{Type: kind, Offset: at, URL: href(name, rest)}})
		case len(stack) == 0 || stack[len(stack)-1].tag != name:
			return "", nil, badRequest("can't parse entities: Unmatched end tag at byte offset %d", i)
		default:
			e := stack[len(stack)-1].wireEntity
			stack = stack[:len(stack)-1]
			if e.Length = at - e.Offset; e.Length > 0 {
				done = append(done, e)
			}
		}
		i += n + 1
	}
	if len(stack) > 0 {
		return "", nil, badRequest("can't parse entities: Can't find end tag corresponding to start tag %q", stack[len(stack)-1].tag)
	}
	return text.String(), done, nil
}

var htmlEscapes = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&", "&quot;", `"`)

func href(tag, attributes string) string {
	if tag != "a" {
		return ""
	}
	_, rest, _ := strings.Cut(attributes, `href="`)
	url, _, _ := strings.Cut(rest, `"`)
	return url
}

// commandEntities finds the commands in what a person writes, as the platform
// marks them: a slash at the start of a word and letters, digits or underscores.
func commandEntities(text string) (found []wireEntity) {
	at, before := 0, ' '
	for i, r := range text {
		if r == '/' && strings.ContainsRune(" \n\t", before) {
			n := 1
			for i+n < len(text) && isCommandByte(text[i+n]) {
				n++
			}
			if n > 1 {
				found = append(found, wireEntity{Type: "bot_command", Offset: at, Length: n})
			}
		}
		at += utf16.RuneLen(r)
		before = r
	}
	return found
}

func isCommandByte(b byte) bool {
	return b == '_' || b == '@' || '0' <= b && b <= '9' || 'a' <= b|0x20 && b|0x20 <= 'z'
}
