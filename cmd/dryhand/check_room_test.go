package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// What a server says of its memory and its replicas, as INFO memory and INFO
// replication say it (redis.io/docs, command INFO; seen on 7.0.15).
func TestWhatAServerSaysOfItsRoom(t *testing.T) {
	const m = "000000"
	for _, tt := range []struct {
		name string
		info map[string]string
		// memory and replicas are words of the finding; with a ! it is a fault.
		memory, replicas string
	}{
		{"plenty", map[string]string{"used_memory": "5" + m, "maxmemory": "0", "total_system_memory": "4000" + m, "role": "master"}, "5 MB of the machine's 3815 MB", "none"},
		{"bounded", map[string]string{"used_memory": "74" + m, "maxmemory": "100" + m, "total_system_memory": "4000" + m, "role": "master"}, "71 MB of the 95 MB", "none"},
		{"nearly full", map[string]string{"used_memory": "76" + m, "maxmemory": "100" + m, "total_system_memory": "4000" + m, "role": "master"}, "!CONFIG SET maxmemory 145mb", "none"},
		{"nearly full on a small machine", map[string]string{"used_memory": "76" + m, "maxmemory": "100" + m, "total_system_memory": "300" + m, "role": "master"}, "!move Redis to one with 290 MB", "none"},
		{"no room for a rewrite", map[string]string{"used_memory": "501" + m, "maxmemory": "0", "total_system_memory": "1000" + m, "role": "master"}, "!of the machine's 954 MB", "none"},
		{"half is fine", map[string]string{"used_memory": "500" + m, "maxmemory": "0", "total_system_memory": "1000" + m, "role": "master"}, "477 MB", "none"},
		{"bounded above the machine", map[string]string{"used_memory": "5" + m, "maxmemory": "4000" + m, "total_system_memory": "1000" + m, "role": "master"}, "!CONFIG SET maxmemory 476mb", "none"},
		{"tells nothing", map[string]string{}, "!does not tell", "!does not tell"},
		{"a good replica", map[string]string{"used_memory": "5" + m, "total_system_memory": "4000" + m, "role": "master", "connected_slaves": "1",
			"slave0": "ip=10.0.0.2,port=6379,state=online,offset=14,lag=1", "slave_expires_tracked_keys": "0"}, "5 MB", "1, the slowest heard from 1 s ago"},
		{"one that catches up", map[string]string{"used_memory": "5" + m, "total_system_memory": "4000" + m, "role": "master",
			"slave0": "ip=10.0.0.2,port=6379,state=online,offset=14,lag=1", "slave1": "ip=10.0.0.3,port=6379,state=wait_bgsave,offset=0,lag=0"}, "5 MB", "!10.0.0.3:6379 is wait_bgsave"},
		{"one that is silent", map[string]string{"used_memory": "5" + m, "total_system_memory": "4000" + m, "role": "master",
			"slave0": "ip=10.0.0.2,port=6379,state=online,offset=14,lag=11"}, "5 MB", "!last heard 11 s ago"},
		{"a replica itself", map[string]string{"used_memory": "5" + m, "total_system_memory": "4000" + m, "role": "slave", "master_host": "10.0.0.1", "master_port": "6379",
			"master_link_status": "down"}, "5 MB", "!give the address of 10.0.0.1:6379"},
	} {
		s := server{addr: "h:1", info: tt.info}
		for want, f := range map[string]finding{tt.memory: s.memory(), tt.replicas: s.replicas()} {
			words, fault := strings.CutPrefix(want, "!")
			if all := f.Says + "\n" + strings.Join(f.Cure, "\n"); f.OK == fault || fault != (len(f.Cure) > 0) || !strings.Contains(all, words) {
				t.Errorf("%s: %+v, want %q", tt.name, f, want)
			}
		}
	}
}

// On real servers: a bound that is nearly reached, cured by the command it names; a
// copy beside it, seen from both sides.
func TestCheckMemoryAndReplicas(t *testing.T) {
	master := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	rdb := ledgertest.Client(t, master.URL())
	_, found := checked(t, "--redis-url", master.URL())
	if f := found[findMemory]; !f.OK || !strings.Contains(f.Says, "of the machine's") {
		t.Errorf("memory: %+v", f)
	}
	if f := found[findReplica]; !f.OK || !strings.Contains(f.Says, "none") {
		t.Errorf("replicas: %+v", f)
	}
	for n := range 20 {
		if err := rdb.Set(t.Context(), fmt.Sprint("fill", n), strings.Repeat("x", 1<<20-64), 0).Err(); err != nil {
			t.Fatal(err)
		}
	}
	if err := rdb.ConfigSet(t.Context(), "maxmemory", "27mb").Err(); err != nil {
		t.Fatal(err)
	}
	_, found = checked(t, "--redis-url", master.URL())
	f := found[findMemory]
	if f.OK {
		t.Fatalf("memory: %+v", f)
	}
	_, value, ok := strings.Cut(f.Cure[0], " CONFIG SET maxmemory ")
	if !ok {
		t.Fatalf("no command: %q", f.Cure)
	}
	if err := rdb.ConfigSet(t.Context(), "maxmemory", value).Err(); err != nil {
		t.Fatal(err)
	}
	if _, found = checked(t, "--redis-url", master.URL()); !found[findMemory].OK {
		t.Errorf("after the cure: %+v", found[findMemory])
	}

	replica := ledgertest.NewServer(t, "--replicaof", strings.Replace(master.Addr, ":", " ", 1))
	for range 1000 { // until it has caught up
		if _, found = checked(t, "--redis-url", master.URL()); found[findReplica].OK && strings.HasPrefix(found[findReplica].Says, "1,") {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if f := found[findReplica]; !f.OK || !strings.HasPrefix(f.Says, "1,") {
		t.Errorf("the master's: %+v", f)
	}
	_, found = checked(t, "--redis-url", replica.URL())
	if f := found[findReplica]; f.OK || !strings.Contains(strings.Join(f.Cure, " "), master.Addr) {
		t.Errorf("the replica's own: %+v", f)
	}
}
