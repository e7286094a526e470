package standin

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"slices"
	"time"
)

// Fault is what goes wrong with a call, on purpose. Of Status, HTML and
// DropBefore one is set, and the call has no effect; DropAfter and Delay let it
// have its effect and spoil the answer.
type Fault struct {
	// Times is how many calls it meets; 0 is every one until [Standin.ClearFaults].
	Times int
	// Chat, if set, limits it to calls for that chat.
	Chat int64
	// Status refuses the call with this code, 429 with RetryAfter seconds: until
	// then every send and edit in that chat is refused so.
	Status     int
	RetryAfter int
	// Description is the refusal's sentence; left out, one that fits Status.
	Description string
	// HTML answers with a proxy's page instead of JSON, with Status or else 502.
	HTML bool
	// DropBefore cuts the connection without any effect, DropAfter after the
	// call has taken effect; of a download DropAfter lets half through.
	DropBefore, DropAfter bool
	// Delay holds the answer back, after the effect, by the clock.
	Delay time.Duration

	method string
}

// Download is the method name under which downloads meet faults and are counted.
const Download = "download"

// Fault makes calls of a method go wrong, "" meaning any. Faults are met in the
// order in which they were asked for.
func (s *Standin) Fault(method string, f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f.method = method
	s.faults = append(s.faults, &f)
}

// ClearFaults ends all faults, and the waits that 429s began.
func (s *Standin) ClearFaults() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
	clear(s.limits.held)
}

// takeFault finds the fault a call meets, nil for none, and uses it up.
func (s *Standin) takeFault(call Refusal) *Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, f := range s.faults {
		if f.method != "" && f.method != call.Method || f.Chat != 0 && f.Chat != call.Chat {
			continue
		}
		met := *f
		if f.Times > 0 {
			if f.Times--; f.Times == 0 {
				s.faults = slices.Delete(s.faults, i, i+1)
			}
		}
		if met.Status == http.StatusTooManyRequests && call.Chat != 0 {
			s.limits.held[call.Chat] = s.clock.Now().Add(time.Duration(met.RetryAfter) * time.Second)
		}
		return &met
	}
	return nil
}

// instead tells that the call has no effect.
func (f *Fault) instead() bool { return f != nil && (f.Status != 0 || f.HTML || f.DropBefore) }

func (f *Fault) refusal() *refusal {
	r := &refusal{Code: cmp.Or(f.Status, http.StatusBadGateway), RetryAfter: f.RetryAfter, Description: f.Description, fault: true}
	if r.Code == http.StatusTooManyRequests && r.Description == "" {
		r.Description = tooMany(f.RetryAfter).Description
	}
	r.Description = cmp.Or(r.Description, http.StatusText(r.Code))
	return r
}

// answer is what the caller gets in place of the platform's answer.
func (f *Fault) answer(w http.ResponseWriter) {
	switch {
	case f.DropBefore:
		panic(http.ErrAbortHandler) // how net/http is told to cut a connection
	case f.HTML:
		w.Header().Set("Content-Type", "text/html")
		w.WriteHeader(cmp.Or(f.Status, http.StatusBadGateway))
		fmt.Fprint(w, "<html><body><h1>No answer from behind</h1></body></html>")
	default:
		answer(w, nil, f.refusal())
	}
}

// after spoils the answer to a call that has taken effect.
func (f *Fault) after(ctx context.Context, s *Standin) {
	if f == nil {
		return
	}
	if f.Delay > 0 {
		done, stop := s.clock.wait(s.clock.Now().Add(f.Delay))
		defer stop()
		select {
		case <-done:
		case <-ctx.Done():
		case <-s.closed:
		}
	}
	if f.DropAfter {
		panic(http.ErrAbortHandler)
	}
}
