// Command scumble tracks restoration work orders for the wood-grained trim of
// vintage cars. It serves the shop's office, its tablets and its customers' links,
// and keeps everything in one Postgres: a named one, or a private one of its own.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	_ "time/tzdata" // the shop's zone must be known on a machine without zone files

	"scumble/internal/restoration"
)

// heapAim is the heap, in bytes, above which garbage is collected at once: each
// sign-in hashes in 19 MiB, and several of those would pile up otherwise. It is no
// ceiling; the environment's GOMEMLIMIT beats it.
const heapAim = 44 << 20

// roomPercent is how much the heap may grow, in percent of what was live, between two
// collections while it is below heapAim: a shop's is small, and would be collected every few
// requests. The environment's GOGC beats it.
const roomPercent = 300

func main() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(heapAim)
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(roomPercent)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "scumble:", sentence(err))
		os.Exit(1)
	}
}

// sentence is what a person reads of an error: a Problem's own words where there
// is one, without the trail of where it happened.
func sentence(err error) string {
	if p, ok := restoration.AsProblem(err); ok {
		return p.Message
	}
	return err.Error()
}

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}
