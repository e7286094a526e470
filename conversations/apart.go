package conversations

import (
	"regexp"
	"strings"
)

// Amounts and lengths as they are typed with wet hands.

var (
	// gluedUnit is a number with its unit stuck to it.
	gluedUnit = regexp.MustCompile(`(?i)(\d)(quid|pounds?|minutes?|mins?|hours?|hrs?)\b`)
	// poorHalf is a half behind hours or a number, whatever stands for "and a".
	poorHalf = regexp.MustCompile(`(?i)\b(\d+|one|two|three|four|five|six|seven|eight|hours?|hrs?) (?:an|n|and|nd|&)(?: an?)? (half|quarter)\b`)
	// fraction is one that stands behind a number as a sign: "2¾".
	fraction = regexp.MustCompile(`(\d)([¼½¾])`)
	// partHours are hours and quarters of one: "2 3/4 hours", "two and three quarter hours";
	// hoursPart the same with the hours first: "an hour and three quarters".
	partHours = regexp.MustCompile(`(?i)\b(\d+|one|two|three|four|five|six|seven|eight) (?:and |n |& ?)?(` + quarters + `)(?: of an)? ?(?:hours?|hrs?|h)\b`)
	hoursPart = regexp.MustCompile(`(?i)\b(\d+|an?|one|two|three|four|five|six|seven|eight) ?(?:hours?|hrs?)(?: and| n| &)? (` + quarters + `)(?: of an hour)?(?:$|[^\w/])`)
	// lonelyHour is an hour without its number, and minutes: "hour 15".
	lonelyHour = regexp.MustCompile(`(?i)^((?:about |took )?)(?:an )?h(?:ou)?r (?:and )?(\d{1,2})\b`)
	// bareHour is an hour and a half of which the number was left out.
	bareHour = regexp.MustCompile(`(?i)(^|\S+ )(hour|hr) and a (half|quarter)\b`)
)

// quarters are the quarters of an hour as people write them.
const quarters = `3/4|¾|three[- ]quarters?|3 quarters?|1/2|½|1/4|¼`

// minutesOf are such quarters in minutes.
func minutesOf(quarters string) string {
	switch quarters[:1] {
	case "1":
		if strings.HasPrefix(quarters, "1/4") {
			return "15"
		}
		return "30"
	}
	switch quarters {
	case "½":
		return "30"
	case "¼":
		return "15"
	}
	return "45"
}

// inMinutes writes hours and quarters of one as hours and minutes.
func inMinutes(text string) string {
	text = fraction.ReplaceAllString(text, "$1 $2")
	for _, re := range []*regexp.Regexp{partHours, hoursPart} {
		text = re.ReplaceAllStringFunc(text, func(part string) string {
			m := re.FindStringSubmatch(part)
			hours := m[1]
			if strings.HasPrefix(strings.ToLower(hours), "a") {
				hours = "1"
			}
			return hours + " hours " + minutesOf(m[2]) + " minutes "
		})
	}
	return strings.TrimRight(text, " ")
}

// apart is what is typed with its amounts and lengths written so that they can be read:
// "95quid" as "95 quid", "hour an half" as "an hour and a half", "2 n half hrs" as "2 and
// a half hrs". All else is left as it is.
func apart(text string) string {
	text = inMinutes(text)
	text = lonelyHour.ReplaceAllString(text, "${1}1 hour $2")
	text = gluedUnit.ReplaceAllString(text, "$1 $2")
	text = poorHalf.ReplaceAllString(text, "$1 and a $2")
	return bareHour.ReplaceAllStringFunc(text, func(part string) string {
		m := bareHour.FindStringSubmatch(part)
		before := strings.ToLower(strings.TrimSpace(m[1]))
		if _, number := numbers[before]; number || before != "" && isSum(before) {
			return part
		}
		return m[1] + "an " + m[2] + " and a " + m[3]
	})
}
