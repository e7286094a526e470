package main

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"example.org/dryhand/testdata"
)

// guides are the two pages people are told to read, by name.
func guides(t *testing.T) map[string]string {
	t.Helper()
	pages := map[string]string{}
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		page, err := os.ReadFile(filepath.Join("..", "..", name))
		if err != nil {
			t.Fatal(err)
		}
		pages[name] = string(page)
	}
	return pages
}

// codeIn are the lines of a page's fenced blocks, and what stands in its sentences
// between backticks.
func codeIn(page string) []string {
	var found []string
	var prose strings.Builder
	inside := false
	for line := range strings.Lines(page) {
		trimmed := strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(trimmed, "```"):
			inside = !inside
		case inside:
			found = append(found, trimmed)
		default:
			prose.WriteString(line)
		}
	}
	for _, m := range regexp.MustCompile("`([^`\n]+)`").FindAllStringSubmatch(prose.String(), -1) {
		found = append(found, m[1])
	}
	return found
}

// ours is a command line without what runs it, and whether it is one of dryhand's.
func ours(line string) ([]string, bool) {
	if _, after, ok := strings.Cut(line, "; dryhand "); ok { // the settings come before it
		line = "dryhand " + after
	}
	for _, runner := range []string{"go run ./cmd/dryhand ", "dryhand "} {
		if rest, ok := strings.CutPrefix(line, runner); ok {
			return strings.Fields(rest), true
		}
	}
	return nil, false
}

// unasked parses a command line as main does, and runs nothing of it.
func unasked(t *testing.T, args []string) (said string, err error) {
	t.Helper()
	var c commands
	var out bytes.Buffer
	exited := false
	parser, err := kong.New(&c, kong.Name("dryhand"), kong.Writers(&out, &out), kong.DefaultEnvars("DRYHAND"), kong.Exit(func(int) { exited = true }))
	if err != nil {
		t.Fatal(err)
	}
	if _, err = parser.Parse(args); exited {
		return out.String(), nil // it was asked for help
	}
	return out.String(), err
}

// Whatever the pages tell people to type is understood. What needs nothing but the
// clone is run; what would serve, write to a store or ask the platform is read as
// main reads it, and left there: TestGoingLive and the tests beside each command
// run those.
func TestCommandsInTheGuidesWork(t *testing.T) {
	t.Setenv("DRYHAND_TELEGRAM_TOKEN", "1:A") // whoever follows the page has one
	pages := guides(t)
	beginWhereThePagesBegin(t)
	read, run := 0, 0
	for name, page := range pages {
		for _, line := range codeIn(page) {
			args, ok := ours(line)
			if !ok {
				continue
			}
			read++
			if len(args) == 1 && strings.HasPrefix(line, "dryhand ") {
				args = append(args, "--help") // the command is named, not given
			}
			if _, err := unasked(t, args); err != nil {
				t.Errorf("%s says %q: %v", name, line, err)
				continue
			}
			if (args[0] == "play" || args[0] == "quote") && !slices.Contains(args, "--write") {
				run++
				if status, _, errs := dryhand(t, args...); status != 0 {
					t.Errorf("%s says %q, which ends with %d: %s", name, line, status, errs)
				}
			}
		}
	}
	if read < 12 || run < 4 {
		t.Errorf("%d command lines were found and %d of them run: have the pages another form now?", read, run)
	}
}

