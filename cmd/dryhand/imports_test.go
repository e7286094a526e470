package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "example.org/dryhand/"

// mayImport is the map of DEVELOPERS.md: which of our packages each may know.
// Tests may know more.
var mayImport = map[string][]string{
	"bot":                          {},
	"pricing":                      {"pricing/fit", "pricing/minutes", "pricing/plainyaml"},
	"pricing/fit":                  {},
	"pricing/minutes":              {},
	"pricing/plainyaml":            {},
	"pricing/form":                 {"pricing", "pricing/plainyaml"},
	"reminders":                    {"pricing"},
	"conversations/chart":          {},
	"conversations/photos":         {},
	"conversations/diary":          {},
	"conversations/diary/ical":     {},
	"conversations/wording":        {"pricing/plainyaml"},
	"conversations/pictures":       {},
	"conversations/jobsheet":       {"pricing", "pricing/plainyaml", "conversations/jobsheet/dwell"},
	"conversations/jobsheet/dwell": {},
	"conversations/diary/when":     {"conversations/diary"},
	"conversations/reading":        {"pricing", "pricing/plainyaml"},
	"conversations/ledger":         {},
	"conversations":                {"bot", "pricing", "reminders", "conversations/chart", "conversations/diary", "conversations/diary/ical", "conversations/diary/when", "conversations/jobsheet", "conversations/photos", "conversations/pictures", "conversations/reading", "conversations/wording"},
	"conversations/desk":           {"bot", "conversations", "conversations/diary", "conversations/ledger", "conversations/wording"},
	"reminders/sweep":              {"bot", "conversations", "conversations/desk", "conversations/ledger", "conversations/photos"},
	"bot/telegram":                 {"bot", "conversations/ledger"},
	"bot/leaks":                    {},
	"bot/standin":                  {},
	"bot/standin/script":           {"bot/standin"},
	"bot/standin/page":             {"bot/standin"},
}

// listed are our packages with what they import of ours.
func listed(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", module+"...").Output()
	if err != nil {
		t.Fatal(err)
	}
	found := map[string][]string{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return found
		} else if err != nil {
			t.Fatal(err)
		}
		ours := []string{}
		for _, i := range p.Imports {
			if strings.HasPrefix(i, module) {
				ours = append(ours, strings.TrimPrefix(i, module))
			}
		}
		found[strings.TrimPrefix(p.ImportPath, module)] = ours
	}
}

// Dependencies run one way, as the map says.
func TestImportsRunDownwards(t *testing.T) {
	for pkg, imports := range listed(t) {
		if strings.HasPrefix(pkg, "cmd/") || strings.HasSuffix(pkg, "test") {
			continue // the top, and helpers of tests
		}
		allowed, known := mayImport[pkg]
		if !known {
			t.Errorf("%s is not on the map: say in DEVELOPERS.md where it stands, and here what it may import", pkg)
			continue
		}
		for _, i := range imports {
			if !slices.Contains(allowed, i) {
				t.Errorf("%s imports %s, which the map does not allow", pkg, i)
			}
		}
	}
}

// The conversation must not know the store, and nothing pure the network or the
// clock on the wall.
func TestThePureStayPure(t *testing.T) {
	forbidden := map[string][]string{
		"pricing":       {"net/http", "os", "github.com/redis/go-redis/v9"},
		"conversations": {"net/http", "os", "github.com/redis/go-redis/v9", module + "conversations/ledger"},
		"reminders":     {"net/http", "os", "github.com/redis/go-redis/v9"},
	}
	for pkg, not := range forbidden {
		out, err := exec.Command("go", "list", "-f", "{{join .Imports \"\\n\"}}", module+pkg).Output()
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range strings.Fields(string(out)) {
			if slices.Contains(not, i) {
				t.Errorf("%s imports %s", pkg, i)
			}
		}
	}
}
