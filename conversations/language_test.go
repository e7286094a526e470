package conversations_test

import (
	"fmt"
	"html"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/jobsheet"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// inLanguages is a business that talks in every language there is.
func inLanguages(t tb, tk conversations.Talk) conversations.Talk {
	t.Helper()
	others, err := wording.Others()
	if err != nil {
		t.Fatalf("words: %v", err)
	}
	if tk.Languages, err = conversations.Languages(tk.Rules, others); err != nil {
		t.Fatalf("languages: %v", err)
	}
	for _, l := range tk.Languages {
		if len(l.Without) > 0 || l.Sheet == nil {
			t.Fatalf("%s has no words for %q of the shipped rules", l.Words.Language(), l.Without)
		}
	}
	return tk
}

// fragments are what stands between the facts in the sentences of a language, where
// it is long enough to be known again and is not quoted in the other one.
func fragments(t tb, name, other string) []string {
	t.Helper()
	src, err := os.ReadFile("wording/" + name)
	if err != nil {
		t.Fatalf("%v", err)
	}
	quoted, err := os.ReadFile("wording/" + other)
	if err != nil {
		t.Fatalf("%v", err)
	}
	_, body, _ := strings.Cut(string(src), "\nsentences:\n")
	body, rest, _ := strings.Cut(body, "\nrules:\n")
	// The job sheet's own lines are in a file of their own, or the last part of this.
	_, sheet, _ := strings.Cut(rest, "\nsheet:\n")
	if sheet == "" {
		own, err := os.ReadFile("jobsheet/" + name)
		if err != nil {
			t.Fatalf("%v", err)
		}
		sheet = string(own)
	}
	body += "\n" + regexp.MustCompile(`(?m)^(language|days|months|decimal):`).ReplaceAllString(sheet, "#")
	body = regexp.MustCompile(`(?m)^ *#.*$|^  (say-|label-)[a-z-]*:.*$|^ {0,2}[a-z][a-z-]*:|^ +`).ReplaceAllString(body, "")
	var out []string
	for _, part := range regexp.MustCompile(`\{\{[^}]*\}\}|\n|[„”"]`).Split(body, -1) {
		part = strings.TrimSpace(part)
		letters := strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) {
				return r
			}
			return -1
		}, part)
		if len([]rune(letters)) >= 12 && strings.Contains(part, " ") && !strings.Contains(string(quoted), part) {
			out = append(out, part)
		}
	}
	if len(out) < 500 {
		t.Fatalf("only %d fragments in %s", len(out), name)
	}
	return out
}

// Whatever people do, nobody is told anything in a language that is not theirs, also
// not where the other side reads another, and where they have changed it half-way.
func TestEverybodyIsToldInTheirLanguage(t *testing.T) {
	english, polish := fragments(t, "en-GB.yaml", "pl.yaml"), fragments(t, "pl.yaml", "en-GB.yaml")
	rules := pricing.DefaultRules()
	short := func(s string) bool { return len(s) < 12 }
	texts, atWork := slices.DeleteFunc(rules.Read(), short), slices.DeleteFunc(rules.ReadAtWork(), short)
	tk := inLanguages(t, talk(t))
	begun := map[string]*office{}
	for name, o := range stages(t, tk) {
		mias := o.fork()
		mias.say(mia, "po polsku")
		begun[name+", Mia reads Polish"] = mias
		owners := o.fork()
		owners.say(boss, "po polsku")
		begun[name+", the owner reads Polish"] = owners
		both := mias.fork()
		both.say(boss, "po polsku")
		begun[name+", both read Polish"] = both
	}
	anything(t, begun, func(p *play, m bot.Message) {
		switch m.Kind {
		case string(wording.TermsToKeep):
			return // as agreed to then
		}
		p.mixed = p.mixed || p.began != p.language(boss)
		if m.Chat == boss && p.mixed {
			return // what waited while his hands were full is as it was said
		}
		read := m.Text
		if m.Kind == "sheet" && m.File != nil {
			_, page, _ := strings.Cut(string(m.File.Data), "<body>")
			read += html.UnescapeString(page)
		}
		for _, row := range m.Choices {
			for _, c := range row {
				read += "\n" + c.Label
			}
		}
		wrong := polish
		if p.language(m.Chat) == "pl" {
			wrong = slices.Concat(english, atWork)
			// A price that was made before the owner chose another language stays on
			// his card in the words it had.
			if m.Chat != boss || m.Kind == "sheet" || m.Kind == "step" {
				wrong = slices.Concat(wrong, texts)
			}
		}
		for _, f := range wrong {
			if strings.Contains(read, f) {
				p.t.Fatalf("%s, who reads %q, is told %q\nwhere %q is another language", names[m.Chat], p.language(m.Chat), read, f)
			}
		}
	})
}

// language is the language somebody reads, as it is kept.
func (p *play) language(who bot.ChatID) string {
	if who == boss {
		return read[pricing.Layer](p.office, conversations.LayerKey).Language
	}
	return read[conversations.Chat](p.office, fmt.Sprintf("chat:%d", who)).Reads
}

