package diary

import (
	"math"
	"time"
)

// wall reads a clock on the wall. It remembers for how long the clock's offset
// from UTC holds, since that is looked up for every day and changes twice a
// year.
type wall struct {
	offset       int64 // seconds east of UTC
	since, until int64 // seconds since 1970, the end not included
}

// moment is when the clock shows so many minutes from midnight on a date, which
// is given as its midnight UTC in seconds since 1970, in nanoseconds since 1970.
// If the clock skips that time, it is the moment at which it skips.
func (w *wall) moment(midnight int64, minutes int, loc *time.Location) int64 {
	shown := midnight + int64(minutes)*60
	if at := shown - w.offset; w.since <= at && at < w.until {
		return at * int64(time.Second)
	}
	y, m, d := time.Unix(midnight, 0).UTC().Date()
	t := time.Date(y, m, d, 0, minutes, 0, 0, loc)
	w.remember(t)
	switch at := t.Unix(); {
	case at+w.offset < shown: // skipped, and t is before the change
		return w.until * int64(time.Second)
	case at+w.offset > shown: // skipped, and t is after it
		return w.since * int64(time.Second)
	}
	return t.UnixNano()
}

func (w *wall) remember(t time.Time) {
	_, offset := t.Zone()
	since, until := t.ZoneBounds()
	*w = wall{offset: int64(offset), since: since.Unix(), until: until.Unix()}
	if since.IsZero() {
		w.since = math.MinInt64
	}
	if until.IsZero() {
		w.until = math.MaxInt64
	}
}
