package desk

import (
	"crypto/sha256"
	"fmt"
	"strings"
)

// Ref is what an event, a due item or a queued message is called in the logs, the
// same from the update that came to the message that went. The platform's own
// numbers of updates stay as they are; of every other name only its first words do,
// for the rest holds the number of somebody's chat or enquiry, and a log is no
// place for that.
func Ref(op string) string {
	sure := strings.LastIndexByte(op, '!') // "u7!owner" belongs to "u7"
	if sure > 0 && strings.IndexFunc(op[sure+1:], func(r rune) bool { return r < 'a' || r > 'z' }) < 0 {
		return Ref(op[:sure]) + op[sure:]
	}
	word, rest, named := strings.Cut(op, ":")
	if !named {
		return op
	}
	if word == "d" { // a moment that came is named by its kind
		kind, more, ok := strings.Cut(rest, ":")
		if ok {
			word, rest = word+":"+kind, more
		}
	}
	sum := sha256.Sum256([]byte(rest))
	return fmt.Sprintf("%s:%x", word, sum[:4])
}
