package conversations

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The owner runs his business from the chat: "rate 42", "hours sat 9-1". What he
// sets lies over the rules file, is said back, and can be taken back.

// pressRun is the question name of the buttons to that, which belong to no enquiry.
const pressRun = "run"

// The presses. Those with a colon carry what they are about.
const (
	runShow    = "show"
	runChanges = "changes"
	runFile    = "file"
	runSet     = "set:"
	runUse     = "use:"
	runUndo    = "undo:"
	runLearn   = "learn:"
	runForget  = "forget:"
	runLearned = "learned"
	runSpeak   = "speak:"
	runFigures = "figures:"
)

// runRow is a row of these buttons.
func (t *turn) runRow(list ...named) []bot.Choice {
	var row []bot.Choice
	for _, n := range list {
		row = append(row, bot.Choice{Label: t.label(n.label), Data: press{noEnquiry, 0, pressRun, n.key}.data()})
	}
	return row
}

// runPressed takes a press on one of them.
func (t *turn) runPressed(c *Chat, choice string, w bot.Tap) {
	c.Setting = ""
	kind, about, _ := strings.Cut(choice, ":")
	switch kind + ":" {
	case runSet:
		t.askSetting(c, about)
		return
	case runUse:
		t.useProtection(c, about, w)
		return
	case runUndo:
		t.undoChange(c, about)
		return
	case runLearn:
		t.agreeTo(c, about, w)
		return
	case runSpeak:
		t.speakToOwner(c, about)
		return
	case runFigures:
		t.figures(c, about)
		return
	case runForget:
		t.forgetRecalled(c, about)
		return
	}
	switch choice {
	case runChanges:
		t.showChanges(c)
	case runFile:
		t.backToFile(c)
	case runLearned:
		t.showLearned(c)
	default:
		t.showSettings(c)
	}
}

// runSaid takes what the owner types about it, and reports whether it was that.
func (t *turn) runSaid(c *Chat, text string) bool {
	said := wording.Plain(text)
	if tag, ok := t.languageSaid(said); ok {
		c.Setting = ""
		t.speakToOwner(c, tag)
		return true
	}
	switch {
	case t.means(said, wording.SayWhatIsSet):
		c.Setting = ""
		t.showSettings(c)
		return true
	case t.means(said, wording.SayChanges):
		c.Setting = ""
		t.showChanges(c)
		return true
	case t.means(said, wording.SayLearned):
		c.Setting = ""
		t.showLearned(c)
		return true
	case t.means(said, wording.SayRecall):
		c.Setting = ""
		t.tell(c.ID, wording.OwnerRecallHow, wording.Facts{})
		return true
	case t.recall(c, text):
		c.Setting = ""
		return true
	case t.means(said, wording.SayUndo):
		c.Setting = ""
		t.undoChange(c, strconv.Itoa(t.layer.Version))
		return true
	}
	for _, d := range dials {
		for _, phrase := range t.typed(d.say) {
			rest, ok := after(text, phrase)
			switch {
			case !ok:
				continue
			case rest == "":
				t.askSetting(c, d.name)
			default:
				t.turnDial(c, d, rest)
			}
			return true
		}
	}
	return false
}

// settingSaid takes the owner's text as the value he is asked for.
func (t *turn) settingSaid(c *Chat, text string) bool {
	d := dialOf(c.Setting)
	first, _, _ := strings.Cut(strings.TrimSpace(text), " ")
	if d == nil || t.means(wording.Plain(first), wording.SayRang) {
		return false
	}
	t.turnDial(c, *d, text)
	return true
}

// after is what follows a phrase at the beginning of a text.
func after(text, phrase string) (rest string, ok bool) {
	text = strings.Join(strings.Fields(strings.ToLower(text)), " ")
	rest, ok = strings.CutPrefix(text, strings.ToLower(phrase))
	if !ok || rest != "" && !strings.ContainsAny(rest[:1], " :=") {
		return "", false
	}
	return strings.Trim(rest, " :="), true
}

