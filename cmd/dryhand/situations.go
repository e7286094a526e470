package main

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/page"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/testdata"
)

// situationFiles are scripts of what one customer, and perhaps the owner, do. The
// first line of each is the remark that says what it shows. They name no dates,
// because the page's clock starts at any.
//
//go:embed situations
var situationFiles embed.FS

// situation is one of them, read.
type situation struct {
	page.Situation
	lines []script.Line
}

// situations reads the situations in the order of their file names.
func situations(zone *time.Location) ([]situation, error) {
	names, err := fs.Glob(situationFiles, "situations/*.txt")
	if err != nil {
		return nil, err
	}
	var out []situation
	for _, name := range names {
		src, err := fs.ReadFile(situationFiles, name)
		if err != nil {
			return nil, err
		}
		s := situation{Situation: page.Situation{Name: strings.TrimSuffix(path.Base(name), ".txt")}}
		if s.lines, err = script.Parse(name, string(src), zone); err != nil {
			return nil, err
		}
		words, ok := strings.CutPrefix(s.lines[0].Text, "# ")
		for _, l := range s.lines {
			if l.Who != "" && l.Who != script.Owner {
				s.Who = l.Who
				break
			}
		}
		if !ok || s.Who == "" {
			return nil, fmt.Errorf("%s: a situation says on its first line what it shows, and has a customer", name)
		}
		s.Words = words
		out = append(out, s)
	}
	return out, nil
}

// play plays a situation with a customer of the page, from now.
func (t *trial) play(ctx context.Context, name string, customer *standin.Person) error {
	for _, s := range t.situations {
		if s.Name != name {
			continue
		}
		p := script.Player{
			Standin: t.standin, Zone: t.zone, People: map[string]int64{s.Who: customer.ID(), script.Owner: int64(playedOwner)},
			Photo:  func(n string) ([]byte, error) { return fs.ReadFile(testdata.Files, "photos/"+n) },
			Settle: t.settle, Push: t.push,
		}
		_, err := p.Play(ctx, name, s.lines)
		return err
	}
	return fmt.Errorf("no situation %q", name)
}
