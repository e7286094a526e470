package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"os"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/standin"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
)

// Whatever breaks while reminders are sent: for each that was due it is known
// whether it was sent, may have been, or was rightly dropped, and none is sent
// twice. Every row of the table is such a day.

// crowd are customers whose protection falls due, each with a chat at the stand-in.
type crowd struct {
	standin *standin.Standin
	ledger  *ledger.Ledger
	setting reminders.Setting
	people  map[bot.ChatID]*standin.Person
	ids     []bot.ChatID
	// due is when the first of their reminders was to come.
	due time.Time
}

// crowdBegins is the first of their chat ids.
const crowdBegins = 9000

// newCrowd puts customers into a store as a job done at some moment leaves them.
func newCrowd(t *testing.T, s *standin.Standin, l *ledger.Ledger, n int, applied time.Time) *crowd {
	t.Helper()
	rules := pricing.DefaultRules()
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		t.Fatal(err)
	}
	c := &crowd{standin: s, ledger: l, people: map[bot.ChatID]*standin.Person{},
		setting: reminders.Setting{Rules: rules, Zone: zone, Holiday: holidaysOf(t, applied.Year(), applied.Year()+1)}}
	for i := range n {
		id := bot.ChatID(crowdBegins + i)
		p := s.Person(int64(id), fmt.Sprintf("Person%d", i))
		p.Start()
		c.people[id] = p
		c.ids = append(c.ids, id)
		c.put(t, id, applied)
	}
	return c
}

// holidaysOf knows the bank holidays of some years.
func holidaysOf(t *testing.T, years ...int) func(string) bool {
	t.Helper()
	closed := map[string]bool{}
	for _, y := range years {
		list, err := diary.Holidays("england-and-wales", y)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range list {
			closed[h.Date] = true
		}
	}
	return func(date string) bool { return closed[date] }
}

// put writes one customer's documents and what falls due.
func (c *crowd) put(t *testing.T, id bot.ChatID, applied time.Time) {
	t.Helper()
	e := conversations.Enquiry{
		ID: fmt.Sprintf("r%d-1", id), Chat: id, Name: c.people[id].Name(), Stage: conversations.Done, Rev: 9,
		Answers: map[string][]string{"consent": {"yes"}, "wants": {"exterior"}, "site": {"own"}},
		Car:     &pricing.Vehicle{Name: "Ford Fiesta", Body: pricing.Hatchback, LengthMM: 4040, WidthMM: 1735, HeightMM: 1476, Seats: 5, Wheels: 4, Lamps: 2},
		Work:    &conversations.Work{At: applied, Minutes: 100, Price: 9000, Protections: []string{"sealant"}, Cared: applied.AddDate(0, 0, 90)},
	}
	plan := reminders.Plan{}.Apply(c.setting, reminders.Applied{Kind: "sealant", At: applied})
	m, ok := plan.Next(applied, c.setting)
	if !ok {
		t.Fatal("no reminder")
	}
	e.Plan, e.Work.Nudge, c.due = &plan, m.At, m.At
	chat := conversations.Chat{ID: id, Name: e.Name, Count: 1, Enquiry: e.ID, Jobs: []string{e.ID}}
	var docs []ledger.Doc
	for key, v := range map[string]any{"enq:" + e.ID: e, fmt.Sprintf("chat:%d", id): chat} {
		body, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		links := []string{fmt.Sprintf("chat:%d", id)}
		if strings.HasPrefix(key, "chat:") {
			links = []string{"enq:" + e.ID}
		}
		docs = append(docs, ledger.Doc{Key: key, Links: links, Body: body})
	}
	came, err := json.Marshal(conversations.Came{Kind: conversations.CameNudge, Enquiry: e.ID})
	if err != nil {
		t.Fatal(err)
	}
	change := ledger.Change{Op: "seed:" + e.ID, Now: applied, Put: docs, Read: map[string]int64{},
		Set: []ledger.Due{{ID: "nudge:" + e.ID, At: m.At, Body: came}}}
	for _, d := range docs {
		change.Read[d.Key] = 0
	}
	if outcome, err := c.ledger.Commit(t.Context(), change); err != nil || outcome != ledger.Committed {
		t.Fatal(outcome, err)
	}
}

