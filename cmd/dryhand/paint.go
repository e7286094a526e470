package main

import (
	"io"
	"os"
	"regexp"
	"strings"
)

// The looks of a played line, as a terminal is told them (ECMA-48, 8.3.117,
// "select graphic rendition"). Only bold, faint and the terminal's own blue and
// yellow are used, which its owner has chosen to be readable.
const (
	plain  = "\x1b[0m"
	bold   = "\x1b[1m"
	faint  = "\x1b[2m"
	blue   = "\x1b[34m"
	yellow = "\x1b[33m"
)

// painted writes the lines of a play with a look each: who speaks, the desk's
// words, buttons, the clock, remarks.
type painted struct{ to io.Writer }

// colours is out with looks if it is a terminal whose owner has not asked for
// none (no-color.org), and otherwise out as it is.
func colours(out io.Writer) io.Writer {
	f, ok := out.(*os.File)
	if !ok || os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" {
		return out
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return out
	}
	return painted{out}
}

// Write takes whole lines, as a player writes them.
func (p painted) Write(lines []byte) (int, error) {
	var out strings.Builder
	for line := range strings.SplitAfterSeq(string(lines), "\n") {
		words := strings.TrimSuffix(line, "\n")
		out.WriteString(shade(words))
		out.WriteString(line[len(words):])
	}
	if _, err := io.WriteString(p.to, out.String()); err != nil {
		return 0, err
	}
	return len(lines), nil
}

var (
	deskSpeaks   = regexp.MustCompile(`^→ [^:]+(: |:$)`)
	personSpeaks = regexp.MustCompile(`^\p{L}[\p{L}\d]*(: | taps | sends | blocks$| unblocks$)`)
	keysLine     = regexp.MustCompile(`^    (\[[^\]]+\] ?)+$`)
	pounds       = regexp.MustCompile(`£\d+(\.\d\d)?`)
)

// shade is one line of a play as a terminal shows it.
func shade(line string) string {
	switch {
	case line == "":
		return line
	case line[0] == '#':
		return faint + line + plain
	case strings.HasPrefix(line, "-- "), strings.HasPrefix(line, "@ "):
		return yellow + line + plain
	case keysLine.MatchString(line):
		return faint + line + plain
	}
	if who := deskSpeaks.FindString(line); who != "" {
		return bold + who + plain + sums(line[len(who):])
	}
	if who := personSpeaks.FindString(line); who != "" {
		return blue + bold + who + plain + blue + line[len(who):] + plain
	}
	return sums(line)
}

// sums sets the money in a line off.
func sums(s string) string { return pounds.ReplaceAllString(s, bold+"$0"+plain) }
