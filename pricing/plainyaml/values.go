package plainyaml

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/agnivade/levenshtein"
	"go.yaml.in/yaml/v4"
)

// pair is one key with its value.
type pair struct {
	key  string
	at   place
	node *yaml.Node
}

// pairs are a mapping's entries, and false, with a mistake, if it is none.
func (f *File) pairs(path string, n *yaml.Node) ([]pair, bool) {
	if n.Kind != yaml.MappingNode {
		f.Wrong(path, "must be a group of \"name: value\" lines, not %s", kind(n))
		return nil, false
	}
	out := make([]pair, 0, len(n.Content)/2)
	first := make(map[string]int, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		at := place{k.Line, k.Column}
		line, twice := first[k.Value]
		switch {
		case k.Tag == "!!merge":
			f.add(at, "merging is not understood; write the values out")
		case k.Kind != yaml.ScalarNode || !isPlain(k):
			f.add(at, "a name must be text and nothing else")
		case twice:
			f.add(at, "%s: is there twice; the first is in line %d", join(path, k.Value), line)
		default:
			first[k.Value] = k.Line
			out = append(out, pair{k.Value, at, v})
		}
	}
	return out, true
}

func (f *File) structure(path string, n *yaml.Node, v reflect.Value) {
	entries, ok := f.pairs(path, n)
	if !ok {
		return
	}
	l := f.layout(v.Type())
	given := make([]bool, v.NumField())
	for _, e := range entries {
		i, ok := l.field[e.key]
		if !ok {
			f.add(e.at, "%s: unknown; %s", join(path, e.key), Suggest(e.key, l.names))
			continue
		}
		given[i] = true
		at := join(path, e.key)
		f.value(at, e.node, v.Field(i))
		f.at[at] = e.at
	}
	for _, name := range l.required {
		if !f.over && !given[l.field[name]] {
			f.Wrong(path, "%q is missing", name)
		}
	}
}

// layout is what a struct wants to be filled with.
type layout struct {
	field           map[string]int // by name
	names, required []string       // in the order of the struct
}

// layout works a type's layout out once.
func (f *File) layout(t reflect.Type) *layout {
	if l, ok := f.layouts[t]; ok {
		return l
	}
	l := &layout{field: map[string]int{}}
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "" || name == "-" {
			continue
		}
		l.field[name] = i
		l.names = append(l.names, name)
		if options != "optional" {
			l.required = append(l.required, name)
		}
	}
	f.layouts[t] = l
	return l
}

// Suggest is "did you mean …?", or all that is possible if nothing is near.
func Suggest(got string, possible []string) string {
	best, distance := "", 3
	for _, p := range possible {
		if d := levenshtein.ComputeDistance(strings.ToLower(got), p); d < distance {
			best, distance = p, d
		}
	}
	if best != "" {
		return fmt.Sprintf("did you mean %q?", best)
	}
	if len(possible) == 0 {
		return "nothing is possible here"
	}
	all := slices.Clone(possible)
	slices.Sort(all)
	return "possible: " + strings.Join(all, ", ")
}

func (f *File) mapping(path string, n *yaml.Node, v reflect.Value) {
	entries, ok := f.pairs(path, n)
	if !ok {
		return
	}
	if texts := v.Type().Elem().Kind() == reflect.String; !f.over || !texts || v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	for _, e := range entries {
		key := reflect.New(v.Type().Key()).Elem()
		if !f.key(e, path, key) {
			continue
		}
		elem := reflect.New(v.Type().Elem()).Elem()
		f.fresh(join(path, e.key), e.node, elem)
		f.at[join(path, e.key)] = e.at
		v.SetMapIndex(key, elem)
	}
}

// key reads a mapping's key, which is text or a whole number.
func (f *File) key(e pair, path string, v reflect.Value) bool {
	if v.Kind() == reflect.String {
		v.SetString(e.key)
		return true
	}
	n, err := strconv.ParseInt(e.key, 10, 32)
	if err != nil {
		f.add(e.at, "%s: %q must be a whole number", path, e.key)
		return false
	}
	v.SetInt(n)
	return true
}

