package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// process is a child of ours whose use of the machine is looked at from outside.
type process struct {
	name string
	cmd  *exec.Cmd
	// log is the file it writes to, as a service's journal takes what it writes.
	log  string
	dead chan struct{}
}

// startProcess starts a program that writes to a file in dir.
func startProcess(dir, name string, env []string, path string, args ...string) (*process, error) {
	p := &process{name: name, log: filepath.Join(dir, name+".log"), dead: make(chan struct{})}
	out, err := os.OpenFile(p.log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	defer out.Close()
	p.cmd = exec.Command(path, args...)
	p.cmd.Env = append(os.Environ(), env...)
	p.cmd.Stdout, p.cmd.Stderr = out, out
	if err := p.cmd.Start(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	go func() { _ = p.cmd.Wait(); close(p.dead) }()
	return p, nil
}

// until waits until something is so, and looks often.
func (p *process) until(so func() bool) error {
	const patience, often = 2 * time.Minute, time.Millisecond
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(often) {
		if so() {
			return nil
		}
		select {
		case <-p.dead:
			said, _ := os.ReadFile(p.log)
			return fmt.Errorf("%s ended: %s", p.name, said)
		default:
		}
	}
	said, _ := os.ReadFile(p.log)
	return fmt.Errorf("%s is not ready after %s: %s", p.name, patience, said)
}

// stop asks it to end, and makes it.
func (p *process) stop() {
	_ = p.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case <-p.dead:
	case <-time.After(10 * time.Second):
		_ = p.cmd.Process.Kill()
		<-p.dead
	}
}

// ticks is the unit of the kernel's account of CPU time, the same on all of Linux
// (man 5 proc_pid_stat; sysconf(_SC_CLK_TCK)).
const tick = 10 * time.Millisecond

// cpu is what a living process has used, user and system together, to a hundredth
// of a second: what getrusage tells of a child only once it has ended.
func (p *process) cpu() (time.Duration, error) {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.cmd.Process.Pid))
	if err != nil {
		return 0, err
	}
	// The name in brackets may hold anything; utime and stime are the 12th and 13th
	// after it.
	_, rest, _ := strings.Cut(string(raw), ") ")
	f := strings.Fields(rest)
	if len(f) < 13 {
		return 0, errors.New("/proc/*/stat is not as expected")
	}
	user, err1 := strconv.Atoi(f[11])
	system, err2 := strconv.Atoi(f[12])
	return time.Duration(user+system) * tick, errors.Join(err1, err2)
}

// memory is a line of what the kernel says of a process's memory, in bytes: VmRSS
// now, VmHWM at most.
func (p *process) memory(line string) (float64, error) {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))
	if err != nil {
		return 0, err
	}
	_, rest, _ := strings.Cut(string(raw), line+":")
	f := strings.Fields(rest)
	if len(f) < 2 || f[1] != "kB" {
		return 0, errors.New("/proc/*/status is not as expected")
	}
	kb, err := strconv.ParseFloat(f[0], 64)
	return kb * 1024, err
}

// freeAddr is an address on loopback nobody listens on now. Its port lies below those that
// the system gives to whoever asks for any (from 32768 on: ip(7), ip_local_port_range), so
// that nobody is given it before a child listens on it.
func freeAddr() (addr string, err error) {
	const lowest, many, tries = 20_000, 12_000, 100
	for range tries {
		addr = net.JoinHostPort("127.0.0.1", strconv.Itoa(lowest+rand.IntN(many)))
		var l net.Listener
		if l, err = net.Listen("tcp", addr); err == nil {
			return addr, l.Close()
		}
	}
	return "", err
}
