package pricing

import (
	"fmt"
	"time"
)

// DiaryRules are when there is work. They are plain numbers; the diary makes
// slots of them.
type DiaryRules struct {
	TimeZone string `yaml:"time-zone"`
	// Holidays is "england-and-wales", "scotland" or "northern-ireland".
	Holidays string `yaml:"holidays"`
	// Hours are the working hours by name of the day, "monday" to "sunday"; a day
	// that is missing is a day off.
	Hours map[string][]Span `yaml:"hours"`
	// AwayHours are those of them in which there may be work at customers' places, by
	// name of the day: a day that is missing is one for the unit. None at all is
	// whenever there is work.
	AwayHours          map[string][]Span `yaml:"away-hours,optional"`
	NoticeHours        int               `yaml:"notice-hours"`
	HorizonDays        int               `yaml:"horizon-days"`
	BufferMinutes      int               `yaml:"buffer-minutes"`
	JobsADay           int               `yaml:"jobs-a-day"`
	DaylightMinutes    int               `yaml:"daylight-minutes"`
	HoldMinutes        int               `yaml:"hold-minutes"`
	ApproveWithinHours int               `yaml:"approve-within-hours"`
	// ChangeNoticeHours is until when before the work a booking can be moved or
	// called off without a word about it.
	ChangeNoticeHours int `yaml:"change-notice-hours"`
	// EveningHour is when the owner is told about the next day, local time.
	EveningHour int `yaml:"evening-hour"`
	// Latitude and Longitude are where the business starts from, in degrees, north
	// and east positive.
	Latitude  float64 `yaml:"latitude"`
	Longitude float64 `yaml:"longitude"`
	// RoadFactor is miles by road per mile as the crow flies, MilesAnHour the
	// speed on it.
	RoadFactor  float64 `yaml:"road-factor"`
	MilesAnHour float64 `yaml:"miles-an-hour"`
	// DriveInHours tells that the way to the first customer of a day and home from
	// the last lie within the hours; else the day opens at the customer's.
	DriveInHours bool `yaml:"drive-in-hours,optional"`
	// Closed are single dates without work, "2027-06-04".
	Closed []Date `yaml:"closed,optional"`
}

// Date is a local date.
type Date string

// ReadPlain reads "2027-06-04".
func (d *Date) ReadPlain(b string) error {
	if _, err := time.Parse(time.DateOnly, b); err != nil {
		return fmt.Errorf("must be a date such as 2027-06-04, not %q", b)
	}
	*d = Date(b)
	return nil
}

// Span is a stretch of a day in minutes from midnight, local time.
type Span struct{ From, To int }

// ReadPlain reads "09:00-17:00".
func (s *Span) ReadPlain(b string) error {
	var h1, m1, h2, m2 int
	var rest string
	n, _ := fmt.Sscanf(b+" .", "%2d:%2d-%2d:%2d %s", &h1, &m1, &h2, &m2, &rest)
	*s = Span{60*h1 + m1, 60*h2 + m2}
	if n != 5 || rest != "." || h1 < 0 || m1 < 0 || h2 < 0 || m2 < 0 || m1 > 59 || m2 > 59 || s.From >= s.To || s.To > 24*60 {
		return fmt.Errorf("must be hours such as 09:00-17:00, not %q", b)
	}
	return nil
}

// On are the working hours of a day of the week.
func (d DiaryRules) On(day time.Weekday) []Span { return d.Hours[DayName(day)] }

// DayName is the day of the week as the rules file names it, "sunday" to
// "saturday".
func DayName(d time.Weekday) string {
	return [...]string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}[d]
}

// MonthDay is a day of any year.
type MonthDay struct {
	Month time.Month
	Day   int
}

// ReadPlain reads "12-15", the fifteenth of December.
func (m *MonthDay) ReadPlain(b string) error {
	// A leap year, so that 29 February is a day.
	t, err := time.Parse("2006-01-02", "2024-"+b)
	if err != nil {
		return fmt.Errorf("must be month and day such as 12-15, not %q", b)
	}
	m.Month, m.Day = t.Month(), t.Day()
	return nil
}

// Quiet tells whether a day lies in the weeks without nudges, both ends
// included. They may run over the end of the year.
func (n NudgeRules) Quiet(month time.Month, day int) bool {
	return between(MonthDay{month, day}, n.NotFrom, n.NotTo)
}
