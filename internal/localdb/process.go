package localdb

import (
	"context"
	"fmt"
	"log/slog"
	"os/exec"
	"runtime"
	"sync/atomic"
	"syscall"
	"time"
)

// process is the postmaster, started as our child.
type process struct {
	cmd   *exec.Cmd
	said  *listener
	asked atomic.Bool   // we have told it to end
	done  chan struct{} // closed when it has ended
	err   error         // its status; to be read after done
}

// launch starts cmd. It does not wait until the server answers.
func launch(cmd *exec.Cmd, log *slog.Logger) (*process, error) {
	p := &process{cmd: cmd, said: &listener{log: log}, done: make(chan struct{})}
	cmd.Stdout, cmd.Stderr = p.said, p.said
	// Processes of a killed postmaster hold on to our pipe for a moment.
	cmd.WaitDelay = time.Second
	started := make(chan error)
	go func() {
		err := onOwnThread(func() error {
			err := cmd.Start()
			started <- err
			if err != nil {
				return err
			}
			return cmd.Wait()
		})
		p.err = err
		close(p.done)
	}()
	if err := <-started; err != nil {
		return nil, say(err, "Postgres can't be started from %s.", cmd.Path)
	}
	return p, nil
}

// onOwnThread runs f, which starts a child and waits for it, on an OS thread
// that does nothing else. On Linux the child is sent its death signal when the
// thread that started it ends, not the program: on a shared thread it would be
// hit when other code that had locked that thread is through. Locked here for
// as long as the child lives, the thread ends only with the program.
func onOwnThread(f func() error) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	return f()
}

// ready waits until the server lets us in. A server that does not is gone when
// ready returns an error.
func (p *process) ready(ctx context.Context, sockets string, stops []stop) error {
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-p.done:
			return say(p.err, "Postgres ended before it was ready. It said: %s", p.said.String())
		case <-ctx.Done():
			_ = p.stop(stops)
			return say(ctx.Err(), "Postgres was not ready in time. It said: %s", p.said.String())
		case <-tick.C:
			if probe(sockets) == nil {
				return nil
			}
		}
	}
}

// stop is one way to ask a server to end, and how long to wait for it.
type stop struct {
	signal syscall.Signal
	group  bool // to all of the postmaster's process group
	wait   time.Duration
}

// patiently breaks off open connections and lets Postgres write everything
// down; then it is killed, which loses nothing that was committed.
func patiently() []stop {
	return []stop{
		{signal: syscall.SIGINT, wait: 10 * time.Second},
		{signal: syscall.SIGKILL, group: true, wait: 5 * time.Second},
	}
}

// stop ends the process. Nil stops means patiently.
func (p *process) stop(stops []stop) error {
	p.asked.Store(true)
	return insist(p.cmd.Process.Pid, stops, p.done)
}

// insist signals a process ever harder until ended is closed.
func insist(pid int, stops []stop, ended <-chan struct{}) error {
	if stops == nil {
		stops = patiently()
	}
	for _, s := range stops {
		select {
		case <-ended:
			return nil
		default:
		}
		if err := s.send(pid); err != nil {
			return fmt.Errorf("signal process %d: %w", pid, err)
		}
		select {
		case <-ended:
			return nil
		case <-time.After(s.wait):
		}
	}
	return fmt.Errorf("process %d can't be ended", pid)
}