// account is what became of the reminders of a crowd.
type account struct {
	due, sent, uncertain, dropped int
	// twice and missing must be nothing; impolite are those at an hour or on a day on
	// which none may come.
	twice, missing, impolite int
	last                     time.Time
}

// account counts what became of each first reminder: what the stand-in showed people
// against what the ledger and the plans say.
func (c *crowd) account(t *testing.T) account {
	t.Helper()
	a := account{due: len(c.ids)}
	got := map[int64]int{}
	events, _ := c.standin.Since(0)
	for _, e := range events {
		if e.Kind != standin.Said || !e.Line.Bot || !strings.Contains(e.Line.Text, "is about due again") {
			continue
		}
		got[e.Chat]++
		at := e.At.In(c.setting.Zone)
		if !c.setting.Politely(at).Equal(at) {
			a.impolite++
		}
		if at.After(a.last) {
			a.last = at
		}
	}
	uncertain, blocked := map[int64]bool{}, map[int64]bool{}
	asides, err := c.ledger.Asides(t.Context(), 10_000)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range asides {
		var m bot.Message
		if json.Unmarshal(x.Body, &m) != nil || m.Kind != string(reminders.Nudge) {
			continue
		}
		switch x.Reason {
		case "uncertain":
			uncertain[int64(m.Chat)] = true
		case "blocked":
			blocked[int64(m.Chat)] = true
		}
	}
	for _, id := range c.ids {
		doc := c.doc(t, id)
		switch n := got[int64(id)]; {
		case n > 1:
			a.twice++
		case uncertain[int64(id)]:
			a.uncertain++
		case n == 1:
			a.sent++
		case blocked[int64(id)] || doc.Stopped || doc.NoNudge || doc.Blocked:
			a.dropped++
		default:
			a.missing++
			t.Logf("missing: %d, %+v", id, doc)
		}
	}
	return a
}

func (c *crowd) doc(t *testing.T, id bot.ChatID) (chat conversations.Chat) {
	t.Helper()
	key := fmt.Sprintf("chat:%d", id)
	loaded, err := c.ledger.Load(t.Context(), "", key)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(loaded.Docs[key].Body, &chat); err != nil {
		t.Fatal(err)
	}
	return chat
}

func (a account) String() string {
	return fmt.Sprintf("%d\t%d\t%d\t%d\t%d\t%d\t%d\t%s", a.due, a.sent, a.uncertain, a.dropped, a.twice, a.missing, a.impolite, a.last.Format("Mon 2 Jan 15:04:05 MST"))
}

// wrong tells whether the sum is not right, or somebody was bothered.
func (a account) wrong() bool {
	return a.sent+a.uncertain+a.dropped != a.due || a.twice+a.missing+a.impolite > 0
}

