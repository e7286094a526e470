package ledger

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Out is a message to be sent.
type Out struct {
	Chat int64
	Body []byte
	// Once: it must never be sent again after an attempt that may have arrived.
	// The sender marks the attempt with [Ledger.Begin].
	Once bool
	// NotAfter, if set, is when it has lost its sense. The ledger only keeps it.
	NotAfter time.Time
}

// Sending is a message claimed by a sender.
type Sending struct {
	Out
	// Member is chat|sequence, and unique.
	Member string
	// Attempt counts its claims, from 1, and is the token of this one.
	Attempt int
	// Began: an earlier attempt was about to leave and never reported.
	Began bool
}

// ErrClaimLost tells that a message was claimed by another sender meanwhile, or
// is no longer queued, and must not be sent by this one.
var ErrClaimLost = errors.New("ledger: claim lost")

// flags are once|not after, as stored before the body.
func (m Out) flags() string {
	once, notAfter := "0", "0"
	if m.Once {
		once = "1"
	}
	if !m.NotAfter.IsZero() {
		notAfter = ms(m.NotAfter)
	}
	return once + "|" + notAfter
}

// ClaimOut takes the first message of up to n chats that may be sent to now, the
// longest waiting first. Such a chat is left alone until the claim is settled or
// the lease is over.
func (l *Ledger) ClaimOut(ctx context.Context, now time.Time, lease time.Duration, n int) ([]Sending, error) {
	if err := checkClaim(lease, n); err != nil {
		return nil, err
	}
	every, burst := l.OutPace.args()
	reply, err := l.run(ctx, outClaimScript, []string{l.key.out, l.key.outBody, l.key.chats, l.key.pace},
		ms(now), ms(now.Add(lease)), n, every, burst).StringSlice()
	if err != nil {
		return nil, fmt.Errorf("ledger: claim of messages: %w", err)
	}
	claimed := make([]Sending, 0, len(reply)/3)
	for i := 0; i+2 < len(reply); i += 3 {
		s, err := parseOut(reply[i], reply[i+1])
		if err != nil {
			return nil, err
		}
		// The stored mark is this claim's already; the one before it counts.
		s.Began = reply[i+2] == "1"
		claimed = append(claimed, s)
	}
	return claimed, nil
}

// parseOut reads attempt|began|once|not after|body.
func parseOut(member, stored string) (Sending, error) {
	chat, _, ok := strings.Cut(member, "|")
	f := strings.SplitN(stored, "|", 5)
	if !ok || len(f) != 5 {
		return Sending{}, fmt.Errorf("ledger: message %s: not as it is stored", member)
	}
	id, err1 := strconv.ParseInt(chat, 10, 64)
	attempt, err2 := strconv.Atoi(f[0])
	notAfter, err3 := strconv.ParseInt(f[3], 10, 64)
	if err := errors.Join(err1, err2, err3); err != nil {
		return Sending{}, fmt.Errorf("ledger: message %s: %w", member, err)
	}
	s := Sending{Member: member, Attempt: attempt, Began: f[1] == "1"}
	s.Out = Out{Chat: id, Body: []byte(f[4]), Once: f[2] == "1"}
	if notAfter != 0 {
		s.NotAfter = fromMS(notAfter)
	}
	return s, nil
}

// Begin marks that the request is about to leave, so that a later claim of the
// message has Began unless this one reports. It fails with [ErrClaimLost] if the
// claim is no longer this sender's, which then must not send.
func (l *Ledger) Begin(ctx context.Context, s Sending) error {
	return l.keep(ctx, s, "1", "")
}

// Later tells that the message was surely not sent. It stays first in its chat,
// and is tried again from next. It does nothing if the claim was lost.
func (l *Ledger) Later(ctx context.Context, s Sending, next time.Time) error {
	err := l.keep(ctx, s, "0", notBefore(next))
	if errors.Is(err, ErrClaimLost) {
		return nil
	}
	return err
}

func (l *Ledger) keep(ctx context.Context, s Sending, began, next string) error {
	held, err := l.run(ctx, outKeepScript, []string{l.key.outBody, l.key.chats, l.key.counts},
		s.Member, s.Attempt, began, s.Chat, next).Bool()
	if err != nil {
		return fmt.Errorf("ledger: message %s: %w", s.Member, err)
	}
	if !held {
		return ErrClaimLost
	}
	return nil
}

// Sent tells that the message was sent: it leaves the queue, and the chat's next
// one is not claimed before next. If the claim was lost, the message leaves all
// the same and the chat stays with the other sender.
func (l *Ledger) Sent(ctx context.Context, s Sending, next time.Time) error {
	k := l.key
	err := l.run(ctx, outSentScript, []string{k.out, k.outBody, k.chats, k.counts},
		s.Member, s.Attempt, s.Chat, notBefore(next)).Err()
	if err != nil {
		return fmt.Errorf("ledger: message %s sent: %w", s.Member, err)
	}
	return nil
}

// NextOut is when the next message can be claimed, false if none is queued.
func (l *Ledger) NextOut(ctx context.Context) (at time.Time, ok bool, err error) {
	every, burst := l.OutPace.args()
	n, err := outNextScript.Run(ctx, l.rdb, []string{l.key.out, l.key.chats, l.key.pace}, every, burst).Int64()
	if err != nil {
		return at, false, fmt.Errorf("ledger: next message: %w", err)
	}
	if n == 0 {
		return at, false, nil
	}
	return fromMS(n), true, nil
}
