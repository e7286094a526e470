//go:build race

package main

// underRace tells that the race detector watches.
const underRace = true