// crowdWorld is a world of its own with a crowd in it.
func crowdWorld(t *testing.T, n int, applied time.Time) (*world, *crowd) {
	t.Helper()
	words, err := faultsWords()
	if err != nil {
		t.Fatal(err)
	}
	reader, err := faultsReader()
	if err != nil {
		t.Fatal(err)
	}
	w, err := newWorld(t.Context(), loaded{rules: faultsRules(), words: words, reader: reader}, standin.NewClock(applied), slog.New(slog.NewTextHandler(io.Discard, nil)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.close)
	return w, newCrowd(t, w.standin, w.ledger, n, applied)
}

// TestRemindersAddUp prints a row for each day that goes wrong in its own way.
func TestRemindersAddUp(t *testing.T) {
	const many = 30
	at := func(s string) time.Time {
		zone, err := time.LoadLocation("Europe/London")
		if err != nil {
			t.Fatal(err)
		}
		m, err := time.ParseInLocation("2006-01-02 15:04", s, zone)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	week := 7 * 24 * time.Hour
	var b strings.Builder
	out := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(out, "\ndue\tsent\tuncertain\tdropped\ttwice\tmissing\timpolite\tthe last\t\twhat went wrong")
	for _, day := range []struct {
		name, applied, due string
		sent               int // at least
		play               func(*testing.T, *world, *crowd) error
	}{
		// Clocks change on 28 March and 31 October 2027 (gov.uk/when-do-the-clocks-change);
		// 26 and 29 March are bank holidays (gov.uk/bank-holidays).
		{"nothing", "2027-04-15 16:30", "2027-08-23 09:00", many, pushed(week)},
		{"the clocks go forward, at Easter: due on the Sunday", "2026-11-20 12:00", "2027-03-30 09:00", many, pushed(week)},
		{"Good Friday", "2026-11-18 12:00", "2027-03-27 09:00", many, pushed(week)},
		{"the clocks go back: due on that Sunday", "2027-06-23 12:00", "2027-11-01 09:00", many, pushed(week)},
		{"three days away", "2027-04-15 16:30", "2027-08-23 09:00", many, func(t *testing.T, w *world, c *crowd) error {
			w.clock.Set(c.due.AddDate(0, 0, 3).Add(5 * time.Hour))
			return w.push(t.Context(), c.due.AddDate(0, 0, 8))
		}},
		{"three days away, back in the night", "2027-04-15 16:30", "2027-08-23 09:00", many, func(t *testing.T, w *world, c *crowd) error {
			w.clock.Set(c.due.AddDate(0, 0, 3).Add(14 * time.Hour))
			return w.push(t.Context(), c.due.AddDate(0, 0, 8))
		}},
		{"a storm of 429s", "2027-04-15 16:30", "2027-08-23 09:00", many, func(t *testing.T, w *world, c *crowd) error {
			for i := range many {
				w.standin.Fault("sendPhoto", standin.Fault{Times: 1, Status: http.StatusTooManyRequests, RetryAfter: []int{1, 30, 300}[i%3]})
			}
			return w.push(t.Context(), c.due.Add(week))
		}},
		{"a storm of 429s until the evening", "2027-04-15 16:30", "2027-08-23 09:00", many, func(t *testing.T, w *world, c *crowd) error {
			w.standin.Fault("sendPhoto", standin.Fault{Status: http.StatusTooManyRequests, RetryAfter: 3000})
			if err := w.push(t.Context(), c.due.Add(11*time.Hour)); err != nil {
				return err
			}
			w.standin.ClearFaults()
			return w.push(t.Context(), c.due.Add(week))
		}},
		{"403 in the middle", "2027-04-15 16:30", "2027-08-23 09:00", many - many/5, func(t *testing.T, w *world, c *crowd) error {
			for i := 0; i < many; i += 5 {
				w.standin.Fault("sendPhoto", standin.Fault{Chat: int64(c.ids[i]), Status: http.StatusForbidden, Description: "Forbidden: bot was blocked by the user"})
			}
			return w.push(t.Context(), c.due.Add(week))
		}},
		{"every fifth said stop, every seventh no more", "2027-04-15 16:30", "2027-08-23 09:00", many / 2, func(t *testing.T, w *world, c *crowd) error {
			for i, id := range c.ids {
				switch {
				case i%5 == 0:
					c.people[id].Say("stop")
				case i%7 == 0:
					c.people[id].Say("settings")
					if err := w.settle(t.Context()); err != nil {
						return err
					}
					if err := c.people[id].Tap(0, "No reminders"); err != nil {
						return err
					}
				}
			}
			return w.push(t.Context(), c.due.Add(week))
		}},
		{"cut off after they arrived", "2027-04-15 16:30", "2027-08-23 09:00", many / 2, func(t *testing.T, w *world, c *crowd) error {
			w.standin.Fault("sendPhoto", standin.Fault{Times: many / 4, DropAfter: true})
			return w.push(t.Context(), c.due.Add(week))
		}},
		{"cut off before they arrived", "2027-04-15 16:30", "2027-08-23 09:00", many / 2, func(t *testing.T, w *world, c *crowd) error {
			w.standin.Fault("sendPhoto", standin.Fault{Times: many / 4, DropBefore: true})
			return w.push(t.Context(), c.due.Add(week))
		}},
		{"the platform's own 502s", "2027-04-15 16:30", "2027-08-23 09:00", many, func(t *testing.T, w *world, c *crowd) error {
			w.standin.Fault("sendPhoto", standin.Fault{Times: many, Status: http.StatusBadGateway})
			return w.push(t.Context(), c.due.Add(week))
		}},
	} {
		t.Run(day.name, func(t *testing.T) {
			w, c := crowdWorld(t, many, at(day.applied))
			if want := at(day.due); !c.due.Equal(want) {
				t.Fatalf("due %s, want %s", c.due, want)
			}
			if err := day.play(t, w, c); err != nil {
				t.Fatal(err)
			}
			a := c.account(t)
			fmt.Fprintf(out, "%s\t\t%s\n", a, day.name)
			if a.wrong() || a.sent < day.sent {
				t.Errorf("it does not add up, or fewer than %d were sent:\n%s", day.sent, a)
			}
		})
	}
	out.Flush()
	t.Log(b.String())
}

// The accounts see what they are there to see: a reminder of which nothing is known,
// and one that came twice.
func TestReminderAccountsFindWhatIsWrong(t *testing.T) {
	w, c := crowdWorld(t, 5, time.Date(2027, 4, 15, 15, 30, 0, 0, time.UTC))
	w.standin.Fault("sendPhoto", standin.Fault{Times: 2, DropBefore: true})
	if err := w.push(t.Context(), c.due.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if a := c.account(t); a.wrong() || a.uncertain != 2 {
		t.Fatalf("before: %s", a)
	}
	if _, err := c.ledger.EraseAsides(t.Context(), func(ledger.Aside) bool { return true }); err != nil {
		t.Fatal(err)
	}
	out, err := desk.Queue(bot.Message{Chat: c.ids[4], Text: "… is about due again"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.ledger.Commit(t.Context(), ledger.Change{Op: "twice", Now: w.clock.Now(), Send: []ledger.Out{out}}); err != nil {
		t.Fatal(err)
	}
	if err := w.settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	if a := c.account(t); !a.wrong() || a.missing != 2 || a.twice != 1 {
		t.Errorf("after: %s, want 2 missing and 1 twice", a)
	}
}

// pushed lets the clock run until some time after the reminders are due.
func pushed(after time.Duration) func(*testing.T, *world, *crowd) error {
	return func(t *testing.T, w *world, c *crowd) error { return w.push(t.Context(), c.due.Add(after)) }
}

// The process is killed at every named point of every reminder's way, from before it
// is claimed to after it is settled. DRYHAND_REMINDER_KILLS is how many customers
// there are, instead of a few.
func TestRemindersKilledAtEveryPoint(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	n := 3
	if v := os.Getenv("DRYHAND_REMINDER_KILLS"); v != "" {
		if _, err := fmt.Sscan(v, &n); err != nil {
			t.Fatal(err)
		}
	}
	// At every point of all of them; then at some, so that others get through.
	t.Run("all", func(t *testing.T) {
		died := killReminders(t, n, "1")
		for _, p := range []string{"due:claimed", "load:before", "load:after", "commit:before", "commit:after", "send:claimed", "send:begun", "send:called", "send:settled"} {
			if died[p] < n {
				t.Errorf("killed %d times at %s, want once for each of %d reminders", died[p], p, n)
			}
		}
	})
	t.Run("some", func(t *testing.T) { killReminders(t, 3*n, "6") })
}

// killReminders lets the reminders of n customers fall due while the process dies at
// named points, and returns how often it did at which.
func killReminders(t *testing.T, n int, stride string) map[string]int {
	k := newKilled(t, stride)
	k.clock.Set(time.Date(2027, 4, 15, 16, 30, 0, 0, k.zone))
	c := newCrowd(t, k.standin, k.ledger, n, k.clock.Now())
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	defer cancel()
	if err := k.until(ctx, c.due.AddDate(0, 0, 7)); err != nil {
		t.Fatal(err)
	}
	a := c.account(t)
	died := tally(t, k.deaths)
	t.Logf("\ndue\tsent\tuncertain\tdropped\ttwice\tmissing\timpolite\n%s\nkilled at: %s", a, show(died))
	if a.wrong() {
		t.Error("it does not add up")
	}
	return died
}
