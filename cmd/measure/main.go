// Measure says how fast Dryhand is, beside the floor of the same run.
//
//	go run ./cmd/measure                  everything, in a few minutes
//	go run ./cmd/measure --only update    one row; --list names them
//	go run ./cmd/measure --json           the same for programs
//
// It builds dryhand and starts it as a process of its own, as it goes live, with a
// real redis-server on loopback and the stand-in for the platform, and plays people
// who write. Beside every figure stands what it is measured against: a handler that
// reads an update, decodes it and does nothing; a PING; another program for the same
// work. What counts is the ratio of the two, taken in turns (A B A B …), and of all
// rounds the median: that holds on a busy machine and on any other.
//
// It is a program of its own, so that dryhand carries nothing of it.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"github.com/redis/go-redis/v9/logging"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	logging.Disable() // of the Redis client, which writes to stderr what it also returns
	if err := run(ctx, os.Args[1:], os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "measure:", err)
		os.Exit(1)
	}
}

// settings are what measure is asked for.
type settings struct {
	only    string
	rounds  int
	tiny    bool
	json    bool
	list    bool
	dryhand string
}

// run is main with its surroundings passed in. A child's name as the first argument
// makes it that child.
func run(ctx context.Context, args []string, out, progress io.Writer) error {
	if len(args) > 1 && args[0] == "child" {
		return child(ctx, args[1:])
	}
	var s settings
	flags := flag.NewFlagSet("measure", flag.ContinueOnError)
	flags.SetOutput(progress)
	flags.StringVar(&s.only, "only", "", "measure only the rows of these `names`, with commas between")
	flags.IntVar(&s.rounds, "rounds", 5, "how often everything is measured")
	flags.BoolVar(&s.tiny, "tiny", false, "so little of everything that the figures mean nothing: to see that it works")
	flags.BoolVar(&s.json, "json", false, "print JSON")
	flags.BoolVar(&s.list, "list", false, "name the rows, and measure nothing")
	flags.StringVar(&s.dryhand, "dryhand", "", "measure the dryhand at this `path` instead of building one")
	if err := flags.Parse(args); err != nil {
		return err
	}
	wanted, err := chosen(s.only)
	switch {
	case err != nil:
		return err
	case s.list:
		for _, w := range wanted {
			fmt.Fprintf(out, "%-9s %s\n", w.name, w.what)
		}
		return nil
	case s.rounds < 1:
		return errors.New("--rounds: want at least one")
	}
	lab, err := newLab(ctx, s, progress)
	if err != nil {
		return err
	}
	defer lab.close()
	table, err := lab.measure(ctx, wanted)
	if err != nil {
		return err
	}
	if s.json {
		return table.json(out)
	}
	return table.text(out)
}

// group is one thing that can be measured by itself.
type group struct {
	name, what string
	measure    func(*lab, context.Context) ([]figure, error)
}

// groups are all of them, in the order of the table.
var groups = []group{
	{"update", "ordinary updates, answers committed: rate, CPU, calls, p99; synced always; with answers sent", (*lab).updates},
	{"two", "two bots on one Redis against one", (*lab).twoBots},
	{"memory", "Redis memory of open conversations", (*lab).memory},
	{"photo", "a photo of 12 megapixels: fetch, decode, measure", (*lab).photo},
	{"parts", "quote, next question, budget, slot search, booking: the benchmarks beside the code", (*lab).parts},
	{"sweep", "reminders by the hundred thousand", (*lab).sweeps},
	{"sender", "sending at the platform's rate", (*lab).fillRate},
	{"start", "start to ready, idle memory, size", (*lab).start},
}

// chosen are the groups of these names, all of them if there are none.
func chosen(only string) (list []group, err error) {
	if only == "" {
		return groups, nil
	}
	for _, name := range strings.Split(only, ",") {
		i := slices.IndexFunc(groups, func(g group) bool { return g.name == name })
		if i < 0 {
			return nil, fmt.Errorf("--only %s: there is no such row; --list names them", name)
		}
		list = append(list, groups[i])
	}
	return list, nil
}
