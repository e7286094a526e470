package conversations

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The owner grades what he sees, on a photo before he agrees or on the car when
// it stands before him. What that makes of time and price is worked out by the
// same rules, and the customer agrees before it counts. Both versions are kept.

// The question names of grading and of agreeing to what came of it.
const (
	pressGrade  = "grade"
	pressAgree  = "agree"
	pressExtra  = "extra"
	gradePanel  = "panel"
	gradeAsk    = "ask"
	gradeRefer  = "refer"  // something for another trade
	gradePhoned = "phoned" // agreed without a tap: on the telephone, or standing there
	agreeYes    = "yes"
	agreeKeep   = "keep" // keep the money, change the work
	agreeMore   = "more" // keep the money, have more done
	agreeNo     = "no"
)

// gradable are the areas of this car that the work depends on.
func (t *turn) gradable(e *Enquiry) []pricing.AreaRule {
	var out []pricing.AreaRule
	for _, a := range t.Rules.Areas() {
		if t.touched(e, a.ID) {
			out = append(out, a)
		}
	}
	return out
}

// gradePressed takes the owner's presses on the grading panel.
func (t *turn) gradePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Stage != Waits && e.Stage != Booked || p.rev != e.Rev {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	area, grade, set := strings.Cut(p.choice, ":")
	switch {
	case p.choice == gradePanel:
		t.panel(e)
	case p.choice == gradeAsk:
		t.askAgain(e)
	case p.choice == gradePhoned:
		t.settle(e, wording.AgreedByWord)
	case p.choice == gradeRefer:
		t.offerReferrals(e)
	case set && area == gradeRefer:
		t.referred(e, grade)
		t.panel(e)
	case set:
		t.grade(e, pricing.Area(area), grade)
		t.panel(e)
	default:
		t.askGrade(e, pricing.Area(area))
	}
}

// askGrade offers the four descriptions of one area.
func (t *turn) askGrade(e *Enquiry, area pricing.Area) {
	for _, a := range t.gradable(e) {
		if a.ID != area {
			continue
		}
		f := wording.Facts{Text: a.Name}
		var row []bot.Choice
		for i, g := range a.Grades {
			n := strconv.Itoa(i + 1)
			f.Items = append(f.Items, n+" – "+g)
			row = append(row, bot.Choice{Label: n, Data: press{e.ID, e.Rev, pressGrade, string(area) + ":" + n}.data()})
		}
		t.expectFromOwner(typingGrade+":"+string(area), e)
		t.tell(t.Owner, wording.OwnerGrade, f, append([][]bot.Choice{row}, t.presses(e, pressGrade, named{gradePanel, wording.LabelBack})...)...)
		return
	}
	t.panel(e)
}

// grade sets what the owner sees, and works out what comes of it.
func (t *turn) grade(e *Enquiry, area pricing.Area, grade string) {
	n, err := strconv.Atoi(grade)
	if err != nil || n < int(pricing.Light) || n > int(pricing.Severe) {
		return
	}
	if e.Graded == nil {
		e.Graded = map[pricing.Area]pricing.Grade{}
	}
	e.Graded[area] = pricing.Grade(n)
	e.Rev++
	t.reckon(e)
}

// reckon works out the price as things are seen now, beside the agreed one.
func (t *turn) reckon(e *Enquiry) {
	if t.reckonTasks(e) {
		return
	}
	asked := t.priced(e)
	if e.Quote.Budget > 0 {
		asked.Budget = pricing.Pence(e.Quote.Budget) // the figure they agreed to last
	}
	fitted, err := t.fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: pricing enquiry %s anew: %w", e.ID, err))
		return
	}
	e.Seen = t.asAgreed(e, t.remember(fitted, asked.Budget, asked.Wants...))
	e.Seen.Of = t.digest(asked)
	t.handled(asked, e.Seen, e.ByHand)
}

