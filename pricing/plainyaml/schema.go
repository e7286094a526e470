package plainyaml

import (
	"encoding/json"
	"reflect"
	"strings"
)

// Schema is a JSON Schema (2020-12) of the files [Decode] reads into v, a pointer to a
// struct, for editors that complete and underline while one types. It knows names,
// kinds of values and what must be there; what makes no sense only Decode's caller finds.
//
// A file in which the field named by over has the value given is one that [File.Over]
// reads over what v holds: of it only what is new must be complete.
func Schema(title string, v any, over, value string) ([]byte, error) {
	at := reflect.ValueOf(v).Elem()
	w := schemas{defs: schema{}}
	s := schema{
		"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, "type": "object",
		"if":   schema{"required": []string{over}, "properties": schema{over: schema{"const": value}}},
		"then": w.over(at.Type(), at), "else": w.whole(at.Type()), "$defs": w.defs,
	}
	out, err := json.MarshalIndent(s, "", "  ")
	return append(out, '\n'), err
}

type schema = map[string]any

// schemas are being written: what has a name stands among the definitions, once.
type schemas struct{ defs schema }

// whole is the schema of a value that stands by itself.
func (w schemas) whole(t reflect.Type) schema {
	if reflect.PointerTo(t).Implements(reflect.TypeFor[Reader]()) {
		return schema{"type": []string{"string", "number"}}
	}
	switch t.Kind() {
	case reflect.Struct:
		return w.named(t.Name(), func() schema {
			return w.structure(t, true, func(i int) schema { return w.whole(t.Field(i).Type) })
		})
	case reflect.Map:
		return schema{"type": "object", "additionalProperties": w.whole(t.Elem())}
	case reflect.Slice:
		if keyField(t.Elem()) >= 0 {
			return schema{"type": "object", "additionalProperties": w.whole(t.Elem())}
		}
		return schema{"type": "array", "items": w.whole(t.Elem())}
	case reflect.Array:
		return schema{"type": "array", "items": w.whole(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Bool:
		return schema{"type": "boolean"}
	case reflect.Int:
		return schema{"type": "integer"}
	case reflect.Float64:
		return schema{"type": "number"}
	}
	// Decode takes a bare number for text as well.
	return schema{"type": []string{"string", "number", "boolean"}}
}

// over is the schema of a value that is read over v. Nothing of it must be there, save
// of what v does not hold yet; where v is not valid, that is not known, and nothing must.
func (w schemas) over(t reflect.Type, v reflect.Value) schema {
	reads := reflect.PointerTo(t).Implements(reflect.TypeFor[Reader]())
	switch {
	case t.Kind() == reflect.Struct && !reads:
		name := t.Name()
		if name != "" {
			name += "-in-part"
		}
		return w.named(name, func() schema {
			return w.structure(t, false, func(i int) schema {
				var f reflect.Value
				if v.IsValid() {
					f = v.Field(i)
				}
				return w.over(t.Field(i).Type, f)
			})
		})
	case t.Kind() == reflect.Slice && !reads && keyField(t.Elem()) >= 0:
		part := w.over(t.Elem(), reflect.Value{})
		if !v.IsValid() {
			return schema{"type": "object", "additionalProperties": part}
		}
		known := schema{}
		for i := range v.Len() {
			known[v.Index(i).Field(keyField(t.Elem())).String()] = part
		}
		return schema{"type": "object", "properties": known, "additionalProperties": w.whole(t.Elem())}
	}
	return w.whole(t)
}

// named is a reference to a definition, which is written when it is first needed; what
// has no name is written out.
func (w schemas) named(name string, write func() schema) schema {
	if name == "" {
		return write()
	}
	if _, ok := w.defs[name]; !ok {
		w.defs[name] = schema{} // in case it is part of itself
		w.defs[name] = write()
	}
	return schema{"$ref": "#/$defs/" + name}
}

// structure is the schema of a struct, of whose fields of is that of the i-th; if it is
// to be complete, those that are not optional must be there.
func (w schemas) structure(t reflect.Type, complete bool, of func(i int) schema) schema {
	properties, required := schema{}, []string{}
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "" || name == "-" {
			continue
		}
		properties[name] = of(i)
		if complete && options != "optional" {
			required = append(required, name)
		}
	}
	s := schema{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	return s
}
