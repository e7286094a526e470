package ledger_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// With Sentinels a replica takes over when the server is gone, and the desk finds it
// by itself. What the replica had not received is lost, whatever is synced to disk:
// replication does not wait. How much was lost is told, not judged.
func TestSentinels(t *testing.T) {
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always", "--repl-diskless-sync-delay", "0")
	host, port, err := net.SplitHostPort(server.Addr)
	if err != nil {
		t.Fatal(err)
	}
	ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always", "--replicaof", host+" "+port)
	watching := sentinel(t, host, port)
	l := open(t, ledgertest.Client(t, "redis://"+watching+"?master_name=desk"), "desk")
	ctx := context.Background()
	ledgertest.Back(t, l.Ledger)
	waitForReplica(t, watching, server)
	var said []string
	write := func(n int, until func(error) bool) {
		t.Helper()
		for i := range n {
			op := fmt.Sprintf("u%d-%d", len(said), i)
			outcome, err := l.Commit(ctx, numbered(op))
			if err == nil && outcome == ledger.Committed {
				said = append(said, op)
			}
			if until(err) {
				return
			}
		}
	}
	write(500, func(error) bool { return false })
	server.Kill()
	began := time.Now()
	write(1<<30, func(err error) bool {
		if err != nil {
			time.Sleep(20 * time.Millisecond)
		}
		if time.Since(began) > 3*time.Minute {
			t.Fatalf("nobody took over: %v", err)
		}
		return err == nil
	})
	took := time.Since(began)
	write(100, func(error) bool { return false })
	lost := 0
	for _, op := range said {
		loaded := l.load(op, "doc:"+op)
		if there := loaded.Docs["doc:"+op].Version != 0; there != loaded.Seen {
			t.Errorf("%s is half there", op)
		} else if !there {
			lost++
		}
	}
	t.Logf("the replica took over after %v; of %d confirmed commits %d are lost", took.Round(time.Millisecond), len(said), lost)
}

// sentinel starts one, which alone decides, and returns its address.
func sentinel(t *testing.T, host, port string) string {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	if err != nil {
		t.Skip("redis-server is not installed")
	}
	own := ledgertest.FreePort(t)
	addr := net.JoinHostPort("127.0.0.1", own)
	conf := filepath.Join(t.TempDir(), "sentinel.conf")
	text := fmt.Sprintf("port %s\nbind 127.0.0.1\nsentinel monitor desk %s %s 1\nsentinel down-after-milliseconds desk 1000\nsentinel failover-timeout desk 5000\n", own, host, port)
	if err := os.WriteFile(conf, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, conf, "--sentinel")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	// It asks the servers every ten seconds how they are; here every tenth of one
	// (redis.io/docs, "High availability with Redis Sentinel", SENTINEL DEBUG).
	rdb := redis.NewSentinelClient(&redis.Options{Addr: addr, MaxRetries: 20})
	defer rdb.Close()
	for range 1000 {
		cmd := redis.NewStatusCmd(context.Background(), "SENTINEL", "DEBUG", "info-period", "100")
		if err = rdb.Process(context.Background(), cmd); err == nil {
			return addr
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal(err)
	return ""
}

// waitForReplica waits until the Sentinel has seen a replica that follows its master, and
// the master sends it what it writes: not before the replica has told that it is ready.
func waitForReplica(t *testing.T, watching string, master *ledgertest.Server) {
	t.Helper()
	seen := redis.NewSentinelClient(&redis.Options{Addr: watching})
	defer seen.Close()
	rdb := ledgertest.Client(t, master.URL())
	for range 5000 {
		replicas, err := seen.Replicas(context.Background(), "desk").Result()
		if err == nil && len(replicas) == 1 && replicas[0]["master-link-status"] == "ok" {
			info, err := rdb.Info(context.Background(), "replication").Result()
			if err == nil && strings.Contains(info, "state=online") {
				return
			}
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("the Sentinel knows of no replica that follows")
}
