package telegram

import (
	"crypto/tls"
	"errors"
	"net"
	"regexp"
	"slices"
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
	// away: surely not sent, and nothing else would be: there is no connection.
	away
	// denied: surely not sent, and nothing else would be: wrong token or address.
	denied
	// uncertain: it may have arrived.
	uncertain
	// shut: the person has blocked us, or is gone.
	shut
	// lostTarget: the message to edit is no longer there.
	lostTarget
	// impossible: it can never be sent like this.
	impossible
)

// String names the verdict, in the words of this package's comment.
func (v verdict) String() string {
	return [...]string{"sent", "slower", "unsent", "away", "denied", "uncertain", "shut", "lost target", "impossible"}[v]
}

// The client library has no types for these; its words, read in v1.19.0:
var (
	// refusal is an answer of the platform's own with a code that has no type,
	// which are those from 500 up: "… for method sendMessage, 502 Bad Gateway".
	refusal = regexp.MustCompile(`^error response from telegram for method \w+, \d+ `)
	// strange is the platform's "done" with a result the library cannot read.
	strange = regexp.MustCompile(`^error decode response result for method \w+, `)
)

// judge reads what a call returned. wait is how long the platform asks to wait.
func judge(err error) (v verdict, wait time.Duration) {
	var flood *tg.TooManyRequestsError
	var moved *tg.MigrateError
	switch {
	case err == nil:
		return sent, 0
	case errors.As(err, &flood):
		return slower, time.Duration(max(1, flood.RetryAfter)) * time.Second
	case errors.Is(err, tg.ErrorForbidden):
		return shut, 0
	case errors.Is(err, tg.ErrorBadRequest):
		return badRequest(err.Error()), 0
	case errors.Is(err, tg.ErrorUnauthorized), errors.Is(err, tg.ErrorNotFound), errors.Is(err, tg.ErrorConflict):
		return denied, 0
	case errors.As(err, &moved):
		return impossible, 0
	case unconnected(err):
		return away, 0
	case refusal.MatchString(err.Error()):
		return unsent, 0
	case strange.MatchString(err.Error()):
		return sent, 0
	}
	// Cut off, timed out, or answered by something that is not the platform.
	return uncertain, 0
}

// unconnected tells whether a request surely never left.
func unconnected(err error) bool {
	var operation *net.OpError
	var name *net.DNSError
	var certificate *tls.CertificateVerificationError
	return errors.As(err, &operation) && operation.Op == "dial" || errors.As(err, &name) || errors.As(err, &certificate)
}

// The platform's words for what only its words tell apart, from its public
// source (tdlib/telegram-bot-api, Client.cpp) in lower case.
var (
	saysDone = []string{"message is not modified"}
	saysLost = []string{"message to edit not found", "message can't be edited", "message_id_invalid", "there is no text in the message to edit"}
	saysShut = []string{"chat not found", "user is deactivated"}
)

func badRequest(words string) verdict {
	words = strings.ToLower(words)
	says := func(any []string) bool {
		return slices.ContainsFunc(any, func(w string) bool { return strings.Contains(words, w) })
	}
	switch {
	case says(saysDone):
		return sent
	case says(saysLost):
		return lostTarget
	case says(saysShut):
		return shut
	}
	return impossible
}
