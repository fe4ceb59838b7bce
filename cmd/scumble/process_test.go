package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// process is the whole program in a process of its own, on a free port.
type process struct {
	program
	cmd    *exec.Cmd
	ended  chan struct{} // closed when it has ended
	status error         // how; to be read after ended
	errors bytes.Buffer  // what it said there; to be read after ended
}

// spawn starts the program as a process and waits until it listens. It is asked to
// end when the test does.
func spawn(t *testing.T, args ...string) *process {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	p := &process{cmd: exec.Command(self, append(args, "--listen", "127.0.0.1:0")...), ended: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), asProgram+"=yes")
	p.cmd.Stderr = &p.errors
	out, err := p.cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, p.cmd.Start())
	listens := make(chan program)
	go func() {
		listens <- readUntilItListens(out)
		_, _ = io.Copy(io.Discard, out)
		p.status = p.cmd.Wait()
		close(p.ended)
	}()
	p.program = <-listens
	t.Cleanup(func() {
		_ = p.cmd.Process.Signal(os.Interrupt) // it may have ended
		<-p.ended
	})
	if p.base == "" {
		<-p.ended
		require.Fail(t, "it ended before it listened", "%v: %s", p.status, p.errors.String())
	}
	return p
}

func readUntilItListens(out io.Reader) (p program) {
	for lines := bufio.NewScanner(out); p.base == "" && lines.Scan(); {
		p.lines = append(p.lines, lines.Text())
		if base, ok := strings.CutPrefix(lines.Text(), "listening on "); ok {
			p.base = base
		}
	}
	return p
}

// kill ends the process without a warning and waits until it is gone.
func (p *process) kill(t *testing.T) {
	t.Helper()
	require.NoError(t, p.cmd.Process.Kill())
	<-p.ended
}

// execute runs one command in this process and gives what it printed.
func execute(t *testing.T, in string, args ...string) (out, errs string, err error) {
	t.Helper()
	var o, e bytes.Buffer
	err = run(context.Background(), args, strings.NewReader(in), &o, &e)
	return o.String(), e.String(), err
}
