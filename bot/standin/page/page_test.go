package page_test

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"io"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/page"
)

// bench is a page over a stand-in whose bot says nothing.
type bench struct {
	t      *testing.T
	s      *standin.Standin
	server *httptest.Server
	owner  *standin.Person
	ellie  *standin.Person
	behind page.Behind
}

func open(t *testing.T, start time.Time) *bench {
	t.Helper()
	s := standin.New(standin.Config{Token: "1000:token", Clock: standin.NewClock(start)})
	b := &bench{t: t, s: s, owner: s.Person(7, "Owner"), ellie: s.Person(8, "Ellie")}
	b.server = httptest.NewServer(page.New(page.Config{
		Standin: s, Zone: time.UTC, Owner: b.owner, Customers: []*standin.Person{b.ellie}, Log: slog.New(slog.DiscardHandler),
		Driver: page.Driver{
			Settle: func(context.Context) error { return nil },
			Push:   func(_ context.Context, to time.Time) error { s.Clock().Set(to); return nil },
			Next:   func(context.Context) (page.Due, bool, error) { return page.Due{}, false, nil },
			Behind: func(context.Context, int64) (page.Behind, error) { return b.behind, nil },
		},
	}))
	t.Cleanup(func() { b.server.Close(); s.Close() })
	return b
}

// send makes a request and returns its status, header and body.
func (b *bench) send(r *http.Request) (int, http.Header, string) {
	b.t.Helper()
	answer, err := b.server.Client().Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return answer.StatusCode, answer.Header, string(body)
}

