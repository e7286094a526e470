package standin

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
)

//go:embed interface.txt
var interfaceText string

// field is one parameter of a method or one field of an object.
type field struct {
	required bool
	types    []string
}

// described is what interface.txt says of the platform: methods by their name
// in small letters, as the platform reads them, and types.
type described struct {
	methods map[string]map[string]field
	names   map[string]string // small letters → as documented
	types   map[string]map[string]field
	unions  map[string][]string
}

// readInterface reads interface.txt. It is part of this package, so an error in
// it is ours and not the caller's: it panics.
func readInterface(text string) *described {
	d := &described{methods: map[string]map[string]field{}, names: map[string]string{}, types: map[string]map[string]field{}, unions: map[string][]string{}}
	var block map[string]field
	for i, line := range strings.Split(text, "\n") {
		words := strings.Fields(line)
		switch {
		case len(words) == 0 || words[0][0] == '#':
		case line[0] == '\t' && len(words) == 2:
			name, must := strings.CutSuffix(words[0], "!")
			block[name] = field{required: must, types: strings.Split(words[1], "|")}
		case words[0] == "method" && len(words) == 2:
			block = map[string]field{}
			d.methods[strings.ToLower(words[1])], d.names[strings.ToLower(words[1])] = block, words[1]
		case words[0] == "type" && len(words) == 2:
			block = map[string]field{}
			d.types[words[1]] = block
		case words[0] == "type" && len(words) == 4:
			d.unions[words[1]] = strings.Split(words[3], "|")
		default:
			panic(fmt.Sprintf("standin: interface.txt, line %d: %q", i+1, line))
		}
	}
	return d
}

// checkParam says whether a parameter's text, as it came in a form, has one of
// the field's types. Objects and lists are JSON inside the form.
func (d *described) checkParam(name string, f field, text string) error {
	return checkAny(f.types, func(t string) error { return d.checkText(name, t, text) })
}

// checkAny is nil if one of the types fits, or else what the first one lacked.
func checkAny(types []string, check func(t string) error) (first error) {
	for _, t := range types {
		err := check(t)
		if err == nil {
			return nil
		}
		if first == nil {
			first = err
		}
	}
	return first
}

func (d *described) checkText(path, t, text string) (err error) {
	switch t {
	case "string", "file":
	case "integer":
		_, err = strconv.ParseInt(text, 10, 64)
	case "float":
		_, err = strconv.ParseFloat(text, 64)
	case "boolean":
		_, err = strconv.ParseBool(text)
	default:
		return d.checkJSON(path, t, decoded(text))
	}
	if err != nil {
		return fmt.Errorf("%s must be of type %s", path, t)
	}
	return nil
}

// decoded is what a JSON text holds, nil as for null if it is none.
func decoded(text string) (value any) {
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	if d.Decode(&value) != nil || d.Decode(new(any)) != io.EOF {
		return nil
	}
	return value
}

// checkJSON says whether a JSON value has a type, unknown fields refused. The
// path is where the value stands.
func (d *described) checkJSON(path, t string, value any) (err error) {
	if element, ok := strings.CutPrefix(t, "[]"); ok {
		return d.checkList(path, element, value)
	}
	if kinds, ok := d.unions[t]; ok {
		return checkAny(kinds, func(t string) error { return d.checkJSON(path, t, value) })
	}
	ok := false
	switch t {
	case "string", "file":
		_, ok = value.(string)
	case "integer", "float":
		var n json.Number
		if n, ok = value.(json.Number); t == "integer" {
			_, err = n.Int64()
		} else {
			_, err = n.Float64()
		}
	case "boolean":
		_, ok = value.(bool)
	default:
		return d.checkObject(path, t, value)
	}
	if !ok || err != nil {
		return fmt.Errorf("%s must be of type %s", path, t)
	}
	return nil
}

func (d *described) checkList(path, element string, value any) error {
	list, ok := value.([]any)
	if !ok {
		return fmt.Errorf("%s must be a list", path)
	}
	for i, v := range list {
		if err := d.checkJSON(path+"["+strconv.Itoa(i)+"]", element, v); err != nil {
			return err
		}
	}
	return nil
}

func (d *described) checkObject(path, t string, value any) error {
	object, ok := value.(map[string]any)
	if !ok {
		return fmt.Errorf("%s must be a %s", path, t)
	}
	fields, ok := d.types[t]
	if !ok {
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(object)) {
		f, known := fields[name]
		if !known {
			return fmt.Errorf("%s has a field %q, which a %s does not have", path, name, t)
		}
		err := checkAny(f.types, func(t string) error { return d.checkJSON(path+"."+name, t, object[name]) })
		if err != nil {
			return err
		}
	}
	lacks := ""
	for name, f := range fields {
		if _, there := object[name]; f.required && !there && (lacks == "" || name < lacks) {
			lacks = name
		}
	}
	if lacks != "" {
		return fmt.Errorf("%s lacks the field %q of a %s", path, lacks, t)
	}
	return nil
}
