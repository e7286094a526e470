package standin

import (
	_ "embed"
	"encoding/json"
	"fmt"
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
func (d *described) checkParam(f field, text string) error {
	var first error
	for _, t := range f.types {
		err := d.checkText(t, text)
		if err == nil {
			return nil
		}
		if first == nil {
			first = err
		}
	}
	return first
}

func (d *described) checkText(t, text string) error {
	switch t {
	case "string", "file":
		return nil
	case "integer":
		if _, err := strconv.ParseInt(text, 10, 64); err != nil {
			return fmt.Errorf("must be an integer")
		}
		return nil
	case "float":
		if _, err := strconv.ParseFloat(text, 64); err != nil {
			return fmt.Errorf("must be a number")
		}
		return nil
	case "boolean":
		if _, err := strconv.ParseBool(text); err != nil {
			return fmt.Errorf("must be true or false")
		}
		return nil
	}
	if !json.Valid([]byte(text)) {
		return fmt.Errorf("is not JSON")
	}
	return d.checkJSON(t, json.RawMessage(text))
}

// checkJSON says whether a JSON value has a type, unknown fields refused.
func (d *described) checkJSON(t string, raw json.RawMessage) error {
	if element, ok := strings.CutPrefix(t, "[]"); ok {
		var list []json.RawMessage
		if err := json.Unmarshal(raw, &list); err != nil {
			return fmt.Errorf("must be a list")
		}
		for i, v := range list {
			if err := d.checkJSON(element, v); err != nil {
				return fmt.Errorf("element %d %w", i, err)
			}
		}
		return nil
	}
	if kinds, ok := d.unions[t]; ok {
		return d.checkAny(kinds, raw)
	}
	var target any
	switch t {
	case "string", "file":
		target = new(string)
	case "integer":
		target = new(int64)
	case "float":
		target = new(float64)
	case "boolean":
		target = new(bool)
	default:
		return d.checkObject(t, raw)
	}
	if json.Unmarshal(raw, target) != nil || string(raw) == "null" {
		return fmt.Errorf("must be of type %s", t)
	}
	return nil
}

func (d *described) checkAny(kinds []string, raw json.RawMessage) (err error) {
	for _, t := range kinds {
		if err = d.checkJSON(t, raw); err == nil {
			return nil
		}
	}
	return err
}

func (d *described) checkObject(t string, raw json.RawMessage) error {
	var object map[string]json.RawMessage
	if json.Unmarshal(raw, &object) != nil || object == nil {
		return fmt.Errorf("must be an object")
	}
	fields, ok := d.types[t]
	if !ok {
		return nil
	}
	for name, v := range object {
		f, known := fields[name]
		if !known {
			return fmt.Errorf("has a field %q that %s does not have", name, t)
		}
		if err := d.checkAny(f.types, v); err != nil {
			return fmt.Errorf("field %q %w", name, err)
		}
	}
	for name, f := range fields {
		if _, there := object[name]; f.required && !there {
			return fmt.Errorf("lacks the field %q of %s", name, t)
		}
	}
	return nil
}
