package conversations

import (
	"fmt"
	"time"

	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/pricing"
)

// base is where the business starts from.
func (t *turn) base() diary.Point {
	return diary.Point{Lat: t.Rules.Diary.Latitude, Lon: t.Rules.Diary.Longitude}
}

// diaryRules are the business's rules in the words of the diary.
func (t *turn) diaryRules() diary.Rules {
	d := t.Rules.Diary
	const kmPerMile = 1.609344
	r := diary.Rules{
		Loc: t.Zone, Closed: map[string]bool{}, Notice: time.Duration(d.NoticeHours) * time.Hour,
		HorizonDays: d.HorizonDays, Buffer: time.Duration(d.BufferMinutes) * time.Minute, MaxPerDay: d.JobsADay,
		Base: t.base(), Travel: diary.Travel{RoadFactor: d.RoadFactor, KmPerHour: d.MilesAnHour * kmPerMile, Unknown: unknownWay},
		DriveInHours: d.DriveInHours, Dusk: t.dusk(),
	}
	r.Hours = hours(d.Hours)
	for _, year := range []int{t.now.Year(), t.now.Year() + 1} {
		holidays, err := diary.Holidays(diary.Division(d.Holidays), year)
		if err != nil {
			t.fail(fmt.Errorf("conversations: bank holidays: %w", err))
		}
		for _, h := range holidays {
			r.Closed[h.Date] = true
		}
		// Where one of these falls on a weekend the published list has another day
		// for it; nobody wants a car washed on the day itself either.
		for _, day := range []string{"01-01", "12-25", "12-26"} {
			r.Closed[fmt.Sprintf("%d-%s", year, day)] = true
		}
	}
	for _, date := range d.Closed {
		r.Closed[string(date)] = true
	}
	return r
}

// hours are hours by the name of the day in the words of the diary.
func hours(by map[string][]pricing.Span) diary.Hours {
	h := diary.Hours{}
	for day := time.Sunday; day <= time.Saturday; day++ {
		for _, s := range by[pricing.DayName(day)] {
			h[day] = append(h[day], diary.Span{From: s.From, To: s.To})
		}
	}
	return h
}

// dusk is how long before sunset work outdoors has to be finished.
func (t *turn) dusk() time.Duration {
	return time.Duration(t.Rules.Diary.DaylightMinutes) * time.Minute
}

// under is the place whose sun an enquiry's work is done by: the customer's, if we
// know it, else where we start from.
func (t *turn) under(e *Enquiry) diary.Point {
	if p := t.wish(e).Point; p.Known() {
		return p
	}
	return t.base()
}

// unknownWay is the driving to allow for between two jobs when nobody has said
// where one of them is.
const unknownWay = 20 * time.Minute
