//go:build linux

package ledgertest

import (
	_ "embed"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
)

//go:embed disk.c.txt
var diskC []byte

// Disk is the disk under a real server. It can fill up, and lose its power: then
// what was written and not yet synced is gone, as it is from a machine's memory.
type Disk struct {
	*Server
	t     testing.TB
	notes string
}

// NewDisk starts a server on such a disk. It takes a C compiler, without which the
// test is skipped loudly, and fails if the environment has CI.
func NewDisk(t testing.TB, args ...string) *Disk {
	t.Helper()
	needServer(t)
	cc, err := exec.LookPath("cc")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ledgertest: there is no C compiler, and CI must not go without it")
		}
		t.Log("ledgertest: NOT TESTED on a failing disk: there is no C compiler")
		t.Skip("cc is not installed")
	}
	d := &Disk{t: t, notes: t.TempDir()}
	source, shim := filepath.Join(t.TempDir(), "disk.c"), filepath.Join(t.TempDir(), "disk.so")
	if err := os.WriteFile(source, diskC, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(cc, "-shared", "-fPIC", "-O1", "-o", shim, source).CombinedOutput(); err != nil {
		t.Fatalf("ledgertest: %v\n%s", err, out)
	}
	d.Server = newServer(t, []string{"LD_PRELOAD=" + shim, "DISK=" + d.notes}, args...)
	return d
}

// Fill lets nothing more be written.
func (d *Disk) Fill() {
	d.t.Helper()
	if err := os.WriteFile(filepath.Join(d.notes, "full"), nil, 0o600); err != nil {
		d.t.Fatal(err)
	}
}

// Free makes room again.
func (d *Disk) Free() {
	d.t.Helper()
	if err := os.Remove(filepath.Join(d.notes, "full")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		d.t.Fatal(err)
	}
}

// CutPower ends the server, and of each of its files what was not synced. It returns
// how many bytes that were.
func (d *Disk) CutPower() (gone int64) {
	d.t.Helper()
	d.Kill()
	err := filepath.WalkDir(d.Dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return err
		}
		info, err := e.Info()
		if err != nil {
			return err
		}
		var size int64
		note, err := os.ReadFile(filepath.Join(d.notes, strconv.FormatUint(info.Sys().(*syscall.Stat_t).Ino, 10)))
		if err == nil {
			size, err = strconv.ParseInt(string(note), 10, 64)
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		gone += info.Size() - size
		return os.Truncate(name, size)
	})
	if err != nil {
		d.t.Fatal(err)
	}
	return gone
}
