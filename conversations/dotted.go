package conversations

import (
	"regexp"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// dotted finds figures that may be a date with stops, "24.12" or "24.12.27", and what stands
// around them.
var dotted = regexp.MustCompile(`(\S*?)\b([0-9]{1,2})\.([0-9]{1,2})(?:\.([0-9]{4}|[0-9]{2}))?\b(\S*)`)

// slashed is a text with the dates in it that are written with stops written with strokes, as
// all that reads times knows them: "24.12" is the 24th of December, and neither money nor an
// hour. What may as well be an hour is one: "9.10", "10.30".
func (t *turn) slashed(text string) string {
	if !strings.Contains(text, ".") {
		return text
	}
	var out strings.Builder
	begun := 0
	for _, at := range dotted.FindAllStringSubmatchIndex(text, -1) {
		part := func(i int) string {
			if at[2*i] < 0 {
				return ""
			}
			return text[at[2*i]:at[2*i+1]]
		}
		day, month, year := part(2), part(3), part(4)
		if strings.Trim(part(1), "(") != "" || strings.Trim(part(5), ".,;:!?)") != "" || !isDated(day, month, year) || t.isMeasure(text[:at[2]], text[at[11]:]) {
			continue
		}
		out.WriteString(text[begun:at[4]] + day + "/" + month)
		if year != "" {
			out.WriteString("/" + year)
		}
		begun = at[10]
	}
	return out.String() + text[begun:]
}

// isDated tells whether figures can be a day and a month, and are not rather an hour and its
// minutes.
func isDated(day, month, year string) bool {
	d, _ := strconv.Atoi(day)
	m, _ := strconv.Atoi(month)
	const latest = 20 // o'clock: nobody comes after that
	switch {
	case d < 1 || d > 31 || m < 1 || m > 12:
		return false
	case year != "" || d > latest:
		return year != "" || len(month) == 2
	}
	return len(month) == 2 && m%5 != 0
}

// isMeasure tells whether a number stands between words that make an hour, a sum or a measure
// of it: "at 9.12", "24.12 quid".
func (t *turn) isMeasure(before, after string) bool {
	words := strings.Fields(wording.Plain(before))
	if len(words) > 0 && longestOf(t.typed(wording.SayBeforeHour), words[len(words)-1:]) > 0 {
		return true
	}
	return longestOf(t.typed(wording.SayUnit), strings.Fields(wording.Plain(after))) > 0
}
