package wording

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The short way is only taken where the long one would change nothing.
func TestPlainTextStaysAsItIs(t *testing.T) {
	letters := rapid.StringOfN(rapid.RuneFrom([]rune("abz09 A'’.é\n|")), 0, 12, -1)
	short := 0
	rapid.Check(t, func(t *rapid.T) {
		s := letters.Draw(t, "text")
		if isPlain(s) {
			short++
			// A letter that is not plain takes the long way, and is cut off again.
			if long := strings.TrimSuffix(Plain(s+"É"), "é"); long != s {
				t.Fatalf("%q is taken for plain, and would become %q", s, long)
			}
		}
	})
	if short < 5 {
		t.Errorf("only %d texts were plain", short)
	}
}
