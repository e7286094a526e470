package conversations

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// Before the first job there is nothing to learn from but memory: "golf estate,
// inside and out, took me 5 hours". Three such jobs make a first setting.

// took is where a remembered job says how long.
var took = regexp.MustCompile(`(?i)[,;.]?\s*\b(?:it |this |that )?took (?:me |us )?(?:about |around |roughly |some )?(.+)$`)

// enoughRecalled is how many remembered jobs make a first setting, mostRecalled how
// many are kept.
const (
	enoughRecalled = 3
	mostRecalled   = 10
)

// recall takes a job the owner remembers, and reports whether the text was one.
func (t *turn) recall(c *Chat, text string) bool {
	what, long, said := t.tookSaid(text)
	if !said || what == "" {
		return false // nothing, or minutes of the job in hand
	}
	minutes, ok := lasting(long)
	if !ok {
		t.tell(c.ID, wording.OwnerRecallHow, wording.Facts{})
		return true
	}
	e := &Enquiry{ID: noEnquiry, Answers: map[string][]string{askSite: {"own"}}}
	t.hear(e, what)
	f := wording.Facts{Car: carName(e), Minutes: minutes}
	if e.Car == nil && len(e.Cars) > 0 {
		e.Car = &e.Cars[0] // alike enough for the time they take
		f.Car = carName(e)
	}
	if e.Car == nil || len(e.Answers[askWants]) == 0 {
		t.tell(c.ID, wording.OwnerRecallHow, f)
		return true
	}
	q, err := t.file.Quote(t.priced(e))
	if err != nil || q.Refused != "" {
		t.tell(c.ID, wording.OwnerRecallHow, f)
		return true
	}
	var l Learned
	t.read(learnedKey, &l)
	if len(t.out.Need) > 0 {
		return true // comes again with it
	}
	l.Recalled = append(l.Recalled, t.file.Timed(q, float64(minutes)))
	if extra := len(l.Recalled) - mostRecalled; extra > 0 {
		l.Recalled = l.Recalled[extra:]
	}
	t.write(learnedKey, nil, l)
	f.Text = t.wanted(e)
	f.Hours, f.Now = t.exactly(minutes), t.exactly(toFive(q.Minutes.Likely))
	f.Count = len(l.Recalled)
	f.Minutes = max(0, enoughRecalled-len(l.Recalled))
	t.tell(c.ID, wording.OwnerRecalled, f, t.runRow(named{runForget + strconv.Itoa(len(l.Recalled)), wording.LabelForgetThat}))
	if len(l.Recalled) >= enoughRecalled {
		t.tellLearned(c, l)
	}
	return true
}

// tookSaid cuts a text where it says how long something took: what that was, and how
// long, in the words lasting reads. In another language than those the words are its
// own, with a time behind them.
func (t *turn) tookSaid(text string) (what, long string, ok bool) {
	if at := took.FindStringSubmatchIndex(text); at != nil {
		return strings.TrimSpace(text[:at[0]]), text[at[2]:at[3]], true
	}
	words := strings.Fields(text)
	for i := range words {
		for n := min(mostTook, len(words)-i-1); n > 0; n-- {
			if t.means(strings.Join(words[i:i+n], " "), wording.SayTook) {
				return strings.Trim(strings.Join(words[:i], " "), ",;."), t.asRead(strings.Join(words[i+n:], " ")), true
			}
		}
	}
	return "", "", false
}

// mostTook is of how many words "it took me" may be.
const mostTook = 3

// exactly words a length of time to the minute: "4 hours 15 minutes".
func (t *turn) exactly(minutes int) string {
	return t.word(wording.LengthExact, wording.Facts{Minutes: minutes})
}

// forgetRecalled takes back the remembered job told last.
func (t *turn) forgetRecalled(c *Chat, n string) {
	var l Learned
	t.read(learnedKey, &l)
	if len(t.out.Need) > 0 {
		return
	}
	if len(l.Recalled) == 0 || strconv.Itoa(len(l.Recalled)) != n {
		t.showLearned(c)
		return
	}
	l.Recalled = l.Recalled[:len(l.Recalled)-1]
	t.write(learnedKey, nil, l)
	t.tell(c.ID, wording.OwnerRecallForgotten, wording.Facts{Count: len(l.Recalled)})
}

var (
	clockLength = regexp.MustCompile(`^([0-9]{1,2}):([0-5][0-9])$`)
	lengthPart  = regexp.MustCompile(`([0-9]+(?:\.[0-9]+)?|[a-z½¼¾]+)\s*(½|¼|¾)?\s*(hours?|hrs?|h|minutes?|mins?|m|days?)?`)
	numbers     = map[string]float64{"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
		"eleven": 11, "twelve": 12, "half": 0.5, "quarter": 0.25, "½": 0.5, "¼": 0.25, "¾": 0.75, "fifteen": 15, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "ninety": 90}
)

// lasting reads how long something took, in minutes: "5 hours", "four and a half
// hours", "2h30", "3:15", "an hour and a half", "90 minutes".
func lasting(text string) (int, bool) {
	text = strings.Trim(strings.ToLower(text), " .,!")
	if m := clockLength.FindStringSubmatch(text); m != nil {
		h, _ := strconv.Atoi(m[1])
		n, _ := strconv.Atoi(m[2])
		return sane(60*float64(h) + float64(n))
	}
	text = strings.NewReplacer("half an hour", "30 minutes", "three quarters of an hour", "45 minutes", "quarter of an hour", "15 minutes",
		" and a half hours", " ½ hours", " and a half", " ½", " and a quarter hours", " ¼ hours", " and a quarter", " ¼", "-", " ", " and ", " ").Replace(text)
	var sum float64
	unit, any := 60.0, false
	for _, m := range lengthPart.FindAllStringSubmatch(text, -1) {
		n, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			var known bool
			if n, known = numbers[m[1]]; !known {
				if any {
					break
				}
				return 0, false
			}
		}
		n += numbers[m[2]]
		switch {
		case strings.HasPrefix(m[3], "h"):
			unit = 60
		case strings.HasPrefix(m[3], "m"):
			unit = 1
		case strings.HasPrefix(m[3], "d"):
			unit = 8 * 60
		case any && n >= 1:
			unit = 1 // "2h30"
		case !any && n >= 15:
			unit = 1 // a bare number that large is minutes
		}
		sum += n * unit
		any = true
	}
	if !any {
		return 0, false
	}
	return sane(sum)
}

// sane bounds what one job can take.
func sane(minutes float64) (int, bool) {
	const longest = 3 * 24 * 60
	n := int(math.Round(minutes))
	return n, n >= 5 && n <= longest
}
