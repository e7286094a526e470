package conversations

import (
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// dial is one thing the owner can set from the chat.
type dial struct {
	name string
	// say is what he types, label its name on a button, ask how he is asked for a
	// value, with the words that could not be read if there were any.
	say, label, ask wording.Key
	show            func(*wording.Words, *pricing.Rules) string
	// read writes what words mean into a layer; nil is set by ticks.
	read func(*turn, string, *pricing.Layer) bool
}

// dials are all of them, in the order they are shown. One whose words begin like
// another's comes before it.
var dials = []dial{
	{"rate", wording.SayRate, wording.LabelRate, wording.OwnerAskRate,
		func(w *wording.Words, r *pricing.Rules) string {
			return w.Say(wording.AnHour, wording.Facts{Text: w.Money(int64(r.Money.Rate))})
		},
		func(_ *turn, s string, l *pricing.Layer) bool { return readMoney(s, &l.Rate) }},
	{"skilled", wording.SaySkilled, wording.LabelSkilled, wording.OwnerAskRate,
		func(w *wording.Words, r *pricing.Rules) string {
			return w.Say(wording.AnHour, wording.Facts{Text: w.Money(int64(r.Money.SkilledRate))})
		},
		func(_ *turn, s string, l *pricing.Layer) bool { return readMoney(s, &l.Skilled) }},
	{"minimum", wording.SayMinimum, wording.LabelMinimum, wording.OwnerAskMinimum,
		func(w *wording.Words, r *pricing.Rules) string { return w.Money(int64(r.Money.Minimum)) },
		func(_ *turn, s string, l *pricing.Layer) bool { return readMoney(s, &l.Minimum) }},
	{"hours", wording.SayHours, wording.LabelHours, wording.OwnerAskHours, showHours, readHours},
	{"notice", wording.SayNotice, wording.LabelNotice, wording.OwnerAskNotice,
		func(w *wording.Words, r *pricing.Rules) string {
			return w.Say(wording.SomeHours, wording.Facts{Count: r.Diary.NoticeHours})
		}, readNotice},
	{"radius", wording.SayRadius, wording.LabelRadius, wording.OwnerAskRadius,
		func(w *wording.Words, r *pricing.Rules) string { return showMiles(w, r.Place.MostMiles) },
		func(t *turn, s string, l *pricing.Layer) bool {
			if t.means(wording.Plain(s), wording.SayNoLimit) {
				s = "0"
			}
			return readNumber(s, &l.MostMiles)
		}},
	{"free-miles", wording.SayFreeMiles, wording.LabelFreeMiles, wording.OwnerAskFreeMiles,
		func(_ *wording.Words, r *pricing.Rules) string {
			return strconv.FormatFloat(r.Money.FreeMiles, 'f', -1, 64)
		},
		func(_ *turn, s string, l *pricing.Layer) bool { return readNumber(s, &l.FreeMiles) }},
	{"protections", wording.SayProtections, wording.LabelProtections, wording.OwnerProtections, showProtections, nil},
}

func dialOf(name string) *dial {
	if i := slices.IndexFunc(dials, func(d dial) bool { return d.name == name }); i >= 0 {
		return &dials[i]
	}
	return nil
}

// amount is a sum the way people type it, with what they put behind it.
var amount = regexp.MustCompile(`^£?\s*([0-9][0-9,]*(?:\.[0-9]{1,2})?)\s*(?:£|pounds?|quid)?\s*(?:an hour|per hour|/ ?hour|/ ?hr?|ph)?$`)

func readMoney(text string, into **pricing.Pence) bool {
	m := amount.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return false
	}
	p, err := pricing.ParsePence(m[1])
	*into = &p
	return err == nil
}

// distance is a number of miles.
var distance = regexp.MustCompile(`^([0-9]{1,4}(?:\.[0-9])?)\s*(?:miles?|mi|m)?$`)

func readNumber(text string, into **float64) bool {
	m := distance.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return false
	}
	n, err := strconv.ParseFloat(m[1], 64)
	*into = &n
	return err == nil
}

// notice is a number of hours or days.
var notice = regexp.MustCompile(`^([0-9]{1,4})\s*(h|hrs?|hours?|d|days?|weeks?)?$`)

func readNotice(_ *turn, text string, l *pricing.Layer) bool {
	m := notice.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return false
	}
	n, err := strconv.Atoi(m[1])
	switch {
	case strings.HasPrefix(m[2], "d"):
		n *= 24
	case strings.HasPrefix(m[2], "w"):
		n *= 7 * 24
	}
	l.Notice = &n
	return err == nil
}

func readHours(_ *turn, text string, l *pricing.Layer) bool {
	hours, ok := weekHours(text)
	if !ok {
		return false
	}
	all := maps.Clone(l.Hours)
	if all == nil {
		all = map[string][]pricing.Span{}
	}
	maps.Copy(all, hours)
	l.Hours = all
	return true
}

func showMiles(w *wording.Words, miles float64) string {
	if miles == 0 {
		return w.Label(wording.SayNoLimit)
	}
	return w.Say(wording.SomeMiles, wording.Facts{Text: strconv.FormatFloat(miles, 'f', -1, 64)})
}

// showProtections are the kinds in use of those that can be left out.
func showProtections(w *wording.Words, r *pricing.Rules) string {
	var in []string
	for _, p := range r.Optional() {
		if r.InUse(p.ID) {
			in = append(in, p.Words)
		}
	}
	return w.Say(wording.ListOf, wording.Facts{Items: in})
}

// DescribeLayer tells in words what a layer changes in the rules of a file, a line
// each.
func DescribeLayer(w *wording.Words, file *pricing.Rules, l pricing.Layer) []string {
	var out []string
	over := file.Under(l)
	for _, d := range dials {
		if f := (wording.Facts{Text: w.Label(d.label), Was: d.show(w, file), Now: d.show(w, over)}); f.Now != f.Was {
			out = append(out, w.Say(wording.LineSetting, f))
		}
	}
	return append(out, taught(w, file, l)...)
}
