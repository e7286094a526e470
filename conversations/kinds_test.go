package conversations_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// Every kind of moment that has a name has a row, and every one that has a row is answered
// when it comes.
func TestEveryKindHasARowAndIsAnswered(t *testing.T) {
	named := kindConstants(t)
	rows := slices.Sorted(slices.Values(conversations.Kinds()))
	if !slices.Equal(named, rows) {
		t.Errorf("the constants are %v, the rows %v", named, rows)
	}
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	id := o.enquiry(mia).ID
	for _, kind := range rows {
		due := conversations.Due{ID: "seen", What: conversations.Came{Kind: kind, Enquiry: id}}
		switch kind {
		case conversations.CamePhoto:
			due.What.File = "file-1"
		case conversations.CameEvening:
			due.What.Enquiry, due.What.Day = "", "2027-04-13"
		}
		o.fork().come(due) // which fails the test where the step fails
	}
}

// kindConstants are the values of the constants that name kinds, sorted.
func kindConstants(t *testing.T) (values []string) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "kinds.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if spec, ok := n.(*ast.ValueSpec); ok && strings.HasPrefix(spec.Names[0].Name, "Came") {
			lit, ok := spec.Values[0].(*ast.BasicLit)
			if !ok {
				t.Fatalf("%s is no plain string", spec.Names[0])
			}
			v, err := strconv.Unquote(lit.Value)
			if err != nil {
				t.Fatal(err)
			}
			values = append(values, v)
		}
		return true
	})
	slices.Sort(values)
	return values
}

// A moment of a kind of a newer release is an error, whether its enquiry is there or not:
// done with in silence, nobody would hear of what it was for.
func TestMomentOfANewerReleaseIsAnError(t *testing.T) {
	o := newOffice(t, talk(t))
	o.priced(mia, "Ford Fiesta")
	for _, id := range []string{o.enquiry(mia).ID, "gone-1"} {
		came := conversations.Came{Kind: "birthday", Enquiry: id}
		for _, what := range []any{came, conversations.Measured{Came: came}} {
			e := bot.Event{Op: "d:birthday", At: o.now, What: what}
			d, err := conversations.Step(o.talk, o.load(conversations.Touches(e)), e, o.now)
			if err == nil || len(d.Need) > 0 {
				t.Errorf("%T about %s: %v, and needs %v", what, id, err, d.Need)
			}
		}
	}
}
