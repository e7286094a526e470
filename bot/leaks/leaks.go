// Package leaks fails the tests of a package that leave goroutines behind.
package leaks

import (
	"fmt"
	"os"
	"testing"
	"time"

	"go.uber.org/goleak"
)

// Main is the TestMain of a package: it runs the tests and ends the process, with 1 if
// all passed and a goroutine is left. Those that are about to end may take their time on
// a busy machine, up to a minute: each look is given a second or so by the library itself.
func Main(m *testing.M) {
	code := m.Run()
	left := goleak.Find()
	for end := time.Now().Add(time.Minute); code == 0 && left != nil && time.Now().Before(end); {
		left = goleak.Find()
	}
	if code == 0 && left != nil {
		fmt.Fprintln(os.Stderr, left)
		code = 1
	}
	os.Exit(code)
}