// askSetting asks for a new value, or shows the ticks.
func (t *turn) askSetting(c *Chat, name string) {
	d := dialOf(name)
	if d == nil {
		t.showSettings(c)
		return
	}
	if d.read == nil {
		c.Setting = ""
		t.tell(c.ID, wording.OwnerProtections, wording.Facts{}, t.protectionTicks()...)
		return
	}
	c.Setting = d.name
	t.tell(c.ID, d.ask, wording.Facts{Text: t.label(d.label), Now: d.show(t.Words, t.Rules)})
}

// turnDial sets a value from words.
func (t *turn) turnDial(c *Chat, d dial, text string) {
	if d.read == nil {
		t.askSetting(c, d.name)
		return
	}
	next := t.layer
	if !d.read(t, text, &next) && !d.read(t, t.asRead(text), &next) {
		c.Setting = d.name
		t.tell(c.ID, d.ask, wording.Facts{Text: t.label(d.label), Now: d.show(t.Words, t.Rules), Question: brief(text)})
		return
	}
	f := wording.Facts{Text: t.label(d.label), Was: d.show(t.Words, t.Rules), Now: d.show(t.Words, t.file.Under(unversioned(next)))}
	if f.Now == f.Was {
		c.Setting = ""
		t.tell(c.ID, wording.OwnerSettingSame, f, t.runRow(named{runShow, wording.LabelWhatIsSet}))
		return
	}
	if t.setLayer(c, next, t.word(wording.LineChange, f)) {
		c.Setting = ""
		t.tell(c.ID, wording.OwnerSettingChanged, f, t.undoRow())
	}
}

// unversioned is a layer that counts, whatever its number.
func unversioned(l pricing.Layer) pricing.Layer {
	l.Version = max(1, l.Version)
	return l
}

// undoRow is what can be done after a change.
func (t *turn) undoRow() []bot.Choice {
	return t.runRow(named{runUndo + strconv.Itoa(t.layer.Version), wording.LabelUndo}, named{runShow, wording.LabelWhatIsSet})
}

// undoChange takes the last change back, if it is the one that is meant. That is a
// change as well, and can be undone.
func (t *turn) undoChange(c *Chat, version string) {
	last := t.lastChange()
	if len(t.out.Need) > 0 {
		return // comes again with the changes
	}
	if last == nil || strconv.Itoa(last.Version) != version {
		t.tell(c.ID, wording.OwnerUndoPast, wording.Facts{}, t.runRow(named{runShow, wording.LabelWhatIsSet}, named{runChanges, wording.LabelChanges}))
		return
	}
	f := wording.Facts{Text: last.What}
	if t.setLayer(c, last.Was, t.word(wording.LineUndone, f)) {
		t.tell(c.ID, wording.OwnerUndone, f, t.undoRow())
	}
}

// backToFile lets the rules file alone count again.
func (t *turn) backToFile(c *Chat) {
	if t.setLayer(c, pricing.Layer{Language: t.layer.Language}, t.label(wording.LabelBackToFile)) {
		t.tell(c.ID, wording.OwnerBackToFile, wording.Facts{}, t.undoRow())
	}
}

// showSettings shows all that can be set, and what of it is not as in the file.
func (t *turn) showSettings(c *Chat) {
	last := t.lastChange()
	f := wording.Facts{}
	var rows [][]bot.Choice
	var row []named
	for _, d := range dials {
		line := wording.Facts{Text: t.label(d.label), Now: d.show(t.Words, t.Rules)}
		if was := d.show(t.Words, t.file); was != line.Now {
			line.Was = was
		}
		f.Items = append(f.Items, t.word(wording.LineSetting, line))
		if row = append(row, named{runSet + d.name, d.label}); len(row) == 3 {
			rows, row = append(rows, t.runRow(row...)), nil
		}
	}
	rows = append(rows, t.runRow(row...))
	f.Items = append(f.Items, taught(t.Words, t.file, t.layer)...)
	if last != nil {
		f.Count, f.Name, f.When = last.Version, last.By, t.Words.Moment(last.At.In(t.Zone))
		rows = append(rows, t.runRow(named{runUndo + strconv.Itoa(last.Version), wording.LabelUndo}, named{runChanges, wording.LabelChanges}))
	}
	rows = append(rows, t.languageRow(c.ID, func(label, tag string) bot.Choice {
		return bot.Choice{Label: label, Data: press{noEnquiry, 0, pressRun, runSpeak + tag}.data()}
	}))
	t.tell(c.ID, wording.OwnerSettings, f, rows...)
}

