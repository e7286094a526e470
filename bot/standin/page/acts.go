package page

import (
	"context"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/dryhand/bot/standin"
)

const (
	// mostBytes bounds one post: an album of ten photographs as cameras make them.
	mostBytes = 100 << 20
	// inMemory is how much of a post is held in memory while it is read.
	inMemory = 16 << 20
	// patience is how long everything that follows from one post may take, by the
	// clock on the wall.
	patience = time.Minute
	// longestName is what a first name may be, in characters.
	longestName = 40
)

// problem is an error whose words are for the person at the page.
type problem string

func (e problem) Error() string { return string(e) }

// act makes a handler of something a person does: done one at a time, followed
// by everything that follows, answered with the page.
func (p *Page) act(do func(context.Context, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, mostBytes)
		if err := r.ParseMultipartForm(inMemory); err != nil && !errors.Is(err, http.ErrNotMultipart) {
			p.show(w, r, http.StatusBadRequest, "That could not be read. All together it may be 100 MB.")
			return
		}
		// What has begun is finished, also when the browser goes away meanwhile.
		ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), patience)
		defer cancel()
		p.acting.Lock()
		err := do(ctx, r)
		p.acting.Unlock()
		var said problem
		switch {
		case errors.As(err, &said):
			p.show(w, r, http.StatusUnprocessableEntity, string(said))
		case err != nil:
			p.Log.Error("what followed is incomplete", "err", err)
			p.show(w, r, http.StatusInternalServerError, "Something went wrong behind the page; the terminal says what.")
		default:
			to := url.URL{Path: "/", RawQuery: state(r).Encode(), Fragment: r.URL.Fragment}
			http.Redirect(w, r, to.String(), http.StatusSeeOther)
		}
	}
}

// state is whom the page shows, as its address says.
func state(r *http.Request) url.Values {
	q := url.Values{}
	for _, name := range []string{"with", "show"} {
		if v := r.URL.Query().Get(name); v != "" {
			q.Set(name, v)
		}
	}
	return q
}

// say sends what stands in the text box, with the pictures chosen, if any.
func (p *Page) say(ctx context.Context, r *http.Request) error {
	who, err := p.actor(r)
	if err != nil {
		return err
	}
	text := strings.TrimSpace(strings.ReplaceAll(r.FormValue("text"), "\r\n", "\n"))
	pictures, names, err := chosen(r.MultipartForm)
	if err != nil {
		return err
	}
	switch {
	case len(pictures) == 0 && text == "":
		return problem("Nothing to send: write something, or choose a photo.")
	case len(pictures) == 0:
		who.Say(text)
	case r.FormValue("as-file") != "":
		for i, data := range pictures {
			who.SendFile(names[i].name, names[i].mime, data)
		}
		if text != "" {
			who.Say(text)
		}
	default:
		ids, err := who.SendAlbum(pictures, text)
		if err != nil {
			return problem("That is not a picture a phone would send as a photo. Try it as a file.")
		}
		p.remember(who, ids, names)
	}
	return p.Driver.Settle(ctx)
}

// named is what a file is called and said to be.
type named struct{ name, mime string }

// chosen reads the files of a form. A picker that was left alone sends one
// without a name.
func chosen(form *multipart.Form) (data [][]byte, names []named, err error) {
	if form == nil {
		return nil, nil, nil
	}
	for _, h := range form.File["photos"] {
		if h.Filename == "" {
			continue
		}
		f, err := h.Open()
		if err != nil {
			return nil, nil, fmt.Errorf("page: opening an upload: %w", err)
		}
		one, err := io.ReadAll(f)
		f.Close()
		if err != nil {
			return nil, nil, fmt.Errorf("page: reading an upload: %w", err)
		}
		data = append(data, one)
		names = append(names, named{h.Filename, h.Header.Get("Content-Type")})
	}
	return data, names, nil
}

