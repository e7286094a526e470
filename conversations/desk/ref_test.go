package desk_test

import (
	"strings"
	"testing"

	"example.org/dryhand/conversations/desk"
)

// A reference keeps apart what is apart, says what it is, and nobody's number.
func TestRefNamesNobody(t *testing.T) {
	for op, want := range map[string]string{
		"u123":                  "u123",
		"u123!owner":            "u123!owner",
		"x0123456789abcdef":     "x0123456789abcdef",
		"d:hold:3w9-1@17":       "d:hold:",
		"d:photo:3w9-1:2@17":    "d:photo:",
		"blocked:5001|000017":   "blocked:",
		"hold:3w9-1":            "hold:",
		"d:hold:3w9-1@17!again": "d:hold:",
	} {
		got := desk.Ref(op)
		if !strings.HasPrefix(got, want) || !strings.HasSuffix(want, ":") && got != want {
			t.Errorf("Ref(%q) = %q, want %q", op, got, want)
		}
		if strings.Contains(got, "3w9") || strings.Contains(got, "5001") {
			t.Errorf("Ref(%q) = %q: names somebody", op, got)
		}
		if again := desk.Ref(op); again != got {
			t.Errorf("Ref(%q) = %q, then %q", op, got, again)
		}
	}
	if a, b := desk.Ref("d:hold:3w9-1@17"), desk.Ref("d:hold:3w9-2@17"); a == b {
		t.Errorf("two events, one reference %q", a)
	}
}
