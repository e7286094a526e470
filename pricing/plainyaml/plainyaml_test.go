package plainyaml_test

import (
	"fmt"
	"testing"

	"example.org/dryhand/pricing/plainyaml"
	"github.com/google/go-cmp/cmp"
)

type hours int

func (h *hours) ReadPlain(b string) error {
	_, err := fmt.Sscanf(b, "%dh", (*int)(h))
	if err != nil {
		return fmt.Errorf("must be hours, as in 3h, not %q", b)
	}
	return nil
}

type settings struct {
	Name  string             `yaml:"name"`
	Rate  float64            `yaml:"rate"`
	Days  int                `yaml:"days,optional"`
	Open  bool               `yaml:"open,optional"`
	Wait  hours              `yaml:"wait,optional"`
	Three [3]float64         `yaml:"three,optional"`
	Words []string           `yaml:"words,optional"`
	Tasks map[string]task    `yaml:"tasks,optional"`
	Grade map[int][]float64  `yaml:"grade,optional"`
	Plain map[string]float64 `yaml:"plain,optional"`
	Steps []step             `yaml:"steps,optional"`
}

type step struct {
	ID   string `yaml:",key"`
	Cost int    `yaml:"cost"`
}

type task struct {
	Words string `yaml:"words"`
	Cost  int    `yaml:"cost,optional"`
}

