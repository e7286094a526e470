package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"go.yaml.in/yaml/v4"

	"example.org/dryhand/conversations"
)

// fact is where a moment's facts stand in a sentence; the table of names has "…"
// there.
var fact = regexp.MustCompile(`\{\{.*\}\}`)

// spokenWords are the words people tap or type, by the name they have in the
// wording file: of those that mean the same the first, which is the one shown.
func spokenWords(t *testing.T) map[string]string {
	t.Helper()
	src, err := os.ReadFile("../../conversations/wording/en-GB.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Sentences map[string]string `yaml:"sentences"`
	}
	if err := yaml.Load(src, &file); err != nil {
		t.Fatal(err)
	}
	words := map[string]string{}
	for name, text := range file.Sentences {
		if strings.HasPrefix(name, "label-") || strings.HasPrefix(name, "say-") {
			first, _, _ := strings.Cut(text, "|")
			words[name] = fact.ReplaceAllString(strings.TrimSpace(first), "…")
		}
	}
	return words
}

// otherNames are the rest of the names people meet, with what they are: commands,
// stages, parts of the rules file.
func otherNames(t *testing.T) map[string]string {
	t.Helper()
	names := map[string]string{}
	var c commands
	parser, err := kong.New(&c, kong.Name("dryhand"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range parser.Model.Children {
		names["dryhand "+n.Name] = "a command"
	}
	for _, s := range []conversations.Stage{conversations.Held, conversations.Waits, conversations.Booked, conversations.Done, conversations.Closed} {
		names[string(s)] = "a stage"
	}
	rules, err := os.ReadFile("../../pricing/rules.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?m)^([a-z-]+):`).FindAllStringSubmatch(string(rules), -1) {
		names[m[1]] = "a part of the rules file"
	}
	return names
}

// named are the words of the table of names, with their origin.
func named(t *testing.T, page string) map[string]string {
	t.Helper()
	_, rest, ok := strings.Cut(page, "\n## Names\n")
	if !ok {
		t.Fatal("DEVELOPERS.md has no table of names")
	}
	section, _, _ := strings.Cut(rest, "\n## ")
	found := map[string]string{}
	for line := range strings.Lines(section) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if !strings.HasPrefix(line, "|") || len(cells) != 3 {
			continue
		}
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[0], -1) {
			found[m[1]] = strings.TrimSpace(cells[2])
		}
	}
	return found
}

// Every word a person taps or types is in the table of names in DEVELOPERS.md, with
// an origin; and the table has none that nobody meets any more.
func TestEveryNameHasAnOrigin(t *testing.T) {
	table := named(t, guides(t)["DEVELOPERS.md"])
	origins := []string{"trade", "plain", "ours", "open"}
	for word, origin := range table {
		if !slices.ContainsFunc(origins, func(o string) bool { return strings.HasPrefix(origin, o) }) {
			t.Errorf("%q has the origin %q, which begins with none of %v", word, origin, origins)
		}
	}
	met := otherNames(t)
	for name, word := range spokenWords(t) {
		met[word] = name
	}
	if len(met) < 200 {
		t.Errorf("only %d names were found", len(met))
	}
	for word, what := range met {
		if _, ok := table[word]; !ok {
			t.Errorf("%q (%s) is not in the table of names in DEVELOPERS.md: ask where it is from, and add it to the row it belongs to", word, what)
		}
	}
	for word := range table {
		if _, ok := met[word]; !ok {
			t.Errorf("%q is in the table of names in DEVELOPERS.md, and nobody meets it any more", word)
		}
	}
}