// beginWhereThePagesBegin makes the present folder one that looks like the clone,
// with the files in it that the pages' reader brings along.
func beginWhereThePagesBegin(t *testing.T) {
	t.Helper()
	here := t.TempDir()
	for _, folder := range []string{"conversations", "pricing", "testdata"} {
		there, err := filepath.Abs(filepath.Join("..", "..", folder))
		if err == nil {
			err = os.Symlink(there, filepath.Join(here, folder))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, brought := range []string{"old.csv", "newest.jsonl", "all.jsonl"} {
		if err := os.WriteFile(filepath.Join(here, brought), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(here)
}

// A command line with a mistake in it is found: a command, a flag and an argument
// there are not.
func TestWrongCommandsAreFound(t *testing.T) {
	for _, line := range []string{"dryhand plays", "go run ./cmd/dryhand play --lists", "dryhand import", "set -a; . /etc/x; dryhand chek"} {
		args, ok := ours(line)
		if !ok {
			t.Errorf("%q is not taken for one of ours", line)
		}
		if _, err := unasked(t, args); err == nil {
			t.Errorf("%q passes", line)
		}
	}
}

// What the pages say of Go's own commands: packages that are there, and tests.
func TestGoCommandsInTheGuidesWork(t *testing.T) {
	found := 0
	for name, page := range guides(t) {
		for _, line := range codeIn(page) {
			_, test, ok := strings.Cut(line, "go test ")
			if !ok {
				continue
			}
			found++
			var packages []string
			for _, arg := range strings.Fields(test) {
				if strings.HasPrefix(arg, "./") {
					packages = append(packages, arg)
				}
			}
			list := exec.CommandContext(t.Context(), "go", append([]string{"list"}, packages...)...)
			list.Dir = "../.."
			if out, err := list.CombinedOutput(); err != nil || bytes.Contains(out, []byte("matched no packages")) {
				t.Errorf("%s says %q: %v %s", name, line, err, out)
			}
			m := regexp.MustCompile(`-run '?(\w+)`).FindStringSubmatch(test)
			if m == nil {
				continue
			}
			if out, _ := exec.CommandContext(t.Context(), "grep", "-rlE", "--include=*_test.go", `^func (Test\w*)?`+m[1], "../..").Output(); len(out) == 0 {
				t.Errorf("%s says %q, and there is no such test", name, line)
			}
		}
	}
	if found < 4 {
		t.Errorf("only %d lines of go test were found", found)
	}
}

// Paths the pages name, between backticks, are there.
func TestPathsInTheGuidesExist(t *testing.T) {
	path := regexp.MustCompile(`^(?:bot|conversations|pricing|reminders|cmd|testdata|\.ci)/[\w./-]+$`)
	inGo := regexp.MustCompile(`\.[A-Z]\w*$`) // a name in a package
	found := 0
	for name, page := range guides(t) {
		for _, code := range codeIn(page) {
			if !path.MatchString(code) || inGo.MatchString(code) {
				continue
			}
			found++
			if _, err := os.Stat(filepath.Join("..", "..", code)); err != nil {
				t.Errorf("%s names %s, which is not there", name, code)
			}
		}
	}
	if found < 15 {
		t.Errorf("only %d paths were found", found)
	}
}

// Every module that go.mod asks for stands in the table of what it is for, and none
// that it does not ask for.
func TestEveryDependencyHasAReason(t *testing.T) {
	mod, err := os.ReadFile(filepath.Join("..", "..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(mod), "require (")
	direct, _, _ := strings.Cut(rest, ")")
	_, rest, _ = strings.Cut(guides(t)["DEVELOPERS.md"], "\n## What it stands on\n")
	table, _, _ := strings.Cut(rest, "\n\n`govulncheck`")
	var named []string
	for line := range strings.Lines(table) {
		if cells := strings.Split(line, "|"); len(cells) == 4 {
			named = append(named, strings.Split(strings.ReplaceAll(cells[1], " ", ""), ",")...)
		}
	}
	version := regexp.MustCompile(`/v\d+$`)
	used := map[string]bool{"module": true, "---": true, "staticcheck": true} // the table's own, and a tool
	for line := range strings.Lines(direct) {
		module, _, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok {
			continue
		}
		module = version.ReplaceAllString(module, "")
		i := slices.IndexFunc(named, func(n string) bool { return n != "" && (module == n || strings.HasSuffix(module, "/"+n)) })
		if i < 0 {
			t.Errorf("%s has no reason", module)
			continue
		}
		used[named[i]] = true
	}
	for _, n := range named {
		if !used[n] {
			t.Errorf("%q has a reason and is not used", n)
		}
	}
	if len(used) < 20 {
		t.Errorf("only %d modules were found", len(used))
	}
}

// The lines of the conversation in the README are the play's own, in its order. A
// line of its own that is "…" leaves lines out, one at a line's end the rest of it.
func TestTheReadmeShowsThePlay(t *testing.T) {
	src, err := fs.ReadFile(testdata.Files, builtIn)
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(guides(t)["README.md"], "```\nEllie: ")
	block, _, _ := strings.Cut("Ellie: "+rest, "```")
	shown := strings.Split(strings.TrimSpace(block), "\n")
	if len(shown) < 15 {
		t.Fatalf("only %d lines are shown", len(shown))
	}
	if missing := notPlayed(shown, string(src)); missing != "" {
		t.Errorf("README.md shows a line that %s no longer has there; take it from the file:\n%s", builtIn, missing)
	}
	changed := strings.Replace(string(src), "likely £", "likely €", 1)
	if notPlayed(shown, changed) == "" {
		t.Error("another price in the play goes unnoticed")
	}
}

// notPlayed is the first of the shown lines that the play does not have after the
// one before it; empty if it has them all.
func notPlayed(shown []string, play string) string {
	played := strings.Split(play, "\n")
	for _, line := range shown {
		want := strings.TrimSpace(line)
		if want == "…" || want == "" {
			continue
		}
		start, part := strings.CutSuffix(want, " …")
		at := slices.IndexFunc(played, func(p string) bool {
			p = strings.TrimSpace(p)
			return p == want || part && strings.HasPrefix(p, start)
		})
		if at < 0 {
			return line
		}
		played = played[at+1:]
	}
	return ""
}

// The rules the README shows are the shipped ones.
func TestTheReadmeShowsTheRules(t *testing.T) {
	rules, err := os.ReadFile("../../pricing/rules.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(guides(t)["README.md"], "```yaml\n")
	block, _, closed := strings.Cut(rest, "```")
	if !ok || !closed {
		t.Fatal("no rules are shown")
	}
	for line := range strings.Lines(block) {
		if !strings.Contains(string(rules), "\n"+strings.TrimRight(line, "\n")+"\n") {
			t.Errorf("pricing/rules.yaml has no line %q", line)
		}
	}
}
