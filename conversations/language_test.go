package conversations_test

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
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
	var missing map[string][]string
	if tk.Languages, missing = conversations.Languages(tk.Rules, others); len(missing) > 0 {
		t.Fatalf("the shipped rules have no words for %q", missing)
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
	body, _, _ = strings.Cut(body, "\nrules:\n")
	body = regexp.MustCompile(`(?m)^ *#.*$|^  (say-|label-)[a-z-]*:.*$|^  [a-z][a-z-]*:|^ +`).ReplaceAllString(body, "")
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
	texts := slices.DeleteFunc(pricing.DefaultRules().Read(), func(s string) bool { return len(s) < 12 })
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
		case "sheet":
			return // in the words of the rules file
		}
		p.mixed = p.mixed || p.began != p.language(boss)
		if m.Chat == boss && p.mixed {
			return // what waited while his hands were full is as it was said
		}
		read := m.Text
		for _, row := range m.Choices {
			for _, c := range row {
				read += "\n" + c.Label
			}
		}
		wrong := polish
		if p.language(m.Chat) == "pl" {
			wrong = english
			if m.Chat != boss {
				wrong = slices.Concat(english, texts)
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
	in, missing := conversations.Languages(rules, others)
	if got := missing["pl"]; len(got) != 1 || got[0] != "Every last hair pulled out" {
		t.Errorf("named are %q", missing)
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
