package page

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"example.org/dryhand/bot/standin"
)

// The sides of the page, as its address and its style sheet name them: two chats,
// and what is behind the desk.
const (
	customerSide = "customer"
	ownerSide    = "owner"
	behindSide   = "behind"
)

// How moments are written.
const (
	clockLayout = "Mon 2 Jan 15:04"
	dayLayout   = "Monday 2 January 2006"
	timeLayout  = "15:04"
)

// view is everything the page says.
type view struct {
	// Seen counts what has happened; the script never puts an older page over a
	// newer one.
	Seen       int
	Now        moment
	Problem    string
	With       int64
	Show       string
	People     []tab
	Sides      []side
	Behind     behind
	Situations []Situation
}

// moment is a time as read and as machines read it.
type moment struct{ Words, Machine string }

// tab is a customer to choose.
type tab struct {
	ID      int64
	Name    string
	Current bool
}

// side is one person's half of the page.
type side struct {
	Side    string
	ID      int64
	Name    string
	Entries []entry
}

// entry is one line of the log, with its margin.
type entry struct {
	ID string
	// Day is set where a day begins; Who and Time where they differ from the entry
	// above.
	Day, Who, Time string
	Class          string // desk, person or note
	Line           standin.Line
	Shows          string // of a photo, for those who cannot see it
	Note           string
}

// actor is who does something, by the form's field "as".
func (p *Page) actor(r *http.Request) (*standin.Person, error) {
	id, err := strconv.ParseInt(r.FormValue("as"), 10, 64)
	if who := p.person(id); err == nil && who != nil {
		return who, nil
	}
	return nil, problem("Nobody of that number is here.")
}

// show answers with the page. What was wrong stands on it.
func (p *Page) show(w http.ResponseWriter, r *http.Request, status int, wrong string) {
	v, err := p.view(r.Context(), r)
	if err != nil {
		p.Log.Error("page cannot be shown", "err", err)
		http.Error(w, "The page cannot be shown; the terminal says why.", http.StatusInternalServerError)
		return
	}
	v.Problem = wrong
	var out bytes.Buffer
	if err := layout.Execute(&out, v); err != nil {
		p.Log.Error("page cannot be written", "err", err)
		http.Error(w, "The page cannot be shown; the terminal says why.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	out.WriteTo(w)
}

func (p *Page) view(ctx context.Context, r *http.Request) (view, error) {
	events, seen := p.Standin.Since(0)
	now := p.Standin.Clock().Now()
	v := view{Seen: seen, Now: p.moment(now), Show: customerSide, Situations: p.Situations}
	if show := r.URL.Query().Get("show"); show == ownerSide || show == behindSide {
		v.Show = show
	}
	owner, customers := p.everybody()
	with := customers[0]
	for _, one := range customers {
		if strconv.FormatInt(one.ID(), 10) == r.URL.Query().Get("with") {
			with = one
		}
	}
	for _, one := range customers {
		v.People = append(v.People, tab{one.ID(), one.Name(), one == with})
	}
	v.With = with.ID()
	of := p.photos(append(customers, owner))
	v.Sides = []side{p.side(customerSide, with, events, of), p.side(ownerSide, owner, events, of)}
	known, err := p.Driver.Behind(ctx, with.ID())
	if err != nil {
		return v, fmt.Errorf("page: what is behind the desk: %w", err)
	}
	v.Behind = p.draw(known)
	return v, nil
}

func (p *Page) moment(t time.Time) moment {
	t = t.In(p.Zone)
	return moment{t.Format(clockLayout), t.Format(time.RFC3339)}
}

// side is a person's log: the chat as they see it, and between its messages what
// left no message behind.
func (p *Page) side(name string, who *standin.Person, events []standin.Event, of map[string]string) side {
	s := side{Side: name, ID: who.ID(), Name: who.Name()}
	notes := notesOf(who, events)
	m := margin{zone: p.Zone}
	s.Entries = m.rule(nil, notes[0]...)
	for _, l := range who.Chat() {
		e := entry{ID: "m" + strconv.FormatInt(l.ID, 10), Class: "person", Who: who.Name(), Line: l}
		if l.Bot {
			e.Class, e.Who = "desk", "Desk"
		}
		if l.What == "photo" {
			e.Shows = p.shows(l, of)
		}
		s.Entries = m.rule(s.Entries, append([]entry{e}, notes[l.ID]...)...)
	}
	return s
}

// notesOf are the entries of what left no message, by the message they follow;
// 0 is before the first.
func notesOf(who *standin.Person, events []standin.Event) map[int64][]entry {
	notes := map[int64][]entry{}
	var last int64
	for i, e := range events {
		if e.Chat != who.ID() {
			continue
		}
		if e.Kind == standin.Said {
			last = e.Line.ID
		}
		if note := noteOf(who, e); note != "" {
			notes[last] = append(notes[last], entry{ID: "e" + strconv.Itoa(i), Class: "note", Note: note, Line: standin.Line{At: e.At}})
		}
	}
	return notes
}

// noteOf is what the log says about an event that is no message, empty if
// nothing.
func noteOf(who *standin.Person, e standin.Event) string {
	switch e.Kind {
	case standin.Toast:
		return e.Text
	case standin.Blocked:
		return who.Name() + " has shut the desk out."
	case standin.Unblocked:
		return who.Name() + " lets the desk in again."
	case standin.Unavailable:
		return "Lost on the way: " + strings.ReplaceAll(e.Text, "_", " ") + "."
	}
	return ""
}

// margin writes day, name and time where they change.
type margin struct {
	zone           *time.Location
	day, who, time string
}

// rule adds entries below those there are.
func (m *margin) rule(to []entry, entries ...entry) []entry {
	for _, e := range entries {
		at := e.Line.At.In(m.zone)
		day, clock, who := at.Format(dayLayout), at.Format(timeLayout), e.Who
		if day != m.day {
			e.Day, m.day, m.who, m.time = day, day, "", ""
		}
		if clock != m.time {
			e.Time, m.time = clock, clock
		}
		if who == m.who {
			e.Who = ""
		}
		m.who = who
		to = append(to, e)
	}
	return to
}
