package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/rogpeppe/go-internal/diff"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/testdata"
)

// playCommand plays a script.
type playCommand struct {
	Files []string `arg:"" optional:"" name:"file" help:"Scripts, or names of shipped ones. Without any, the whole job from first message to nudge."`
	List  bool     `help:"List the shipped conversations."`
	Write bool     `help:"Write what really happened into the file instead of comparing."`
	business

	// log, if set, is what the desk that is played writes its log to.
	log *slog.Logger
}

// Where the shipped scripts stand, and the one that shows the whole job.
const (
	shippedScripts = "conversations/"
	builtIn        = shippedScripts + "soft-top.txt"
)

// Run plays the scripts and compares. It ends with status 1 and the differences if
// something else happened than is written.
func (c *playCommand) Run(ctx context.Context, std streams) error {
	if c.List {
		return listScripts(std.out)
	}
	files := c.Files
	if len(files) == 0 {
		files = []string{""}
	}
	var all error
	for _, file := range files {
		if err := c.one(ctx, file, std); errors.As(err, new(exitError)) {
			all = err
		} else if err != nil {
			return err
		}
	}
	return all
}

// one plays one script, the built-in one if it has no name.
func (c *playCommand) one(ctx context.Context, file string, std streams) error {
	name, text, photo, err := open(file)
	if err != nil {
		return err
	}
	page, err := c.play(ctx, name, text, photo, colours(std.out))
	switch {
	case err != nil:
		return err
	case c.Write && file != "":
		return os.WriteFile(file, []byte(page), 0o644)
	case page != text:
		fmt.Fprintf(std.err, "\n%s\nThat is not what the script says. Lines with - are the script's, with + what happened.\n",
			diff.Diff(name, []byte(text), "played", []byte(page)))
		return exitError(1)
	}
	return nil
}

// open brings the script, and where its photographs are: beside it, or among
// the built-in ones.
func open(file string) (name, text string, photo func(string) ([]byte, error), err error) {
	shipped := func(n string) ([]byte, error) { return fs.ReadFile(testdata.Files, "photos/"+n) }
	if file == "" {
		b, err := fs.ReadFile(testdata.Files, builtIn)
		return builtIn, string(b), shipped, err
	}
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) && filepath.Ext(file) == "" {
		name := shippedScripts + file + ".txt"
		if b, err := fs.ReadFile(testdata.Files, name); err == nil {
			return name, string(b), shipped, nil
		}
		return "", "", nil, fmt.Errorf("there is no script %q; dryhand play --list lists the shipped ones", file)
	}
	beside := func(n string) ([]byte, error) {
		data, err := os.ReadFile(filepath.Join(filepath.Dir(file), n))
		if errors.Is(err, fs.ErrNotExist) {
			return shipped(n)
		}
		return data, err
	}
	return file, string(b), beside, err
}

// listScripts writes the name of each shipped script and what it shows, which is
// the remark at its top.
func listScripts(out io.Writer) error {
	names, err := fs.Glob(testdata.Files, shippedScripts+"*.txt")
	if err != nil {
		return err
	}
	for _, name := range names {
		b, err := fs.ReadFile(testdata.Files, name)
		if err != nil {
			return err
		}
		var about []string
		for line := range strings.Lines(string(b)) {
			remark, ok := strings.CutPrefix(line, "# ")
			if !ok {
				break
			}
			about = append(about, strings.TrimSpace(remark))
		}
		fmt.Fprintf(out, "%-16s %s\n", strings.TrimSuffix(filepath.Base(name), ".txt"), strings.Join(about, "\n"+strings.Repeat(" ", 17)))
	}
	return nil
}

// play opens a world at the script's first moment and plays it there.
func (c *playCommand) play(ctx context.Context, name, text string, photo func(string) ([]byte, error), out io.Writer) (string, error) {
	of, err := c.loadAll()
	if err != nil {
		return "", err
	}
	if of.rules, err = ruled(name, text, of.rules); err != nil {
		return "", err
	}
	zone, err := time.LoadLocation(of.rules.Diary.TimeZone)
	if err != nil {
		return "", err
	}
	lines, err := script.Parse(name, text, zone)
	if err != nil {
		return "", err
	}
	start, err := script.Start(lines)
	if err != nil {
		return "", fmt.Errorf("%s: %w", name, err)
	}
	log := c.log
	if log == nil {
		log = slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelError}))
	}
	w, err := newWorld(ctx, of, standin.NewClock(start), log)
	if err != nil {
		return "", err
	}
	defer w.close()
	p := &script.Player{Standin: w.standin, Zone: zone, People: script.People(lines, int64(playedOwner)), Photo: photo, Settle: w.settle, Push: w.push, Out: out}
	return p.Play(ctx, name, lines)
}
