package main

import (
	"context"
	"os"
	"time"
)

// start measures how soon a bot is ready, what it takes while nothing happens, and how
// large it is.
func (l *lab) start(ctx context.Context) ([]figure, error) {
	s, p, err := l.surroundings(ctx)
	if err != nil {
		return nil, err
	}
	var ready, used, idle []float64
	for range max(l.rounds, 1) {
		b, err := l.startBot(s, p, "idle", "idle")
		if err != nil {
			return nil, err
		}
		ready = append(ready, float64(b.ready.Microseconds())/1000)
		cpu, err := b.cpu()
		if err != nil {
			return nil, err
		}
		used = append(used, float64(cpu.Milliseconds()))
		time.Sleep(pick(l, 2*time.Second, 50*time.Millisecond)) // until it has nothing left to do
		bytes, err := b.memory("VmRSS")
		if err != nil {
			return nil, err
		}
		idle = append(idle, bytes/1e6)
		b.stop()
	}
	size, err := os.Stat(l.dryhand)
	if err != nil {
		return nil, err
	}
	return []figure{
		figure{What: "start to ready", Measured: short(median(ready)) + " ms", Unit: "ms"}.over(ready).atMost(100),
		figure{What: "CPU until ready", Measured: short(median(used)) + " ms", Unit: "ms"}.over(used),
		figure{What: "memory while idle (RSS)", Measured: short(median(idle)) + " MB", Unit: "MB"}.over(idle).atMost(40),
		{What: "size of the program", Measured: short(float64(size.Size())/1e6) + " MB", Value: float64(size.Size()) / 1e6, Unit: "MB"},
	}, nil
}
