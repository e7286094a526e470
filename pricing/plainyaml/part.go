package plainyaml

import (
	"reflect"

	"go.yaml.in/yaml/v4"
)

// Part is what stands somewhere in a file for somebody else to read. As a field of a
// struct it takes whatever is there; the zero Part is nothing.
type Part struct {
	file, path string
	body       *yaml.Node
}

// Given tells whether there is anything.
func (p Part) Given() bool { return p.body != nil }

// Into reads the part into v, a pointer to a struct. The error joins every mistake, each
// where it stands in the whole file.
func (p Part) Into(v any) error {
	f := newFile(p.file)
	if p.Given() {
		f.value(p.path, p.body, reflect.ValueOf(v).Elem())
	}
	return f.Err()
}