// tap presses a button below a message.
func (p *Page) tap(ctx context.Context, r *http.Request) error {
	who, err := p.actor(r)
	if err != nil {
		return err
	}
	message, err := strconv.ParseInt(r.FormValue("message"), 10, 64)
	if err != nil {
		return problem("Which message is that button on?")
	}
	if err := who.Tap(message, r.FormValue("label")); err != nil {
		return problem("That button is no longer there. Here is how the chat stands now.")
	}
	return p.Driver.Settle(ctx)
}

// place shares a location.
func (p *Page) place(ctx context.Context, r *http.Request) error {
	who, err := p.actor(r)
	if err != nil {
		return err
	}
	lat, err1 := strconv.ParseFloat(r.FormValue("latitude"), 64)
	lon, err2 := strconv.ParseFloat(r.FormValue("longitude"), 64)
	if err1 != nil || err2 != nil || !(lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180) {
		return problem("A place needs a latitude from -90 to 90 and a longitude from -180 to 180.")
	}
	who.SendLocation(lat, lon)
	return p.Driver.Settle(ctx)
}

// sticker sends what the desk does not read.
func (p *Page) sticker(ctx context.Context, r *http.Request) error {
	who, err := p.actor(r)
	if err != nil {
		return err
	}
	who.SendSticker("👍")
	return p.Driver.Settle(ctx)
}

// clock pushes the clock.
func (p *Page) clock(ctx context.Context, r *http.Request) error {
	now := p.Standin.Clock().Now().In(p.Zone)
	switch r.FormValue("to") {
	case "hour":
		return p.Driver.Push(ctx, now.Add(time.Hour))
	case "morning":
		return p.Driver.Push(ctx, time.Date(now.Year(), now.Month(), now.Day()+1, 9, 0, 0, 0, p.Zone))
	case "month":
		return p.Driver.Push(ctx, monthAfter(now))
	case "due":
		due, ok, err := p.Driver.Next(ctx)
		switch {
		case err != nil:
			return err
		case !ok:
			return problem("Nothing is due: nobody has been promised anything.")
		}
		if err := p.Driver.Push(ctx, due.At); err != nil {
			return err
		}
		return p.Driver.Settle(ctx)
	}
	return problem("Push the clock to when?")
}

// monthAfter is the same time of day a calendar month later, or on that month's
// last day if it is shorter.
func monthAfter(t time.Time) time.Time {
	later := t.AddDate(0, 1, 0)
	if later.Day() != t.Day() {
		later = later.AddDate(0, 0, -later.Day())
	}
	return later
}

// add brings in another customer and turns the page to them.
func (p *Page) add(_ context.Context, r *http.Request) error {
	name := strings.Join(strings.Fields(r.FormValue("name")), " ")
	if name == "" || utf8.RuneCountInString(name) > longestName {
		return problem("A first name, please, of at most 40 letters.")
	}
	p.bring(r, name)
	return nil
}

// bring adds a customer and turns the page to them.
func (p *Page) bring(r *http.Request, name string) *standin.Person {
	p.mu.Lock()
	defer p.mu.Unlock()
	id := p.Owner.ID()
	for _, one := range p.customers {
		id = max(id, one.ID())
	}
	who := p.Standin.Person(id+1, name)
	p.customers = append(p.customers, who)
	q := url.Values{"with": {strconv.FormatInt(who.ID(), 10)}, "show": {customerSide}}
	r.URL.RawQuery, r.URL.Fragment = q.Encode(), "say-"+customerSide // the keyboard goes to their box
	return who
}

// situation plays one with a customer of its own, and turns the page to them.
func (p *Page) situation(ctx context.Context, r *http.Request) error {
	for _, s := range p.Situations {
		if s.Name == r.FormValue("name") {
			return p.Driver.Play(ctx, s.Name, p.bring(r, s.Who))
		}
	}
	return problem("There is no such situation.")
}
