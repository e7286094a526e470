package page

import (
	"fmt"
	"math"
	"net/http"
	"time"
)

// changes tells the browser whenever something has happened, and every minute of
// the clock on the page, until it goes away (text/event-stream,
// html.spec.whatwg.org/multipage/server-sent-events.html).
func (p *Page) changes(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	clock := p.Standin.Clock()
	minute, nextMinute := clock.After(soonMinute(clock.Now())), false
	for told := -1; ; {
		changed := p.Standin.Changed()
		if _, n := p.Standin.Since(math.MaxInt); n != told || nextMinute {
			told, nextMinute = n, false
			fmt.Fprintf(w, "data: %d\n\n", n)
			if out.Flush() != nil {
				return
			}
		}
		select {
		case <-changed:
		case <-minute:
			minute, nextMinute = clock.After(soonMinute(clock.Now())), true
		case <-r.Context().Done():
			return
		}
	}
}

func soonMinute(t time.Time) time.Time { return t.Truncate(time.Minute).Add(time.Minute) }

// file serves a picture somebody sent. Only what every browser shows as a picture
// is served as one; anything else, which may be a page with a script in it, is
// for saving.
func (p *Page) file(w http.ResponseWriter, r *http.Request) {
	data, ok := p.Standin.File(r.URL.Query().Get("id"))
	if !ok {
		http.NotFound(w, r)
		return
	}
	switch kind := http.DetectContentType(data); kind {
	case "image/jpeg", "image/png", "image/gif", "image/webp":
		w.Header().Set("Content-Type", kind)
	default:
		w.Header().Set("Content-Type", "application/octet-stream")
		w.Header().Set("Content-Disposition", "attachment")
	}
	w.Header().Set("Cache-Control", "private, max-age=3600, immutable")
	w.Write(data)
}
