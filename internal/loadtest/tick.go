package main

import (
	"context"
	"fmt"
	"slices"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sync/errgroup"
)

const (
	tickRounds  = 5
	ticksARound = 800
	tickClients = 16
	tickConns   = 8 // of the program's pool, and of pgbench
	tickFloor   = 0.60

	flatTicks = 150 // a shop of one car has some 170
	flatLimit = 1.5
)

// openTicks lists what may be ticked in a shop, in an order in which no step comes
// before an earlier one of its piece, and the same piece comes again late. The pieces
// of [scripted] are left to pgbench.
func openTicks(ctx context.Context, url string) ([]tick, error) {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return nil, err
	}
	defer conn.Close(ctx)
	rows, err := conn.Query(ctx, `
		SELECT id, stage FROM (
			SELECT s.id, s.stage, row_number() OVER (PARTITION BY s.component_id ORDER BY s.position) AS turn
			FROM finish_steps s JOIN components p ON p.id = s.component_id
			WHERE p.sort_order < $1 AND p.sort_order % $2 <> $3 AND s.state = 'open') open
		ORDER BY turn, md5(id::text)`, ordinary, len(doneSteps), scripted)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (tick, error) {
		var t tick
		var stage string
		err := row.Scan(&t.step, &stage)
		t.checks = checks(stage)
		return t, err
	})
}

// tickAll has n clients tick all of ticks, sharing the tablets' sessions.
func tickAll(ctx context.Context, tablets []*visitor, n int, ticks []tick) error {
	var next atomic.Int64
	clients, ctx := errgroup.WithContext(ctx)
	for i := range n {
		clients.Go(func() error {
			for {
				k := int(next.Add(1)) - 1
				if k >= len(ticks) {
					return nil
				}
				if err := tablets[i%len(tablets)].send(ctx, ticks[k]); err != nil {
					return err
				}
			}
		})
	}
	return clients.Wait()
}

// measureTicks holds the throughput of ticks through HTTP against pgbench, which runs
// the same statements in the same transaction: as it is, where both wait for the disc,
// and for information without that wait, where the program's own work weighs most.
func measureTicks(ctx context.Context, s *site) ([]figure, error) {
	if err := s.exec(ctx, s.cars, `VACUUM ANALYZE`); err != nil {
		return nil, err
	}
	bench, err := newPgbench(ctx, s)
	if err != nil {
		return nil, err
	}
	durable, err := throughput(ctx, s, bench)
	if err != nil {
		return nil, err
	}
	// Sessions that begin from now on have it so.
	database := fmt.Sprintf("ALTER DATABASE shop_%d ", s.cars)
	if err := s.exec(ctx, s.cars, database+`SET synchronous_commit = off`); err != nil {
		return nil, err
	}
	quick, err := throughput(ctx, s, bench)
	if err != nil {
		return nil, err
	}
	quick.Name, quick.Limit = quick.Name+", not waiting for the disc", ""
	return []figure{durable, quick}, s.exec(ctx, s.cars, database+`RESET synchronous_commit`)
}

func throughput(ctx context.Context, s *site, bench *pgbench) (figure, error) {
	a, err := startApp(ctx, s.binary, "serve", "--database-url", s.shops[s.cars])
	if err != nil {
		return figure{}, err
	}
	defer a.stop()
	tablets, err := a.signInBench(ctx, technicians)
	if err != nil {
		return figure{}, err
	}
	ticks, err := openTicks(ctx, s.shops[s.cars])
	if err != nil {
		return figure{}, err
	}
	if len(ticks) < (tickRounds+1)*ticksARound {
		return figure{}, fmt.Errorf("%d open steps are too few; take more cars", len(ticks))
	}
	var ours, theirs []float64
	// The first round fills caches and is not counted.
	for round := range tickRounds + 1 {
		began := time.Now()
		if err := tickAll(ctx, tablets, tickClients, ticks[round*ticksARound:(round+1)*ticksARound]); err != nil {
			return figure{}, err
		}
		tps := ticksARound / time.Since(began).Seconds()
		plain, err := bench.run(ctx, ticksARound)
		if err != nil {
			return figure{}, err
		}
		if round > 0 {
			ours, theirs = append(ours, tps), append(theirs, plain)
		}
	}
	ratio := median(ours) / median(theirs)
	return figure{
		Name: "ticks through HTTP : pgbench", Limit: fmt.Sprintf("≥ %.0f %%", 100*tickFloor),
		Measured: fmt.Sprintf("%.0f %%", 100*ratio), Held: ratio >= tickFloor,
		Detail: fmt.Sprintf("%.0f/s by %d clients : %.0f/s by pgbench, %d connections each; medians of %d × %d",
			median(ours), tickClients, median(theirs), tickConns, tickRounds, ticksARound),
	}, nil
}

// measureFlat times single ticks in shops of 1, 20 and 200 cars in turns.
func measureFlat(ctx context.Context, s *site) ([]figure, error) {
	sizes := []int{1, 20, s.cars}
	for _, n := range sizes { // before any program holds the template
		if err := s.exec(ctx, n, `VACUUM ANALYZE`); err != nil {
			return nil, err
		}
	}
	acts := make([]func() error, len(sizes))
	for i, n := range sizes {
		a, err := startApp(ctx, s.binary, "serve", "--database-url", s.shops[n])
		if err != nil {
			return nil, err
		}
		defer a.stop()
		tablets, err := a.signInBench(ctx, 1)
		if err != nil {
			return nil, err
		}
		ticks, err := openTicks(ctx, s.shops[n])
		if err != nil {
			return nil, err
		}
		acts[i] = func() error {
			if len(ticks) == 0 {
				return fmt.Errorf("the shop of %d cars has no step left to tick", n)
			}
			t := ticks[0]
			ticks = ticks[1:]
			return tablets[0].send(ctx, t)
		}
	}
	times, err := interleave(flatTicks, acts...)
	if err != nil {
		return nil, err
	}
	detail := ""
	for i, n := range sizes {
		detail += fmt.Sprintf("%d cars %s, ", n, short(times[i]))
	}
	return []figure{atMost("a tick, dearest : cheapest shop", slices.Max(times), slices.Min(times), flatLimit,
		fmt.Sprintf("%sone client; medians of %d", detail, flatTicks))}, nil
}
