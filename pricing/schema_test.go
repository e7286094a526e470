package pricing_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
	"github.com/goccy/go-yaml"
)

var update = flag.Bool("update", false, "write rules.schema.json anew")

// The file beside the rules is the schema that is generated.
func TestSchemaFile(t *testing.T) {
	want, err := pricing.Schema()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile("rules.schema.json", want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile("rules.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("rules.schema.json is not what is generated; run go test ./pricing -run SchemaFile -update")
	}
}

// faults checks a value against the few words of JSON Schema the generator uses.
func faults(path string, s map[string]any, v any) []string {
	var out []string
	if !slices.Contains(kinds(s["type"]), kindOf(v)) && !(kindOf(v) == "integer" && slices.Contains(kinds(s["type"]), "number")) {
		return []string{fmt.Sprintf("%s is %s, not %v", path, kindOf(v), s["type"])}
	}
	switch v := v.(type) {
	case map[string]any:
		properties, _ := s["properties"].(map[string]any)
		rest, open := s["additionalProperties"].(map[string]any)
		for name, x := range v {
			switch p, ok := properties[name].(map[string]any); {
			case ok:
				out = append(out, faults(path+"."+name, p, x)...)
			case open:
				out = append(out, faults(path+"."+name, rest, x)...)
			default:
				out = append(out, path+"."+name+" is unknown")
			}
		}
		required, _ := s["required"].([]any)
		for _, name := range required {
			if _, ok := v[name.(string)]; !ok {
				out = append(out, fmt.Sprintf("%s.%v is missing", path, name))
			}
		}
	case []any:
		if n, ok := s["minItems"].(float64); ok && len(v) != int(n) {
			out = append(out, fmt.Sprintf("%s has %d, not %v", path, len(v), n))
		}
		for i, x := range v {
			out = append(out, faults(fmt.Sprintf("%s.%d", path, i), s["items"].(map[string]any), x)...)
		}
	}
	return out
}

func kinds(x any) []string {
	if s, ok := x.(string); ok {
		return []string{s}
	}
	var out []string
	for _, k := range x.([]any) {
		out = append(out, k.(string))
	}
	return out
}

func kindOf(v any) string {
	switch v.(type) {
	case map[string]any:
		return "object"
	case []any:
		return "array"
	case string:
		return "string"
	case bool:
		return "boolean"
	case float64:
		return "number"
	case nil:
		return "null"
	}
	return "integer"
}

// The schema and the reader agree on the shipped rules, and on every mistake of
// name, kind and number of things.
func TestSchemaAgrees(t *testing.T) {
	raw, err := pricing.Schema()
	if err != nil {
		t.Fatal(err)
	}
	var schema map[string]any
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		old, new string
		sound    bool
	}{
		{"", "", true},
		{"  rate: £40", "  rate: 40", true},
		{"  rate: £40", "  rat: £40", false},
		{"  minimum: £60", "", false},
		{"  sundays: false", "  sundays: perhaps", false},
		{"  at-unit: [3, 5, 8]", "  at-unit: [3, 5]", false},
		{"  at-unit: [3, 5, 8]", "  at-unit: {low: 3}", false},
		{"  stands-days: 14", "  stands-days: 1.5", false},
		{"    per: wheel\n", "    pre: wheel\n", false},
		{"    after: [check-in, mould-out]", "    after: check-in", false},
		{"value: [7, 8, 9, 10]", "value: [7, 8, 9, ten]", false},
		{"{what: citrus pre-wash,", "{wat: citrus pre-wash,", false},
	} {
		src := string(pricing.DefaultYAML())
		if tt.old != "" {
			src = edited(t, tt.old, tt.new)
		}
		var v map[string]any
		if err := yaml.Unmarshal([]byte(src), &v); err != nil {
			t.Fatal(err)
		}
		found := faults("", schema, v)
		if (len(found) == 0) != tt.sound {
			t.Errorf("%q: the schema says %s", tt.new, strings.Join(found, "; "))
		}
		if _, err := pricing.ParseRules("rules.yaml", []byte(src)); (err == nil) != tt.sound {
			t.Errorf("%q: the reader says %v", tt.new, err)
		}
	}
}