// keyField is the index of the field tagged ",key", -1 if there is none.
func keyField(t reflect.Type) int {
	if t.Kind() != reflect.Struct {
		return -1
	}
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("yaml") == ",key" {
			return i
		}
	}
	return -1
}

// named reads a mapping into a slice, in the order of the file; each element
// keeps its name in the field tagged ",key".
func (f *File) named(path string, n *yaml.Node, v reflect.Value, key int) {
	entries, ok := f.pairs(path, n)
	if !ok {
		return
	}
	if !f.over {
		v.Set(reflect.MakeSlice(v.Type(), 0, len(entries)))
	}
	for _, e := range entries {
		at, was := -1, f.over
		for i := 0; f.over && i < v.Len(); i++ {
			if v.Index(i).Field(key).String() == e.key {
				at = i
			}
		}
		if at < 0 {
			v.Set(reflect.Append(v, reflect.New(v.Type().Elem()).Elem()))
			at, f.over = v.Len()-1, false
		}
		f.value(join(path, e.key), e.node, v.Index(at))
		f.over = was
		f.at[join(path, e.key)] = e.at
		v.Index(at).Field(key).SetString(e.key)
	}
}

func (f *File) list(path string, n *yaml.Node, v reflect.Value) {
	if key := keyField(v.Type().Elem()); key >= 0 {
		f.named(path, n, v, key)
		return
	}
	if n.Kind != yaml.SequenceNode {
		f.Wrong(path, "must be a list, as in [a, b], not %s", kind(n))
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.Content), len(n.Content)))
	for i, e := range n.Content {
		f.fresh(join(path, strconv.Itoa(i)), e, v.Index(i))
	}
}

// fresh reads what replaces something whole, and so must be complete itself.
func (f *File) fresh(path string, n *yaml.Node, v reflect.Value) {
	was := f.over
	f.over = false
	f.value(path, n, v)
	f.over = was
}

func (f *File) array(path string, n *yaml.Node, v reflect.Value) {
	if n.Kind != yaml.SequenceNode || len(n.Content) != v.Len() {
		f.Wrong(path, "must be a list of exactly %d", v.Len())
		return
	}
	for i, e := range n.Content {
		f.value(join(path, strconv.Itoa(i)), e, v.Index(i))
	}
}

// literal is what a single value says, as it was written.
func literal(n *yaml.Node) (string, bool) {
	return n.Value, n.Kind == yaml.ScalarNode && !isNothing(n)
}

func (f *File) text(path string, n *yaml.Node, u Reader) {
	s, ok := literal(n)
	if !ok {
		f.Wrong(path, "must be a single value, not %s", kind(n))
		return
	}
	if err := u.ReadPlain(s); err != nil {
		f.Wrong(path, "%v", err)
	}
}

func (f *File) scalar(path string, n *yaml.Node, v reflect.Value) {
	s, ok := literal(n)
	if !ok {
		f.Wrong(path, "must be a single value, not %s", kind(n))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(strings.TrimSpace(s))
	case reflect.Bool:
		if s != "true" && s != "false" {
			f.Wrong(path, "must be true or false, not %q", s)
			return
		}
		v.SetBool(s == "true")
	case reflect.Int:
		i, err := strconv.ParseInt(s, 10, 32)
		if err != nil {
			f.Wrong(path, "must be a whole number, not %q", s)
			return
		}
		v.SetInt(i)
	case reflect.Float64:
		x, err := strconv.ParseFloat(s, 64)
		if err != nil || x-x != 0 { // neither infinite nor not a number
			f.Wrong(path, "must be a number, not %q", s)
			return
		}
		v.SetFloat(x)
	default:
		panic("plainyaml: no way to read a " + v.Type().String())
	}
}

// kind names what stands there, for a mistake's text.
func kind(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a group of \"name: value\" lines"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case isNothing(n):
		return "nothing"
	}
	if s, ok := literal(n); ok {
		return strconv.Quote(s)
	}
	return "this"
}
