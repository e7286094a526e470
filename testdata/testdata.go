// Package testdata is what the shipped conversations and the tests read: played
// conversations and openly licensed photographs, embedded so that the command
// finds them wherever it is started. Where figures and pictures come from stands
// beside them.
package testdata

import "embed"

// Files holds the folders conversations, photos and rules.
//
//go:embed conversations photos rules
var Files embed.FS
