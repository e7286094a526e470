package conversations

import (
	"regexp"
	"strings"
)

// Who rings is reached by telephone and not here. A number the owner writes down with them
// is kept with their enquiry, goes where that goes, and is shown where he looks for it.

// phoneShape is a number as it is written in Britain, from 0 or with the country in front.
var phoneShape = regexp.MustCompile(`(^|[^\d+])(\+?\d[\d()\-. ]{8,}\d)`)

// The digits of a telephone number: British ones have ten or eleven with the leading 0
// (Ofcom, National Telephone Numbering Plan), any with its country fifteen at most
// (ITU-T E.164).
const (
	leastPhone, mostPhone = 10, 11
	mostWithCountry       = 15
)

// phoneApart is the first telephone number in a text, empty if there is none, and the text
// without it.
func phoneApart(text string) (phone, rest string) {
	for _, at := range phoneShape.FindAllStringSubmatchIndex(text, -1) {
		found := text[at[4]:at[5]]
		digits := 0
		for _, r := range found {
			if r >= '0' && r <= '9' {
				digits++
			}
		}
		abroad := strings.HasPrefix(found, "+") || strings.HasPrefix(found, "00")
		if digits < leastPhone || !abroad && (found[0] != '0' || digits > mostPhone) || digits > mostWithCountry {
			continue
		}
		rest = strings.TrimRight(text[:at[4]], " ") + " " + strings.TrimLeft(text[at[5]:], " ,;")
		return strings.Join(strings.Fields(found), " "), strings.TrimSpace(rest)
	}
	return "", text
}

// reached is a customer's name, with the number they are reached at if it was written down.
func (e *Enquiry) reached() string {
	if e.Phone == "" {
		return e.Name
	}
	return e.Name + ", " + e.Phone
}
