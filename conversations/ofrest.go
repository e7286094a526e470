package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// ofRest are the pieces of work, of those a price leaves out, that a few words name by what
// they are done to: "with the leather please". What the price has already is none of them,
// and neither is what the words may mean of both.
func (t *turn) ofRest(e *Enquiry, text string) (tasks []string) {
	const most = 8 // words
	said := strings.Fields(t.spelled(text))
	if e.Quote == nil || e.Quote.NeedSee != "" || e.Quote.Refused != "" || len(said) > most || t.isQuestion(text) ||
		!t.pricePut(e) && !priceAgreed(t, e) || len(t.asksFor(t.heardIn(text))) > 0 && !t.namesSideOnly(text) {
		return nil
	}
	if slices.ContainsFunc(said, func(w string) bool { return slices.Contains(t.typed(wording.SayWithout), w) }) {
		return nil
	}
	q, err := t.quoted(t.priced(e))
	if err != nil {
		return nil // the price itself has said so
	}
	best := 0
	for _, line := range e.Quote.In {
		best = max(best, sharesWords(line, said))
	}
	for _, l := range t.nearest(q.Out) {
		switch n := sharesWords(l.Words, said); {
		case slices.Contains(e.Quote.Tasks, l.Task):
		case n > best:
			best, tasks = n, []string{l.Task}
		case n == best && len(tasks) > 0 && !t.related(l.Task, tasks[0]):
			return nil // two pieces of work: which is meant is not ours to say
		}
	}
	return tasks
}

// inTheList is the piece of work, of those a price leaves out, that a text names as it is said
// what it would add: "with one round of machine polishing"; empty if it names none.
func (t *turn) inTheList(e *Enquiry, text string) string {
	const least = 3 // words: fewer are what people say anyway
	if e.Quote == nil || e.Quote.NeedSee != "" || e.Quote.Refused != "" || !t.pricePut(e) || len(strings.Fields(text)) < least {
		return ""
	}
	fitted, err := t.fit(t.priced(e))
	if err != nil {
		return "" // the price itself has said so
	}
	said := " " + wording.Plain(text) + " "
	for _, l := range fitted.Quote.Out {
		name := wording.Plain(short([]string{forButton(l.Words)})[0])
		if len(strings.Fields(name)) >= least && strings.Contains(said, " "+name+" ") {
			return l.Task
		}
	}
	return ""
}

// namesSideOnly tells whether all that a text asks for is a side of the car, as which a seat
// or the leather counts too.
func (t *turn) namesSideOnly(text string) bool {
	return len(t.sidesOf(text)) == len(t.asksFor(t.heardIn(text)))
}

// related tells whether two pieces of work are levels of one.
func (t *turn) related(a, b string) bool {
	one, ok := t.Rules.Task(a)
	two, also := t.Rules.Task(b)
	return ok && also && one.Family != "" && one.Family == two.Family
}

// sharesWords counts the words of a text that stand in a line of a price, before its first comma
// or in what belongs to it; 0 where what the line is about is not among them.
func sharesWords(line string, said []string) (n int) {
	const least = 4 // letters of a word that says anything
	words := strings.Fields(wording.Plain(line))
	if len(words) == 0 || !slices.Contains(said, words[0]) || len(words[0]) < least {
		return 0
	}
	for _, w := range said {
		if len(w) >= least && slices.Contains(words, w) {
			n++
		}
	}
	return n
}
