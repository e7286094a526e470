package conversations

import (
	"strings"
	"unicode/utf16"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// What the platform takes in a message, in UTF-16 units: core.telegram.org/bots/api,
// sendMessage and sendPhoto.
const (
	mostUnits   = 4096
	mostCaption = 1024
)

// mostQuoted leaves room in a message for a name or two around a sentence with a quote.
const mostQuoted = mostUnits - 96

func units(text string) int { return len(utf16.Encode([]rune(text))) }

// said is a sentence in which what is quoted of somebody's words is shortened until it
// fits into a message. Who must read them whole gets them in [pieces].
func said(words *wording.Words, k wording.Key, f wording.Facts) string {
	text := words.Say(k, f)
	if len(text) <= mostQuoted || f.Text == "" { // never fewer bytes than units
		return text
	}
	over := units(text) - mostQuoted
	if over <= 0 {
		return text
	}
	f.Text = shortened(f.Text, max(1, units(f.Text)-over))
	return words.Say(k, f)
}

// shortened is the beginning of a text, of so many units at most.
func shortened(text string, most int) string {
	if len(text) <= most || units(text) <= most {
		return text
	}
	const dots = "…"
	n := 0
	for i, r := range text {
		if n += max(1, utf16.RuneLen(r)); n+len(utf16.Encode([]rune(dots))) > most {
			return strings.TrimRight(text[:i], " \n") + dots
		}
	}
	return text
}

// fitAll makes sure of every message that the platform takes it, whatever it was put
// together of.
func (t *turn) fitAll() {
	for i, m := range t.out.Say {
		most := mostUnits
		if captioned(m) {
			most = mostCaption
		}
		t.out.Say[i].Text = shortened(m.Text, most)
	}
}

// captioned tells whether the words of a message stand under something.
func captioned(m bot.Message) bool {
	return m.Photo != "" || m.Picture != "" || m.Album != nil || m.File != nil
}
