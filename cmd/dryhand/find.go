package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
)

// findCommand finds the number of a person whose name is known, for export and
// forget.
type findCommand struct {
	Name string `arg:"" optional:"" help:"Part of the name, in any case. Without it, everybody."`
	store
}

// Help is shown under find -h.
func (findCommand) Help() string {
	return "Lists chat id, name, and the cars asked about. Numbers below zero are people who rang: forget them with: dryhand forget --yes -- NUMBER"
}

// found is one person.
type found struct {
	name string
	cars []string
}

// Run lists everybody of that name.
func (c *findCommand) Run(ctx context.Context, std streams) error {
	rdb, l, err := c.open()
	if err != nil {
		return err
	}
	defer rdb.Close()
	people, err := everybody(ctx, l)
	if err != nil {
		return err
	}
	var ids []bot.ChatID
	for id, p := range people {
		if strings.Contains(strings.ToLower(p.name), strings.ToLower(c.Name)) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	table := tabwriter.NewWriter(std.out, 0, 0, 2, ' ', 0)
	for _, id := range ids {
		fmt.Fprintf(table, "%d\t%s\t%s\n", id, people[id].name, strings.Join(people[id].cars, ", "))
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if len(ids) == 0 {
		fmt.Fprintln(std.err, "dryhand: nobody of that name")
		return exitError(1)
	}
	return nil
}

// everybody are the people there is a chat or an enquiry of.
func everybody(ctx context.Context, l *ledger.Ledger) (map[bot.ChatID]*found, error) {
	people := map[bot.ChatID]*found{}
	of := func(id bot.ChatID, name string) *found {
		p := people[id]
		if p == nil {
			p = &found{}
			people[id] = p
		}
		if name != "" {
			p.name = name
		}
		return p
	}
	err := l.Each(ctx, func(r ledger.Record) error {
		switch {
		case r.Kind == "doc" && strings.HasPrefix(r.Key, "chat:"):
			var c conversations.Chat
			if err := json.Unmarshal(r.Body, &c); err != nil {
				return fmt.Errorf("document %s: %w", r.Key, err)
			}
			of(c.ID, c.Name)
		case r.Kind == "doc" && strings.HasPrefix(r.Key, "enq:"):
			var e conversations.Enquiry
			if err := json.Unmarshal(r.Body, &e); err != nil {
				return fmt.Errorf("document %s: %w", r.Key, err)
			}
			p := of(e.Chat, e.Name)
			if e.Car != nil {
				p.cars = append(p.cars, e.Car.Name)
			}
		}
		return nil
	})
	return people, err
}
