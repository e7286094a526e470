package ledgertest

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Journal are the increments of a server's append-only file, in order: one, unless it
// was told to write the file anew.
func (s *Server) Journal() []string {
	files, _ := filepath.Glob(filepath.Join(s.Dir, "appendonlydir", "*.incr.aof"))
	slices.Sort(files)
	return files
}

// CutTorn takes off the file of a server that was killed what it was in the middle of
// writing, and returns how many bytes that were: nobody was told of any of it. A server
// does so itself when it starts, but takes off too little where it was killed within a
// command within a transaction (seen in 7.0.15; github.com/valkey-io/valkey/pull/4342):
// the transaction's beginning stays, and comes to life together with the next one when
// the file is read once more. What serve does about it, TestATornCommitStaysDead holds;
// where the order in the file is what is looked at, it must not be in there.
func (s *Server) CutTorn() int64 {
	s.t.Helper()
	files := s.Journal()
	if len(files) == 0 {
		return 0
	}
	torn, err := s.cutTorn(files[len(files)-1])
	if err != nil {
		s.t.Fatalf("ledgertest: append-only file: %v", err)
	}
	return torn
}

func (s *Server) cutTorn(file string) (int64, error) {
	f, err := os.OpenFile(file, os.O_RDWR, 0)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	if _, err := f.Seek(s.whole, io.SeekStart); err != nil {
		return 0, err
	}
	at, open := s.whole, false // where the next command begins, and whether in a transaction
	for r := bufio.NewReaderSize(f, 1<<16); ; {
		cmd, n, err := readCommand(r)
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			break
		}
		if err != nil {
			return 0, err
		}
		at += n
		switch {
		case len(cmd) == 1 && strings.EqualFold(cmd[0], "MULTI"):
			open = true
		case len(cmd) == 1 && strings.EqualFold(cmd[0], "EXEC"):
			open = false
		}
		if !open {
			s.whole = at
		}
	}
	info, err := f.Stat()
	if err != nil || info.Size() == s.whole {
		return 0, err
	}
	return info.Size() - s.whole, f.Truncate(s.whole)
}

// ReadCommand reads one command of an append-only file, which is as the protocol
// writes it: an array of bulk strings. Notes, which begin with #, are commands of no
// words. It ends with io.EOF, or io.ErrUnexpectedEOF within a command.
func ReadCommand(r *bufio.Reader) ([]string, error) {
	cmd, _, err := readCommand(r)
	return cmd, err
}

// readCommand is ReadCommand, and how many bytes it took.
func readCommand(r *bufio.Reader) (cmd []string, size int64, err error) {
	line := func(sign byte) (int, error) {
		head, err := r.ReadBytes('\n')
		if err == io.EOF && len(head)+int(size) > 0 {
			err = io.ErrUnexpectedEOF
		}
		if err != nil {
			return 0, err
		}
		size += int64(len(head))
		if sign == '*' && head[0] == '#' {
			return 0, nil
		}
		n, err := strconv.Atoi(string(bytes.TrimSpace(head[1:])))
		if head[0] != sign || err != nil {
			return 0, fmt.Errorf("%q where %c and a number should be", head, sign)
		}
		return n, nil
	}
	words, err := line('*')
	if err != nil {
		return nil, size, err
	}
	for range words {
		n, err := line('$')
		if err != nil {
			return nil, size, err
		}
		word := make([]byte, n+len("\r\n"))
		if _, err := io.ReadFull(r, word); err != nil {
			return nil, size, io.ErrUnexpectedEOF
		}
		size += int64(len(word))
		cmd = append(cmd, string(word[:n]))
	}
	return cmd, size, nil
}
