package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// declared are the names a package's files declare: types, functions, methods, fields,
// constants and variables; nil if there are no Go files in that folder of the clone.
func declared(t *testing.T, folder string) map[string]bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "..", filepath.FromSlash(folder), "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		return nil
	}
	names := map[string]bool{}
	for _, file := range files {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			var found []*ast.Ident
			switch n := n.(type) {
			case *ast.FuncDecl:
				names[n.Name.Name] = true
				return false // what is inside is nobody else's
			case *ast.TypeSpec:
				found = []*ast.Ident{n.Name}
			case *ast.ValueSpec:
				found = n.Names
			case *ast.Field:
				found = n.Names
			}
			for _, id := range found {
				names[id.Name] = true
			}
			return true
		})
	}
	return names
}

// packageFolders are the folders of the clone that hold Go files, by their last name.
func packageFolders(t *testing.T) map[string][]string {
	t.Helper()
	folders := map[string][]string{}
	for _, top := range []string{"bot", "conversations", "pricing", "reminders", "cmd", "testdata"} {
		err := filepath.WalkDir(filepath.Join("..", "..", top), func(at string, d fs.DirEntry, err error) error {
			if err == nil && d.IsDir() {
				rel := strings.TrimPrefix(filepath.ToSlash(at), "../../")
				folders[path.Base(rel)] = append(folders[path.Base(rel)], rel)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return folders
}

var (
	goName   = regexp.MustCompile(`^[A-Za-z]\w*(\.[A-Za-z]\w*)*$`)
	fileName = regexp.MustCompile(`\.(go|yaml|md|json)$`)
)

// recipes looks names up, and remembers what each folder declares.
type recipes struct {
	t       *testing.T
	folders map[string][]string
	known   map[string]map[string]bool
}

func (r *recipes) declares(folder, name string) bool {
	if _, ok := r.known[folder]; !ok {
		r.known[folder] = declared(r.t, folder)
	}
	return r.known[folder][name]
}

// missing are the Go names and files between backticks in one entry of the guide that are
// nowhere they could be meant: in conversations, in the folder of a file the entry names,
// or, behind a package's name, in that. It counts those it has looked at.
func (r *recipes) missing(entry string) (missing []string, looked int) {
	codes := codeIn(entry)
	near := []string{"conversations"}
	for _, code := range codes {
		if fileName.MatchString(code) && strings.Contains(code, "/") {
			near = append(near, path.Dir(code))
		}
	}
	for _, code := range codes {
		var there func(folder string) bool
		switch {
		case strings.HasSuffix(code, ".go") && !strings.ContainsAny(code, "/ "):
			there = func(folder string) bool {
				_, err := os.Stat(filepath.Join("..", "..", folder, code))
				return err == nil
			}
		case goName.MatchString(code) && !fileName.MatchString(code):
		default:
			continue
		}
		looked++
		if there != nil && !slices.ContainsFunc(near, there) || there == nil && !r.named(code, near) {
			missing = append(missing, code)
		}
	}
	return missing, looked
}

// named tells whether all parts of a Go name are declared where they could be meant.
func (r *recipes) named(code string, near []string) bool {
	parts := strings.Split(code, ".")
	switch first := parts[0]; {
	case len(parts) > 1 && len(r.folders[first]) > 0:
		parts, near = parts[1:], r.folders[first]
	case len(parts) > 1 && first == "t": // as a turn is called everywhere
		parts = parts[1:]
	}
	return !slices.ContainsFunc(parts, func(part string) bool {
		return !slices.ContainsFunc(near, func(folder string) bool { return r.declares(folder, part) })
	})
}

// The names in the recipes for common changes are in the code.
func TestNamesInTheRecipesExist(t *testing.T) {
	_, rest, _ := strings.Cut(guides(t)["DEVELOPERS.md"], "\n## Common changes\n")
	entries, _, _ := strings.Cut(rest, "\n## ")
	r := &recipes{t: t, folders: packageFolders(t), known: map[string]map[string]bool{}}
	looked := 0
	for entry := range strings.Lines(entries) {
		missing, n := r.missing(entry)
		looked += n
		if len(missing) > 0 {
			t.Errorf("%s\nnames what there is not: %q", strings.TrimSpace(entry), missing)
		}
	}
	if looked < 40 {
		t.Errorf("only %d names were found", looked)
	}
	wrong := "an entry in `forms`, see `t.tipped`, `pricing.Liar`, `Enquiry.Forms`, `farm.go` and `dueWords` (`conversations/form.go`), but `t.typed`, `pricing.Layer`, `card.go` and `form`"
	if missing, _ := r.missing(wrong); strings.Join(missing, " ") != "forms t.tipped pricing.Liar Enquiry.Forms farm.go dueWords" {
		t.Errorf("of names that are not there, it finds %q", missing)
	}
}
