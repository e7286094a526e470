package plainyaml

import (
	"encoding/json"
	"reflect"
	"strings"
)

// Schema is a JSON Schema (2020-12) of the files [Decode] reads into v, for
// editors that complete and underline while one types. It knows names, kinds of
// values and what must be there; what makes no sense only Decode's caller finds.
func Schema(title string, v any) ([]byte, error) {
	s := schemaOf(reflect.TypeOf(v).Elem())
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = title
	out, err := json.MarshalIndent(s, "", "  ")
	return append(out, '\n'), err
}

type schema = map[string]any

func schemaOf(t reflect.Type) schema {
	if reflect.PointerTo(t).Implements(reflect.TypeFor[Reader]()) {
		return schema{"type": []string{"string", "number"}}
	}
	switch t.Kind() {
	case reflect.Struct:
		return structSchema(t)
	case reflect.Map:
		return schema{"type": "object", "additionalProperties": schemaOf(t.Elem())}
	case reflect.Slice:
		if keyField(t.Elem()) >= 0 {
			return schema{"type": "object", "additionalProperties": schemaOf(t.Elem())}
		}
		return schema{"type": "array", "items": schemaOf(t.Elem())}
	case reflect.Array:
		return schema{"type": "array", "items": schemaOf(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
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

func structSchema(t reflect.Type) schema {
	properties, required := schema{}, []string{}
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "" || name == "-" {
			continue
		}
		properties[name] = schemaOf(t.Field(i).Type)
		if options != "optional" {
			required = append(required, name)
		}
	}
	return schema{"type": "object", "properties": properties, "required": required, "additionalProperties": false}
}
