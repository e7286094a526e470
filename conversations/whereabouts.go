package conversations

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
)

// Where the car stands, as a shared location, a postcode or a number of miles, and how far
// that is.

// sentPlace takes a shared location: where the car stands.
func (t *turn) sentPlace(c *Chat, w bot.Place) {
	e := t.current(c)
	if e == nil || e.Stage == Closed || e.Stage == Done {
		t.greet(c, "")
		e = t.current(c)
	}
	if t.sharesAddress(c, e, w) {
		return
	}
	if !e.open() {
		t.lead(c, t.word(wording.NotReadable, wording.Facts{}))
		return
	}
	asked := e.At
	if _, answered := e.Answers[askSite]; !answered {
		e.Answers[askSite] = []string{"theirs"}
		e.Trail = append(e.Trail, askSite)
	}
	if priceAgreed(t, e) { // it stands; the owner reads how far it is
		e.Place = &Place{Lat: w.Lat, Lon: w.Lon}
		e.Rev++
		t.put(e, t.word(wording.PlaceSeen, wording.Facts{Count: t.milesTo(diary.Point{Lat: w.Lat, Lon: w.Lon})}))
		return
	}
	miles := t.locate(e, diary.Point{Lat: w.Lat, Lon: w.Lon})
	if !slices.Contains(e.Trail, askMiles) {
		e.Trail = append(e.Trail, askMiles)
	}
	e.Rev++
	if asked == askSite || asked == askMiles {
		e.At = ""
	}
	t.put(e, t.word(wording.PlaceSeen, wording.Facts{Count: miles}))
}

// farthest is how far away anybody can be, in miles; what is beyond counts as that.
const farthest = 500

// locate remembers where the car stands and answers how far that is, in miles by
// road.
func (t *turn) locate(e *Enquiry, at diary.Point) (miles int) {
	e.Place = &Place{Lat: at.Lat, Lon: at.Lon, Within: at.Within}
	miles = t.milesTo(at)
	e.Answers[askMiles] = []string{strconv.Itoa(miles)}
	return miles
}

// milesTo is how far it is from here to a point, in miles by road.
func (t *turn) milesTo(at diary.Point) int {
	const kmPerMile = 1.609344
	km := math.Hypot(diary.Distance(t.base(), at), at.Within)
	// From the far side of the earth a price would be no use, and is refused.
	return min(farthest, int(math.Ceil(km*t.Rules.Diary.RoadFactor/kmPerMile)))
}

// miles is a distance in miles: not what a car has run, nor what it runs in a year.
var miles = regexp.MustCompile(`(?i)\b([0-9]{1,3}) ?(miles?|mi)\b( (a|per) (year|day|week|month|gallon)| on the clock| on it)?`)

// wordsBeforeMiles is a number written out, with its miles.
var wordsBeforeMiles = regexp.MustCompile(`(?i)\b[a-z]+ miles?\b`)

// milesSaid is the one distance a text names, in figures or in words.
func milesSaid(text string) (string, bool) {
	text = wordsBeforeMiles.ReplaceAllStringFunc(text, func(said string) string {
		word, unit, _ := strings.Cut(said, " ")
		if n, ok := numbers[strings.ToLower(word)]; ok && n >= 1 {
			return strconv.Itoa(int(n)) + " " + unit
		}
		return said
	})
	found := miles.FindAllStringSubmatch(text, -1)
	if len(found) != 1 || found[0][3] != "" {
		return "", false
	}
	return found[0][1], true
}

// readMiles takes a postcode, or its first half, or a number of miles.
func readMiles(t *turn, e *Enquiry, text string) ([]string, bool) {
	if at, ok := diary.Outward(strings.ToUpper(text)); ok {
		t.locate(e, at)
		return e.Answers[askMiles], true
	}
	if n, said := milesSaid(t.asRead(text)); said && !t.isQuestion(text) {
		return []string{n}, true
	}
	if t.inOurTown(text) {
		return []string{distances[0].key}, true
	}
	if minutesSaid.MatchString(text) {
		return nil, false // how long the way takes is no distance
	}
	fields := strings.Fields(wording.Plain(text))
	if roughly := slices.Concat(t.typed(wording.SayRoughly), t.typed(wording.SayBeside)); len(fields) > 1 {
		fields = slices.DeleteFunc(fields, func(w string) bool { return slices.Contains(roughly, w) })
	}
	if len(fields) == 0 {
		return nil, false
	}
	n, err := strconv.Atoi(fields[0])
	if err != nil || n < 0 || n > farthest {
		return nil, false
	}
	return []string{strconv.Itoa(n)}, true
}

func undoMiles(_ *turn, e *Enquiry) { e.Place = nil }
