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
	// lonelyHour is an hour without its number, and minutes: "hour 15".
	lonelyHour = regexp.MustCompile(`(?i)^((?:about |took )?)(?:an )?h(?:ou)?r (?:and )?(\d{1,2})\b`)
	// bareHour is an hour and a half of which the number was left out.
	bareHour = regexp.MustCompile(`(?i)(^|\S+ )(hour|hr) and a (half|quarter)\b`)
)

// apart is what is typed with its amounts and lengths written so that they can be read:
// "95quid" as "95 quid", "hour an half" as "an hour and a half", "2 n half hrs" as "2 and
// a half hrs". All else is left as it is.
func apart(text string) string {
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
