package main

import (
	"context"
	"fmt"
	"os"
	"time"
)

const (
	startRounds = 3
	firstStart  = 8 * time.Second
	againStart  = 2 * time.Second
)

// measureStart times the program with its private Postgres from the start of the
// process to the line that says it listens: on a new data folder and on an existing one.
func measureStart(ctx context.Context, s *site) ([]figure, error) {
	var table []figure
	for _, command := range []string{"serve", "demo"} {
		var first, again []time.Duration
		for range startRounds {
			a, b, err := startTwice(ctx, s.binary, command)
			if err != nil {
				return nil, fmt.Errorf("start %s: %w", command, err)
			}
			first, again = append(first, a), append(again, b)
		}
		for _, f := range []struct {
			name  string
			times []time.Duration
			limit time.Duration
		}{{"first start of ", first, firstStart}, {"start on an existing folder of ", again, againStart}} {
			took := median(f.times)
			table = append(table, figure{Name: f.name + command, Limit: "≤ " + f.limit.String(), Measured: short(took),
				Held: took <= f.limit, Detail: fmt.Sprintf("median of %d", startRounds)})
		}
	}
	return table, nil
}

func startTwice(ctx context.Context, binary, command string) (first, again time.Duration, err error) {
	dir, err := os.MkdirTemp("", "scumble-load-start-")
	if err != nil {
		return 0, 0, err
	}
	defer os.RemoveAll(dir)
	for _, took := range []*time.Duration{&first, &again} {
		a, err := startApp(ctx, binary, command, "--data-dir", dir)
		if err != nil {
			return 0, 0, err
		}
		*took = a.ready
		a.stop()
	}
	return first, again, nil
}
