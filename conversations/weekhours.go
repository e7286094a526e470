package conversations

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// part is a word, a time of day or a mark of what the owner types about hours.
var part = regexp.MustCompile(`[0-9]{1,2}(?:[:.][0-9]{2})?\s*(?:am|pm)?|[a-z]+|[-,&]`)

// weekHours reads working hours: "sat 9-1", "mon-fri 8:30-12, 1-5", "weekdays 9 to
// 5", "sunday off". It returns the spans of each day that was named.
func weekHours(text string) (map[string][]pricing.Span, bool) {
	text = strings.NewReplacer("–", "-", "—", "-", "noon", "12pm", "midday", "12pm", "’", "", "'", "").Replace(strings.ToLower(text))
	words := part.FindAllString(text, -1)
	var days []time.Weekday
	i := 0
	for ; i < len(words); i++ {
		w := words[i]
		if group, ok := someDays[w]; ok {
			days = append(days, group...)
			continue
		}
		d, ok := weekdayOf(w)
		if !ok {
			if w == "," || w == "and" || w == "&" || w == "on" || w == "s" {
				continue
			}
			break
		}
		if i+2 < len(words) && (words[i+1] == "-" || words[i+1] == "to" || words[i+1] == "till") {
			if to, ok := weekdayOf(words[i+2]); ok {
				for ; d != to; d = (d + 1) % 7 {
					days = append(days, d)
				}
				i += 2
			}
		}
		days = append(days, d)
	}
	spans, ok := daySpans(words[i:])
	if len(days) == 0 || !ok {
		return nil, false
	}
	out := map[string][]pricing.Span{}
	for _, d := range days {
		out[strings.ToLower(d.String())] = spans
	}
	return out, true
}

var (
	week     = []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday, time.Sunday}
	someDays = map[string][]time.Weekday{
		"weekdays": week[:5], "weekday": week[:5], "weekend": week[5:], "weekends": week[5:], "daily": week, "every": week, "everyday": week, "all": week, "day": nil, "days": nil,
	}
)

func weekdayOf(w string) (time.Weekday, bool) {
	if len(w) < 3 {
		return 0, false
	}
	for _, d := range week {
		if name := strings.ToLower(d.String()); strings.HasPrefix(name, strings.TrimSuffix(w, "s")) || strings.HasPrefix(name, w) {
			return d, true
		}
	}
	return 0, false
}

// daySpans reads one span or several, or that there is none.
func daySpans(words []string) ([]pricing.Span, bool) {
	words = slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains([]string{",", "and", "&", "from", "at"}, w) })
	if len(words) == 1 && slices.Contains([]string{"off", "closed", "free", "none"}, words[0]) {
		return nil, true
	}
	var out []pricing.Span
	for ; len(words) >= 3; words = words[3:] {
		from, ok1 := clockOf(words[0], 0)
		to, ok2 := clockOf(words[2], from)
		if !ok1 || !ok2 || !slices.Contains([]string{"-", "to", "till", "until"}, words[1]) || from >= to {
			return nil, false
		}
		out = append(out, pricing.Span{From: from, To: to})
	}
	return out, len(words) == 0 && len(out) > 0
}

// clockOf reads a time of day, in minutes. Nobody begins before six, and an end is
// after its beginning: what would be otherwise is meant in the afternoon.
func clockOf(w string, after int) (int, bool) {
	w = strings.ReplaceAll(w, " ", "")
	bare := strings.TrimSuffix(strings.TrimSuffix(w, "am"), "pm")
	hour, minute, _ := strings.Cut(strings.ReplaceAll(bare, ".", ":"), ":")
	h, err := strconv.Atoi(hour)
	m := 0
	if minute != "" {
		m, _ = strconv.Atoi(minute)
	}
	const early = 6
	switch {
	case err != nil || h > 24 || m > 59 || h == 24 && m > 0:
		return 0, false
	case strings.HasSuffix(w, "am"):
		h %= 12
	case strings.HasSuffix(w, "pm"):
		h = h%12 + 12
	case len(hour) < 2 && (h < early || 60*h+m <= after) && h <= 12:
		h += 12
	case h < 12 && 60*h+m <= after:
		h += 12
	}
	return 60*h + m, true
}

// showHours are the working hours of the week, days alike together: "Mon–Fri
// 09:00–17:00, Sat 09:00–13:00".
func showHours(w *wording.Words, r *pricing.Rules) string {
	var out []string
	for i := 0; i < len(week); {
		from, spans := i, r.Diary.On(week[i])
		for i < len(week) && slices.Equal(r.Diary.On(week[i]), spans) {
			i++
		}
		if len(spans) == 0 {
			continue
		}
		line := w.Day(week[from])
		if i-from > 1 {
			line += "–" + w.Day(week[i-1])
		}
		for k, s := range spans {
			if k > 0 {
				line += " +"
			}
			line += " " + clockWords(s.From) + "–" + clockWords(s.To)
		}
		out = append(out, line)
	}
	return strings.Join(out, ", ")
}

func clockWords(minutes int) string {
	if minutes == 24*60 {
		return "24:00"
	}
	return time.Date(2000, 1, 1, 0, minutes, 0, 0, time.UTC).Format("15:04")
}
