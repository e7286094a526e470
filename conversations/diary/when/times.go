package when

import (
	"slices"
	"time"

	"example.org/dryhand/conversations/diary"
)

func hasDays(t diary.Times) bool {
	return len(t.Weekdays)+len(t.On) > 0 || !t.From.IsZero() || !t.To.IsZero()
}

func hasHours(t diary.Times) bool { return t.StartFrom+t.StartBefore+t.DoneBy > 0 }

// conflicting tells whether no start is within the hours of both.
func conflicting(a, b diary.Times) bool {
	from, before := max(a.StartFrom, b.StartFrom), least(a.StartBefore, b.StartBefore)
	return before > 0 && from >= before
}

// both are the times that are among a and among b, false if there are none.
func both(a, b diary.Times) (diary.Times, bool) {
	t := diary.Times{
		From: a.From, To: a.To, Weekdays: a.Weekdays, On: a.On, Not: union(a.Not, b.Not), NotOn: union(a.NotOn, b.NotOn),
		StartFrom: max(a.StartFrom, b.StartFrom), StartBefore: least(a.StartBefore, b.StartBefore), DoneBy: least(a.DoneBy, b.DoneBy),
	}
	if b.From.After(t.From) {
		t.From = b.From
	}
	if t.To.IsZero() || !b.To.IsZero() && b.To.Before(t.To) {
		t.To = b.To
	}
	weekdays := common(&t.Weekdays, b.Weekdays)
	on := common(&t.On, b.On)
	if len(t.On) > 0 {
		t.On = slices.DeleteFunc(slices.Clone(t.On), func(date string) bool { return !possible(t, date) })
		on = on && len(t.On) > 0
	}
	return t, weekdays && on && (t.To.IsZero() || t.From.Before(t.To)) && !conflicting(a, b)
}

// possible tells whether a date is among the weekdays and within the bounds.
func possible(t diary.Times, date string) bool {
	loc := time.UTC
	for _, bound := range []time.Time{t.From, t.To} {
		if !bound.IsZero() {
			loc = bound.Location()
		}
	}
	day, err := time.ParseInLocation(time.DateOnly, date, loc)
	if err != nil {
		return false
	}
	return (len(t.Weekdays) == 0 || slices.Contains(t.Weekdays, day.Weekday())) &&
		!day.Before(t.From) && (t.To.IsZero() || day.Before(t.To))
}

// common leaves in a what is in b too, where both are given, and reports whether
// that leaves anything.
func common[T comparable](a *[]T, b []T) bool {
	switch {
	case len(b) == 0:
		return true
	case len(*a) == 0:
		*a = b
		return true
	}
	*a = slices.DeleteFunc(slices.Clone(*a), func(x T) bool { return !slices.Contains(b, x) })
	return len(*a) > 0
}

func union[T comparable](a, b []T) []T {
	all := slices.Clone(a)
	for _, x := range b {
		if !slices.Contains(all, x) {
			all = append(all, x)
		}
	}
	return all
}

// least is the smaller of two bounds, of which zero is none.
func least(a, b int) int {
	if a == 0 || b == 0 {
		return a + b
	}
	return min(a, b)
}

// dropDays leaves the hours.
func dropDays(t diary.Times) diary.Times {
	return diary.Times{StartFrom: t.StartFrom, StartBefore: t.StartBefore, DoneBy: t.DoneBy}
}
