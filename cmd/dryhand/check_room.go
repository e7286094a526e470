package main

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// mb words an amount of memory in whole megabytes, at least one.
func mb(bytes int64) string { return fmt.Sprintf("%d MB", max(1, (bytes+1<<19)>>20)) }

// memory finds servers whose memory runs short: first the bound that is set, then the
// machine's. While Redis rewrites its file a second process shares its memory, and what
// is written meanwhile is there twice, all of it at worst (redis.io, "Redis
// persistence" and "Redis FAQ"): so half the machine is as much as it should hold.
func (s server) memory() finding {
	number := func(name string) int64 { n, _ := strconv.ParseInt(s.info[name], 10, 64); return n }
	used, bound, machine := number("used_memory"), number("maxmemory"), number("total_system_memory")
	const fullest = 75 // per cent of the bound: time to act while there is still room
	switch {
	case used <= 0 || bound <= 0 && machine <= 0:
		return hidden(findMemory, "enough memory left: INFO memory, used_memory against maxmemory or the machine's; and room for as much again")
	case bound > 0 && used > bound/100*fullest:
		says := fmt.Sprintf("%s of the %s it may use: when that is full, bookings are refused", mb(used), mb(bound))
		if 4*used <= machine {
			return wrong(findMemory, says, s.set("maxmemory", strconv.FormatInt(2*used>>20+1, 10)+"mb")...)
		}
		return wrong(findMemory, says, "the machine has not enough for twice that and a rewrite of the file: move Redis to one with "+mb(4*used)+" or more, then raise maxmemory")
	case machine > 0 && used > machine/2:
		return wrong(findMemory, fmt.Sprintf("%s of the machine's %s: rewriting its file can take as much again, and then the system ends Redis", mb(used), mb(machine)),
			"give the machine more memory, or move Redis to one with "+mb(4*used)+" or more")
	case machine > 0 && bound > machine:
		return wrong(findMemory, fmt.Sprintf("it may use %s, and the machine has %s: the system would end it before it refuses anything", mb(bound), mb(machine)),
			s.set("maxmemory", strconv.FormatInt(max(1, machine/2>>20), 10)+"mb")...)
	case bound > 0:
		return well(findMemory, "%s of the %s it may use", mb(used), mb(bound))
	}
	return well(findMemory, "%s of the machine's %s", mb(used), mb(machine))
}

// replicas finds a server that is itself a copy, and copies that are not up to date.
// That there are none is no fault: then the nightly copies are what there is.
func (s server) replicas() finding {
	// longest is what a copy may be silent for; they report every second (redis.io,
	// "Redis replication").
	const longest = 10
	switch s.info["role"] {
	case "":
		return hidden(findReplica, "it is no replica, and that its replicas are online: INFO replication")
	case "slave":
		master := s.info["master_host"] + ":" + s.info["master_port"]
		return wrong(findReplica, fmt.Sprintf("this is itself a replica, of %s, and its link to it is %s: nothing can be booked here", master, s.info["master_link_status"]),
			"give the address of "+master+" with --redis-url; with Sentinels, theirs and ?master_name=NAME")
	}
	var behind []string
	count, slowest := 0, 0
	for _, name := range slices.Sorted(maps.Keys(s.info)) {
		n, ok := strings.CutPrefix(name, "slave")
		if _, err := strconv.Atoi(n); !ok || err != nil {
			continue // slave_expires_tracked_keys and the like
		}
		count++
		told := map[string]string{}
		for _, field := range strings.Split(s.info[name], ",") {
			k, v, _ := strings.Cut(field, "=")
			told[k] = v
		}
		lag, err := strconv.Atoi(told["lag"])
		slowest = max(slowest, lag)
		if told["state"] != "online" || err != nil || lag > longest {
			behind = append(behind, fmt.Sprintf("%s:%s is %s, last heard %s s ago", told["ip"], told["port"], told["state"], told["lag"]))
		}
	}
	switch {
	case len(behind) > 0:
		return wrong(findReplica, strings.Join(behind, "; ")+": it would lack bookings if it had to take over",
			"look at its state with redis-cli -h HOST -p PORT INFO replication, and at the end of its log; a new one needs a minute to catch up")
	case count == 0:
		return well(findReplica, "none; what there is beside this server are the nightly copies")
	}
	return well(findReplica, "%d, the slowest heard from %d s ago; what was confirmed in the last moments may not have reached them", count, slowest)
}
