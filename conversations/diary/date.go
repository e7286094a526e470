package diary

import "time"

// date walks over the calendar without asking for it anew every day: a search
// of a year spends most of its time on days that are full.
type date struct {
	// key is the date as by [Key].
	key      [len(time.DateOnly)]byte
	weekday  time.Weekday
	midnight int64 // midnight UTC of the date, in seconds since 1970
	day      int
	last     int // of the month
}

// dateOf is the date of a moment in its own zone.
func dateOf(t time.Time) date {
	y, m, day := t.Date()
	at := time.Date(y, m, day, 0, 0, 0, 0, time.UTC)
	d := date{weekday: at.Weekday(), midnight: at.Unix(), day: day, last: time.Date(y, m+1, 0, 0, 0, 0, 0, time.UTC).Day()}
	at.AppendFormat(d.key[:0], time.DateOnly)
	return d
}

// next goes on to the day after.
func (d *date) next() {
	if d.day == d.last {
		*d = dateOf(time.Unix(d.midnight+86400, 0).UTC())
		return
	}
	d.day++
	d.midnight += 86400
	d.key[8], d.key[9] = byte('0'+d.day/10), byte('0'+d.day%10)
	if d.weekday++; d.weekday > time.Saturday {
		d.weekday = time.Sunday
	}
}

// until is how many days after d a date is that is written as by [Key], false if it
// is none.
func (d *date) until(key string) (days int, ok bool) {
	t, err := time.Parse(time.DateOnly, key)
	return int((t.Unix() - d.midnight) / 86400), err == nil
}
