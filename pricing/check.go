package pricing

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/pricing/plainyaml"
)

// check looks for what can be read but makes no sense.
func check(f *plainyaml.File, b *book) {
	checkNumbers(f, b)
	checkDays(f, b)
	checkAreas(f, b)
	checkFlags(f, b)
	for _, p := range b.Protections {
		if p.MonthsLow <= 0 || p.MonthsHigh < p.MonthsLow {
			f.Wrong("protections."+p.ID+".months-to", "months must be above 0 and must not run backwards")
		}
	}
	checkTasks(f, b)
	checkSheet(f, b)
	checkDeposit(f, b)
	checkTerms(f, b)
	checkCare(f, b)
}

// bound is a number that must lie between two others.
type bound struct {
	path         string
	x, low, high float64
}

func checkNumbers(f *plainyaml.File, b *book) {
	m, q, d, n := b.Money, b.Quotes, b.Diary, b.Nudges
	for _, x := range []bound{
		{"money.rate", m.Rate.pounds(), 1, 1000},
		{"money.skilled-rate", m.SkilledRate.pounds(), 1, 1000},
		{"money.minimum", m.Minimum.pounds(), 0, 10_000},
		{"money.free-miles", m.FreeMiles, 0, 1000},
		{"money.per-mile", m.PerMile.pounds(), 0, 100},
		{"money.materials-markup", m.MaterialsMarkup, 1, 10},
		{"money.round-to", m.RoundTo.pounds(), 0.01, 100},
		{"money.vat-percent", m.VATPercent, 0, 100},
		{"place.most-miles", b.Place.MostMiles, 0, 1000},
		{"quotes.stands-days", float64(q.StandsDays), 1, 365},
		{"quotes.clear-months", float64(q.ClearMonths()), 1, 60},
		{"quotes.budget-confidence", q.BudgetConfidence, 0.5, 0.99},
		{"quotes.named-counts", q.NamedCounts(), 1, 100},
		{"quotes.narrow-enough", q.NarrowEnough.pounds(), 0, 1000},
		{"diary.notice-hours", float64(d.NoticeHours), 0, 1000},
		{"diary.horizon-days", float64(d.HorizonDays), 1, 366},
		{"diary.buffer-minutes", float64(d.BufferMinutes), 0, 600},
		{"diary.jobs-a-day", float64(d.JobsADay), 1, 20},
		{"diary.daylight-minutes", float64(d.DaylightMinutes), 0, 300},
		{"diary.hold-minutes", float64(d.HoldMinutes), 1, 1440},
		{"diary.approve-within-hours", float64(d.ApproveWithinHours), 1, 168},
		{"diary.change-notice-hours", float64(d.ChangeNoticeHours), 0, 1000},
		{"diary.evening-hour", float64(d.EveningHour), 0, 23},
		{"diary.latitude", d.Latitude, -90, 90},
		{"diary.longitude", d.Longitude, -180, 180},
		{"diary.road-factor", d.RoadFactor, 1, 3},
		{"diary.miles-an-hour", d.MilesAnHour, 1, 100},
		{"nudges.share", n.Share, 0.1, 1.5},
		{"nudges.from-hour", float64(n.FromHour), 0, 23},
		{"nudges.to-hour", float64(n.ToHour), float64(n.FromHour) + 1, 24},
		{"nudges.follow-up-days", float64(n.FollowUpDays), 1, 365},
		{"nudges.later-weeks", float64(n.LaterWeeks), 1, 52},
		{"answers.worth", b.Answers.Worth, 1, 1000},
		{"wear.shortest", b.Wear.Shortest, 0.01, 1},
		{"wear.longest", b.Wear.Longest, 1, 10},
	} {
		within(f, x)
	}
	for _, w := range b.Wear.When {
		within(f, bound{"wear.when." + w.ID + ".times", w.Times, 0.01, 10})
	}
	if b.Place.MostMiles > 0 && b.Place.TooFar == "" {
		f.Wrong("place.most-miles", "needs too-far beside it: what a customer further off than that reads")
	}
	three(f, "place.at-unit", b.Place.AtUnit)
	three(f, "place.at-customer", b.Place.AtCustomer)
	three(f, "place.self-contained", b.Place.SelfContained)
}

func within(f *plainyaml.File, x bound) {
	if x.x < x.low || x.x > x.high {
		f.Wrong(x.path, "must be between %g and %g, not %g", x.low, x.high, x.x)
	}
}

// longest is more minutes than any task takes for one unit.
const longest = 1440

// three checks lowest, likely and highest.
func three(f *plainyaml.File, path string, m [3]float64) {
	if m[0] < 0 || m[1] < m[0] || m[2] < m[1] || m[2] > longest {
		f.Wrong(path, "must be lowest, likely, highest, from 0 to %d and not falling, as in [8, 10, 13]", longest)
	}
}

