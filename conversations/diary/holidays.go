package diary

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/gb"
)

// Division is a part of the United Kingdom with bank holidays of its own, by
// the name the government's list gives it.
type Division string

// The divisions of the published list.
const (
	EnglandAndWales Division = "england-and-wales"
	Scotland        Division = "scotland"
	NorthernIreland Division = "northern-ireland"
)

// Holiday is one bank holiday: the date it is kept on, "2026-12-28", and its
// name. Where a substitute day is kept, that is the date.
type Holiday struct {
	Date string
	Name string
}

// Holidays are the bank holidays of a year in order. They follow the standing
// rules, and the proclaimed one-off days known when this was written; a later
// proclamation has to be entered by the owner as a closed day. It fails if the
// division is not one of the three.
func Holidays(d Division, year int) ([]Holiday, error) {
	rules, err := standing(d)
	if err != nil {
		return nil, err
	}
	var out []Holiday
	for _, h := range append(rules, proclaimed(d)...) {
		if _, kept := h.Calc(year); !kept.IsZero() {
			out = append(out, Holiday{kept.Format(time.DateOnly), h.Name})
		}
	}
	slices.SortFunc(out, func(a, b Holiday) int { return strings.Compare(a.Date, b.Date) })
	return out, nil
}

// standing are a division's rules. The library's own list is that of England
// and Wales.
func standing(d Division) ([]*cal.Holiday, error) {
	common := slices.Clone(gb.Holidays)
	switch d {
	case EnglandAndWales:
		return common, nil
	case NorthernIreland:
		return append(common,
			fixed("St Patrick's Day", time.March, 17),
			fixed("Battle of the Boyne", time.July, 12)), nil
	case Scotland:
		common = slices.DeleteFunc(common, func(h *cal.Holiday) bool { return h == gb.EasterMonday || h == gb.SummerHoliday })
		second := fixed("2nd January", time.January, 2)
		// After a New Year's Day on a Sunday, kept on Monday the 2nd, this one
		// moves on to Tuesday.
		second.Observed = []cal.AltDay{{Day: time.Saturday, Offset: 2}, {Day: time.Sunday, Offset: 2}, {Day: time.Monday, Offset: 1}}
		return append(common, second, gb.SummerHolidayScotland, fixed("St Andrew's Day", time.November, 30)), nil
	}
	return nil, fmt.Errorf("diary: bank holidays of %q: no such division", d)
}

// fixed is a holiday on a date, kept on the Monday after a weekend.
func fixed(name string, m time.Month, day int) *cal.Holiday {
	return &cal.Holiday{
		Name: name, Month: m, Day: day, Func: cal.CalcDayOfMonth,
		Observed: []cal.AltDay{{Day: time.Saturday, Offset: 2}, {Day: time.Sunday, Offset: 1}},
	}
}

// proclaimed are one-off days the library does not know, from the list at
// gov.uk/bank-holidays.
func proclaimed(d Division) []*cal.Holiday {
	once := func(name string, year int, m time.Month, day int) *cal.Holiday {
		return &cal.Holiday{Name: name, StartYear: year, EndYear: year, Month: m, Day: day, Func: cal.CalcDayOfMonth}
	}
	days := []*cal.Holiday{once("State Funeral of Queen Elizabeth II", 2022, time.September, 19)}
	if d == Scotland {
		days = append(days, once("World Cup", 2026, time.June, 15))
	}
	return days
}
