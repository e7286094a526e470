package ledger

// Waiting is how many calls wait for a round trip.
func (l *Ledger) Waiting() int {
	l.trips.mu.Lock()
	defer l.trips.mu.Unlock()
	return len(l.trips.waiting)
}
