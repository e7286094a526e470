package conversations_test

import (
	"strings"
	"testing"

	"example.org/dryhand/bot"
)

// The language of somebody's client is kept with their chat as it was last told, and
// shown under their settings where we write another one.
func TestLanguageOfTheirClient(t *testing.T) {
	o := newOffice(t, talk(t))
	says := func(language, text string) string {
		o.last++
		o.do(bot.Event{Op: "u" + language + text, Chat: mia, From: bot.Person{ID: mia, Name: "Mia", Language: language}, What: bot.Text{Body: text, Message: o.last}})
		return o.lastTo(mia).Text
	}
	says("cy-GB", "hello")
	if c := o.chatOf(mia); c.Language != "cy-GB" {
		t.Errorf("kept: %q", c.Language)
	}
	if text := says("", "settings"); !strings.Contains(text, `another language ("cy-GB")`) {
		t.Errorf("settings: %q", text)
	}
	for _, english := range []string{"en", "en-US", "EN"} {
		if text := says(english, "settings"); strings.Contains(text, "another language") || o.chatOf(mia).Language != english {
			t.Errorf("%s: %q, kept %q", english, text, o.chatOf(mia).Language)
		}
	}
}
