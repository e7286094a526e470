package standin

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// maxUpload bounds a call's body: the largest upload the platform takes is
// 50 MB (core.telegram.org/bots/api#sending-files), and forms add a little.
const maxUpload = 51 << 20

// upload is a file that came with a call.
type upload struct {
	name string
	mime string
	data []byte
}

// params are what came with one call: texts as they stood in the form, and files.
type params struct {
	text  map[string]string
	files map[string]upload
}

// readParams reads what the platform reads: a query string, a form, a multipart
// form of any length or none at all, or a JSON object.
func readParams(r *http.Request) (params, error) {
	p := params{text: map[string]string{}, files: map[string]upload{}}
	for name, values := range r.URL.Query() {
		p.text[name] = values[0]
	}
	kind, options, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	body := http.MaxBytesReader(nil, r.Body, maxUpload)
	var err error
	switch kind {
	case "multipart/form-data":
		err = p.readMultipart(multipart.NewReader(body, options["boundary"]))
	case "application/json":
		err = p.readJSON(body)
	case "application/x-www-form-urlencoded":
		r.Body = body
		err = r.ParseForm()
		for name, values := range r.PostForm {
			p.text[name] = values[0]
		}
	}
	if err == nil {
		// To the end, also of what holds nothing more: a connection that is cut with
		// something unread in it is reset, and not just closed.
		_, err = io.Copy(io.Discard, body)
	}
	return p, p.wellFormed(err)
}

// wellFormed turns what went wrong while reading into the platform's words.
func (p params) wellFormed(err error) error {
	if tooLarge := (*http.MaxBytesError)(nil); errors.As(err, &tooLarge) {
		return &refusal{Code: http.StatusRequestEntityTooLarge, Description: "Request Entity Too Large"}
	}
	if err != nil {
		return badRequest("can't parse the request: %v", err)
	}
	for _, text := range p.text {
		if !utf8.ValidString(text) {
			return badRequest("strings must be encoded in UTF-8")
		}
	}
	return nil
}

func (p params) readMultipart(parts *multipart.Reader) error {
	for first := true; ; first = false {
		part, err := parts.NextPart()
		if err == io.EOF || first && errors.Is(err, io.EOF) {
			return nil // the client sends an empty body where a call has no parameters
		}
		if err != nil {
			return err
		}
		data, err := io.ReadAll(part)
		if err != nil {
			return err
		}
		if part.FileName() == "" {
			p.text[part.FormName()] = string(data)
		} else {
			p.files[part.FormName()] = upload{name: part.FileName(), mime: part.Header.Get("Content-Type"), data: data}
		}
	}
}

func (p params) readJSON(body io.Reader) error {
	var object map[string]json.RawMessage
	if err := json.NewDecoder(body).Decode(&object); err != nil && err != io.EOF {
		return err
	}
	for name, raw := range object {
		p.set(name, raw)
	}
	return nil
}

// set stores a JSON value the way a form would carry it. A null is no value.
func (p params) set(name string, raw json.RawMessage) {
	var text string
	switch {
	case string(raw) == "null":
	case json.Unmarshal(raw, &text) == nil:
		p.text[name] = text
	default:
		p.text[name] = string(raw)
	}
}

// emptyWords is how the platform says that something it needs is not there.
var emptyWords = map[string]string{"chat_id": "chat_id is empty", "text": "message text is empty"}

// check compares the parameters with the method's description, in the order of
// their names so that the same call is always refused in the same words. The
// real platform ignores a parameter it does not know; here it is refused,
// because it is a slip of the pen.
func (p params) check(d *described, method string) error {
	fields := d.methods[method]
	names := make([]string, 0, len(fields)+len(p.text))
	for name := range p.text {
		names = append(names, name)
	}
	for name, f := range fields {
		if f.required && !p.there(name) {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	for _, name := range names {
		f, known := fields[name]
		switch {
		case !known:
			return badRequest("stand-in: %s has no parameter %q", d.names[method], name)
		case p.has(name):
			if err := d.checkParam(name, f, p.text[name]); err != nil {
				return badRequest("stand-in: %v", err)
			}
		case emptyWords[name] != "":
			return badRequest("%s", emptyWords[name])
		case f.required && !p.there(name):
			return badRequest("parameter %q is required", name)
		}
	}
	return nil
}

// there tells whether a parameter came at all: an empty url is how a webhook is
// taken away.
func (p params) there(name string) bool {
	_, ok := p.text[name]
	return ok || p.has(name)
}

// has tells whether a parameter came with something in it.
func (p params) has(name string) bool {
	_, isFile := p.files[name]
	return isFile || p.text[name] != ""
}

// integer reads a checked integer, 0 if it is not there.
func (p params) integer(name string) int64 {
	n, _ := strconv.ParseInt(p.text[name], 10, 64)
	return n
}

func (p params) float(name string) float64 {
	n, _ := strconv.ParseFloat(p.text[name], 64)
	return n
}

func (p params) boolean(name string) bool {
	b, _ := strconv.ParseBool(p.text[name])
	return b
}

// object reads checked JSON into v and reports whether there was any.
func (p params) object(name string, v any) (bool, error) {
	text := strings.TrimSpace(p.text[name])
	if text == "" {
		return false, nil
	}
	if err := json.Unmarshal([]byte(text), v); err != nil {
		return false, badRequest("can't parse %s: %v", name, err)
	}
	return true, nil
}

// refusal is the platform's no: a code, which is also the HTTP status, and a
// sentence.
type refusal struct {
	Code        int
	Description string
	RetryAfter  int // seconds, with 429
	fault       bool
}

func (r *refusal) Error() string { return fmt.Sprintf("standin: %d %s", r.Code, r.Description) }

func badRequest(format string, args ...any) error {
	return &refusal{Code: http.StatusBadRequest, Description: "Bad Request: " + fmt.Sprintf(format, args...)}
}

func tooMany(seconds int) *refusal {
	return &refusal{Code: http.StatusTooManyRequests, RetryAfter: seconds, Description: fmt.Sprintf("Too Many Requests: retry after %d", seconds)}
}
