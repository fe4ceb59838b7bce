package localdb

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// start serves the cluster and waits until it answers, after mending what a
// crash may have left. Nothing is left running when it fails.
func (c *cluster) start(ctx context.Context, sockets string, o Options) (*process, error) {
	crashed, err := c.heal(o.stops)
	if err != nil {
		return nil, err
	}
	patience := o.healing
	if patience == 0 {
		patience = 30 * time.Second
	}
	deadline := time.Now().Add(patience)
	for {
		p, err := launch(c.server(sockets), o.Log)
		if err != nil {
			return nil, err
		}
		err = p.ready(ctx, sockets, o.stops)
		if err == nil {
			return p, nil
		}
		// When its postmaster is killed, a connection's own process works on
		// until its statement is through, and Postgres rightly refuses to serve
		// the folder beside it.
		if !crashed || ctx.Err() != nil || time.Now().After(deadline) {
			return nil, err
		}
		o.Log.Debug("postgres is not free yet after a crash", "cluster", c.path, "error", err)
		select {
		case <-ctx.Done():
		case <-time.After(100 * time.Millisecond):
		}
	}
}

// heal deals with the pid file that a Postgres leaves when it does not end in
// order; left tells whether there was one. The caller holds the data folder, so
// that a server still on it is an orphan of a program that was killed: it is
// stopped. A pid that by now belongs to some other process would make Postgres
// refuse to start, so that file is removed; that of a dead process Postgres
// mends by itself, and better.
func (c *cluster) heal(stops []stop) (left bool, err error) {
	pidFile := filepath.Join(c.path, "postmaster.pid")
	pid, found := readPID(pidFile)
	if !found {
		return false, nil
	}
	if c.servedBy(pid) {
		if err := c.stopOrphan(pid, stops); err != nil {
			return true, say(err, "A Postgres left over from a crash still runs on %s: end process %d and start again.", c.path, pid)
		}
	}
	if !alive(pid) {
		return true, nil
	}
	if err := os.Remove(pidFile); err != nil && !os.IsNotExist(err) {
		return true, say(err, "The file %s, left over from a crash, can't be removed: remove it and start again.", pidFile)
	}
	return true, nil
}

// stopOrphan ends a postmaster that is not our child: nobody tells us when it
// has ended, so it is looked for.
func (c *cluster) stopOrphan(pid int, stops []stop) error {
	ended, given := make(chan struct{}), make(chan struct{})
	defer close(given)
	go func() {
		tick := time.NewTicker(10 * time.Millisecond)
		defer tick.Stop()
		for c.servedBy(pid) {
			select {
			case <-tick.C:
			case <-given:
				return
			}
		}
		close(ended)
	}()
	err := insist(pid, stops, ended)
	if err != nil && !c.servedBy(pid) {
		return nil // it ended between the look and the signal
	}
	return err
}

// servedBy reports whether the process pid is a Postgres at work on the cluster.
func (c *cluster) servedBy(pid int) bool { return worksOn(pid, c.path) }

// readPID returns the process that a postmaster.pid names.
func readPID(path string) (pid int, found bool) {
	text, err := os.ReadFile(path)
	if err != nil {
		return 0, false
	}
	return parsePID(string(text))
}

// parsePID reads the first line of a postmaster.pid.
func parsePID(text string) (pid int, found bool) {
	first, _, _ := strings.Cut(text, "\n")
	n, err := strconv.ParseInt(strings.TrimSpace(first), 10, 32)
	if err != nil {
		return 0, false
	}
	// Postgres knows a stand-alone backend by a negative number.
	pid = int(max(n, -n))
	return pid, pid != 0
}