func (b *bench) request(method, path, kind string, body io.Reader) *http.Request {
	b.t.Helper()
	r, err := http.NewRequest(method, b.server.URL+path, body)
	if err != nil {
		b.t.Fatal(err)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	return r
}

func (b *bench) post(path string, fields url.Values) (int, string) {
	b.t.Helper()
	status, _, body := b.send(b.request(http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(fields.Encode())))
	return status, body
}

func (b *bench) get(path string) (int, http.Header, string) {
	b.t.Helper()
	return b.send(b.request(http.MethodGet, path, "", nil))
}

// upload posts files, and fields beside them, to /say.
func (b *bench) upload(fields url.Values, files map[string][]byte) (int, string) {
	b.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name := range fields {
		form.WriteField(name, fields.Get(name))
	}
	for name, data := range files {
		part, err := form.CreateFormFile("photos", name)
		if err != nil {
			b.t.Fatal(err)
		}
		part.Write(data)
	}
	form.Close()
	status, _, answer := b.send(b.request(http.MethodPost, "/say", form.FormDataContentType(), &body))
	return status, answer
}

var monday = time.Date(2027, 4, 12, 18, 40, 0, 0, time.UTC)

func picture(t *testing.T, width int) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := png.Encode(&out, image.NewGray(image.Rect(0, 0, width, 60))); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestWhatIsWrittenIsShownAsText(t *testing.T) {
	b := open(t, monday)
	const nasty = `<script>alert("1")</script> & <img src=x>`
	if status, body := b.post("/say", url.Values{"as": {"8"}, "text": {nasty}}); status != http.StatusOK || strings.Contains(body, "<script>alert") || strings.Contains(body, "<img src=x") {
		t.Errorf("%d\n%s", status, body)
	}
	if _, body := b.post("/customer", url.Values{"name": {"<i>Mia"}}); strings.Contains(body, "<i>Mia") || !strings.Contains(body, "&lt;i&gt;Mia") {
		t.Errorf("a name is taken for markup\n%s", body)
	}
	if got := b.ellie.Chat()[0].Text; got != nasty {
		t.Errorf("the desk was told %q", got)
	}
}

// What one can send reaches the chat as what it is.
func TestWhatCanBeSent(t *testing.T) {
	b := open(t, monday)
	steps := []func() (int, string){
		func() (int, string) { return b.post("/say", url.Values{"as": {"8"}, "text": {" one\r\ntwo "}}) },
		func() (int, string) {
			return b.upload(url.Values{"as": {"8"}, "text": {"both sides"}}, map[string][]byte{"a.png": picture(t, 80), "b.png": picture(t, 90)})
		},
		func() (int, string) {
			return b.upload(url.Values{"as": {"8"}, "as-file": {"on"}}, map[string][]byte{"car.heic": []byte("no picture")})
		},
		func() (int, string) {
			return b.post("/place", url.Values{"as": {"8"}, "latitude": {"53.8"}, "longitude": {"-1.55"}})
		},
		func() (int, string) { return b.post("/sticker", url.Values{"as": {"8"}}) },
	}
	for i, step := range steps {
		if status, body := step(); status != http.StatusOK {
			t.Errorf("step %d: %d\n%s", i, status, body)
		}
	}
	type said struct {
		What, Text, File string
		Lat, Lon         float64
		InAlbum          bool
	}
	var got []said
	for _, l := range b.ellie.Chat() {
		got = append(got, said{l.What, l.Text, l.FileName, l.Latitude, l.Longitude, l.Album != ""})
	}
	want := []said{
		{What: "text", Text: "one\ntwo"},
		{What: "photo", Text: "both sides", InAlbum: true}, {What: "photo", InAlbum: true},
		{What: "document", File: "car.heic"},
		{What: "location", Lat: 53.8, Lon: -1.55},
		{What: "sticker", Text: "👍"},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// What cannot be done is said on the page, and nothing is sent.
func TestWhatCannotBeDone(t *testing.T) {
	b := open(t, monday)
	for _, c := range []struct {
		path   string
		fields url.Values
		words  string
	}{
		{"/say", url.Values{"as": {"8"}, "text": {"  "}}, "Nothing to send"},
		{"/say", url.Values{"as": {"99"}, "text": {"hello"}}, "Nobody of that number"},
		{"/say", url.Values{"text": {"hello"}}, "Nobody of that number"},
		{"/tap", url.Values{"as": {"8"}, "message": {"1"}, "label": {"Yes"}}, "no longer there"},
		{"/tap", url.Values{"as": {"8"}, "message": {"x"}, "label": {"Yes"}}, "Which message"},
		{"/place", url.Values{"as": {"8"}, "latitude": {"NaN"}, "longitude": {"0"}}, "latitude"},
		{"/place", url.Values{"as": {"8"}, "latitude": {"91"}, "longitude": {"0"}}, "latitude"},
		{"/clock", url.Values{"to": {"yesterday"}}, "Push the clock"},
		{"/clock", url.Values{"to": {"due"}}, "Nothing is due"},
		{"/customer", url.Values{"name": {"  "}}, "A first name"},
		{"/customer", url.Values{"name": {strings.Repeat("n", 41)}}, "A first name"},
	} {
		status, body := b.post(c.path, c.fields)
		if status != http.StatusUnprocessableEntity || !strings.Contains(body, c.words) {
			t.Errorf("%s %v: %d, want 422 and %q", c.path, c.fields, status, c.words)
		}
	}
	if status, body := b.upload(url.Values{"as": {"8"}}, map[string][]byte{"car.jpg": []byte("no picture")}); status != http.StatusUnprocessableEntity || !strings.Contains(body, "Try it as a file") {
		t.Errorf("no picture: %d", status)
	}
	if n := len(b.ellie.Chat()); n != 0 {
		t.Errorf("%d messages were sent all the same", n)
	}
}

func TestOtherSitesStayOut(t *testing.T) {
	b := open(t, monday)
	for _, c := range []struct {
		name, header, value string
		want                int
	}{
		{"another site's form", "Sec-Fetch-Site", "cross-site", http.StatusForbidden},
		{"another port's form", "Sec-Fetch-Site", "same-site", http.StatusForbidden},
		{"an old browser, another site", "Origin", "http://example.com", http.StatusForbidden},
		{"a foreign name pointed here", "Host", "example.com", http.StatusForbidden},
		{"its own form", "Sec-Fetch-Site", "same-origin", http.StatusOK},
		{"localhost", "Host", "localhost:8090", http.StatusOK},
		{"an address of IPv6", "Host", "[::1]:8090", http.StatusOK},
	} {
		r := b.request(http.MethodPost, "/sticker", "application/x-www-form-urlencoded", strings.NewReader("as=8"))
		if c.header == "Host" {
			r.Host = c.value
		} else {
			r.Header.Set(c.header, c.value)
		}
		before := len(b.ellie.Chat())
		// Not followed: the address after a post is the bench's own again.
		answer := httptest.NewRecorder()
		b.server.Config.Handler.ServeHTTP(answer, serverSide(r))
		sent := len(b.ellie.Chat()) > before
		if want := c.want == http.StatusOK; sent != want || !want && answer.Code != c.want {
			t.Errorf("%s: %d, sent %v", c.name, answer.Code, sent)
		}
	}
	_, header, _ := b.get("/")
	if policy := header.Get("Content-Security-Policy"); !strings.HasPrefix(policy, "default-src 'self';") || !strings.Contains(policy, "frame-ancestors 'none'") {
		t.Errorf("policy %q", policy)
	}
}

// serverSide is a client's request as a server meets it.
func serverSide(r *http.Request) *http.Request {
	in := httptest.NewRequest(r.Method, r.URL.RequestURI(), r.Body)
	in.Host, in.Header = r.Host, r.Header
	return in
}

// A file is shown only if it is a picture; anything else is for saving, so that
// no script comes in with it.
func TestFilesThatAreNoPicturesAreForSaving(t *testing.T) {
	b := open(t, monday)
	b.ellie.SendFile("page.svg", "image/svg+xml", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`))
	b.ellie.SendFile("car.png", "text/html", picture(t, 70))
	var got []string
	for _, l := range b.ellie.Chat() {
		_, header, _ := b.get("/file?id=" + l.File)
		got = append(got, header.Get("Content-Type")+" "+header.Get("Content-Disposition"))
	}
	if d := cmp.Diff([]string{"application/octet-stream attachment", "image/png "}, got); d != "" {
		t.Error(d)
	}
	if status, _, _ := b.get("/file?id=unknown"); status != http.StatusNotFound {
		t.Errorf("unknown file: %d", status)
	}
}

func TestClockKeys(t *testing.T) {
	for _, c := range []struct{ name, from, to, want string }{
		{"an hour", "2027-04-12T23:40:00Z", "hour", "2027-04-13T00:40:00Z"},
		{"tomorrow morning", "2027-12-31T08:00:00Z", "morning", "2028-01-01T09:00:00Z"},
		{"a month", "2027-04-12T18:40:00Z", "month", "2027-05-12T18:40:00Z"},
		{"from a long month into a short one", "2027-01-31T18:40:00Z", "month", "2027-02-28T18:40:00Z"},
		{"into the February of a leap year", "2028-01-30T18:40:00Z", "month", "2028-02-29T18:40:00Z"},
		{"over the new year", "2027-12-31T18:40:00Z", "month", "2028-01-31T18:40:00Z"},
	} {
		from, err := time.Parse(time.RFC3339, c.from)
		if err != nil {
			t.Fatal(err)
		}
		b := open(t, from)
		b.post("/clock", url.Values{"to": {c.to}})
		if got := b.s.Clock().Now().UTC().Format(time.RFC3339); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// The browser is told of what happens while it waits.
func TestChangesAreTold(t *testing.T) {
	b := open(t, monday)
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	answer, err := b.server.Client().Do(b.request(http.MethodGet, "/changes", "", nil).WithContext(ctx))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	next := func() string {
		piece := make([]byte, 64)
		n, err := answer.Body.Read(piece)
		if err != nil {
			t.Fatal(err)
		}
		return string(piece[:n])
	}
	got := []string{next()}
	b.ellie.Say("one")
	got = append(got, next())
	b.s.Clock().Set(monday.Add(time.Minute))
	got = append(got, next())
	if d := cmp.Diff([]string{"data: 0\n\n", "data: 1\n\n", "data: 1\n\n"}, got); d != "" {
		t.Error(d)
	}
}
