package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/pricing"
)

var updateQuotes = flag.Bool("update", false, "write what quote prints to testdata/quote anew")

// What quote prints of the three examples, in every form, whole: a change of the
// rules or of the arithmetic shows here, line by line. The version of the rules is
// left out.
func TestQuotePages(t *testing.T) {
	for _, x := range []struct{ file, name, args string }{
		{"selling", "selling.txt", ""},
		{"selling", "selling.explain.txt", "--explain"},
		{"selling", "selling.json", "--json"},
		{"selling", "selling.120.json", "--json --budget 120"},
		{"must-be-seen", "must-be-seen.txt", ""},
		{"must-be-seen", "must-be-seen.json", "--json"},
		{"soft-top-on-a-budget", "soft-top-on-a-budget.explain.txt", "--explain"},
		{"soft-top-on-a-budget", "soft-top-on-a-budget.json", "--json"},
	} {
		t.Run(x.name, func(t *testing.T) {
			var out, errs bytes.Buffer
			args := append([]string{"quote"}, strings.Fields(x.args)...)
			args = append(args, filepath.Join("..", "..", "testdata", "pricing", "enquiries", x.file+".json"))
			if status := run(context.Background(), args, streams{in: strings.NewReader(""), out: &out, err: &errs}); status != 0 || errs.Len() > 0 {
				t.Fatalf("exit status %d: %s", status, errs.String())
			}
			got := strings.ReplaceAll(out.String(), pricing.DefaultRules().Version(), "VERSION")
			file := filepath.Join("testdata", "quote", x.name)
			if *updateQuotes {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(string(want), got); d != "" {
				t.Errorf("-%s +got (go test ./cmd/dryhand -run QuotePages -update, and read it):\n%s", file, d)
			}
		})
	}
}
