// Package plainyaml reads a settings file written by hand into a Go value, and
// answers mistakes the way a colleague would: all of them at once, each with
// file, line and column, what is wrong and what would be right.
//
// It reads the plain part of YAML: mappings, lists, text, numbers, true and
// false. Anchors, tags and several documents in one file are mistakes. Every key
// must be known (a near miss is named), and every field must be given unless it
// is marked optional:
//
//	Rate float64 `yaml:"rate"`
//	Note string  `yaml:"note,optional"`
//
// Where order matters, a mapping is read into a slice of structs which keep
// their name in a field tagged `yaml:",key"`.
package plainyaml

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Mistake is one thing wrong in a file.
type Mistake struct {
	File         string
	Line, Column int
	// Text says what is wrong and what would be right.
	Text string
}

// Error is "file:line:column: text", which editors know how to jump to.
func (m *Mistake) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", m.File, m.Line, m.Column, m.Text)
}

// Reader is a value that reads itself from what stands in the file, such as an
// amount of money. Its error says what would be right.
type Reader interface{ ReadPlain(text string) error }

// File remembers where everything stood, so that mistakes found later, in the
// meaning, can be answered with a line as well.
type File struct {
	name     string
	at       map[string]place
	mistakes []error
	layouts  map[reflect.Type]*layout
	// body is what the file holds, nil if it cannot be read.
	body *yaml.Node
	// over: what the file does not say stays as it was in the value.
	over bool
}

type place struct{ line, column int }

// Decode reads src into v, a pointer to a struct. It returns the file, to which
// further mistakes may be added; [File.Err] gives all of them.
func Decode(name string, src []byte, v any) *File {
	f := Open(name, src)
	f.Into(v)
	return f
}

// Open parses src, and has read nothing of it yet.
func Open(name string, src []byte) *File {
	f := newFile(name)
	var docs []yaml.Node
	if err := yaml.Load(src, &docs, yaml.WithAllDocuments()); err != nil {
		f.syntax(src, err)
		return f
	}
	var bodies []*yaml.Node
	for _, d := range docs {
		if body := d.Content[0]; !isNothing(body) {
			bodies = append(bodies, body)
		}
	}
	if len(bodies) != 1 {
		f.add(place{1, 1}, "holds %d documents; it must be exactly one", len(bodies))
		return f
	}
	f.body = bodies[0]
	return f
}

func newFile(name string) *File {
	return &File{name: name, at: map[string]place{}, layouts: map[reflect.Type]*layout{}}
}

// Into reads the file into v, a pointer to a struct.
func (f *File) Into(v any) {
	if f.body != nil {
		f.value("", f.body, reflect.ValueOf(v).Elem())
	}
}

// Over reads the file over what v, a pointer to a struct, holds already, and leaves
// the rest of it as it is. Structs change by the field, mappings that are read into
// slices and those of texts by the name; what is new among them must be complete.
// Everything else, such as a list or a table of numbers, is replaced whole.
func (f *File) Over(v any) {
	f.over = true
	f.Into(v)
}

// Top is the text that stands at a name at the top of the file, empty if none does or
// the file cannot be read.
func (f *File) Top(name string) string {
	if f.body == nil {
		return ""
	}
	look := newFile(f.name) // what is wrong is said when it is read
	pairs, _ := look.pairs("", f.body)
	for _, p := range pairs {
		if s, ok := literal(p.node); ok && p.key == name {
			return s
		}
	}
	return ""
}

// syntax reports what the parser could not read.
func (f *File) syntax(src []byte, err error) {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		f.add(place{1, 1}, "cannot be read: %s", strings.SplitN(err.Error(), "\n", 2)[0])
		return
	}
	if at, ok := notText(src); ok {
		f.add(at, "the character here is not one of a text file in UTF-8; save the file as UTF-8")
		return
	}
	begun := ""
	if e.ContextMark.Line > 0 {
		begun = fmt.Sprintf(" (%s, begun in line %d)", e.ContextMsg, e.ContextMark.Line)
	}
	at := place{max(e.Mark.Line, 1), max(e.Mark.Column, 1)}
	f.add(at, "cannot be read: %s%s. Check the indentation, and put text with a colon or a hash in quotes", e.Message, begun)
}

// notText is where something stands that no text file holds, such as a pound sign in
// an encoding of before UTF-8.
func notText(src []byte) (at place, found bool) {
	at = place{1, 1}
	for len(src) > 0 {
		r, n := utf8.DecodeRune(src)
		switch {
		case r == utf8.RuneError && n == 1, unicode.IsControl(r) && r != '\n' && r != '\r' && r != '\t':
			return at, true
		case r == '\n':
			at = place{at.line + 1, 1}
		default:
			at.column++
		}
		src = src[n:]
	}
	return at, false
}

func (f *File) add(at place, format string, args ...any) {
	f.mistakes = append(f.mistakes, &Mistake{f.name, at.line, at.column, fmt.Sprintf(format, args...)})
}

// Wrong adds a mistake at a path such as "tasks.wash.minutes". If nothing stands
// at that path, the place of the nearest part above it is given.
func (f *File) Wrong(path, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if path != "" {
		text = path + ": " + text
	}
	for p := path; ; p = p[:max(0, strings.LastIndexByte(p, '.'))] {
		if at, ok := f.at[p]; ok {
			f.add(at, "%s", text)
			return
		}
		if p == "" {
			f.add(place{1, 1}, "%s", text)
			return
		}
	}
}

// Err is every mistake, joined, in the order of the file's reading; nil if there
// is none.
func (f *File) Err() error { return errors.Join(f.mistakes...) }

// value reads one node into v; path is where it stands.
func (f *File) value(path string, n *yaml.Node, v reflect.Value) {
	f.at[path] = where(n)
	if !isPlain(n) {
		f.Wrong(path, "anchors, aliases and tags are not understood; write the value out")
		return
	}
	switch u := v.Addr().Interface().(type) {
	case Reader:
		f.text(path, n, u)
		return
	case *Part:
		*u = Part{f.name, path, n}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		f.structure(path, n, v)
	case reflect.Map:
		f.mapping(path, n, v)
	case reflect.Slice:
		f.list(path, n, v)
	case reflect.Array:
		f.array(path, n, v)
	default:
		f.scalar(path, n, v)
	}
}

// isPlain tells whether nothing is said of a value but itself.
func isPlain(n *yaml.Node) bool {
	return n.Kind != yaml.AliasNode && n.Anchor == "" && n.Style&yaml.TaggedStyle == 0
}

// isNothing tells whether nothing stands there.
func isNothing(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.Tag == "!!null" }

// where a value stands; a group stands where its first name does.
func where(n *yaml.Node) place {
	if n.Kind == yaml.MappingNode && len(n.Content) > 0 {
		n = n.Content[0]
	}
	return place{n.Line, n.Column}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
