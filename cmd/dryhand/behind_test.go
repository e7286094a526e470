package main

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations"
)

// The page of "try" has words for whatever may fall due, and each says whose it is.
func TestEveryKindThatFallsDueHasItsWords(t *testing.T) {
	for _, kind := range conversations.Kinds() {
		words := dueWords(conversations.Came{Kind: kind}, "Ellie")
		if words == kind || !strings.Contains(words, "Ellie") && kind != conversations.CameEvening {
			t.Errorf("%s: %q", kind, words)
		}
	}
	if got := dueWords(conversations.Came{Kind: "birthday"}, "Ellie"); got != "birthday" {
		t.Errorf("a kind there is not is %q", got)
	}
}