// panel shows the owner the areas, and what his grades make of the price, behind what is to
// be said first.
func (t *turn) panel(e *Enquiry, first ...string) {
	f := t.card(e)
	f.Now = strings.Join(first, " ")
	f.In, f.Items, f.Out, f.Text, f.Price = nil, nil, nil, "", t.brief(e.Quote)
	for _, a := range t.gradable(e) {
		said := e.answer(askCond + string(a.ID))
		line := a.Name + ": " + t.label(wording.RestsUnasked)
		if said == choiceTell {
			said = ""
		}
		if said != "" {
			line = t.grading(a, said)
		}
		if atoi(said) < 0 {
			said = "" // they weren't sure: nothing to compare with
		}
		if g := e.Graded[a.ID]; g > 0 {
			line = t.word(wording.LineSeen, wording.Facts{Text: a.Name, Count: int(g), Question: said})
		}
		f.In = append(f.In, line)
	}
	rows := slices.Concat(t.partRows(e), t.byHandRow(e))
	if e.Seen != nil {
		f.Text = t.brief(e.Seen)
		f.Hours = t.length(e.Seen.P50)
		f.Items, f.Out = gained(e.Seen, e.Quote), gained(e.Quote, e.Seen)
		if e.Seen.NeedSee != "" || e.Seen.Refused != "" {
			f.Question = e.Seen.NeedSee + e.Seen.Refused
		}
		rows = append(rows, t.presses(e, pressGrade, named{gradeAsk, wording.LabelAskTheirYes}, named{gradePhoned, wording.LabelTheySaidYes})...)
	}
	rows = append(rows, t.presses(e, pressGrade, named{gradeRefer, wording.LabelForSomebodyElse})...)
	if e.Stage == Booked {
		rows = append(rows, t.presses(e, pressExtra, named{gradePanel, wording.LabelExtra})...)
	}
	if t.atTheCar(e) && !e.working() {
		rows = append(rows, t.jobRow(e, named{jobStart, wording.LabelStartWork}))
	}
	if e.Stage == Waits && !isGuest(e.Chat) {
		rows = append(rows, t.presses(e, pressQuery, named{choiceBack, wording.LabelBack})...)
	}
	t.expectFromOwner(typingPanel, e)
	t.tell(t.Owner, wording.OwnerPanel, f, rows...)
}

// expectFromOwner makes the owner's next text an answer, if he is the one who acts.
func (t *turn) expectFromOwner(what string, e *Enquiry) {
	if t.byOwner() {
		t.expect(t.chat(t.Owner), what, e)
	}
}

// gradeTyped takes a grade that is typed, "4" or "4 really bad", and reports whether it
// was one.
func (t *turn) gradeTyped(e *Enquiry, area, text string) bool {
	words := strings.Fields(wording.Plain(text))
	const mostWords = 6
	if len(words) == 0 || len(words) > mostWords || len(words[0]) != 1 || words[0] < "1" || words[0] > "4" || e.Stage != Waits && e.Stage != Booked {
		return false
	}
	t.grade(e, pricing.Area(area), words[0])
	t.panel(e)
	return true
}

// askAgain puts the new price before the customer, with what has changed.
func (t *turn) askAgain(e *Enquiry) {
	if e.Seen == nil {
		t.panel(e)
		return
	}
	f := t.changed(e)
	e.Rev++
	t.tell(t.Owner, wording.OwnerAskedAgain, t.toOwnerAs(f, e.Seen))
	if e.Stage == Waits {
		f.Now = string(Waits) // nobody has stood before the car yet
	}
	if t.chat(e.Chat).Blocked {
		return
	}
	ways := []named{{agreeYes, wording.LabelGoAhead}}
	// A price he has set by hand is for this work, whatever the rules could leave out.
	byRules := e.ByHand == nil || e.ByHand.Pence == 0
	if e.Seen.High > e.Quote.High && f.Question == "" && byRules {
		ways = append(ways, named{agreeKeep, wording.LabelKeepMoney})
	}
	if more := t.more(e); more != nil && byRules {
		f.Why = gained(more, e.Seen)
		ways = append(ways, named{agreeMore, wording.LabelSameMoney})
	}
	ways = append(ways, named{agreeNo, wording.LabelRatherNot})
	t.tell(e.Chat, wording.AskSeen, f, t.presses(e, pressAgree, ways...)...)
}

