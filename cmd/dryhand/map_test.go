package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The map has every package, and every file of cmd/dryhand and of conversations is in its
// table.
func TestTheMapIsWhole(t *testing.T) {
	page := guides(t)["DEVELOPERS.md"]
	_, rest, _ := strings.Cut(page, "\n## The map\n")
	section, _, _ := strings.Cut(rest, "\n## ")
	for pkg := range mayImport {
		last := pkg[strings.LastIndex(pkg, "/")+1:]
		if !regexp.MustCompile(`\b` + last + `\b`).MatchString(section) {
			t.Errorf("%s is not on the map in DEVELOPERS.md", pkg)
		}
	}
	for _, dir := range []string{".", "../../conversations"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if f = filepath.Base(f); !strings.HasSuffix(f, "_test.go") && !strings.Contains(section, "`"+f+"`") {
				t.Errorf("%s of %s is in no table below the map in DEVELOPERS.md", f, dir)
			}
		}
	}
}

// The prefixes of Redis keys and the documents the code names are the page's.
func TestTheKeysAreTold(t *testing.T) {
	page := guides(t)["DEVELOPERS.md"]
	for file, key := range map[string]*regexp.Regexp{
		"../../conversations/ledger/doc.go":    regexp.MustCompile(`(?m)^//\s+(dh:\{b\}:[a-z:]+)`),
		"../../conversations/conversations.go": regexp.MustCompile(`(?m)^//\t([a-z:]+?)(?::?<[^\n]*?)?\s{2,}one `),
	} {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		all := key.FindAllStringSubmatch(string(src), -1)
		if len(all) < 7 {
			t.Errorf("only %d keys are told in %s", len(all), file)
		}
		for _, m := range all {
			if !strings.Contains(page, "`"+m[1]+"`") && !strings.Contains(page, "`"+m[1]+":<") {
				t.Errorf("DEVELOPERS.md does not tell of %s", m[1])
			}
		}
	}
}

// The series the page says to watch are there.
func TestTheSeriesToWatchExist(t *testing.T) {
	src, err := os.ReadFile("metrics.go")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile("`dryhand_(\\w+)`").FindAllStringSubmatch(guides(t)["DEVELOPERS.md"], -1)
	if len(found) < 3 {
		t.Errorf("only %d series are named", len(found))
	}
	for _, m := range found {
		if !strings.Contains(string(src), m[1]) {
			t.Errorf("DEVELOPERS.md says to watch dryhand_%s, which metrics.go does not have", m[1])
		}
	}
}
