package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
)

// store says where a business's data is.
type store struct {
	RedisURL string `help:"Where Redis is: redis://host:6379/0, several addresses for a Cluster." default:"redis://127.0.0.1:6379/0"`
	Business string `help:"Name of the business in the store: a-z 0-9 -." default:"desk"`
}

// open makes a client and a ledger on it. Nothing is called yet.
func (s store) open() (redis.UniversalClient, *ledger.Ledger, error) {
	options, err := ledger.Options(s.RedisURL)
	if err != nil {
		return nil, nil, err
	}
	rdb := redis.NewUniversalClient(options)
	l, err := ledger.New(rdb, s.Business)
	if err != nil {
		rdb.Close()
		return nil, nil, err
	}
	return rdb, l, nil
}

// exportCommand writes the business's data down, for keeping or for moving.
type exportCommand struct {
	File     string `arg:"" optional:"" help:"Where to write, replacing what is there. Without it, to standard output."`
	Customer int64  `help:"Only what is kept about the person with this chat id." placeholder:"ID"`
	Owner    int64  `help:"Chat id of the owner, so that waiting messages to him about the person are found too." placeholder:"ID"`
	store
}

// Help is shown under export -h.
func (exportCommand) Help() string {
	return "One JSON object a line: what this is, everything there is, and how many lines that were. " +
		"A desk at work may change things meanwhile; for an exact picture stop it first."
}

// exportFormat is the version of the lines. A release that writes them otherwise
// has a higher one, and import says so instead of guessing.
const exportFormat = 1

// exportHead is the first line of an export.
type exportHead struct {
	// Dryhand is the word "export", by which the file is known.
	Dryhand  string    `json:"dryhand"`
	Format   int       `json:"format"`
	Business string    `json:"business"`
	At       time.Time `json:"at"`
	// Customer is set if it holds one person's data only.
	Customer int64 `json:"customer,omitempty"`
}

// exportEnd is the last line. A file without it is not whole.
type exportEnd struct {
	End bool `json:"end"`
	// Records is how many lines stand between the first and this.
	Records int `json:"records"`
}

// Run exports.
func (c *exportCommand) Run(ctx context.Context, std streams) error {
	rdb, l, err := c.open()
	if err != nil {
		return err
	}
	defer rdb.Close()
	head := exportHead{Dryhand: "export", Format: exportFormat, Business: c.Business, At: time.Now().UTC().Truncate(time.Second), Customer: c.Customer}
	part := func(r ledger.Record) (ledger.Record, bool) { return r, true }
	if c.Customer != 0 {
		p, err := desk.FindPerson(ctx, l, bot.ChatID(c.Customer), bot.ChatID(c.Owner))
		if err != nil {
			return err
		}
		part = p.Part
	}
	if c.File == "" {
		_, err := writeExport(ctx, std.out, l, head, part)
		return err
	}
	return replaceFile(c.File, func(w io.Writer) error {
		n, err := writeExport(ctx, w, l, head, part)
		if err == nil {
			fmt.Fprintf(std.err, "%d records written to %s\n", n, c.File)
		}
		return err
	})
}

// writeExport writes the parts of all records as lines, and returns how many.
func writeExport(ctx context.Context, w io.Writer, l *ledger.Ledger, head exportHead, part func(ledger.Record) (ledger.Record, bool)) (n int, err error) {
	buffered := bufio.NewWriter(w)
	lines := json.NewEncoder(buffered)
	if err := lines.Encode(head); err != nil {
		return 0, err
	}
	err = l.Each(ctx, func(r ledger.Record) error {
		r, ours := part(r)
		if !ours {
			return nil
		}
		n++
		return lines.Encode(r)
	})
	if err != nil {
		return n, fmt.Errorf("exporting: %w", err)
	}
	if err := lines.Encode(exportEnd{End: true, Records: n}); err != nil {
		return n, err
	}
	return n, buffered.Flush()
}

// replaceFile writes a file that only its owner may read, whole or not at all.
func replaceFile(name string, write func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone already if all went well
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