// changed are the facts of an agreed price and the one that is to take its place.
func (t *turn) changed(e *Enquiry) wording.Facts {
	f := t.agreed(e)
	if f.Text = t.brief(e.Quote); f.Text == t.brief(e.Seen) {
		f.Text = "" // nothing to compare with
	}
	if e.unpriced() {
		f.Text = t.word(wording.PriceToCome, f)
	}
	f.Likely, f.Most = t.pounds(e.Seen.Likely), t.pounds(e.Seen.High)
	f.Price = t.word(wording.PriceRange, f)
	f.Hours = t.length(e.Seen.P50)
	f.Budget = t.pounds(e.Quote.High)
	f.Refer = e.Seen.Refer
	f.In, f.Out = gained(e.Seen, e.Quote), gained(e.Quote, e.Seen)
	f.Items, f.Question = nil, ""
	if slices.ContainsFunc(e.Extra, func(x string) bool { return !slices.Contains(e.Quote.Tasks, x) }) && len(f.In) > 0 {
		f.Question = "extra"
		return f
	}
	for _, a := range t.Rules.Areas() {
		if g := e.Graded[a.ID]; g > 0 && e.answer(askCond+string(a.ID)) != strconv.Itoa(int(g)) {
			f.Items = append(f.Items, a.Name+": "+a.Grades[g-1])
		}
	}
	return f
}

// agreePressed takes the customer's answer to a new price.
func (t *turn) agreePressed(c *Chat, e *Enquiry, p press, w bot.Tap) {
	if e.Seen == nil || p.rev != e.Rev || e.Stage != Waits && e.Stage != Booked {
		t.staleVisit(c, e)
		return
	}
	t.takeOff(w)
	switch p.choice {
	case agreeYes:
		t.settle(e, wording.AgreedSeen)
	case agreeKeep:
		t.keepMoney(e)
	case agreeMore:
		t.spendSaved(e)
	default:
		e.Seen, e.ByHand = nil, nil
		e.Extra = slices.DeleteFunc(e.Extra, func(x string) bool { return !slices.Contains(e.Quote.Tasks, x) })
		e.Rev++
		t.tell(e.Chat, wording.NotAgreed, t.agreed(e))
		t.tellNotAgreed(e)
	}
}

// tellNotAgreed tells the owner that a new price was not agreed to, with the ways on from
// there.
func (t *turn) tellNotAgreed(e *Enquiry) {
	ways := t.ownerWays(e)
	switch {
	case e.Stage == Waits:
		ways = t.cardWays(e)
	case e.working():
		ways = [][]bot.Choice{t.jobRow(e, named{jobStep, wording.LabelCarryOn}), {t.own(e, pressWrite)}}
	case t.atTheCar(e):
		ways = [][]bot.Choice{t.jobRow(e, named{jobStart, wording.LabelStartWork}, named{jobGrades, wording.LabelGrades}), {t.own(e, pressWrite)}}
	}
	f := t.agreed(e)
	f.Name = e.Name
	if t.Owner != 0 {
		t.tell(t.Owner, wording.OwnerNotAgreed, t.toOwnerAs(f, e.Quote), ways...)
	}
}

// toOwnerAs are facts with a price as the owner reads it: it is not him who is asked before
// it goes higher.
func (t *turn) toOwnerAs(f wording.Facts, q *Quoted) wording.Facts {
	f.Price = t.brief(q)
	return f
}

