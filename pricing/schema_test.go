package pricing_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"example.org/dryhand/pricing"
	"go.yaml.in/yaml/v4"
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
func faults(root map[string]any, path string, s map[string]any, v any) []string {
	var out []string
	if ref, ok := s["$ref"].(string); ok {
		defs := root["$defs"].(map[string]any)
		def, ok := defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
		if !ok {
			return []string{path + ": " + ref + " is not defined"}
		}
		return faults(root, path, def, v)
	}
	if s["if"] != nil {
		if fields, ok := v.(map[string]any); ok && fields["rest"] == "shipped" {
			return faults(root, path, s["then"].(map[string]any), v)
		}
		return faults(root, path, s["else"].(map[string]any), v)
	}
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
				out = append(out, faults(root, path+"."+name, p, x)...)
			case open:
				out = append(out, faults(root, path+"."+name, rest, x)...)
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
			out = append(out, faults(root, fmt.Sprintf("%s.%d", path, i), s["items"].(map[string]any), x)...)
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

// asJSON is what a schema sees of a file: in JSON all names are text, numbers too.
func asJSON(t *testing.T, src string) any {
	t.Helper()
	var v any
	if err := yaml.Load([]byte(src), &v); err != nil {
		t.Fatal(err)
	}
	var named func(any) any
	named = func(v any) any {
		out := map[string]any{}
		switch v := v.(type) {
		case []any:
			for i := range v {
				v[i] = named(v[i])
			}
			return v
		case map[string]any:
			for name, x := range v {
				out[name] = named(x)
			}
			return out
		case map[any]any:
			for name, x := range v {
				out[fmt.Sprint(name)] = named(x)
			}
			return out
		}
		return v
	}
	return named(v)
}

// schemaMade is the schema that is generated, as read.
func schemaMade(t *testing.T) map[string]any {
	t.Helper()
	raw, err := pricing.Schema()
	if err != nil {
		t.Fatal(err)
	}
	var s map[string]any
	if err := json.Unmarshal(raw, &s); err != nil {
		t.Fatal(err)
	}
	return s
}

// schemaCase is a rules file, and whether it is in order.
type schemaCase struct {
	old, new string
	sound    bool
}

// wholeCases change the shipped rules, partCases those of the second business.
var (
	wholeCases = []schemaCase{
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
	}
	partCases = []schemaCase{
		{"", "", true},
		{"rest: shipped\n", "", false},
		{"  minimum: £75", "  minimum: £75\n  minmum: £75", false},
		{"  minimum: £75", "", true},
		{"    months-from: 3\n    months-to: 5\n", "    months-to: 7\n", true},
		{"    months-from: 3\n    months-to: 5\n", "    months-to: long\n", false},
		// A task of one's own must be complete, one of the shipped ones needn't.
		{"    materials: £0.40\n", "", false},
		{"  low-water-wash:\n", "  low-water-wosh:\n", false},
		{"    minutes: {1: [16, 19, 23], 2: [19, 24, 32]}", "    minutes: {1: [16, 19, 23], 2: [19, 24]}", false},
		// What is in a list replaces all of it.
		{"    cautions: [drains, slip]", "    cautions: [drains, slip]\n    mixes: [{what: shampoo, parts: [100, 200, 300], ml: [1, 2], seconds: [0, 0]}]", true},
		{"    cautions: [drains, slip]", "    cautions: [drains, slip]\n    mixes: [{what: shampoo}]", false},
		{"    cautions: [drains, slip]", "    cautions: [drains, slip]\n  wash:\n    mixes: [{what: shampoo}]", false},
	}
)

// The schema and the reader agree on the shipped rules, on a file that is laid over
// them, and on every mistake of name, kind and number of things.
func TestSchemaAgrees(t *testing.T) {
	schema := schemaMade(t)
	for base, cases := range map[string][]schemaCase{string(pricing.DefaultYAML()): wholeCases, mobile(t): partCases} {
		for _, tt := range cases {
			src := base
			if tt.old != "" {
				if src = strings.Replace(base, tt.old, tt.new, 1); src == base {
					t.Fatalf("%q is not in the rules", tt.old)
				}
			}
			found := faults(schema, "", schema, asJSON(t, src))
			if (len(found) == 0) != tt.sound {
				t.Errorf("%q: the schema says %s", tt.new, strings.Join(found, "; "))
			}
			if _, err := pricing.ParseRules("rules.yaml", []byte(src)); (err == nil) != tt.sound {
				t.Errorf("%q: the reader says %v", tt.new, err)
			}
		}
	}
}

// Another validator agrees with the few lines above, where one is at hand: Python's
// jsonschema, which knows all of draft 2020-12.
func TestSchemaByAnotherValidator(t *testing.T) {
	if err := exec.Command("python3", "-c", "import jsonschema").Run(); err != nil {
		t.Log("python3 with jsonschema is not installed here, so only our own check has looked at the schema")
		return
	}
	schema := schemaMade(t)
	type question struct {
		What  any  `json:"what"`
		Sound bool `json:"sound"`
	}
	var asked []question
	for base, cases := range map[string][]schemaCase{string(pricing.DefaultYAML()): wholeCases, mobile(t): partCases} {
		for _, tt := range cases {
			asked = append(asked, question{asJSON(t, strings.Replace(base, tt.old, tt.new, 1)), tt.sound})
		}
	}
	in, err := json.Marshal(map[string]any{"schema": schema, "asked": asked})
	if err != nil {
		t.Fatal(err)
	}
	c := exec.CommandContext(t.Context(), "python3", "-c", `
import json, sys
from jsonschema import Draft202012Validator as V
d = json.load(sys.stdin)
V.check_schema(d["schema"])
v = V(d["schema"])
for i, q in enumerate(d["asked"]):
    found = [e.message[:200] for e in v.iter_errors(q["what"])]
    if (not found) != q["sound"]:
        print(i, q["sound"], found[:3])
`)
	c.Stdin = bytes.NewReader(in)
	if out, err := c.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}
