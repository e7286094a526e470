package conversations_test

import (
	"slices"
	"strings"
	"testing"
)

// At the car every piece of work that was left out can be added, page by page, and each
// stands on one page only; past the last page comes the first again.
func TestEveryExtraIsOffered(t *testing.T) {
	o := newOffice(t, talk(t))
	o.begun(mia, "Skoda Octavia estate", "Outside", "Inside")
	o.tap(boss, "Start work", "Add an extra")
	var all []string
	first := o.lastTo(boss).Choices[0][0].Label
	for range 10 {
		for _, row := range o.lastTo(boss).Choices {
			if l := row[0].Label; !strings.HasPrefix(l, "‹") && l != "The rest" {
				if slices.Contains(all, l) {
					t.Fatalf("%q is offered twice", l)
				}
				all = append(all, l)
			}
		}
		o.tap(boss, "The rest")
		if o.lastTo(boss).Choices[0][0].Label == first {
			break
		}
	}
	for _, part := range []string{"leather", "dash", "bonnet", "headlights", "shampooed by hand", "wax", "ceramic", "clay"} {
		if !slices.ContainsFunc(all, func(l string) bool { return strings.Contains(strings.ToLower(l), part) }) {
			t.Errorf("nothing of %q among\n%s", part, strings.Join(all, "\n"))
		}
	}
}