// settle puts the new price in the place of the agreed one, which is kept beside
// it. What was only asked for is booked by it, if that is what the owner asked their yes
// to; other work for the money is put before him.
func (t *turn) settle(e *Enquiry, k wording.Key) {
	if e.Seen == nil {
		t.panel(e)
		return
	}
	f := t.changed(e)
	e.Before = append(e.Before, *e.Quote)
	e.keepDropped(e.ByHand)
	e.Quote, e.Seen, e.ByHand = e.Seen, nil, nil
	e.Rev++
	was := e.Slot.End
	fits := t.lengthen(e)
	if e.Stage == Waits {
		if k != wording.AgreedKept && k != wording.AgreedMore {
			t.approve(e)
		} else {
			if !t.chat(e.Chat).Blocked {
				t.tell(e.Chat, k, f)
				t.tell(e.Chat, wording.KeptAsked, wording.Facts{})
			}
			f.Name = e.Name
			t.tell(t.Owner, wording.OwnerKept, f, t.cardWays(e)...)
		}
		if !fits {
			t.tell(t.Owner, wording.WarnNextJob, f)
		}
		return
	}
	t.say(bot.Message{Chat: e.Chat, Text: joinLines(t.word(k, f), t.readyNow(e, was)), Kind: string(k)})
	if !fits {
		f.Items = []string{t.word(wording.WarnNextJob, f)}
	} else {
		f.Items = nil
	}
	ways := t.ownerWays(e)
	switch {
	case e.working():
		ways = [][]bot.Choice{t.jobRow(e, named{jobStep, wording.LabelCarryOn})}
	case t.atTheCar(e):
		ways = [][]bot.Choice{t.jobRow(e, named{jobGrades, wording.LabelGrades}, named{jobStart, wording.LabelStartWork})}
	}
	t.tell(t.Owner, wording.OwnerAgreed, t.toOwnerAs(f, e.Quote), ways...)
}

// brief is a price for somebody who has read it before.
func (t *turn) brief(q *Quoted) string {
	return t.word(wording.PriceBrief, wording.Facts{Likely: t.pounds(q.Likely), Most: t.pounds(q.High)})
}

// lengthen gives a job whose price has changed the time it now needs. It reports
// false if the diary has not got it.
func (t *turn) lengthen(e *Enquiry) bool {
	end, ok := t.doneBy(e)
	if !ok || !end.After(e.Slot.End) {
		return ok
	}
	kind := diary.Booked
	if e.Stage == Waits {
		kind = diary.Asked
	}
	longer := Span{e.Slot.Start, end}
	if !t.occupy(e, e.ID, longer, kind) {
		return false
	}
	e.Slot = &longer
	e.Changes++
	if e.Stage == Booked {
		t.keepInMind(e)
	}
	return true
}

// doneBy is when a job that begins at the time it has is done by what its price says
// it takes. What was laid over a break or over several days stops for those; what was
// not is done in one go, even past closing, but not past midnight. It reports false if
// there are not the days for it.
func (t *turn) doneBy(e *Enquiry) (end time.Time, ok bool) {
	r := t.diaryRules()
	start, need := e.Slot.Start.In(t.Zone), t.need(e.Quote)
	if end = start.Add(need); len(r.Stretches(start, e.Slot.End)) == 1 {
		for _, pause := range r.Breaks(start) {
			if pause.Start.Before(e.Slot.End) && pause.Start.After(start) {
				end = end.Add(pause.End.Sub(pause.Start))
			}
		}
		if diary.Key(end, t.Zone) == diary.Key(start, t.Zone) {
			return end, true
		}
	}
	return r.Over(t.wish(e), start)
}

// keepMoney fits the work to the most that was agreed: what one part needs less
// goes to what the customer wants most.
func (t *turn) keepMoney(e *Enquiry) {
	asked := t.priced(e)
	asked.Budget = pricing.Pence(e.Quote.High)
	fitted, err := t.fit(asked)
	if err != nil {
		t.fail(fmt.Errorf("conversations: fitting enquiry %s anew: %w", e.ID, err))
		return
	}
	e.Seen = t.remember(fitted, asked.Budget, asked.Wants...)
	e.Seen.Of = t.digest(asked)
	t.settle(e, wording.AgreedKept)
}
