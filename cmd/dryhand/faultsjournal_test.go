package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// journal is what the server itself wrote down in its append-only file: which
// event was applied after which. Nothing of ours has a hand in that order.
type journal struct {
	order []applied
	// due are the bodies of all moments ever asked for, by id@moment in ms.
	due map[string][]byte
}

// applied is one event's mark.
type applied struct {
	op string
	ms int64
}

// journalSize is how long the server's file is: what comes later is read from
// there.
func journalSize(s *ledgertest.Server) (int64, error) {
	var n int64
	for _, f := range s.Journal() {
		info, err := os.Stat(f)
		if err != nil {
			return 0, err
		}
		n += info.Size()
	}
	return n, nil
}

// readJournal reads a business's part of the file from an offset on.
func readJournal(s *ledgertest.Server, from int64, business string) (journal, error) {
	j := journal{due: map[string][]byte{}}
	files := s.Journal()
	if len(files) != 1 {
		return j, fmt.Errorf("the server keeps %d append-only files, want 1", len(files))
	}
	f, err := os.Open(files[0])
	if err != nil {
		return j, err
	}
	defer f.Close()
	if _, err := f.Seek(from, io.SeekStart); err != nil {
		return j, err
	}
	ops, due := "dh:{"+business+"}:ops", "dh:{"+business+"}:due:body"
	for r := bufio.NewReaderSize(f, 1<<16); ; {
		cmd, err := ledgertest.ReadCommand(r)
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			return j, nil
		}
		if err != nil {
			return j, err
		}
		switch {
		case len(cmd) == 4 && strings.EqualFold(cmd[0], "ZADD") && cmd[1] == ops:
			ms, err := strconv.ParseInt(cmd[2], 10, 64)
			if err != nil {
				return j, err
			}
			j.order = append(j.order, applied{cmd[3], ms})
		case len(cmd) == 4 && strings.EqualFold(cmd[0], "HSET") && cmd[1] == due:
			at, body, _ := strings.Cut(cmd[3], "|")
			j.due[cmd[2]+"@"+at] = []byte(body)
		}
	}
}
