package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/conversations/ledger"
)

// What is looked at in Redis.
const (
	findRedis   = "redis"
	findVersion = "redis version"
	findFile    = "append-only file"
	findSync    = "sync"
	findEvict   = "eviction"
	findMemory  = "memory"
	findReplica = "replicas"
	findCommit  = "commit"
	findClock   = "clock"
)

// server is what a Redis says of itself.
type server struct {
	addr string
	info map[string]string
	// fsync and save are settings that may be hidden; then they are empty.
	fsync, save string
}

// checkRedis asks the server that holds the business whether it can be trusted
// with bookings. If it does not answer, that is the only finding.
func checkRedis(ctx context.Context, rdb redis.UniversalClient, business, addr string) []finding {
	s, err := lookAt(ctx, rdb, business, addr)
	if err != nil {
		return []finding{wrong(findRedis, fmt.Sprintf("no answer from %s: %v", addr, err),
			"is it running there, and is --redis-url right? to start one: redis-server --appendonly yes --appendfsync always")}
	}
	return []finding{well(findRedis, "answers at %s", s.addr), s.version(), s.file(), s.sync(), s.evicts(), s.memory(), s.replicas()}
}

// lookAt reads what the server that holds the business says of itself.
func lookAt(ctx context.Context, rdb redis.UniversalClient, business, addr string) (server, error) {
	s := server{addr: addr}
	one, at, err := holder(ctx, rdb, business)
	if err != nil {
		return s, err
	}
	if at != "" {
		s.addr = at
	}
	if err := one.Ping(ctx).Err(); err != nil {
		return s, err
	}
	s.info = infoOf(ctx, one)
	settings, _ := one.ConfigGet(ctx, "appendfsync").Result()
	s.fsync = settings["appendfsync"]
	settings, _ = one.ConfigGet(ctx, "save").Result()
	s.save = settings["save"]
	return s, nil
}

// holder is the server that holds the business, and where it is if that is known.
func holder(ctx context.Context, rdb redis.UniversalClient, business string) (redis.Cmdable, string, error) {
	c, ok := rdb.(*redis.ClusterClient)
	if !ok {
		return rdb, "", nil
	}
	master, err := c.MasterForKey(ctx, "{"+business+"}")
	if err != nil {
		return nil, "", err
	}
	return master, master.Options().Addr, nil
}

// infoOf is what a server says of itself, of everything or of some sections. It may hide
// what it is asked: then nothing is known, which whoever wants to know says for itself.
func infoOf(ctx context.Context, one redis.Cmdable, sections ...string) map[string]string {
	info := map[string]string{}
	text, _ := one.Info(ctx, sections...).Result()
	for line := range strings.Lines(text) {
		if name, value, ok := strings.Cut(strings.TrimSpace(line), ":"); ok {
			info[name] = value
		}
	}
	return info
}

// set is how to change a setting, now and for good.
func (s server) set(name, value string) []string {
	host, port, err := net.SplitHostPort(s.addr)
	if err != nil {
		host, port = s.addr, "6379"
	}
	return []string{
		fmt.Sprintf("redis-cli -h %s -p %s CONFIG SET %s %s", host, port, name, value),
		fmt.Sprintf("and in redis.conf, so that it stays, the line: %s %s", name, value),
	}
}

// hidden is a finding about what the server does not tell.
func hidden(what, name string) finding {
	return wrong(what, "the server does not tell", "ask whoever runs it whether "+name+" is set")
}

// version finds servers older than the commands the scripts use.
func (s server) version() finding {
	const oldest = 7
	text := s.info["redis_version"]
	major, _, _ := strings.Cut(text, ".")
	n, err := strconv.Atoi(major)
	switch {
	case err != nil:
		return hidden(findVersion, "version 7.0 or later")
	case n < oldest:
		return wrong(findVersion, text+" is too old; 7.0 or later is needed", "install a newer one: apt-get install redis-server, or from redis.io")
	}
	return well(findVersion, "%s", text)
}

// file finds servers that keep no append-only file.
func (s server) file() finding {
	switch s.info["aof_enabled"] {
	case "":
		return hidden(findFile, "appendonly yes")
	case "0":
		says := "off, and no snapshots either: everything is gone when Redis stops, bookings included"
		if s.save != "" {
			says = fmt.Sprintf("off: when Redis or its machine goes down, all since the last snapshot is gone, bookings included (save %s: seconds and changes)", s.save)
		}
		f := wrong(findFile, says, s.set("appendonly", "yes")...)
		f.loses = true
		return f
	}
	if status := s.info["aof_last_write_status"]; status != "" && status != "ok" {
		f := wrong(findFile, "on, but the last write to it failed", "is the disk full? df -h, and the end of Redis's own log")
		f.loses = true
		return f
	}
	return well(findFile, "on")
}