// speakToOwner has the owner told everything in another language from now on. What
// customers read is theirs to choose.
func (t *turn) speakToOwner(c *Chat, tag string) {
	next := t.layer
	next.Language = tag
	words := t.native
	if l := t.other(tag); l != nil {
		words = l.Words
	}
	if t.setLayer(c, next, words.Label(wording.LabelLanguage)) {
		t.tell(c.ID, wording.LanguageTaken, wording.Facts{}, t.undoRow())
	}
}

// mostShown is how many changes are shown.
const mostShown = 10

// showChanges shows how it came to what is set, the latest first.
func (t *turn) showChanges(c *Chat) {
	var past Layers
	t.read(layersKey, &past)
	var f wording.Facts
	for _, ch := range slices.Backward(past.Changes) {
		if len(f.Items) < mostShown {
			f.Items = append(f.Items, t.word(wording.LineVersion, wording.Facts{Count: ch.Version, When: t.Words.Moment(ch.At.In(t.Zone)), Name: ch.By, Text: ch.What}))
		}
	}
	ways := []named{{runShow, wording.LabelWhatIsSet}}
	if len(past.Changes) > 0 {
		ways = append(ways, named{runUndo + strconv.Itoa(t.layer.Version), wording.LabelUndo}, named{runFile, wording.LabelBackToFile})
	}
	t.tell(c.ID, wording.OwnerChanges, f, t.runRow(ways...))
}

// protectionTicks are the protections, ticked where they are in use.
func (t *turn) protectionTicks() [][]bot.Choice {
	var rows [][]bot.Choice
	for _, p := range t.file.Optional() {
		label, choice := "✓ "+p.Words, "-"+p.ID
		if slices.Contains(t.layer.Unused, p.ID) {
			label, choice = p.Words, "+"+p.ID
		}
		rows = append(rows, []bot.Choice{{Label: label, Data: press{noEnquiry, 0, pressRun, runUse + choice}.data()}})
	}
	return append(rows, t.runRow(named{runShow, wording.LabelWhatIsSet}))
}

// useProtection takes a protection into use or out of it. The press names which,
// so that a double press does no more than one.
func (t *turn) useProtection(c *Chat, choice string, w bot.Tap) {
	if choice == "" {
		t.showSettings(c)
		return
	}
	id, use := choice[1:], choice[0] == '+'
	p, known := t.file.Protection(id)
	next := t.layer
	next.Unused = slices.DeleteFunc(slices.Clone(next.Unused), func(x string) bool { return x == id })
	k := wording.LineInUse
	if !use {
		next.Unused, k = append(next.Unused, id), wording.LineNotInUse
	}
	if !known || slices.Contains(t.layer.Unused, id) == !use {
		t.tell(c.ID, wording.OwnerProtections, wording.Facts{}, t.protectionTicks()...)
		return
	}
	f := wording.Facts{Text: p.Words}
	if !t.setLayer(c, next, t.word(k, f)) {
		return
	}
	if w.Message != 0 {
		t.say(bot.Message{Chat: c.ID, Edit: w.Message, Choices: t.protectionTicks(), Kind: "ticks"})
	}
	t.tell(c.ID, k, f, t.undoRow())
}

// firstMistake is what is wrong with what was set, without the path of the file it
// does not stand in.
func firstMistake(err error) string {
	var f *pricing.FieldError
	if errors.As(err, &f) {
		return f.Text
	}
	return err.Error()
}
