// Package ledgertest runs tests of the ledger, and of what uses it, against every
// kind of Redis we care for: the embedded one, which forgives much, a real server,
// and a real server as a Cluster of one node, which forgives no script that
// touches two slots.
package ledgertest

import (
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
)

// Each runs f as a subtest on an empty store of each kind. Where redis-server is
// not installed the real ones are skipped, and fail if the environment has CI. A
// Cluster takes two seconds to find itself in order: run many tests in one Each.
func Each(t *testing.T, f func(t *testing.T, rdb redis.UniversalClient)) {
	t.Helper()
	EachURL(t, func(t *testing.T, url string) { f(t, Client(t, url)) })
}

// EachURL is Each for tests that make their own clients.
func EachURL(t *testing.T, f func(t *testing.T, url string)) {
	t.Helper()
	t.Run("miniredis", func(t *testing.T) { f(t, "redis://"+miniredis.RunT(t).Addr()) })
	t.Run("redis", func(t *testing.T) { f(t, NewServer(t).URL()) })
	t.Run("cluster", func(t *testing.T) { f(t, NewCluster(t).URL()) })
}

// Client returns a client for a redis URL, made as production makes it, but that it
// waits longer for an answer: on a machine that has other work to do a server may be
// slow, and that is not what is tested. It is closed when the test ends.
func Client(t testing.TB, url string) redis.UniversalClient {
	t.Helper()
	o, err := ledger.Options(url)
	if err != nil {
		t.Fatal(err)
	}
	Patient(o)
	rdb := redis.NewUniversalClient(o)
	t.Cleanup(func() {
		if err := rdb.Close(); err != nil {
			t.Error(err)
		}
	})
	return rdb
}

// Patient makes the options' client wait for an answer as long as it may take on a busy
// machine.
func Patient(o *redis.UniversalOptions) {
	o.ReadTimeout, o.WriteTimeout, o.PoolTimeout = time.Minute, time.Minute, time.Minute
}

// needServer finds redis-server, or skips the test loudly.
func needServer(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	if err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatal("ledgertest: redis-server is not installed, and CI must not go without it")
	}
	t.Log("ledgertest: NOT TESTED on a real Redis: redis-server is not installed")
	t.Skip("redis-server is not installed")
	return ""
}
