package jobsheet

import (
	_ "embed" // the page's template
	"fmt"
	"html/template"
	"strings"
)

//go:embed page.html
var pageSource string

// Page is the sheet as one HTML page for A4 paper, black on white, which asks for
// nothing from anywhere. Everything people wrote is escaped.
func (w *Words) Page(s Sheet) ([]byte, error) {
	t, err := template.New("page").Parse(pageSource)
	if err != nil {
		return nil, fmt.Errorf("jobsheet: reading the page: %w", err)
	}
	var b strings.Builder
	if err := t.Execute(&b, w.view(s)); err != nil {
		return nil, fmt.Errorf("jobsheet: making the page: %w", err)
	}
	return []byte(b.String()), nil
}
