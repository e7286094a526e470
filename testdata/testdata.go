// Package testdata is what the shipped conversations and the tests read: played
// conversations and openly licensed photographs, embedded so that the command
// finds them wherever it is started. Where figures and pictures come from stands
// beside them.
package testdata

import "embed"

// Files holds the folders conversations and photos.
//
//go:embed conversations photos
var Files embed.FS
