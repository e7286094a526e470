package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// scene is a state of things that schedules may start from.
type scene struct {
	at      time.Time
	records []ledger.Record
	people  []*somebody
	last    int64 // the highest message id so far
}

// cast are the owner and some customers who have not said a word yet.
func cast(customers int) scene {
	sc := scene{at: faultsStart, people: []*somebody{{ID: int64(faultsOwner), Name: "Owner"}}}
	for i, name := range []string{"Una", "Dos", "Tressa"}[:customers] {
		sc.people = append(sc.people, &somebody{ID: int64(faultsOwner) + 1 + int64(i), Name: name})
	}
	return sc
}

// faultsStart is a Monday evening: 18:40 in London, where it is summer time.
var faultsStart = time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC)

// scenes are where schedules start from: nothing said yet; everybody looking at
// the same free times; one who waits for the owner, one with a time held, and one
// who is choosing.
//
// A bot that is in order brings them about, whoever plays later.
func (x *faultsSite) scenes(ctx context.Context) ([]scene, error) {
	bots := x.bots
	defer func() { x.bots = bots }()
	x.bots = []string{newFaultsBot(x.direct, faultsPlatform(x.t), x.now).serve(x.t)}
	s, err := x.begin(ctx, 0, cast(3))
	if err != nil {
		return nil, err
	}
	if err := s.round(ctx, []update{s.hand.text(s.people[0], "/start")}); err != nil {
		return nil, err
	}
	for _, p := range s.people[1:] {
		if err := s.round(ctx, []update{s.hand.text(p, "Ford Fiesta")}); err != nil {
			return nil, err
		}
		if err := s.lead(ctx, p, "slot"); err != nil {
			return nil, err
		}
	}
	choosing, err := s.scene(ctx)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(s.lead(ctx, s.people[1], ""), s.lead(ctx, s.people[2], "consent")); err != nil {
		return nil, err
	}
	waiting, err := s.scene(ctx)
	return []scene{cast(2), choosing, waiting}, err
}

// lead makes somebody answer everything up to a question, or, if that is empty, to
// the end.
func (s *schedule) lead(ctx context.Context, p *somebody, upTo string) error {
	const enough = 40
	for range enough {
		b, asked := s.hand.eager(p)
		switch q, _ := b.choice(); {
		case asked && q == upTo, !asked && upTo == "":
			return nil
		case !asked:
			return fmt.Errorf("%s is asked nothing any more, and was never asked %q", p.Name, upTo)
		}
		if err := s.round(ctx, []update{s.hand.tap(p, b)}); err != nil {
			return err
		}
	}
	return fmt.Errorf("%s never comes to %q", p.Name, upTo)
}

// scene is how things stand now.
func (s *schedule) scene(ctx context.Context) (scene, error) {
	sc := scene{at: s.now(), last: s.hand.message}
	for _, p := range s.people {
		sc.people = append(sc.people, p.clone())
	}
	s.straggler.Wait()
	return sc, s.ledger.Each(ctx, func(r ledger.Record) error {
		if r.Kind == "doc" || r.Kind == "due" {
			sc.records = append(sc.records, r)
		}
		return nil
	})
}
