package wording_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations/wording"
)

func words(t *testing.T) *wording.Words {
	t.Helper()
	w, err := wording.Default()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Each name in keys.go stands in the default file, and the other way round.
func TestKeysAndFileAgree(t *testing.T) {
	src, err := os.ReadFile("en-GB.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var inFile []string
	for _, m := range regexp.MustCompile(`(?m)^  ([a-z][a-z-]*):`).FindAllStringSubmatch(string(src), -1) {
		inFile = append(inFile, m[1])
	}
	f, err := parser.ParseFile(token.NewFileSet(), "keys.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var inCode []string
	ast.Inspect(f, func(n ast.Node) bool {
		if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
			s, _ := strconv.Unquote(l.Value)
			inCode = append(inCode, s)
		}
		return true
	})
	slices.Sort(inFile)
	slices.Sort(inCode)
	if d := cmp.Diff(inCode, inFile); d != "" {
		t.Errorf("names in keys.go (-) and sentences in the file (+):\n%s", d)
	}
}

func TestParseSaysWhatIsWrong(t *testing.T) {
	src, err := os.ReadFile("en-GB.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"unknown fact", "Hello again{{with .Name}}", "Hello again{{with .Nme}}", "Nme"},
		{"missing sentence", "  handed-back: It's the desk again.\n", "", `"handed-back" is missing`},
		{"unknown sentence", "  handed-back:", "  handed-bak: x\n  handed-back:", `nobody says "handed-bak"`},
		{"unclosed bracket", "  handed-back: It's", "  handed-back: \"{{.Name\"\n  x: It's", "handed-back"},
		{"days", "days: [Sun, Mon, Tue, Wed, Thu, Fri, Sat]", "days: [Sun, Mon]", "days: must be a list of exactly 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			changed := strings.Replace(string(src), c.old, c.new, 1)
			if changed == string(src) {
				t.Fatalf("%q is not in the file", c.old)
			}
			_, err := wording.Parse("mine.yaml", []byte(changed))
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "mine.yaml") {
				t.Errorf("error %v, want one naming mine.yaml and %q", err, c.want)
			}
		})
	}
}

func TestWrongSentenceIsNamedWithItsLine(t *testing.T) {
	src, err := os.ReadFile("en-GB.yaml")
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(src), "It's the desk again.", "It's {{.Desk}} again.", 1)
	line := 1 + strings.Count(changed[:strings.Index(changed, "  handed-back:")], "\n")
	_, err = wording.Parse("mine.yaml", []byte(changed))
	if want := "mine.yaml:" + strconv.Itoa(line) + ":"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want one at %s", err, want)
	}
}

// Customers never read a grade's name, nor a word of the trade's own.
func TestNoJargonTowardsCustomers(t *testing.T) {
	src, err := os.ReadFile("en-GB.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, jargon := range []string{"severe", "hood", "decontamin", "LSP", "P90", "like new"} {
		if strings.Contains(string(src), jargon) {
			t.Errorf("the wording says %q", jargon)
		}
	}
	if regexp.MustCompile(`\bpoor\b`).Match(src) {
		t.Error(`the wording says "poor"`)
	}
}

func TestDates(t *testing.T) {
	w := words(t)
	at := time.Date(2026, 12, 3, 9, 5, 0, 0, time.UTC)
	for got, want := range map[string]string{
		w.Date(at):     "Thu 3 Dec",
		w.DateYear(at): "Thu 3 Dec 2026",
		w.Moment(at):   "Thu 3 Dec, 09:05",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestLabelsAndWhatIsTypedForThem(t *testing.T) {
	w := words(t)
	if got := w.Label(wording.LabelInside); got != "Inside" {
		t.Errorf("label %q", got)
	}
	if got := w.Typed(wording.LabelInside); !slices.Contains(got, "interior") || got[0] != "inside" {
		t.Errorf("typed %q", got)
	}
}

func FuzzParse(f *testing.F) {
	src, err := os.ReadFile("en-GB.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(src)
	f.Add([]byte("sentences: {hello: \"{{.Name}}\"}"))
	f.Fuzz(func(_ *testing.T, src []byte) { _, _ = wording.Parse("fuzz", src) })
}
