package main

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
)

// customersCommand brings in the customers there were before. It is a command and
// not a file in the chat, because a list of customers has no business on the
// platform's servers, and what is wrong with it is answered beside the file.
type customersCommand struct {
	File          string `arg:"" help:"A CSV file with a first line that names its columns." type:"existingfile"`
	TelegramToken string `help:"The bot's token, for a link to each customer." placeholder:"TOKEN"`
	TelegramAPI   string `name:"telegram-api" help:"Base address of the platform, for a stand-in." placeholder:"URL"`
	store
	business
}

// columns are what the file's first line names, in any order; note may be missing.
var columns = []string{"name", "car", "note", "protection", "date"}

// Help is shown under customers -h.
func (customersCommand) Help() string {
	return "The columns are " + strings.Join(columns, ", ") + ": note is a telephone number or anything that tells namesakes apart, date is 2026-09-30 or 30/09/2026. " +
		"Good rows are taken, the others named by line. The same file again changes nothing. " +
		"Nobody hears from the desk for it: the bot cannot write first. Send each the link that is printed; whoever opens it is asked whether they want reminders."
}

// Run brings them in. It ends with status 1 if a row was wrong.
func (c *customersCommand) Run(ctx context.Context, std streams) error {
	rules, words, _, err := c.load()
	if err != nil {
		return err
	}
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		return fmt.Errorf("time zone of the business: %w", err)
	}
	talk := conversations.Talk{Rules: rules, Words: words, Zone: zone}
	if c.TelegramToken != "" {
		if talk.Bot, err = botName(ctx, c.TelegramToken, c.TelegramAPI); err != nil {
			return err
		}
		talk.Secret = linkSecret(c.TelegramToken)
	}
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	rdb, l, err := c.open()
	if err != nil {
		return err
	}
	defer rdb.Close()
	b := bringing{talk: talk, ledger: l, now: time.Now()}
	if err := b.all(ctx, c.File, f, std); err != nil {
		return err
	}
	fmt.Fprintf(std.out, "%d new or newer, %d known already, %d wrong\n", b.taken, b.known, b.wrong)
	if b.wrong > 0 {
		return exitError(1)
	}
	return nil
}

// bringing is one file being brought in.
type bringing struct {
	talk                conversations.Talk
	ledger              *ledger.Ledger
	now                 time.Time
	taken, known, wrong int
}

// all takes every row. The error is the store's, or that the file is no table.
func (b *bringing) all(ctx context.Context, name string, in io.Reader, std streams) error {
	r := csv.NewReader(in)
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	head, err := r.Read()
	if err != nil {
		return fmt.Errorf("%s: the first line must name the columns %s: %w", name, strings.Join(columns, ", "), err)
	}
	head[0] = strings.TrimPrefix(head[0], "\ufeff") // as spreadsheets begin a file
	at := map[string]int{}
	for i, h := range head {
		at[strings.ToLower(strings.TrimSpace(h))] = i
	}
	for _, want := range columns {
		if _, ok := at[want]; !ok && want != "note" {
			return fmt.Errorf("%s:1: there is no column %q; the first line names %s", name, want, strings.Join(columns, ", "))
		}
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if broken := (*csv.ParseError)(nil); err != nil && !errors.As(err, &broken) {
			return fmt.Errorf("%s: %w; the rows before it are in, run it again", name, err)
		} else if err != nil {
			b.wrong++
			fmt.Fprintf(std.err, "%s: %v\n", name, err)
			continue
		}
		line, _ := r.FieldPos(0)
		x, err := b.row(row, at)
		if err == nil {
			err = b.bring(ctx, x, std.out)
		}
		var away *storeError
		if errors.As(err, &away) {
			return fmt.Errorf("%s:%d: %w; the rows before it are in, run it again", name, line, away.err)
		}
		if err != nil {
			b.wrong++
			fmt.Fprintf(std.err, "%s:%d: %v\n", name, line, err)
		}
	}
}

// storeError is the store's, as against a row's.
type storeError struct{ err error }

func (e *storeError) Error() string { return e.err.Error() }

// row reads one row.
func (b *bringing) row(row []string, at map[string]int) (x conversations.Existing, err error) {
	field := func(name string) string {
		if i, ok := at[name]; ok && i < len(row) {
			return strings.TrimSpace(row[i])
		}
		return ""
	}
	x = conversations.Existing{Name: field("name"), Car: field("car"), Note: field("note"), Protection: field("protection")}
	for _, layout := range []string{time.DateOnly, "02/01/2006", "2/1/2006"} {
		if x.Date, err = time.ParseInLocation(layout, field("date"), b.talk.Zone); err == nil {
			const longest = 30 // years for which anybody remembers what was applied
			if x.Date.Before(b.now.AddDate(-longest, 0, 0)) {
				return x, fmt.Errorf("%s is more than %d years ago; is the year right?", field("date"), longest)
			}
			x.Date = x.Date.Add(12 * time.Hour) // a day, not its first moment
			return x, nil
		}
	}
	return x, fmt.Errorf("a date is 2026-09-30 or 30/09/2026, not %q", field("date"))
}

// bring keeps one customer, again from the start when something moved meanwhile.
func (b *bringing) bring(ctx context.Context, x conversations.Existing, out io.Writer) error {
	var keys []string
	for {
		loaded := ledger.Loaded{}
		if len(keys) > 0 {
			var err error
			if loaded, err = b.ledger.Load(ctx, "", keys...); err != nil {
				return &storeError{err}
			}
		}
		docs := map[string][]byte{}
		c := ledger.Change{Now: b.now, Read: map[string]int64{}}
		for key, doc := range loaded.Docs {
			docs[key], c.Read[key] = nil, doc.Version
			if doc.Version != 0 {
				docs[key] = doc.Body
			}
		}
		got, err := conversations.Bring(b.talk, docs, x, b.now)
		switch {
		case err != nil:
			return err
		case len(got.Need) > 0:
			keys = append(keys, slices.DeleteFunc(got.Need, func(k string) bool { return slices.Contains(keys, k) })...)
			continue
		case len(got.Put) == 0:
			b.known++
			b.show(out, x, got.Link)
			return nil
		}
		for _, d := range got.Put {
			c.Put = append(c.Put, ledger.Doc{Key: d.Key, Links: d.Links, Body: d.Body})
		}
		c.Op = fmt.Sprintf("customers:%s@%d", got.Put[0].Key, b.now.UnixNano())
		outcome, err := b.ledger.Commit(ctx, c)
		if err != nil {
			return &storeError{err}
		}
		if outcome != ledger.Conflict {
			b.taken++
			b.show(out, x, got.Link)
			return nil
		}
	}
}

// show prints a customer's link, to be sent to them by hand.
func (b *bringing) show(out io.Writer, x conversations.Existing, link string) {
	if link != "" {
		fmt.Fprintf(out, "%s, %s, %s: %s\n", x.Name, x.Car, x.Note, link)
	}
}
