package main

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
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

// pure are the packages that the map calls so.
var pure = []string{
	"bot", "conversations", "conversations/wording", "conversations/reading", "conversations/diary", "conversations/diary/when", "conversations/diary/ical",
	"conversations/jobsheet", "conversations/jobsheet/dwell", "conversations/chart", "conversations/pictures", "conversations/photos", "reminders",
	"pricing", "pricing/minutes", "pricing/fit", "pricing/plainyaml", "pricing/form",
}

// What is pure knows neither the store nor the network, no files and no chance, and of the
// time only what it is told.
func TestThePureStayPure(t *testing.T) {
	forbidden := []string{"net/http", "os", "math/rand", "math/rand/v2", "crypto/rand", "github.com/redis/go-redis/v9", module + "conversations/ledger"}
	clock := []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}
	for _, pkg := range pure {
		files, err := filepath.Glob(filepath.Join("..", "..", pkg, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d files, %v", pkg, len(files), err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, i := range f.Imports {
				if path, _ := strconv.Unquote(i.Path.Value); slices.Contains(forbidden, path) {
					t.Errorf("%s imports %s", name, path)
				}
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok && slices.Contains(clock, s.Sel.Name) {
					if x, ok := s.X.(*ast.Ident); ok && x.Name == "time" {
						t.Errorf("%s looks at the clock: time.%s", name, s.Sel.Name)
					}
				}
				return true
			})
		}
	}
}
