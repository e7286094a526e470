package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"example.org/dryhand/conversations/ledger"
)

// importCommand puts exported data into a store.
type importCommand struct {
	File string `arg:"" help:"What export has written, or - for standard input."`
	Over bool   `help:"Also into a store that holds something: what the file has replaces what has the same name there, the rest stays." env:"-"`
	store
}

// Help is shown under import -h.
func (importCommand) Help() string {
	return "Stop the desk first. A file is read to its end before anything is written; standard input is written as it comes. " +
		"Importing the same again changes nothing, so that one that was cut short may be repeated with --over."
}

// Run imports.
func (c *importCommand) Run(ctx context.Context, std streams) error {
	rdb, l, err := c.open()
	if err != nil {
		return err
	}
	defer rdb.Close()
	empty, err := l.Empty(ctx)
	if err != nil {
		return err
	}
	if !empty && !c.Over {
		return fmt.Errorf("the store of %q holds something already: import into another --business, or add --over", c.Business)
	}
	in, name := std.in, "standard input"
	if c.File != "-" {
		f, err := os.Open(c.File)
		if err != nil {
			return err
		}
		defer f.Close()
		in, name = f, c.File
		if _, err := readExport(f, func([]ledger.Record) error { return nil }); err != nil {
			return fmt.Errorf("%s: %w; nothing was imported", name, err)
		}
		if _, err := f.Seek(0, io.SeekStart); err != nil {
			return err
		}
	}
	n, err := readExport(in, func(batch []ledger.Record) error { return l.Restore(ctx, batch...) })
	if err != nil {
		return fmt.Errorf("%s: %w; up to %d records were imported", name, err, n)
	}
	fmt.Fprintf(std.err, "%d records imported\n", n)
	return nil
}

const (
	// longestLine bounds what is read at a time: many times the largest document.
	longestLine = 64 << 20
	// importBatch is how many records are written at a time.
	importBatch = 200
)

// readExport reads an export to its end, hands its records on in batches, and
// returns how many it handed on. The error says in which line something is wrong.
func readExport(in io.Reader, take func([]ledger.Record) error) (n int, err error) {
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, longestLine)
	line := 0
	next := func() bool { line++; return lines.Scan() }
	if !next() {
		return 0, errors.Join(errors.New("is empty"), lines.Err())
	}
	if err := checkHead(lines.Bytes()); err != nil {
		return 0, fmt.Errorf("line 1: %w", err)
	}
	var batch []ledger.Record
	for next() {
		if bytes.HasPrefix(lines.Bytes(), []byte(`{"end":`)) {
			if err := checkEnd(lines.Bytes(), line-2); err != nil {
				return n, fmt.Errorf("line %d: %w", line, err)
			}
			if next() {
				return n, fmt.Errorf("line %d: goes on after its end line", line)
			}
			return n + len(batch), errors.Join(lines.Err(), take(batch))
		}
		var r ledger.Record
		if err := json.Unmarshal(lines.Bytes(), &r); err != nil {
			return n, fmt.Errorf("line %d: %w", line, err)
		}
		if batch = append(batch, r); len(batch) == importBatch {
			if err := take(batch); err != nil {
				return n, fmt.Errorf("up to line %d: %w", line, err)
			}
			n, batch = n+len(batch), batch[:0]
		}
	}
	return n, errors.Join(fmt.Errorf("ends at line %d without an end line, so some of it is missing", line-1), lines.Err())
}

// checkHead refuses what is no export, of another release, or one person's.
func checkHead(line []byte) error {
	var head exportHead
	switch err := json.Unmarshal(line, &head); {
	case err != nil || head.Dryhand != "export":
		return errors.New("this is not an export of dryhand")
	case head.Format != exportFormat:
		return fmt.Errorf("this export is of format %d; this release reads format %d", head.Format, exportFormat)
	case head.Customer != 0:
		return errors.New("this is one person's data, with only their part of the days it touches; it cannot be imported")
	}
	return nil
}

// checkEnd compares the number of records with what the end line says.
func checkEnd(line []byte, records int) error {
	var end exportEnd
	if err := json.Unmarshal(line, &end); err != nil || !end.End {
		return fmt.Errorf("the end line cannot be read: %w", err)
	}
	if end.Records != records {
		return fmt.Errorf("the end line says %d records, and there are %d", end.Records, records)
	}
	return nil
}
