//go:build linux

package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

func init() {
	diskFaults = []func(*testing.T, int, uint64) *row{powerCut, diskFull}
	diskControls = []func(*testing.T) *control{powerCutUnderEverysec}
}

// onDisk is a row in which the disk under a store that syncs always breaks.
func onDisk(t *testing.T, name string, updates int, seed uint64, make func(*ledgertest.Disk, *brokenStore) breaker) *row {
	return onSite(t, name, updates, seed, func() (*ledgertest.Server, func(*brokenStore) breaker) {
		d := ledgertest.NewDisk(t, keepsJournal("always")...)
		return d.Server, func(s *brokenStore) breaker { return make(d, s) }
	})
}

// powerCut: what had not been synced when the plug was pulled is gone.
func powerCut(t *testing.T, updates int, seed uint64) *row {
	return onDisk(t, "the power cut under Redis, appendfsync always", updates, seed, func(d *ledgertest.Disk, s *brokenStore) breaker {
		return func(_ context.Context, rng *rand.Rand) int {
			d.CutPower()
			time.Sleep(time.Duration(rng.IntN(50)) * time.Millisecond)
			d.Start()
			s.back()
			return 1
		}
	})
}

// diskFull: under always the server ends itself rather than confirm what it cannot
// keep, and has to be started when there is room.
func diskFull(t *testing.T, updates int, seed uint64) *row {
	return onDisk(t, "Redis's disk full, later not", updates, seed, func(d *ledgertest.Disk, s *brokenStore) breaker {
		return func(_ context.Context, rng *rand.Rand) int {
			d.Fill()
			time.Sleep(time.Duration(20+rng.IntN(200)) * time.Millisecond)
			d.Free()
			d.Kill() // what is left of it
			d.Start()
			s.back()
			return 1
		}
	})
}

// powerCutUnderEverysec: a server that confirms before the disk has it loses what it
// has confirmed. How much is the price of everysec.
func powerCutUnderEverysec(t *testing.T) *control {
	c := &control{name: "the power cut under Redis, appendfsync everysec"}
	t.Run("control "+c.name, func(t *testing.T) {
		t.Parallel()
		const cuts = 2
		confirmed, lost, bytes := ledgertest.PowerCuts(t, cuts, "everysec")
		c.found, c.what = lost, fmt.Sprintf("of %d confirmed commits lost in %d cuts, with %d bytes not synced", confirmed, cuts, bytes)
	})
	return c
}
