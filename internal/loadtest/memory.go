package main

import (
	"context"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"
)

const (
	memoryClients = 50
	ownersAmong   = 5
	memoryTime    = 20 * time.Second
	memoryLimit   = 80_000_000
)

// measureMemory takes the largest resident size of the program, from its start on,
// while clients tick, read lists and pieces at the bench, and owners read the shop: in
// a shop of an ordinary size and in the large one.
func measureMemory(ctx context.Context, s *site) ([]figure, error) {
	var table []figure
	for _, cars := range []int{20, s.cars} {
		f, err := memoryOf(ctx, s, cars)
		if err != nil {
			return nil, err
		}
		table = append(table, f)
	}
	return table, nil
}

func memoryOf(ctx context.Context, s *site, cars int) (figure, error) {
	if err := s.exec(ctx, cars, `VACUUM ANALYZE`); err != nil {
		return figure{}, err
	}
	a, err := startApp(ctx, s.binary, "serve", "--database-url", s.shops[cars])
	if err != nil {
		return figure{}, err
	}
	defer a.stop()
	tablets, err := a.signInBench(ctx, technicians)
	if err != nil {
		return figure{}, err
	}
	owner, err := a.signInOwner(ctx)
	if err != nil {
		return figure{}, err
	}
	ticks, err := openTicks(ctx, s.shops[cars])
	if err != nil {
		return figure{}, err
	}
	signedIn, err := peak(a.cmd.Process.Pid)
	if err != nil {
		return figure{}, err
	}
	asked, err := crowd(ctx, tablets, owner, ticks)
	if err != nil {
		return figure{}, err
	}
	size, err := peak(a.cmd.Process.Pid)
	return figure{
		Name: fmt.Sprintf("memory under %d clients, %d cars", memoryClients, cars), Limit: "≤ 80 MB",
		Measured: fmt.Sprintf("%.0f MB", mB(size)), Held: size <= memoryLimit,
		Detail: fmt.Sprintf("VmHWM; %.0f MB once all were signed in; %d requests in %s: ticks, lists, pieces, and %d owners at the shop's page",
			mB(signedIn), asked, memoryTime, ownersAmong),
	}, err
}

func mB(bytes int) float64 { return float64(bytes) / 1e6 }

// crowd keeps all clients asking for a while, each as fast as it is answered, and
// tells how many requests that made.
func crowd(ctx context.Context, tablets []*visitor, owner *visitor, ticks []tick) (int64, error) {
	var asked, next atomic.Int64
	end := time.Now().Add(memoryTime)
	list, err := tablets[0].get(ctx, "/bench?car=26-001")
	if err != nil {
		return 0, err
	}
	pieces := pieceLink.FindAll(list, -1)
	clients, ctx := errgroup.WithContext(ctx)
	for i := range memoryClients {
		tablet := tablets[i%len(tablets)]
		clients.Go(func() error {
			for turn := i; time.Now().Before(end); turn++ {
				var err error
				k := int(next.Load())
				switch {
				case i < ownersAmong:
					_, err = owner.get(ctx, "/office")
				case turn%3 == 0 && k < len(ticks):
					err = tablet.send(ctx, ticks[next.Add(1)-1])
				case turn%3 == 1:
					_, err = tablet.get(ctx, "/bench")
				default:
					_, err = tablet.get(ctx, string(pieces[turn%len(pieces)]))
				}
				if err != nil {
					return err
				}
				asked.Add(1)
			}
			return nil
		})
	}
	err = clients.Wait()
	return asked.Load(), err
}

// peak reads the most memory that a process has held, in bytes, where the kernel is Linux.
func peak(pid int) (int, error) { return memory(pid, "VmHWM") }

// resident reads the memory that a process holds now, in bytes.
func resident(pid int) (int, error) { return memory(pid, "VmRSS") }

func memory(pid int, of string) (int, error) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, err
	}
	found := regexp.MustCompile(of + `:\s+(\d+) kB`).FindSubmatch(status)
	if found == nil {
		return 0, fmt.Errorf("the kernel does not tell the memory of process %d", pid)
	}
	kB, err := strconv.Atoi(string(found[1]))
	return kB << 10, err
}
