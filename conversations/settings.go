package conversations

import (
	"strings"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/reminders"
)

// pressSettings is the question name of the buttons under a customer's settings.
const pressSettings = "settings"

// The choices under a customer's settings. Each names what to set, so that a double
// press does no more than one.
const (
	settingRemindOff = "off"
	settingRemindOn  = "on"
	settingCareOff   = "care-off"
	settingCareOn    = "care-on"
	settingLanguage  = "language:"
)

// settings shows what a customer has set, to be changed with a tap.
func (t *turn) settings(c *Chat) {
	e := t.current(c)
	if e == nil {
		e = t.begin(c)
	}
	f := wording.Facts{Hours: t.politeHours(), When: zoneName(c), Now: t.foreign(c)}
	remind, care := named{settingRemindOff, wording.LabelRemindersOff}, named{settingCareOff, wording.LabelCareOff}
	if n := t.Rules.Nudges; !n.Sundays {
		f.Count = 1
		if !n.BankHolidays {
			f.Count = 2
		}
	}
	if c.NoNudge {
		f.Text = "off"
		remind = named{settingRemindOn, wording.LabelRemindersOn}
	}
	if c.NoCare {
		f.Question = "off"
		care = named{settingCareOn, wording.LabelCareOn}
	}
	for _, j := range t.jobs(c) {
		if !c.NoNudge && j.Plan != nil && !j.Work.Nudge.IsZero() && j.Work.Nudge.After(t.now) {
			f.Items = append(f.Items, t.word(wording.SettingsNext, wording.Facts{Car: carName(j), When: t.Words.DateYear(j.Work.Nudge.In(t.Zone))}))
		}
	}
	rows := t.presses(e, pressSettings, remind, care)
	rows = append(rows, t.languageRow(c.ID, func(label, tag string) bot.Choice {
		return bot.Choice{Label: label, Data: press{e.ID, e.Rev, pressSettings, settingLanguage + tag}.data()}
	}))
	t.tell(c.ID, wording.Settings, f, rows...)
}

// settingsPressed changes a setting.
func (t *turn) settingsPressed(c *Chat, _ *Enquiry, p press, w bot.Tap) {
	t.takeOff(w)
	if tag, ok := strings.CutPrefix(p.choice, settingLanguage); ok {
		t.chooseLanguage(c, tag)
	}
	switch p.choice {
	case settingRemindOff:
		c.NoNudge = true
		for _, j := range t.jobs(c) {
			t.unset(CameNudge, j)
		}
	case settingRemindOn:
		c.NoNudge = false
		for _, j := range t.jobs(c) {
			t.revive(j)
		}
	case settingCareOff:
		c.NoCare = true
		for _, j := range t.jobs(c) {
			t.unset(CameCare, j)
		}
	case settingCareOn:
		c.NoCare = false
		for _, j := range t.jobs(c) {
			if next, ok := t.setting().NextCare(t.job(j), t.now); ok {
				t.set(next, Came{Kind: CameCare, Enquiry: j.ID})
			}
		}
	}
	t.settings(c)
}

// saidLanguage takes a text that asks for a language, and reports whether it was one.
func (t *turn) saidLanguage(c *Chat, said string) bool {
	tag, ok := t.languageSaid(said)
	if ok {
		t.chooseLanguage(c, tag)
		t.lead(c, t.word(wording.LanguageTaken, wording.Facts{}))
	}
	return ok
}

// revive begins a job's plan of reminders again, if its customer had wanted one. One
// that was ended with "stop" is made anew of what was put on; of one car there is
// the latest job's alone.
func (t *turn) revive(e *Enquiry) {
	if !e.has(askConsent, "yes") || len(e.Work.Protections) == 0 {
		return
	}
	if e.Plan == nil || e.Plan.Stage == reminders.Over {
		e.Plan = nil
		for _, later := range t.jobs(t.chat(e.Chat)) {
			if later.Work.At.After(e.Work.At) && sameCar(later, e) {
				return
			}
		}
		t.plan(e)
		return
	}
	t.keepPlan(e, *e.Plan)
}

// foreign is the language of a customer's client where it is none we write, empty
// otherwise. A language is told by the first part of its tag.
func (t *turn) foreign(c *Chat) string {
	theirs, _, _ := strings.Cut(c.Language, "-")
	ours, _, _ := strings.Cut(t.native.Language(), "-")
	if theirs == "" || strings.EqualFold(theirs, ours) || t.offered(c.Language) != "" {
		return ""
	}
	return c.Language
}

// politeHours words when reminders come.
func (t *turn) politeHours() string {
	n := t.Rules.Nudges
	clock := func(hour int) string { return time.Date(2000, 1, 1, hour, 0, 0, 0, time.UTC).Format("15:04") }
	return t.word(wording.BetweenHours, wording.Facts{When: clock(n.FromHour), Until: clock(n.ToHour)})
}

// zoneName is the place whose clock a customer goes by, empty for the business's.
func zoneName(c *Chat) string {
	_, place, _ := strings.Cut(c.TimeZone, "/")
	return strings.ReplaceAll(place, "_", " ")
}

// regions are where the world's time zones are named after cities.
var regions = []string{"Europe", "America", "Asia", "Africa", "Australia", "Pacific", "Atlantic", "Indian"}

// zoneSaid finds the zone somebody names after its city: "time zone Madrid". It is
// empty if there is none, and not ok if the text is about something else.
func (t *turn) zoneSaid(text string) (zone string, ok bool) {
	said := wording.Plain(text)
	for _, words := range t.typed(wording.SayTimeZone) {
		city, found := strings.CutPrefix(said, wording.Plain(words))
		if !found {
			continue
		}
		fields := strings.Fields(city)
		for i, f := range fields {
			fields[i] = firstUpper(f)
		}
		for _, r := range regions {
			name := r + "/" + strings.Join(fields, "_")
			if _, err := time.LoadLocation(name); err == nil && len(fields) > 0 {
				return name, true
			}
		}
		return "", true
	}
	return "", false
}

// tookZone takes a text that names a zone, and reports whether it was one.
func (t *turn) tookZone(c *Chat, text string) bool {
	zone, ok := t.zoneSaid(text)
	if ok {
		t.setZone(c, zone)
	}
	return ok
}

// setZone takes the zone a customer lives in: reminders keep its quiet hours. Times
// of visits stay those of the business.
func (t *turn) setZone(c *Chat, zone string) {
	if zone == "" {
		t.tell(c.ID, wording.ZoneUnknown, wording.Facts{})
		return
	}
	c.TimeZone = zone
	for _, j := range t.jobs(c) {
		if j.Plan != nil && j.Plan.Stage != reminders.Over && !c.NoNudge {
			t.keepPlan(j, *j.Plan)
		}
	}
	t.tell(c.ID, wording.ZoneTaken, wording.Facts{When: zoneName(c), Hours: t.politeHours()})
}

// theirs is what reminders have to know of the business and of one customer, whose
// own clock counts for the hours a nudge may come at.
func (t *turn) theirs(c *Chat) reminders.Setting {
	s := t.setting()
	if zone, err := time.LoadLocation(c.TimeZone); err == nil && c.TimeZone != "" {
		s.Zone = zone
	}
	return s
}
