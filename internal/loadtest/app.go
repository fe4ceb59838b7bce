package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"time"
)

// app is the program, running.
type app struct {
	url    string
	cmd    *exec.Cmd
	ready  time.Duration // from the start of the process to its line "listening on"
	exited chan error
}

// startApp starts the program on a free port and waits until it says that it listens.
func startApp(ctx context.Context, binary string, args ...string) (*app, error) {
	cmd := exec.Command(binary, append(args, "--listen", "127.0.0.1:0")...)
	cmd.Env = append(os.Environ(), "DATABASE_URL=")
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // an interrupt is for us to pass on
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	var complaints strings.Builder
	cmd.Stderr = &complaints
	began := time.Now()
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	a := &app{cmd: cmd, exited: make(chan error, 1)}
	told := make(chan string, 1)
	go func() {
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if url, ok := strings.CutPrefix(lines.Text(), "listening on "); ok {
				told <- url
			}
		}
		_, _ = io.Copy(io.Discard, out)
		a.exited <- cmd.Wait()
	}()
	select {
	case a.url = <-told:
		a.ready = time.Since(began)
		return a, nil
	case err := <-a.exited:
		return nil, fmt.Errorf("the program did not come up: %w\n%s", errors.Join(err, errors.New("ended")), complaints.String())
	case <-ctx.Done():
		a.stop()
		return nil, ctx.Err()
	case <-time.After(time.Minute):
		a.stop()
		return nil, fmt.Errorf("the program does not listen after a minute\n%s", complaints.String())
	}
}

// stop asks the program to end, and insists when it doesn't.
func (a *app) stop() {
	_ = a.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case <-a.exited:
	case <-time.After(20 * time.Second):
		_ = a.cmd.Process.Kill()
		<-a.exited
	}
}
