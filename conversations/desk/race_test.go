package desk_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/diary"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// The test binary plays a second and a third bot when it is asked to.
func TestMain(m *testing.M) {
	if url := os.Getenv("DRYHAND_RACE_URL"); url != "" {
		if err := playBot(url, os.Stdin, os.Stdout); err != nil {
			fmt.Fprintln(os.Stderr, "bot:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// said is what a customer wrote or pressed.
type said struct {
	Op   string     `json:"op"`
	Chat bot.ChatID `json:"chat"`
	Text string     `json:"text,omitempty"`
	Tap  string     `json:"tap,omitempty"`
}

func (s said) event() bot.Event {
	e := bot.Event{Op: s.Op, Chat: s.Chat, From: bot.Person{ID: s.Chat, Name: "Mia"}, At: now, What: bot.Text{Body: s.Text}}
	if s.Tap != "" {
		e.What = bot.Tap{ID: s.Op, Data: s.Tap}
	}
	return e
}

// playBot handles what it reads, each line all at once, and says when that is
// done.
func playBot(url string, in io.Reader, out io.Writer) error {
	o, err := ledger.Options(url)
	if err != nil {
		return err
	}
	ledgertest.Patient(o)
	rdb := redis.NewUniversalClient(o)
	defer rdb.Close()
	l, err := ledger.New(rdb, "test")
	if err != nil {
		return err
	}
	words, err := wording.Default()
	if err != nil {
		return err
	}
	rules := pricing.DefaultRules()
	reader, err := reading.Default(rules)
	if err != nil {
		return err
	}
	talk := conversations.Talk{Rules: rules, Words: words, Reader: reader, Owner: detailer, Zone: time.UTC}
	d := &desk.Desk{
		Ledger: l, Now: func() time.Time { return now }, Log: slog.New(slog.DiscardHandler),
		Talk: func() conversations.Talk { return talk },
	}
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var all []said
		if err := json.Unmarshal(lines.Bytes(), &all); err != nil {
			return err
		}
		errs := make([]error, len(all))
		var wg sync.WaitGroup
		for i, s := range all {
			wg.Go(func() { _, errs[i] = d.Handle(context.Background(), s.event()) })
		}
		wg.Wait()
		for _, err := range errs {
			if err != nil {
				return err
			}
		}
		fmt.Fprintln(out, "done")
	}
	return lines.Err()
}

// process is a bot in a process of its own.
type process struct {
	t   *testing.T
	in  io.WriteCloser
	out *bufio.Scanner
}

func startBot(t *testing.T, url string) *process {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env, cmd.Stderr = append(os.Environ(), "DRYHAND_RACE_URL="+url), os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	})
	return &process{t, in, bufio.NewScanner(out)}
}

func (p *process) ask(all []said) {
	p.t.Helper()
	line, err := json.Marshal(all)
	if err != nil {
		p.t.Fatal(err)
	}
	if _, err := p.in.Write(append(line, '\n')); err != nil {
		p.t.Fatal(err)
	}
}

func (p *process) wait() {
	p.t.Helper()
	if !p.out.Scan() || p.out.Text() != "done" {
		p.t.Fatalf("a bot ended, or said %q", p.out.Text())
	}
}

// booth is the two bots, and the customers' end of the chats.
type booth struct {
	t      *testing.T
	l      *ledger.Ledger
	bots   [2]*process
	ops    int
	latest map[bot.ChatID]bot.Message // the last with buttons, by chat
}

// says hands everybody's words to the two bots at the same moment, half to each,
// and brings the answers.
func (b *booth) says(all []said) {
	b.t.Helper()
	for i := range all {
		b.ops++
		all[i].Op = fmt.Sprint("u", b.ops)
	}
	half := len(all) / 2
	b.bots[0].ask(all[:half])
	b.bots[1].ask(all[half:])
	for _, p := range b.bots {
		p.wait()
	}
	b.bring()
}

// bring takes all messages out of the queues.
func (b *booth) bring() {
	b.t.Helper()
	ctx := context.Background()
	for {
		claimed, err := b.l.ClaimOut(ctx, now, time.Minute, 256)
		if err != nil {
			b.t.Fatal(err)
		}
		if len(claimed) == 0 {
			return
		}
		for _, s := range claimed {
			var m bot.Message
			if err := json.Unmarshal(s.Body, &m); err != nil {
				b.t.Fatal(err)
			}
			if len(m.Choices) > 0 {
				b.latest[m.Chat] = m
			}
			if err := b.l.Sent(ctx, s, now); err != nil {
				b.t.Fatal(err)
			}
		}
	}
}

// aMoment is how a button that offers a time ends.
var aMoment = regexp.MustCompile(`\|(\d{8}T\d{4})$`)

// moments are the times on a customer's buttons, and what a press on them says.
func (b *booth) moments(c bot.ChatID) map[string]string {
	found := map[string]string{}
	for _, row := range b.latest[c].Choices {
		for _, choice := range row {
			if m := aMoment.FindStringSubmatch(choice.Data); m != nil {
				found[m[1]] = choice.Data
			}
		}
	}
	return found
}

// press is the button a customer presses who answers everything with the first
// thing there is, and goes on once something is ticked.
func (b *booth) press(c bot.ChatID) string {
	rows := b.latest[c].Choices
	first := rows[0][0]
	if strings.Contains(first.Data, "|hazards|") {
		return rows[len(rows)-2][0].Data // nothing of the kind; else the car has to be seen
	}
	if !strings.HasPrefix(first.Label, "✓") {
		return first.Data
	}
	return rows[len(rows)-2][0].Data // above the ways out
}

// back is the button that takes the last answer back.
func (b *booth) back(c bot.ChatID) string {
	ways := b.latest[c].Choices[len(b.latest[c].Choices)-1]
	return ways[0].Data
}

// toTheSlots leads customers through the questions until times are offered.
func (b *booth) toTheSlots(customers []bot.ChatID) {
	b.t.Helper()
	var all []said
	for _, c := range customers {
		all = append(all, said{Chat: c, Text: "Ford Fiesta"})
	}
	for range 40 {
		b.says(all)
		all = nil
		for _, c := range customers {
			if len(b.moments(c)) == 0 {
				all = append(all, said{Chat: c, Tap: b.press(c)})
			}
		}
		if len(all) == 0 {
			return
		}
	}
	b.t.Fatalf("no times after 40 answers; the last question was %q", b.latest[all[0].Chat].Text)
}

// holders are the customers the day's document gives the moment to.
func (b *booth) holders(moment string) (ids []string) {
	b.t.Helper()
	at, err := time.Parse("20060102T1504", moment)
	if err != nil {
		b.t.Fatal(err)
	}
	key := "day:" + diary.Key(at, time.UTC)
	loaded, err := b.l.Load(context.Background(), "", key)
	if err != nil {
		b.t.Fatal(err)
	}
	var day diary.Day
	if body := loaded.Docs[key].Body; body != nil {
		if err := json.Unmarshal(body, &day); err != nil {
			b.t.Fatal(err)
		}
	}
	for _, e := range day.Entries {
		if !at.Before(e.Start) && at.Before(e.End) {
			ids = append(ids, e.ID)
		}
	}
	return ids
}

// wanted is a moment that is on everybody's buttons.
func (b *booth) wanted(customers []bot.ChatID) string {
	b.t.Helper()
	var all []string
	for m := range b.moments(customers[0]) {
		if !slices.ContainsFunc(customers, func(c bot.ChatID) bool { return b.moments(c)[m] == "" }) {
			all = append(all, m)
		}
	}
	if len(all) == 0 {
		b.t.Fatal("no time is offered to all")
	}
	return slices.Min(all)
}

// round has everybody press the same time, and returns who did not get another
// offer.
func (b *booth) round(customers []bot.ChatID) (moment string, winners []bot.ChatID) {
	b.t.Helper()
	moment = b.wanted(customers)
	var all []said
	for _, c := range customers {
		all = append(all, said{Chat: c, Tap: b.moments(c)[moment]})
	}
	b.says(all)
	for _, c := range customers {
		switch offered := b.moments(c); {
		case len(offered) == 0:
			winners = append(winners, c)
		case offered[moment] != "":
			b.t.Fatalf("%d is offered %s again, which is gone", c, moment)
		}
	}
	return moment, winners
}

// Sixty-four customers press the same time at the same moment, at two bots in
// processes of their own: one has it, the others are offered other times at once,
// and the day's document agrees. DRYHAND_RACE_ROUNDS says how often; 3 times
// unless it does.
func TestOneWinnerOfTwoBots(t *testing.T) {
	rounds := 3
	if s := os.Getenv("DRYHAND_RACE_ROUNDS"); s != "" {
		var err error
		if rounds, err = strconv.Atoi(s); err != nil || rounds < 1 {
			t.Fatalf("DRYHAND_RACE_ROUNDS is %q, want a number", s)
		}
	}
	for name, server := range map[string]func(testing.TB) *ledgertest.Server{
		"redis": func(t testing.TB) *ledgertest.Server { return ledgertest.NewServer(t) }, "cluster": ledgertest.NewCluster,
	} {
		t.Run(name, func(t *testing.T) {
			url := server(t).URL()
			_, l := newDesk(t, ledgertest.Client(t, url), nil)
			b := &booth{t: t, l: l, latest: map[bot.ChatID]bot.Message{}, bots: [2]*process{startBot(t, url), startBot(t, url)}}
			var customers []bot.ChatID
			for i := range 64 {
				customers = append(customers, bot.ChatID(1000+i))
			}
			b.toTheSlots(customers)
			for round := range rounds {
				moment, winners := b.round(customers)
				if held := b.holders(moment); len(winners) != 1 || len(held) != 1 {
					t.Fatalf("round %d: %s went to %v, and stands in the diary for %v", round, moment, winners, held)
				}
				b.says([]said{{Chat: winners[0], Tap: b.back(winners[0])}})
				if held := b.holders(moment); len(held) != 0 {
					t.Fatalf("round %d: %s was given back, and stands in the diary for %v", round, moment, held)
				}
			}
		})
	}
}
