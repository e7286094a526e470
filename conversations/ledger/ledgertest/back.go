package ledgertest

import (
	"context"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
)

// Back waits until a ledger can be written to, and returns how long that took. It fails
// the test after as long as a server may take to start.
func Back(t testing.TB, l *ledger.Ledger) time.Duration {
	t.Helper()
	began := time.Now()
	for l.Ready(context.Background()) != nil {
		if time.Since(began) > patience {
			t.Fatal("ledgertest: the ledger cannot be written to again")
		}
		time.Sleep(time.Millisecond)
	}
	return time.Since(began)
}
