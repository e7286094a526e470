package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
)

// forgetCommand erases one person.
type forgetCommand struct {
	ID    int64 `arg:"" help:"The person's chat id."`
	Owner int64 `help:"Chat id of the owner, so that waiting messages to him about the person are found too." placeholder:"ID"`
	Yes   bool  `help:"Do it. Without it, only what would be erased is told." env:"-"`
	store
	Rules string `help:"Rules file, for the time zone." type:"existingfile" placeholder:"FILE"`
}

// Help is shown under forget -h.
func (forgetCommand) Help() string {
	return "Erases the chat, every enquiry with its photos and prices, reminders, waiting messages, what was set aside, and times not booked. " +
		"A booked time that is not over stays blocked in the diary, without a name. It cannot be undone. " +
		"Somebody who rang has a number below zero, which export shows; it goes behind two dashes: forget -- -1."
}

// Run erases, or tells what it would erase.
func (c *forgetCommand) Run(ctx context.Context, std streams) error {
	rules, _, _, err := business{Rules: c.Rules}.load()
	if err != nil {
		return err
	}
	zone, err := time.LoadLocation(rules.Diary.TimeZone)
	if err != nil {
		return fmt.Errorf("time zone of the business: %w", err)
	}
	rdb, l, err := c.open()
	if err != nil {
		return err
	}
	defer rdb.Close()
	person, err := desk.FindPerson(ctx, l, bot.ChatID(c.ID), bot.ChatID(c.Owner))
	if err != nil {
		return err
	}
	if !c.Yes {
		return c.tell(ctx, l, person, std)
	}
	gone, err := person.Forget(ctx, l, time.Now())
	if err != nil {
		return fmt.Errorf("%w\nnot everything is erased; run it again", err)
	}
	showForgotten(std.out, gone, zone)
	return nil
}

// tell says what would be erased.
func (c *forgetCommand) tell(ctx context.Context, l *ledger.Ledger, person *desk.Person, std streams) error {
	found := map[string]int{}
	err := l.Each(ctx, func(r ledger.Record) error {
		if _, theirs := person.Part(r); theirs {
			found[r.Kind]++
		}
		return nil
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(std.out, "about %d: documents %d, reminders %d, waiting messages %d, set aside %d\n",
		c.ID, found["doc"], found["due"], found["out"], found["aside"])
	fmt.Fprintln(std.err, "dryhand: nothing was erased; add --yes to erase this for good")
	return exitError(2)
}

func showForgotten(out io.Writer, gone desk.Forgotten, zone *time.Location) {
	fmt.Fprintf(out, "erased: documents %d, diary entries %d, reminders %d, waiting messages %d, set aside %d\n",
		gone.Documents, gone.Entries, gone.Moments, gone.Messages, gone.Asides)
	for _, e := range gone.Kept {
		const layout = "Mon 2 Jan 2006, 15:04"
		fmt.Fprintf(out, "still blocked, without a name: %s to %s\n", e.Start.In(zone).Format(layout), e.End.In(zone).Format("15:04"))
	}
	fmt.Fprintln(out, "The names of recent events hold the numbers of their enquiries for up to 48 hours (a failed photo's, a week), then go by themselves.")
	fmt.Fprintln(out, "What the platform keeps, and your own exports and backups, are not touched.")
}
