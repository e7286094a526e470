package telegram

import (
	"encoding/json"
	"errors"
	"net"
	"regexp"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
)

// verdict is what an answer to a send means for the message.
type verdict int

const (
	// sent: it has arrived.
	sent verdict = iota
	// slower: not sent, and not before a moment the platform named.
	slower
	// unsent: surely not sent, worth trying again.
	unsent
	// uncertain: it may have arrived.
	uncertain
	// shut: the person has blocked us, or is gone.
	shut
	// lostTarget: the message to edit is no longer there.
	lostTarget
	// impossible: it can never be sent like this.
	impossible
)

// serverError is how the client library words an answer of the platform's own
// with a 5xx code: "… for method sendMessage, 502 Bad Gateway".
var serverError = regexp.MustCompile(`^error response from telegram for method \w+, 5\d\d `)

// judge reads what a call returned. wait is how long the platform asks to wait.
func judge(err error) (v verdict, wait time.Duration) {
	var flood *tg.TooManyRequestsError
	var moved *tg.MigrateError
	var operation *net.OpError
	var syntax *json.SyntaxError
	switch {
	case err == nil:
		return sent, 0
	case errors.As(err, &flood):
		return slower, time.Duration(max(1, flood.RetryAfter)) * time.Second
	case errors.Is(err, tg.ErrorForbidden):
		return shut, 0
	case errors.Is(err, tg.ErrorBadRequest):
		return badRequest(err.Error()), 0
	case errors.As(err, &moved), errors.Is(err, tg.ErrorUnauthorized), errors.Is(err, tg.ErrorNotFound), errors.Is(err, tg.ErrorConflict):
		return impossible, 0
	case errors.As(err, &operation) && operation.Op == "dial":
		return unsent, 0
	case errors.As(err, &syntax):
		return uncertain, 0 // an answer, but not the platform's: a proxy's page
	case serverError.MatchString(err.Error()):
		return unsent, 0
	}
	return uncertain, 0
}

func badRequest(words string) verdict {
	words = strings.ToLower(words)
	for _, w := range []string{"message is not modified"} {
		if strings.Contains(words, w) {
			return sent
		}
	}
	for _, w := range []string{"message to edit not found", "message can't be edited", "message_id_invalid"} {
		if strings.Contains(words, w) {
			return lostTarget
		}
	}
	for _, w := range []string{"chat not found", "user is deactivated"} {
		if strings.Contains(words, w) {
			return shut
		}
	}
	return impossible
}
