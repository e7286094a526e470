package reminders

import "time"

const (
	// fresh is how long a confirmation is remembered: nobody needs reminding of
	// what they read this afternoon.
	fresh = 4 * time.Hour
	// onTheWay is how long before a job a message about it still helps.
	onTheWay = 30 * time.Minute
)

// Appointment is what to say before a job that was booked at some moment: the day
// before what to prepare, and on the morning that it is today, each in service
// hours and only while it makes sense. A job that moves gets them anew. The
// thank-you afterwards belongs to [Setting.Care], so that it comes together with
// what else is said that day.
func (s Setting) Appointment(start, booked time.Time) []Moment {
	r := s.Rules.Service
	start = start.In(s.Zone)
	eve := Moment{Kind: DayBefore, At: onDay(start, -1, r.DayBeforeHour), NotAfter: onTheHour(onDay(start, -1, 12), r.ToHour)}
	morning := Moment{
		Kind:     Morning,
		At:       latest(start.Add(-time.Duration(r.MorningHours)*time.Hour), onTheHour(start, r.FromHour)),
		NotAfter: start.Add(-onTheWay),
	}
	var out []Moment
	for _, m := range []Moment{eve, morning} {
		if !m.At.Before(booked.Add(fresh)) && m.At.Before(m.NotAfter) {
			out = append(out, m)
		}
	}
	return out
}

// OpenQuote is when to ask, once, after a guide price that stands until some
// moment and was not answered; false if it lapses before that would be polite. It
// is half a nudge, and keeps a nudge's hours and days.
func (s Setting) OpenQuote(quoted, until time.Time) (Moment, bool) {
	n := s.Rules.Nudges
	at := s.Politely(quoted.In(s.Zone).AddDate(0, 0, s.Rules.Service.QuoteDays))
	m := Moment{Kind: OpenQuote, At: at, NotAfter: onTheHour(at, n.ToHour)}
	if until.Before(m.NotAfter) {
		m.NotAfter = until
	}
	return m, m.At.Before(m.NotAfter)
}
