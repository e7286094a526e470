package standin

import "time"

// Due is when the stand-in will next try to bring an update, false if none
// waits. A moment that is not after the clock's means that one is under way or
// about to be: whoever keeps the clock waits for [Standin.Changed] instead of
// pushing it, lest a tap grow too old while it is being answered.
func (s *Standin) Due() (at time.Time, waiting bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.clock.Now()
	seen := map[string]bool{}
	for _, u := range s.pending {
		if seen[u.queue] {
			continue // behind the head of its queue
		}
		seen[u.queue] = true
		due := u.due
		if u.flying {
			due = now
		}
		if !waiting || due.Before(at) {
			at, waiting = due, true
		}
	}
	return at, waiting
}
