//go:build unix

package localdb

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// helperDir, when set, makes the test binary a program that serves that data
// folder until its standard input ends, and then panics.
const helperDir = "SCUMBLE_LOCALDB_HELPER_DIR"

func TestMain(m *testing.M) {
	if dir := os.Getenv(helperDir); dir != "" {
		helperMain(dir)
	}
	os.Exit(m.Run())
}

type helperReport struct {
	Postgres int
	Error    string
}

func helperMain(dir string) {
	var report helperReport
	s, err := Start(context.Background(), Options{Dir: dir})
	if err != nil {
		report.Error = err.Error()
	} else {
		report.Postgres = s.process.cmd.Process.Pid
	}
	if err := json.NewEncoder(os.Stdout).Encode(report); err != nil {
		panic(err)
	}
	_, _ = bufio.NewReader(os.Stdin).ReadByte()
	panic("told to")
}

// helper is another program that serves a data folder, or was refused.
type helper struct {
	helperReport
	cmd    *exec.Cmd
	hangUp func() error // makes it panic
}

func startHelper(t *testing.T, dir string) *helper {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), helperDir+"="+dir)
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	h := &helper{cmd: cmd, hangUp: in.Close}
	require.NoError(t, json.NewDecoder(out).Decode(&h.helperReport))
	t.Cleanup(func() { // for the day on which it does outlive its program
		if worksOn(h.Postgres, clusterPath(dir)) {
			_ = syscall.Kill(h.Postgres, syscall.SIGKILL)
		}
	})
	return h
}

// start starts a server that is stopped at the end of the test.
func start(t *testing.T, o Options) *Server {
	t.Helper()
	s, err := Start(t.Context(), o)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Stop()) })
	return s
}

// impatient are stops for servers that can't answer.
func impatient() []stop {
	return []stop{
		{signal: syscall.SIGINT, wait: 50 * time.Millisecond},
		{signal: syscall.SIGKILL, group: true, wait: 10 * time.Second},
	}
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close(context.Background()) })
	return conn
}

func execute(t *testing.T, url, sql string) {
	t.Helper()
	_, err := connect(t, url).Exec(t.Context(), sql)
	require.NoError(t, err)
}

func ask(t *testing.T, url, sql string) string {
	t.Helper()
	var answer string
	require.NoError(t, connect(t, url).QueryRow(t.Context(), sql).Scan(&answer))
	return answer
}

func isClosed(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

func requireEnded(t *testing.T, c <-chan struct{}) {
	t.Helper()
	require.Eventually(t, func() bool { return isClosed(c) }, 10*time.Second, 5*time.Millisecond)
}

// requireSentence checks an error meant for a person.
func requireSentence(t *testing.T, err error, parts ...string) {
	t.Helper()
	require.Error(t, err)
	for _, part := range parts {
		require.Contains(t, err.Error(), part)
	}
	require.NotContains(t, strings.TrimSpace(err.Error()), "\n")
}

// writeProgram writes a shell script to stand for one of Postgres's programs,
// open to every user.
func writeProgram(t *testing.T, folder, name, version string) {
	t.Helper()
	script := fmt.Sprintf("#!/bin/sh\necho '%s (PostgreSQL) %s'\n", name, version)
	if version == "" {
		script = "#!/bin/sh\necho 'no server here' >&2\nexit 1\n"
	}
	require.NoError(t, os.MkdirAll(folder, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(script), 0o755))
}

// publicDir is a temporary folder that every user can enter.
func publicDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/tmp", "scumble-public-")
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	require.NoError(t, os.Chmod(dir, 0o755))
	return dir
}
