package jobsheet

import (
	"fmt"
	"strings"
	"unicode/utf16"
)

// most is how long one message may be, in UTF-16 units as the platform counts
// them (it allows 4096), with room for what is put around it.
const most = 3500

// Messages is the sheet as plain text for a chat: the short of it, without the
// timetables. Each message is at most 3500 UTF-16 units long; a step is kept
// together where that is possible.
func (w *Words) Messages(s Sheet) []string {
	v := w.view(s)
	blocks := []string{v.head()}
	for _, x := range v.Steps {
		blocks = append(blocks, x.short())
	}
	for _, f := range v.Foot {
		blocks = append(blocks, f.Title+":\n"+bulleted(f.Lines))
	}
	return packed(blocks)
}

func (v view) head() string {
	var b strings.Builder
	fmt.Fprintln(&b, v.W.Title)
	for _, r := range v.Heading {
		fmt.Fprintf(&b, "%s: %s\n", r.Label, r.Text)
	}
	fmt.Fprintf(&b, "\n%s\n", v.First)
	for _, x := range v.Warnings {
		fmt.Fprintf(&b, "\n%s\n", x)
	}
	if len(v.S.Cautions) > 0 {
		fmt.Fprintf(&b, "\n%s:\n%s\n", v.W.WholeJob, bulleted(v.S.Cautions))
	}
	if len(v.Steps) > 0 {
		fmt.Fprintf(&b, "\n%s: %s.", v.W.Bring, strings.Join(v.S.Bring, "; "))
	}
	return strings.TrimSpace(b.String())
}

func bulleted(lines []string) string {
	var b strings.Builder
	for i, l := range lines {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString("– " + l)
	}
	return b.String()
}

// short is a step without its timetables and stronger mixes.
func (x stepView) short() string {
	lines := []string{fmt.Sprintf("%d. %s %s (%s)", x.Number, x.From, x.Words, strings.Join(x.Time, ", "))}
	lines = append(lines, x.Said...)
	if x.Why != "" {
		lines = append(lines, x.Why)
	}
	for _, m := range x.Brief {
		lines = append(lines, "– "+m)
	}
	for _, l := range append(append([]string{}, x.Short...), x.Wrong...) {
		lines = append(lines, "– "+l)
	}
	if len(x.Cautions) > 0 {
		lines = append(lines, "! "+strings.Join(x.Cautions, " "))
	}
	return strings.Join(lines, "\n")
}

// packed puts blocks into as few messages as their order allows.
func packed(blocks []string) []string {
	var out []string
	now := ""
	for _, b := range blocks {
		for _, part := range cut(b) {
			if now != "" && units(now)+2+units(part) > most {
				out = append(out, now)
				now = ""
			}
			if now != "" {
				now += "\n\n"
			}
			now += part
		}
	}
	return append(out, now)
}

// cut is a block in pieces that fit, cut at lines where it can be.
func cut(b string) []string {
	var out []string
	for units(b) > most {
		at, used := 0, 0
		for i, r := range b {
			if used += utf16.RuneLen(r); used > most {
				break
			}
			at = i
		}
		if line := strings.LastIndexByte(b[:at], '\n'); line > 0 {
			at = line
		}
		out = append(out, strings.TrimSpace(b[:at]))
		b = strings.TrimSpace(b[at:])
	}
	return append(out, b)
}

func units(s string) int { return len(utf16.Encode([]rune(s))) }
