// Package page is the local chat page: the stand-in's customers and the owner
// side by side in a browser, and the clock above them.
//
// The server renders everything; the script on the page only saves reloads, so
// that reading and writing work without it. Nothing is fetched from elsewhere,
// nothing is kept here beyond the list of customers: what was said lives in the
// stand-in.
package page

import (
	"context"
	"embed"
	"html/template"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"example.org/dryhand/bot/standin"
)

// Driver moves the world that the chats live in.
type Driver struct {
	// Settle lets everything happen that follows at once from what was done.
	Settle func(context.Context) error
	// Push moves the clock to a moment and stops at everything due on the way.
	Push func(ctx context.Context, to time.Time) error
	// Next is what falls due next, false if nothing does.
	Next func(context.Context) (Due, bool, error)
	// Behind is what the desk knows and the chat with a customer does not show.
	Behind func(ctx context.Context, customer int64) (Behind, error)
	// Play plays a situation with a customer, from what they first write to where
	// the situation leaves them.
	Play func(ctx context.Context, situation string, customer *standin.Person) error
}

// Situation is something a customer can be in, ready to be played.
type Situation struct {
	// Name is what [Driver.Play] knows it by, Who the customer's first name, Words
	// what it shows.
	Name, Who, Words string
}

// Due is something that will happen at a moment.
type Due struct {
	At   time.Time
	What string // in plain words
}

// Config is what the page shows.
type Config struct {
	Standin *standin.Standin
	// Zone is where the clock on the page is read.
	Zone *time.Location
	// Owner is the person on the right, Customers (at least one) those who can be
	// chosen on the left. More can be added on the page.
	Owner     *standin.Person
	Customers []*standin.Person
	// Situations can be played with a click, in this order.
	Situations []Situation
	// Pictures says of the desk's own pictures what is to be seen, by the name of
	// their file, for those who cannot see them.
	Pictures map[string]string
	Driver   Driver
	Log      *slog.Logger
}

// Page serves the chat page. It may be used by several browsers at once.
type Page struct {
	Config
	handler http.Handler

	// acting lets one thing be done at a time: a push of the clock must not
	// overtake what somebody has just said.
	acting sync.Mutex

	mu        sync.Mutex
	customers []*standin.Person
	// names are what photos sent here were called, by their id.
	names map[string]string
}

//go:embed page.html page.css page.js icon.svg
var files embed.FS

var layout = template.Must(template.New("page.html").Funcs(template.FuncMap{"unbroken": unbroken}).ParseFS(files, "page.html"))

// unbroken keeps the sign before a sum of money on the line of the sum, where a browser
// may break after it.
func unbroken(label string) string { return strings.ReplaceAll(label, " +", " +\u2060") }

// New returns the page. What it shows is taken from c; c.Customers is copied.
func New(c Config) *Page {
	p := &Page{Config: c, customers: append([]*standin.Person(nil), c.Customers...), names: map[string]string{}}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { p.show(w, r, http.StatusOK, "") })
	for _, name := range []string{"page.css", "page.js", "icon.svg"} {
		mux.HandleFunc("GET /"+name, func(w http.ResponseWriter, r *http.Request) { http.ServeFileFS(w, r, files, name) })
	}
	mux.HandleFunc("GET /file", p.file)
	mux.HandleFunc("GET /changes", p.changes)
	mux.HandleFunc("POST /say", p.act(p.say))
	mux.HandleFunc("POST /tap", p.act(p.tap))
	mux.HandleFunc("POST /place", p.act(p.place))
	mux.HandleFunc("POST /sticker", p.act(p.sticker))
	mux.HandleFunc("POST /clock", p.act(p.clock))
	mux.HandleFunc("POST /customer", p.act(p.add))
	mux.HandleFunc("POST /situation", p.act(p.situation))
	p.handler = guarded(http.NewCrossOriginProtection().Handler(mux))
	return p
}

// ServeHTTP answers the browser. A request that comes from another site is 403.
func (p *Page) ServeHTTP(w http.ResponseWriter, r *http.Request) { p.handler.ServeHTTP(w, r) }

// guarded keeps other sites out: their frames, their scripts, and their names
// pointed at this machine. The page is reached as localhost or by a plain
// address, because a foreign site can only come in under a name.
func guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !plainHost(r.Host) {
			http.Error(w, "Open this page as localhost or by the machine's address, not under a name.", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func plainHost(hostPort string) bool {
	host := hostPort
	if h, _, err := net.SplitHostPort(hostPort); err == nil {
		host = h
	}
	if n := len(host); n > 1 && host[0] == '[' && host[n-1] == ']' {
		host = host[1 : n-1]
	}
	_, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil
}

// everybody is the owner and the customers there are now.
func (p *Page) everybody() (owner *standin.Person, customers []*standin.Person) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.Owner, append([]*standin.Person(nil), p.customers...)
}

// person finds somebody by their id, nil if there is nobody.
func (p *Page) person(id int64) *standin.Person {
	owner, customers := p.everybody()
	for _, one := range append(customers, owner) {
		if one.ID() == id {
			return one
		}
	}
	return nil
}