// Somebody's language comes from their telephone with the first message, and from
// their own word or tap after that. A price that stands is put in the new words, with
// the same numbers, and the owner's card stays in his.
func TestChoosingALanguage(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	write := func(text, program string) bot.Message {
		o.last++
		o.do(bot.Event{Op: fmt.Sprint("u", o.last), Chat: mia, From: bot.Person{ID: mia, Name: "Mia", Language: program}, What: bot.Text{Body: text, Message: o.last}})
		return o.lastTo(mia)
	}
	if m := write("/start", "pl-PL"); !strings.HasPrefix(m.Text, "Dzień dobry, Mia") {
		t.Fatalf("a telephone in Polish is told %q", m.Text)
	}
	if m := write("in english", "pl-PL"); !strings.HasPrefix(m.Text, "All right, in English") || !strings.Contains(m.Text, "What car is it?") {
		t.Errorf("who asks for English is told %q", m.Text)
	}
	o.priced(mia, "Ford Fiesta")
	before := o.enquiry(mia).Quote
	m := write("po polsku", "pl-PL")
	after := o.enquiry(mia).Quote
	if !strings.Contains(m.Text, "Nasza cena orientacyjna, Ford Fiesta: zapewne ") {
		t.Errorf("who asks for Polish is told %q", m.Text)
	}
	if before.Likely != after.Likely || before.High != after.High || before.Rules != after.Rules {
		t.Errorf("the price was %+v and is %+v", before, after)
	}
	if len(after.In) != len(before.In) || after.In[0] == before.In[0] || after.Other[""].In[0] != before.In[0] {
		t.Errorf("kept are %q, and beside them %q", after.In, after.Other)
	}
	o.tap(mia, "‹ Wróć")
	write("ustawienia", "pl-PL")
	o.tap(mia, "In English")
	if m := o.lastTo(mia); !strings.Contains(m.Text, "Reminders when protection is due") || m.Choices[len(m.Choices)-1][0].Label != "Po polsku" {
		t.Errorf("a tap on English leads to %q, %+v", m.Text, m.Choices)
	}
	// "stop" is understood by everybody.
	write("po polsku", "pl-PL")
	if m := write("stop", "pl-PL"); !strings.HasPrefix(m.Text, "Gotowe, Mia, już nie piszemy") {
		t.Errorf("who stops is told %q", m.Text)
	}
	// A language nobody has words for is the business's own.
	o.last++
	o.do(bot.Event{Op: "first", Chat: zoe, From: bot.Person{ID: zoe, Name: "Zoe", Language: "fr"}, What: bot.Text{Body: "/start", Message: o.last}})
	if m := o.lastTo(zoe); !strings.HasPrefix(m.Text, "Hello Zoe") {
		t.Errorf("a telephone in French is told %q", m.Text)
	}
}

// A new price is put before a customer in one language, though only the owner acted while
// it was made: what has not changed is in the work of both, and neither added nor gone.
func TestANewPriceIsInTheCustomersLanguage(t *testing.T) {
	for his, words := range map[string][2]string{"in english": {"Price", "Ask for their yes"}, "po polsku": {"Price", "Poproś o zgodę"}} {
		o := newOffice(t, inLanguages(t, talk(t)))
		o.asked(mia, "Ford Fiesta")
		o.say(mia, "po polsku")
		o.tap(boss, "Adjust")
		o.say(boss, his)
		o.tap(boss, words[0])
		o.say(boss, "95")
		e := o.enquiry(mia)
		if e.Seen == nil || e.Seen.Language != "pl" || !slices.Equal(e.Seen.In, e.Quote.In) {
			t.Fatalf("%s: the new price is %+v", his, e.Seen)
		}
		o.tap(boss, words[1])
		if m := o.lastTo(mia); !strings.Contains(m.Text, "95 £") || strings.Contains(m.Text, "Dochodzi") || strings.Contains(m.Text, "Odpada") {
			t.Errorf("%s: she is told %q", his, m.Text)
		}
	}
}

// The owner chooses his own; what is set otherwise stays, and it can be taken back.
func TestTheOwnersLanguage(t *testing.T) {
	o := newOffice(t, inLanguages(t, talk(t)))
	o.say(boss, "what is set")
	o.tap(boss, "Po polsku")
	if m := o.lastTo(boss); !strings.HasPrefix(m.Text, "Dobrze, od teraz po polsku") {
		t.Errorf("he is told %q", m.Text)
	}
	o.say(boss, "dziś")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "W kalendarzu nic nie ma") {
		t.Errorf("his day is %q", m.Text)
	}
	o.say(boss, "stawka 42")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Stawka: odtąd 42 £ za godzinę; było 40 £ za godzinę") {
		t.Errorf("a rate is %q", m.Text)
	}
	o.say(boss, "in english", "undo", "dziś", "undo")
	o.say(boss, "today")
	if m := o.lastTo(boss); !strings.Contains(m.Text, "Nothing in the diary") {
		t.Errorf("with English taken back twice, his day is %q", m.Text)
	}
}

