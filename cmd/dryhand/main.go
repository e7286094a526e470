// Dryhand is the front desk of a one-person car-detailing business, inside the
// chat its customers already use.
//
//	dryhand try           a local chat page: customer and owner side by side, and a
//	                      clock to push; nobody there is real
//	dryhand play [FILE]   plays a scripted enquiry from the first message to the
//	                      re-protection nudge, in the terminal, on a store in memory
//	dryhand serve         answers real customers: webhook, outbox, sweep
//	dryhand check         says what is wrong with files, Redis and platform, and the cure
//	dryhand export [FILE] writes everything down as JSON lines, or one person's data
//	dryhand import FILE   puts it back
//	dryhand find NAME     finds the id of a person, for the two around it
//	dryhand forget ID     erases one person
//	dryhand customers FILE  brings in the customers there were before
//	dryhand link          where customers find the desk, as a link and a code to scan
//	dryhand quote FILE    prices one enquiry
//
// Every setting is a flag and an environment variable of the same name
// (--redis-url, DRYHAND_REDIS_URL); -h lists them all.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	_ "time/tzdata" // the business's zone must be known on any machine

	"github.com/alecthomas/kong"
	"github.com/redis/go-redis/v9/logging"
)

// commands are what dryhand can be asked to do, one file each.
type commands struct {
	Try       tryCommand       `cmd:"" help:"Try it in the browser: customer and owner side by side."`
	Play      playCommand      `cmd:"" help:"Play a scripted enquiry from first message to nudge, here in the terminal."`
	Serve     serveCommand     `cmd:"" help:"Answer real customers."`
	Check     checkCommand     `cmd:"" help:"Say what is wrong with files, Redis and platform, and what to do."`
	Export    exportCommand    `cmd:"" help:"Write everything down as JSON lines."`
	Import    importCommand    `cmd:"" help:"Put exported data into a store."`
	Customers customersCommand `cmd:"" help:"Bring in the customers there were before, from a CSV file."`
	Find      findCommand      `cmd:"" help:"Find the chat id of a person by name."`
	Forget    forgetCommand    `cmd:"" help:"Erase one person."`
	Link      linkCommand      `cmd:"" help:"Show where customers find the desk: a link, and a code to scan."`
	Quote     quoteCommand     `cmd:"" help:"Price one enquiry."`
}

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// exitError ends the program with a status; what went wrong has been shown.
type exitError int

func (e exitError) Error() string { return fmt.Sprintf("exit status %d", int(e)) }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	logging.Disable() // of the Redis client, which writes to stderr what it also returns
	spareGC()
	os.Exit(run(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr}))
}

// spareGC lets more garbage gather before it is looked for. Nearly all that lives is
// what was read at the start, some megabytes; to go through it with every few megabytes
// of answers would be a sixth of all work. From 128 MB on it is looked for as often as
// needed: a large photo is no reason to take more. GOGC and GOMEMLIMIT, if set, have the
// last word.
func spareGC() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(128 << 20)
	}
}

// run is main with its surroundings passed in. It returns the exit status: 0
// done, 1 failed, 2 asked wrongly.
func run(ctx context.Context, args []string, std streams) (status int) {
	var c commands
	exited := -1
	parser, err := kong.New(&c, kong.Name("dryhand"), kong.Description("The front desk of a one-person car-detailing business, in the chat."),
		kong.Writers(std.out, std.err), kong.DefaultEnvars("DRYHAND"), kong.Exit(func(code int) { exited = code }),
		kong.BindTo(ctx, (*context.Context)(nil)), kong.Bind(std))
	if err != nil {
		fmt.Fprintln(std.err, "dryhand:", err)
		return 2
	}
	parsed, err := parser.Parse(args)
	if exited >= 0 {
		return exited
	}
	if err != nil {
		fmt.Fprintln(std.err, "dryhand:", err)
		fmt.Fprintln(std.err, "dryhand -h lists what it can do.")
		return 2
	}
	err = parsed.Run()
	var exit exitError
	switch {
	case errors.As(err, &exit):
		return int(exit)
	case err != nil:
		fmt.Fprintln(std.err, "dryhand:", err)
		return 1
	}
	return 0
}
