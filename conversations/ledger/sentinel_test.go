package ledger_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

// With Sentinels a replica takes over when the server is gone, and the desk finds it
// by itself. What the replica had not received is lost, whatever is synced to disk:
// replication does not wait. It takes half a minute, so it runs with DRYHAND_FAULTS
// only; how much was lost is told, not judged.
func TestSentinels(t *testing.T) {
	if os.Getenv("DRYHAND_FAULTS") == "" {
		t.Skip("runs with DRYHAND_FAULTS")
	}
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	host, port, err := net.SplitHostPort(server.Addr)
	if err != nil {
		t.Fatal(err)
	}
	replica := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always", "--replicaof", host+" "+port)
	l := open(t, ledgertest.Client(t, "redis://"+sentinel(t, host, port)+"?master_name=desk"), "desk")
	ctx := context.Background()
	ledgertest.Back(t, l.Ledger)
	waitForReplica(t, replica)
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
		if time.Since(began) > time.Minute {
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
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := l.Addr().String()
	l.Close()
	_, own, _ := net.SplitHostPort(addr)
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
	return addr
}

func waitForReplica(t *testing.T, replica *ledgertest.Server) {
	t.Helper()
	rdb := ledgertest.Client(t, replica.URL())
	for range 500 {
		if role, err := rdb.Do(context.Background(), "ROLE").Slice(); err == nil && fmt.Sprint(role[3]) == "connected" {
			time.Sleep(12 * time.Second) // until the Sentinel has heard of it: it asks every ten seconds
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("the replica does not follow")
}