// What the owner's own rules have no words for is named at the start, not found out
// by a customer.
func TestTextsWithoutWordsAreNamed(t *testing.T) {
	src := strings.Replace(string(pricing.DefaultYAML()), "words: Pet hair pulled out", "words: Every last hair pulled out", 1)
	rules, err := pricing.ParseRules("mine.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	others, err := wording.Others()
	if err != nil {
		t.Fatal(err)
	}
	in, err := conversations.Languages(rules, others)
	if err != nil {
		t.Fatal(err)
	}
	if got := in[0].Without; len(got) != 1 || got[0] != "Every last hair pulled out" {
		t.Errorf("named are %q", got)
	}
	if in[0].Sheet != nil {
		t.Error("there is a job sheet with a line that has no words")
	}
	if task, _ := in[0].Rules.Task("pet-hair-out"); task.Words != "Every last hair pulled out" {
		t.Errorf("read is %q", task.Words)
	}
	if task, _ := rules.Task("wash"); task.Words != "Washed by hand, panel by panel" {
		t.Errorf("the owner's own rules say %q now", task.Words)
	}
	if in[0].Rules.Version() != rules.Version() {
		t.Error("other words are another version")
	}
}

// A job sheet in another language has every number of the English one, in the same
// order, and none of its words: mixes, times and cautions of all tasks there are.
func TestTheSheetInAnotherLanguage(t *testing.T) {
	tk := inLanguages(t, talk(t))
	english := append(fragments(t, "en-GB.yaml", "pl.yaml"), tk.Rules.ReadAtWork()...)
	number := regexp.MustCompile(`\d+([.,:]\d+)*`)
	job := func(rules *pricing.Rules, id string, warm bool) jobsheet.Job {
		j := jobsheet.Job{Customer: "Mia", Vehicle: pricing.VehicleFromBody(pricing.Estate, 4700), Warm: warm,
			Start: time.Date(2026, 12, 3, 13, 0, 0, 0, time.UTC), Sunset: time.Date(2026, 12, 3, 15, 50, 0, 0, time.UTC)}
		for _, f := range rules.Flags() {
			if f.Outcome != pricing.Refuse {
				j.Flags = append(j.Flags, f.ID)
			}
		}
		j.Work = []jobsheet.Work{{Task: id, Minutes: 95}, {Words: "Mia's own", Minutes: 5}}
		return j
	}
	page := func(rules *pricing.Rules, w *jobsheet.Words, id string, warm bool) string {
		s, err := jobsheet.New(rules, job(rules, id, warm))
		if err != nil {
			t.Fatal(err)
		}
		body, err := w.Page(s)
		if err != nil {
			t.Fatal(err)
		}
		_, read, _ := strings.Cut(string(body), "<body>")
		return html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(read, "\n")) + "\n" + strings.Join(w.Messages(s), "\n")
	}
	numbers := func(s string) []string {
		all := number.FindAllString(s, -1)
		for i := range all {
			all[i] = strings.Replace(all[i], ",", ".", 1)
		}
		return all
	}
	for _, l := range tk.Languages {
		for _, id := range tk.Rules.Order() {
			for _, warm := range []bool{false, true} {
				want, got := page(tk.Rules, tk.Sheet, id, warm), page(l.Rules, l.Sheet, id, warm)
				if a, b := numbers(want), numbers(got); !slices.Equal(a, b) {
					t.Errorf("%s, %s: the numbers are %q, in English %q", l.Words.Language(), id, b, a)
				}
				for _, f := range english {
					if len(f) > 5 && strings.Contains(got, f) {
						t.Errorf("%s, %s: the sheet says %q", l.Words.Language(), id, f)
					}
				}
			}
		}
	}
}

// What has no words makes the whole sheet stay as the rules have it, cautions and all,
// and the owner is told why.
func TestASheetIsNeverInTwoLanguages(t *testing.T) {
	src := strings.Replace(string(pricing.DefaultYAML()), "gloves: Nitrile gloves.", "gloves: Nitrile gloves, new ones.", 1)
	rules, err := pricing.ParseRules("mine.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	tk := talk(t)
	tk.Rules = rules
	others, err := wording.Others()
	if err != nil {
		t.Fatal(err)
	}
	if tk.Languages, err = conversations.Languages(rules, others); err != nil {
		t.Fatal(err)
	}
	o := newOffice(t, tk)
	o.booked(mia, "Ford Fiesta")
	o.tap(boss, "Job sheet")
	if m := o.lastTo(boss); m.Text != "To print." {
		t.Errorf("in English he is told %q", m.Text)
	}
	sheet := o.button(boss, "Job sheet")
	o.say(boss, "po polsku")
	o.event(boss, sheet)
	m := o.lastTo(boss)
	if !strings.HasPrefix(m.Text, "Do druku. Jest w brzmieniu z pliku zasad") {
		t.Errorf("he is told %q", m.Text)
	}
	if page := string(m.File.Data); !strings.Contains(page, "Job sheet") || !strings.Contains(page, "Nitrile gloves, new ones.") || strings.Contains(page, "Karta") {
		t.Errorf("the sheet is in %.200q", page)
	}
}
