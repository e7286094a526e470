package diary_test

import (
	"testing"
	"time"

	"example.org/dryhand/conversations/diary"
	"pgregory.net/rapid"
)

// bookings are what some customers and the owner do to one day at random: times are
// held, lapse, are booked, moved, half moved and left as they were.
type bookings struct {
	*rapid.T
	day diary.Day
	now time.Time
	// has and wants are the time each booking has and the one it may move to.
	has, wants map[string]diary.Entry
	// over counts the minutes taken by both.
	over int
}

func (b *bookings) who() string {
	return rapid.SampledFrom([]string{"a", "b", "c", "d"}).Draw(b.T, "who")
}

// some is a random time of the day, mostly one that overlaps others.
func (b *bookings) some(e diary.Entry) diary.Entry {
	from := time.Date(2027, 4, 14, 8, 0, 0, 0, time.UTC).Add(time.Duration(rapid.IntRange(0, 18).Draw(b.T, "from")) * diary.Step)
	e.Start, e.End = from, from.Add(time.Duration(rapid.IntRange(1, 6).Draw(b.T, "long"))*diary.Step)
	return e
}

// clear tells, by looking at every minute, whether nobody but who has a time.
func (b *bookings) clear(e diary.Entry, who string) bool {
	for _, list := range []map[string]diary.Entry{b.has, b.wants} {
		for other, o := range list {
			for t := e.Start; other != who && t.Before(e.End); t = t.Add(time.Minute) {
				if !t.Before(o.Start) && t.Before(o.End) {
					return false
				}
			}
		}
	}
	return true
}

func (b *bookings) acts() map[string]func(*rapid.T) {
	place := func(e diary.Entry, who string, list map[string]diary.Entry) {
		if got, want := b.day.Place(e), b.clear(e, who); got != want {
			b.Fatalf("%+v placed: %v, want %v, in %+v", e, got, want, b.day.Entries)
		} else if got {
			list[who] = e
		}
	}
	drop := func(who string) {
		if b.day.Remove(who + "~") {
			delete(b.wants, who)
		}
	}
	return map[string]func(*rapid.T){
		"hold": func(*rapid.T) {
			who := b.who()
			if b.has[who].Kind != diary.Booked {
				place(b.some(diary.Entry{ID: who, Kind: diary.Hold, Until: b.now.Add(20 * time.Minute)}), who, b.has)
			}
		},
		"book": func(*rapid.T) {
			who := b.who()
			if e, ok := b.has[who]; ok {
				e.Kind, e.Until = diary.Booked, time.Time{}
				place(e, who, b.has)
			}
		},
		"want another": func(*rapid.T) {
			if who := b.who(); b.has[who].Kind == diary.Booked {
				place(b.some(diary.Entry{ID: who + "~", For: who, Kind: diary.Asked}), who, b.wants)
			}
		},
		"takes longer": func(*rapid.T) {
			who := b.who()
			if e := b.has[who]; e.Kind == diary.Booked {
				e.End = e.End.Add(diary.Step)
				place(e, who, b.has)
			}
		},
		"agree": func(*rapid.T) {
			who := b.who()
			if e, ok := b.wants[who]; ok {
				b.day.Remove(who)
				b.day.Remove(who + "~")
				delete(b.wants, who)
				e.ID, e.For, e.Kind = who, "", diary.Booked
				if place(e, who, b.has); b.has[who] != e {
					b.Fatalf("what %s was kept has gone to somebody", who)
				}
			}
		},
		"refuse": func(*rapid.T) { drop(b.who()) },
		"call off": func(*rapid.T) {
			who := b.who()
			drop(who)
			b.day.Remove(who)
			delete(b.has, who)
		},
		"wait": func(*rapid.T) {
			b.now = b.now.Add(15 * time.Minute)
			for _, e := range b.day.Lapse(b.now) {
				delete(b.has, e.ID)
			}
		},
		"": func(*rapid.T) { b.holds() },
	}
}

// holds: the day has what everybody has and may move to, and no minute is taken by two,
// but by the two times of one booking that is being moved.
func (b *bookings) holds() {
	if len(b.day.Entries) != len(b.has)+len(b.wants) {
		b.Fatalf("%d entries of %v and %v", len(b.day.Entries), b.has, b.wants)
	}
	taken := map[time.Time]diary.Entry{}
	for _, e := range b.day.Entries {
		for t := e.Start; t.Before(e.End); t = t.Add(time.Minute) {
			if o, ok := taken[t]; ok && o.For != e.ID && e.For != o.ID {
				b.Fatalf("%s is taken by %+v and by %+v", t, o, e)
			} else if ok {
				b.over++
			}
			taken[t] = e
		}
	}
}

func TestNobodyGetsBetweenMoves(t *testing.T) {
	over := 0
	rapid.Check(t, func(t *rapid.T) {
		b := &bookings{T: t, now: time.Date(2027, 4, 12, 9, 0, 0, 0, time.UTC), has: map[string]diary.Entry{}, wants: map[string]diary.Entry{}}
		t.Repeat(b.acts())
		over += b.over
	})
	if over < 20 {
		t.Errorf("a move lay over the time it is to replace %d times only", over)
	}
}
