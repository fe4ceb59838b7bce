// Command loadtest measures how fast Scumble is and prints the figures as a table:
// what, the limit, what was measured, held or not.
//
//	go run ./internal/loadtest
//
// It makes a shop of two hundred cars in a private Postgres with durable settings,
// starts the real program on it, signs in through its forms and drives it with
// clients of its own over loopback. Wherever it can, a figure is a ratio of two
// sides measured in turns in the same run on the same cluster, by their medians: such
// a figure means the same on another machine and on a busy one. Times are wall-clock.
//
// It imports pgx, as no room but the store does, for two reasons: the shop is cloned
// by statements that the program must not be able to run, and the other side of a
// ratio is what Postgres does without the program.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "loadtest:", err)
		os.Exit(1)
	}
}

// measurement fills in one or more lines of the table.
type measurement struct {
	name string
	run  func(context.Context, *site) ([]figure, error)
}

// measurements in the order in which they are taken. Those that change the shop
// come last.
var measurements = []measurement{
	{"roll", measureRoll},
	{"page", measurePage},
	{"film", measureFilm},
	{"batches", measureBatches},
	{"paint", measurePaint},
	{"flat", measureFlat},
	{"tick", measureTicks},
	{"outbox", measureOutbox},
	{"keep", measureKeep},
	{"shown", measureShown},
	{"memory", measureMemory},
	{"listeners", measureListeners},
	{"start", measureStart},
	{"photos", measurePhotos},
}

func run(ctx context.Context, args []string, out, errs io.Writer) error {
	flags := flag.NewFlagSet("loadtest", flag.ContinueOnError)
	flags.SetOutput(errs)
	only := flags.String("only", "", "measure only these, by commas: "+names())
	cars := flags.Int("cars", 200, "cars in the large shop")
	hold := flags.Bool("hold", false, "then keep the large shop up until interrupted, to look into it")
	if err := flags.Parse(args); err != nil {
		return err
	}
	chosen, err := choose(*only)
	if err != nil {
		return err
	}
	s, err := openSite(ctx, *cars, errs)
	if err != nil {
		return err
	}
	defer s.close()
	var table []figure
	for _, m := range chosen {
		fmt.Fprintf(errs, "measuring %s\n", m.name)
		figures, err := m.run(ctx, s)
		if err != nil {
			return fmt.Errorf("measure %s: %w", m.name, err)
		}
		table = append(table, figures...)
	}
	if err := printTable(out, table); err != nil || !*hold {
		return err
	}
	url, err := s.shop(ctx, s.cars)
	if err != nil {
		return err
	}
	fmt.Fprintf(errs, "psql '%s'\n", url)
	<-ctx.Done()
	return nil
}

func names() string {
	var list []string
	for _, m := range measurements {
		list = append(list, m.name)
	}
	return strings.Join(list, ", ")
}

// choose gives the measurements that are named, by commas, in their own order; "" all.
func choose(only string) ([]measurement, error) {
	if only == "" {
		return measurements, nil
	}
	wanted := map[string]bool{}
	for name := range strings.SplitSeq(only, ",") {
		name = strings.TrimSpace(name)
		if !slices.ContainsFunc(measurements, func(m measurement) bool { return m.name == name }) {
			return nil, fmt.Errorf("there is no measurement %q; choose of %s", name, names())
		}
		wanted[name] = true
	}
	return slices.DeleteFunc(slices.Clone(measurements), func(m measurement) bool { return !wanted[m.name] }), nil
}
