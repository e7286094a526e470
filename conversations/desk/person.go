package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/ledger"
)

// Person knows what in the ledger is about one person.
type Person struct {
	chat, owner bot.ChatID
	// token finds the chat's id and the ids of its enquiries, which begin with
	// it in base 36, wherever they stand as a word of their own.
	token *regexp.Regexp
	names map[string]bool
	files map[bot.FileID]bool
}

// FindPerson looks through the documents for how a person is called and which
// pictures they sent, so that messages about them can be told from others.
// Messages to the owner often carry nothing but a name: without the owner's chat,
// zero for unknown, these are not found. The error is the ledger's.
func FindPerson(ctx context.Context, l *ledger.Ledger, chat, owner bot.ChatID) (*Person, error) {
	id := strconv.FormatInt(int64(chat), 10)
	p := &Person{chat: chat, owner: owner, names: map[string]bool{}, files: map[bot.FileID]bool{},
		token: regexp.MustCompile(`(?:^|[^0-9A-Za-z-])(?:` + regexp.QuoteMeta(id) + `|` +
			regexp.QuoteMeta(strconv.FormatInt(int64(chat), 36)) + `-\d+)(?:$|[^0-9A-Za-z-])`)}
	err := l.Each(ctx, func(r ledger.Record) error {
		if r.Kind != "doc" {
			return nil
		}
		if _, theirs := p.Part(r); theirs {
			p.learn(r)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("desk: looking for a person: %w", err)
	}
	return p, nil
}

// learn takes names and pictures from one of the person's documents. What cannot
// be read has none.
func (p *Person) learn(r ledger.Record) {
	var doc struct {
		Name   string                `json:"name"`
		Photos []conversations.Photo `json:"photos"`
	}
	if json.Unmarshal(r.Body, &doc) != nil {
		return
	}
	if doc.Name != "" {
		p.names[doc.Name] = true
	}
	for _, photo := range doc.Photos {
		p.files[photo.File] = true
	}
}

// Part is what of a record is about the person: all of it, or a day with their
// entries alone. False if nothing is. The names of applied events and the counts
// are nobody's.
func (p *Person) Part(r ledger.Record) (ledger.Record, bool) {
	switch r.Kind {
	case "doc":
		if strings.HasPrefix(r.Key, dayPrefix) {
			return p.partOfDay(r)
		}
		return r, p.token.MatchString(r.Key)
	case "due":
		return r, p.token.MatchString(r.Key)
	case "out":
		return r, p.sentTo(r.Key) || p.told(r.Key, r.Body)
	case "aside":
		return r, p.token.MatchString(r.Key) || p.token.MatchString(r.Reason) || p.token.Match(r.Body) || p.told(r.Key, r.Body)
	}
	return r, false
}

const dayPrefix, chatPrefix = "day:", "chat:"

func (p *Person) partOfDay(r ledger.Record) (ledger.Record, bool) {
	var all, theirs diary.Day
	if json.Unmarshal(r.Body, &all) != nil {
		return r, p.token.Match(r.Body)
	}
	for _, e := range all.Entries {
		if p.token.MatchString(e.ID) {
			theirs.Entries = append(theirs.Entries, e)
		}
	}
	r.Body, _ = json.Marshal(theirs)
	return r, len(theirs.Entries) > 0
}

// sentTo tells whether a message, by its place in the queue, is to the person.
func (p *Person) sentTo(member string) bool {
	return strings.HasPrefix(member, strconv.FormatInt(int64(p.chat), 10)+"|")
}

// told tells whether a message to somebody else is about the person. Its buttons
// say so best, then its picture; a name counts only where neither can tell, and
// only in what the owner is told: customers have namesakes.
func (p *Person) told(member string, body []byte) bool {
	var m bot.Message
	if json.Unmarshal(body, &m) != nil {
		return false
	}
	for _, row := range m.Choices {
		for _, c := range row {
			return p.token.MatchString(c.Data)
		}
	}
	if m.Photo != "" {
		return p.files[m.Photo]
	}
	if len(m.Album) > 0 {
		return p.files[m.Album[0]] // an album is one person's
	}
	if p.owner == 0 || !strings.HasPrefix(member, strconv.FormatInt(int64(p.owner), 10)+"|") {
		return false
	}
	for name := range p.names {
		if hasWord(m.Text, name) {
			return true
		}
	}
	return false
}

// hasWord tells whether a text has a name that is not part of a longer word.
func hasWord(text, name string) bool {
	inWord := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	for from := 0; ; {
		i := strings.Index(text[from:], name)
		if i < 0 {
			return false
		}
		before, after := []rune(text[:from+i]), []rune(text[from+i+len(name):])
		if (len(before) == 0 || !inWord(before[len(before)-1])) && (len(after) == 0 || !inWord(after[0])) {
			return true
		}
		from += i + len(name)
	}
}