func TestDecode(t *testing.T) {
	const src = `# a comment
name: Wash # another
rate: 12.5
days: 3
open: true
wait: 4h
three: [1, 2.5, 3]
words: [a, "b: c"]
tasks:
  rinse: {words: Rinse it, cost: 4}
  dry:
    words: Dry it
grade:
  1: [1, 2]
plain:
  only: 7
steps:
  zebra: {cost: 1}
  ant:
    cost: 2
`
	var got settings
	if err := plainyaml.Decode("f.yaml", []byte(src), &got).Err(); err != nil {
		t.Fatal(err)
	}
	want := settings{Name: "Wash", Rate: 12.5, Days: 3, Open: true, Wait: 4, Three: [3]float64{1, 2.5, 3},
		Words: []string{"a", "b: c"}, Tasks: map[string]task{"rinse": {"Rinse it", 4}, "dry": {Words: "Dry it"}},
		Grade: map[int][]float64{1: {1, 2}}, Plain: map[string]float64{"only": 7},
		Steps: []step{{"zebra", 1}, {"ant", 2}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
}

func TestMistakes(t *testing.T) {
	tests := []struct{ name, src, want string }{
		{"unknown key, near miss", "name: x\nrate: 1\ndais: 3\n", `f.yaml:3:1: dais: unknown; did you mean "days"?`},
		{"unknown key inside", "name: x\nrate: 1\ntasks:\n  a:\n    words: w\n    kost: 3\n", `f.yaml:6:5: tasks.a.kost: unknown; did you mean "cost"?`},
		{"nothing near", "name: x\nrate: 1\ntasks: {a: {words: w, elephants: 2}}\n", `f.yaml:3:23: tasks.a.elephants: unknown; possible: cost, words`},
		{"missing", "name: x\n", `f.yaml:1:1: "rate" is missing`},
		{"all at once", "nam: x\nrate: much\nopen: maybe\n", "f.yaml:1:1: nam: unknown; did you mean \"name\"?\nf.yaml:2:7: rate: must be a number, not \"much\"\nf.yaml:3:7: open: must be true or false, not \"maybe\"\nf.yaml:1:1: \"name\" is missing"},
		{"own type", "name: x\nrate: 1\nwait: long\n", `f.yaml:3:7: wait: must be hours, as in 3h, not "long"`},
		{"short list", "name: x\nrate: 1\nthree: [1, 2]\n", `f.yaml:3:8: three: must be a list of exactly 3`},
		{"list expected", "name: x\nrate: 1\nwords: one\n", `f.yaml:3:8: words: must be a list, as in [a, b], not "one"`},
		{"group expected", "name: x\nrate: 1\ntasks: [a]\n", `f.yaml:3:8: tasks: must be a group of "name: value" lines, not a list`},
		{"single value expected", "name: {a: b}\nrate: 1\n", `f.yaml:1:8: name: must be a single value, not a group of "name: value" lines`},
		{"nothing", "name:\nrate: 1\n", `f.yaml:1:6: name: must be a single value, not nothing`},
		{"not a number", "name: x\nrate: .inf\n", `f.yaml:2:7: rate: must be a number, not ".inf"`},
		{"twice", "name: x\nrate: 1\nplain: {a: 1, b: 2,\n  a: 3}\n", `f.yaml:4:3: plain.a: is there twice; the first is in line 3`},
		{"a group for a name", "name: x\nrate: 1\n? [a]\n: b\n", `f.yaml:3:3: a name must be text and nothing else`},
		{"merging", "name: x\nrate: 1\n<<: {open: true}\n", `f.yaml:3:1: merging is not understood; write the values out`},
		{"alias", "name: &a x\nrate: 1\nplain: {one: *a}\n", "f.yaml:1:7: name: anchors, aliases and tags are not understood; write the value out\nf.yaml:3:14: plain.one: anchors, aliases and tags are not understood; write the value out"},
		{"tag", "name: !!str x\nrate: 1\n", `f.yaml:1:7: name: anchors, aliases and tags are not understood; write the value out`},
		{"anchor", "name: &a x\nrate: 1\n", `f.yaml:1:7: name: anchors, aliases and tags are not understood; write the value out`},
		{"key not a number", "name: x\nrate: 1\ngrade: {one: [1]}\n", `f.yaml:3:9: grade: "one" must be a whole number`},
		{"inside a named list", "name: x\nrate: 1\nsteps:\n  one: {}\n", `f.yaml:4:8: steps.one: "cost" is missing`},
		{"empty", "", `f.yaml:1:1: holds 0 documents; it must be exactly one`},
		{"two documents", "name: x\nrate: 1\n---\nname: y\n", `f.yaml:1:1: holds 2 documents; it must be exactly one`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var s settings
			err := plainyaml.Decode("f.yaml", []byte(tt.src), &s).Err()
			if err == nil {
				t.Fatal("no mistake found")
			}
			if d := cmp.Diff(tt.want, err.Error()); d != "" {
				t.Errorf("-want +got:\n%s", d)
			}
		})
	}
}

// What the parser itself refuses comes with a place as well, and with that where it began.
func TestSyntax(t *testing.T) {
	const hint = ". Check the indentation, and put text with a colon or a hash in quotes"
	for src, want := range map[string]string{
		"name: [a\nrate: 1\n":             "f.yaml:2:5: cannot be read: did not find expected ',' or ']' (while parsing a flow sequence, begun in line 1)" + hint,
		"name: x\n\trate: 1\n":            "f.yaml:2:1: cannot be read: found a tab character that violates indentation (while scanning a plain scalar, begun in line 1)" + hint,
		"name: 'x\nrate: 1\n":             "f.yaml:3:1: cannot be read: found unexpected end of stream (while scanning a quoted scalar, begun in line 1)" + hint,
		"name: x\nrate: 1\n words: [x]\n": "f.yaml:3:7: cannot be read: mapping values are not allowed in this context" + hint,
		"name: x\nrate\nopen: true\n":     "f.yaml:3:1: cannot be read: could not find expected ':' (while scanning a simple key, begun in line 2)" + hint,
		"name: x\nrate: \xa34\n":          "f.yaml:2:7: the character here is not one of a text file in UTF-8; save the file as UTF-8",
		"name: é\x01\n":                   "f.yaml:1:8: the character here is not one of a text file in UTF-8; save the file as UTF-8",
	} {
		var s settings
		err := plainyaml.Decode("f.yaml", []byte(src), &s).Err()
		if err == nil {
			t.Fatalf("%q: no mistake found", src)
		}
		if d := cmp.Diff(want, err.Error()); d != "" {
			t.Errorf("%q: -want +got:\n%s", src, d)
		}
	}
}

func TestWrong(t *testing.T) {
	var s settings
	f := plainyaml.Decode("f.yaml", []byte("name: x\nrate: 1\ntasks:\n  a:\n    words: w\n"), &s)
	f.Wrong("tasks.a.words", "too short")
	f.Wrong("tasks.a.minutes.2", "missing")
	f.Wrong("other", "missing")
	want := "f.yaml:5:5: tasks.a.words: too short\nf.yaml:4:3: tasks.a.minutes.2: missing\nf.yaml:1:1: other: missing"
	if d := cmp.Diff(want, f.Err().Error()); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
}

// A part is read as in the whole file, its mistakes where they are.
func TestPart(t *testing.T) {
	type whole struct {
		Language string         `yaml:"language"`
		Sheet    plainyaml.Part `yaml:"sheet,optional"`
		More     plainyaml.Part `yaml:"more,optional"`
	}
	const src = "language: pl\nsheet: # in it\n  name: x\n\n# aside\n  words: |\n    language: no\n  speed: 1\n"
	var w whole
	if err := plainyaml.Decode("f.yaml", []byte(src), &w).Err(); err != nil {
		t.Fatal(err)
	}
	if !w.Sheet.Given() || w.More.Given() {
		t.Errorf("sheet given %v, more %v", w.Sheet.Given(), w.More.Given())
	}
	var s settings
	err := w.Sheet.Into(&s)
	want := "f.yaml:6:10: sheet.words: must be a list, as in [a, b], not \"language: no\\n\"\nf.yaml:8:3: sheet.speed: unknown; possible: days, grade, name, open, plain, rate, steps, tasks, three, wait, words\nf.yaml:3:3: sheet: \"rate\" is missing"
	if err == nil {
		t.Fatal("no mistake found")
	}
	if d := cmp.Diff(want, err.Error()); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
	if s.Name != "x" {
		t.Errorf("name %q", s.Name)
	}
}