// sync finds servers that confirm before the disk has it. The spans of time are
// those of redis.io, "Redis persistence": everysec may lose a second, rarely two;
// no leaves it to the system, on Linux half a minute.
func (s server) sync() finding {
	cure := s.set("appendfsync", "always")
	off := s.info["aof_enabled"] == "0"
	switch {
	case s.fsync == "":
		return hidden(findSync, "appendfsync always")
	case s.fsync == "always" && off:
		return well(findSync, "always, which counts once the append-only file is on")
	case s.fsync == "always":
		return well(findSync, "always: what was confirmed is on the disk, and a power cut loses nothing")
	case s.fsync == "everysec":
		return wrong(findSync, "everysec: a power cut can lose the last second or two, a booking that was just confirmed among it", cure...)
	case s.fsync == "no":
		return wrong(findSync, "no: a power cut can lose the last half minute or so, bookings that were confirmed among it", cure...)
	}
	return wrong(findSync, fmt.Sprintf("%s, which is not known to be safe", s.fsync), cure...)
}

// evicts finds servers that throw data away when memory runs short.
func (s server) evicts() finding {
	switch policy := s.info["maxmemory_policy"]; {
	case policy == "":
		return hidden(findEvict, "maxmemory-policy noeviction")
	case policy == "noeviction":
		return well(findEvict, "noeviction: full memory is refused, nothing is thrown away")
	default:
		f := wrong(findEvict, policy+": when memory runs short, Redis throws data away without a word", s.set("maxmemory-policy", "noeviction")...)
		// The volatile ones take only what expires by itself, and bookings do not.
		f.loses = strings.HasPrefix(policy, "allkeys-")
		return f
	}
}

// checkCommit measures writes that change nothing, as the ledger would make them,
// and whether scripts may be run.
func checkCommit(ctx context.Context, l *ledger.Ledger) finding {
	const (
		times = 20
		// slowest is where people begin to notice: a message takes a few of them.
		slowest = 100 * time.Millisecond
	)
	if _, err := l.Load(ctx, "", "check"); err != nil {
		return wrong(findCommit, fmt.Sprintf("scripts cannot be run: %v", err), "the user in --redis-url needs EVALSHA, EVAL and the keys dh:*")
	}
	took := make([]time.Duration, times)
	for i := range took {
		began := time.Now()
		if err := l.Ready(ctx); err != nil {
			return wrong(findCommit, fmt.Sprintf("cannot be written to: %v", err), "is it a replica, is its memory or its disk full? redis-cli INFO replication, INFO memory, INFO persistence")
		}
		took[i] = time.Since(began)
	}
	slices.Sort(took)
	median, worst := took[times/2].Round(10*time.Microsecond), took[times-1].Round(10*time.Microsecond)
	if median > slowest {
		return wrong(findCommit, fmt.Sprintf("works, but slowly: %v in the middle of %d, %v at worst", median, times, worst), "run Redis on the machine of the desk or next to it; look for a busy disk with iostat -x 1")
	}
	return well(findCommit, "works: %v in the middle of %d, %v at worst", median, times, worst)
}

// checkClock compares the server's clock with ours. Nothing rests on it, but one
// of the two that is wrong may be ours, and reminders rest on that.
func checkClock(ctx context.Context, rdb redis.UniversalClient, now func() time.Time) finding {
	const most = 5 * time.Second
	before := now()
	theirs, err := rdb.Time(ctx).Result()
	if err != nil {
		return hidden(findClock, "the right time")
	}
	after := now()
	skew := theirs.Sub(before.Add(after.Sub(before) / 2)).Round(time.Millisecond)
	if skew.Abs() > most {
		return wrong(findClock, fmt.Sprintf("Redis's clock and ours are %v apart, so one is wrong; holds and reminders go by ours", skew.Abs()),
			"on both machines: timedatectl set-ntp true")
	}
	return well(findClock, "Redis's clock and ours agree to %v", skew.Abs())
}

// errLosesData is why serve does not start.
var errLosesData = errors.New("this Redis can lose bookings; mend it as said above, or add --accept-data-loss")

// mustKeepData fails on a Redis that evicts data or keeps no append-only file, and
// says what to do about it. One that does not answer yet is let through: nothing
// is acknowledged before it does.
func mustKeepData(found []finding, std streams) error {
	found = slices.DeleteFunc(slices.Clone(found), func(f finding) bool { return !f.loses })
	if len(found) == 0 {
		return nil
	}
	showFindings(std.err, found, len(found))
	return errLosesData
}
