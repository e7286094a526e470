// Package pictures holds the pictures the desk shows. They are drawn by arithmetic, in
// the package's test, and are nobody else's.
package pictures

import (
	_ "embed"
	"slices"
)

// Beads names the picture of water on paint: standing in beads on the left, where
// protection lasts; lying flat on the right, where it has gone.
const Beads = "beads"

// Drawing it takes a second of a small machine, too long for whoever is told first.
//
//go:embed beads.png
var beads []byte

// Get is a picture as a PNG, nil if there is none of that name.
func Get(name string) []byte {
	if name != Beads {
		return nil
	}
	return slices.Clone(beads)
}