func (p Pence) pounds() float64 { return float64(p) / 100 }

func checkDays(f *plainyaml.File, b *book) {
	var names []string
	for d := time.Sunday; d <= time.Saturday; d++ {
		names = append(names, DayName(d))
	}
	for path, hours := range map[string]map[string][]Span{"diary.hours.": b.Diary.Hours, "diary.away-hours.": b.Diary.AwayHours} {
		for _, day := range slices.Sorted(maps.Keys(hours)) {
			oneOf(f, path+day, day, names)
			last := 0
			for _, s := range hours[day] {
				if s.From < last {
					f.Wrong(path+day, "the hours must follow each other without overlapping")
				}
				last = s.To
			}
		}
	}
	oneOf(f, "diary.holidays", b.Diary.Holidays, []string{"england-and-wales", "scotland", "northern-ireland"})
}

func oneOf(f *plainyaml.File, path, got string, possible []string) bool {
	if slices.Contains(possible, got) {
		return true
	}
	f.Wrong(path, "%q is unknown; %s", got, plainyaml.Suggest(got, possible))
	return false
}

// shares checks that four probabilities, or as many as there are, add up to one.
func shares(f *plainyaml.File, path string, p []float64) {
	var sum float64
	for _, x := range p {
		if x < 0 {
			f.Wrong(path, "a share cannot be below 0")
			return
		}
		sum += x
	}
	if sum < 0.999 || sum > 1.001 {
		f.Wrong(path, "must add up to 1, not %.4g", sum)
	}
}

func checkAreas(f *plainyaml.File, b *book) {
	var sizes []float64
	var states, areas []string
	for _, s := range b.States {
		sizes = append(sizes, s.Share)
		states = append(states, s.ID)
		shares(f, "states."+s.ID+".grades", s.Grades[:])
	}
	shares(f, "states", sizes)
	for g := 1; g <= 4; g++ {
		row, ok := b.Answers.Chosen[g]
		if !ok {
			f.Wrong("answers.chosen", "%d is missing; each of 1 to 4 needs four shares", g)
			continue
		}
		shares(f, fmt.Sprintf("answers.chosen.%d", g), row[:])
	}
	flags := flagIDs(b)
	for _, a := range b.Areas {
		areas = append(areas, string(a.ID))
		path := "areas." + string(a.ID)
		for _, n := range slices.Sorted(maps.Keys(a.Raises)) {
			within(f, bound{fmt.Sprintf("%s.raises.%d", path, n), float64(n), 1, 4})
			oneOf(f, fmt.Sprintf("%s.raises.%d", path, n), a.Raises[n], flags)
		}
		for _, n := range slices.Sorted(maps.Keys(a.CountsAs)) {
			within(f, bound{fmt.Sprintf("%s.counts-as.%d", path, n), float64(n), 1, 4})
			within(f, bound{fmt.Sprintf("%s.counts-as.%d", path, n), float64(a.CountsAs[n]), 1, 4})
		}
		for _, s := range slices.Sorted(maps.Keys(a.Usual)) {
			if oneOf(f, path+".usual."+s, s, states) {
				row := a.Usual[s]
				shares(f, path+".usual."+s, row[:])
			}
		}
	}
	for _, a := range []Area{Paintwork, Wheels, Headlights, SoftTop, Interior, Glass, Trim, EngineBay} {
		if !slices.Contains(areas, string(a)) {
			f.Wrong("areas", "%q is missing", a)
		}
	}
}

func flagIDs(b *book) []string {
	var ids []string
	for _, x := range b.Flags {
		ids = append(ids, x.ID)
	}
	return ids
}

func taskIDs(b *book) []string {
	var ids []string
	for _, t := range b.Tasks {
		ids = append(ids, t.ID)
	}
	return ids
}

func checkFlags(f *plainyaml.File, b *book) {
	tasks := taskIDs(b)
	for _, x := range b.Flags {
		path := "flags." + x.ID
		oneOf(f, path+".outcome", string(x.Outcome), []string{string(Note), string(Refer), string(See), string(Refuse)})
		if x.Words == "" && x.Outcome != Note {
			f.Wrong(path, "needs words that tell the customer why")
		}
		for _, id := range slices.Concat(x.Stops, x.On) {
			oneOf(f, path, id, tasks)
		}
		three(f, path+".minutes", x.Minutes)
		if (x.Times != 0) != (len(x.On) > 0) {
			f.Wrong(path, "times and on belong together: by how much, and for which tasks")
		}
		if x.Times != 0 {
			within(f, bound{path + ".times", x.Times, 0.1, 10})
		}
	}
}

// groups are a task's needs: of each group, one.
func (t Task) groups() [][]string {
	var out [][]string
	for _, n := range t.Needs {
		var group []string
		for _, id := range strings.Split(n, " or ") {
			group = append(group, strings.TrimSpace(id))
		}
		out = append(out, group)
	}
	return out
}
