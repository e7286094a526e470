package script

import (
	"context"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"time"

	"example.org/dryhand/bot/standin"
)

// Player plays a script against a stand-in. The rest of the world follows
// through Settle and Push.
type Player struct {
	Standin *standin.Standin
	Zone    *time.Location
	// People are the chat ids of those the script may name.
	People map[string]int64
	// Photo brings a picture by its name.
	Photo func(name string) ([]byte, error)
	// Settle lets everything follow from the last line that follows at once.
	Settle func(context.Context) error
	// Push moves the clock, visiting what falls due on the way.
	Push func(context.Context, time.Time) error
	// Patience is how long, by the clock on the wall, one line may take; half a
	// minute if zero.
	Patience time.Duration
	// Out, if set, is written line by line as the play goes on.
	Out io.Writer

	names   map[int64]string
	persons map[string]*standin.Person
	seen    int
	lastAt  string
	page    strings.Builder
}

// Play does what people do in the script and returns the page as it really
// came. A line that cannot be done, such as a press on a button that is not
// there, is an error that names it.
func (p *Player) Play(ctx context.Context, name string, lines []Line) (string, error) {
	p.names, p.persons = map[int64]string{}, map[string]*standin.Person{}
	for who, id := range p.People {
		p.names[id] = who
		p.persons[who] = p.Standin.Person(id, who)
	}
	_, p.seen = p.Standin.Since(0)
	for _, l := range lines {
		if l.Kind == Expected {
			continue
		}
		p.write(l.Text)
		if err := p.do(ctx, l); err != nil {
			return p.page.String(), fmt.Errorf("%s:%d: %s: %w", name, l.Number, l.Text, err)
		}
	}
	return p.page.String(), nil
}

func (p *Player) write(line string) {
	p.page.WriteString(line + "\n")
	if p.Out != nil {
		fmt.Fprintln(p.Out, line)
	}
}

// do does one line and writes down what it leads to.
func (p *Player) do(ctx context.Context, l Line) error {
	if l.Kind == Remark || l.Kind == Rule {
		return nil
	}
	if l.Kind == Clock {
		to := p.moment(l)
		p.lastAt = ""
		if err := p.Push(ctx, to); err != nil {
			return err
		}
		p.report(to.Format(Layout))
		return nil
	}
	who, ok := p.persons[l.Who]
	if !ok {
		return fmt.Errorf("who is %s? the script's people are named when it is played", l.Who)
	}
	if err := p.act(who, l); err != nil {
		return err
	}
	before := p.Standin.Clock().Now().In(p.Zone).Format(Layout)
	p.lastAt = before
	// A desk that refuses an update makes the platform wait for a clock that
	// stands still; that must not look like patience.
	patience := p.Patience
	if patience == 0 {
		patience = 2 * time.Minute
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if err := p.Settle(ctx); err != nil {
		return err
	}
	p.report(before)
	return nil
}

// moment is when a clock's line means.
func (p *Player) moment(l Line) time.Time {
	now := p.Standin.Clock().Now().In(p.Zone)
	switch {
	case !l.At.IsZero():
		return l.At
	case l.Later > 0:
		return now.AddDate(0, 0, l.Later)
	}
	for i := 0; ; i++ {
		at := time.Date(now.Year(), now.Month(), now.Day()+i, 0, l.Minute, 0, 0, p.Zone)
		if at.Weekday() == l.Day && !at.Before(now) {
			return at
		}
	}
}

// first is the label of the first button of the latest message that has any.
func first(who *standin.Person) string {
	for _, l := range slices.Backward(who.Chat()) {
		if len(l.Buttons) > 0 {
			return l.Buttons[0][0].Text
		}
	}
	return ""
}

func (p *Player) act(who *standin.Person, l Line) error {
	switch l.Kind {
	case Says:
		who.Say(l.What)
	case Taps:
		label := l.What
		if label == "" {
			label = first(who)
		}
		return who.Tap(0, label)
	case Reads:
		who.Reads(l.What)
	case Blocks:
		who.Block()
	case Unblocks:
		who.Unblock()
	case Forwards:
		if len(l.Files) == 0 {
			who.Forward(l.Of, l.What)
			return nil
		}
		data, err := p.pictures(l.Files)
		if err == nil {
			_, err = who.ForwardAlbum(l.Of, data, "")
		}
		return err
	case Sends:
		data, err := p.pictures(l.Files)
		if err != nil {
			return err
		}
		switch {
		case l.AsFile:
			who.SendFile(path.Base(l.Files[0]), mimeOf(l.Files[0]), data[0])
		case len(data) > 1:
			_, err := who.SendAlbum(data, "")
			return err
		default:
			_, err := who.SendPhoto(data[0], "")
			return err
		}
	}
	return nil
}

// pictures brings pictures by their names.
func (p *Player) pictures(names []string) (data [][]byte, err error) {
	for _, name := range names {
		b, err := p.Photo(name)
		if err != nil {
			return nil, err
		}
		data = append(data, b)
	}
	return data, nil
}

func mimeOf(name string) string {
	switch path.Ext(name) {
	case ".heic":
		return "image/heic"
	case ".png":
		return "image/png"
	case ".webp":
		return "image/webp"
	}
	return "image/jpeg"
}

// report writes down what the stand-in has shown people since last time. quiet
// is the moment that need not be told, because the reader knows it.
func (p *Player) report(quiet string) {
	events, n := p.Standin.Since(p.seen)
	p.seen = n
	for _, e := range events {
		lines := p.shown(e)
		if lines == nil {
			continue
		}
		if at := e.At.In(p.Zone).Format(Layout); at != p.lastAt && at != quiet {
			p.write("@ " + at)
			p.lastAt = at
		}
		for _, l := range lines {
			p.write(l)
		}
	}
	p.write("")
}

// shown is an event as the page tells it, nil if the page does not.
func (p *Player) shown(e standin.Event) []string {
	who := p.names[e.Chat]
	switch e.Kind {
	case standin.Said:
		if !e.Line.Bot {
			return nil
		}
		text := e.Line.Text
		if e.Line.What == "photo" {
			text = "(photo) " + text
		}
		if e.Line.What == "document" {
			text = "(" + e.Line.FileName + ") " + text
		}
		return append(indented("→ "+who+": "+text), buttons(e.Line)...)
	case standin.Edited:
		return append(indented("→ "+who+", changed: "+e.Line.Text), buttons(e.Line)...)
	case standin.Rebuttoned:
		if len(e.Line.Buttons) == 0 {
			return nil // an answered question loses its buttons: nothing to read
		}
		return append([]string{"→ " + who + ", buttons:"}, buttons(e.Line)...)
	case standin.Toast:
		if e.Text == "" {
			return nil
		}
		return []string{"→ " + who + ", hint: " + e.Text}
	case standin.Unavailable:
		return []string{"→ " + who + ", lost on the way: " + e.Text}
	}
	return nil
}

func indented(text string) []string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i := range lines {
		if i > 0 {
			lines[i] = strings.TrimRight("    "+lines[i], " ")
		}
	}
	return lines
}

func buttons(l standin.Line) []string {
	var out []string
	for _, row := range l.Buttons {
		var labels []string
		for _, b := range row {
			labels = append(labels, "["+b.Text+"]")
		}
		out = append(out, "    "+strings.Join(labels, " "))
	}
	return out
}
