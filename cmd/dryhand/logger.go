package main

import (
	"fmt"
	"log/slog"
	"regexp"
	"strings"

	"example.org/dryhand/conversations/desk"
)

// names finds the numbers of chats and enquiries where they stand in the words of an
// error: in the keys of documents and due items, and in the places of messages in
// their queue.
var names = regexp.MustCompile(`\b(?:chat|enq|photo|album|hold|ask|job|nudge|care|visit|quote|move|plan|fetch|blocked|d):[-0-9a-z:@|]+|-?\d+\|\d{16}`)

// logger writes one JSON object a line. What is logged is ours to word and quotes
// nobody; errors from below are looked through all the same, so that no secret, and
// nobody's number, gets into a log.
func logger(std streams, level slog.Level, secrets ...string) *slog.Logger {
	var hide []string
	for _, s := range secrets {
		if s != "" {
			hide = append(hide, s, "***")
		}
	}
	hidden := strings.NewReplacer(hide...)
	quiet := func(words string) string {
		if !strings.ContainsAny(words, ":|") { // as in every name below
			return hidden.Replace(words)
		}
		return names.ReplaceAllStringFunc(hidden.Replace(words), func(name string) string {
			if strings.ContainsRune(name, ':') {
				return desk.Ref(name)
			}
			return desk.Ref("out:" + name)
		})
	}
	return slog.New(slog.NewJSONHandler(std.err, &slog.HandlerOptions{Level: level, ReplaceAttr: func(_ []string, a slog.Attr) slog.Attr {
		switch a.Key {
		case "op", slog.MessageKey, slog.LevelKey, slog.TimeKey:
			return a // already a reference, and constants
		}
		switch a.Value.Kind() {
		case slog.KindString:
			a.Value = slog.StringValue(quiet(a.Value.String()))
		case slog.KindAny:
			switch v := a.Value.Any().(type) {
			case error:
				a.Value = slog.StringValue(quiet(v.Error()))
			case fmt.Stringer:
				a.Value = slog.StringValue(quiet(v.String()))
			}
		}
		return a
	}}))
}
