//go:build unix

package localdb

import (
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func kill(t *testing.T, pid int, s syscall.Signal) {
	t.Helper()
	require.NoError(t, syscall.Kill(pid, s))
}

func TestDoneWhenPostgresIsKilled(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := start(t, Options{Dir: dir})
	execute(t, s.URL(Database), "CREATE TABLE kept AS SELECT 'acknowledged' AS word")
	require.False(t, isClosed(s.Done()))

	kill(t, s.process.cmd.Process.Pid, syscall.SIGKILL)
	requireEnded(t, s.Done())
	_, ok := Running(dir)
	require.False(t, ok)
	require.NoError(t, s.Stop())

	s = start(t, Options{Dir: dir})
	require.Equal(t, "acknowledged", ask(t, s.URL(Database), "SELECT word FROM kept"))
}

// A statement outlives its killed postmaster, and the cluster is not free until
// it is through.
func TestStartWaitsForAStatementAfterACrash(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := start(t, Options{Dir: dir})
	busy := connect(t, s.URL(Database))
	var working sync.WaitGroup
	working.Go(func() {
		_, _ = busy.Exec(t.Context(), "/* busy */ SELECT sum(sqrt(i)) FROM generate_series(1, 3000000) i")
	})
	t.Cleanup(working.Wait) // before the connection is closed
	watch := connect(t, s.URL(Database))
	require.Eventually(t, func() bool {
		var n int
		err := watch.QueryRow(t.Context(), "SELECT count(*) FROM pg_stat_activity WHERE state = 'active' AND query LIKE '/* busy%'").Scan(&n)
		return err == nil && n == 1
	}, 5*time.Second, 5*time.Millisecond)

	kill(t, s.process.cmd.Process.Pid, syscall.SIGKILL)
	requireEnded(t, s.Done())
	require.NoError(t, s.Stop())
	start(t, Options{Dir: dir, healing: 5 * time.Minute})
}

func TestStopInsists(t *testing.T) {
	t.Parallel()
	s := start(t, Options{Throwaway: true, stops: impatient()})
	kill(t, s.process.cmd.Process.Pid, syscall.SIGSTOP) // deaf to a polite request
	require.NoError(t, s.Stop())
	require.True(t, isClosed(s.Done()))
}

// The pid file of a crash names a process that by now is somebody else's: here a
// Postgres of the same account on another folder, the likeliest to be mistaken.
func TestStalePIDOfAnotherProcessIsHealed(t *testing.T) {
	t.Parallel()
	other := start(t, Options{Throwaway: true})
	dir := t.TempDir()
	s := start(t, Options{Dir: dir})
	pidFile := filepath.Join(clusterPath(dir), "postmaster.pid")
	text, err := os.ReadFile(pidFile)
	require.NoError(t, err)
	kill(t, s.process.cmd.Process.Pid, syscall.SIGKILL)
	requireEnded(t, s.Done())
	require.NoError(t, s.Stop())

	_, rest, _ := strings.Cut(string(text), "\n")
	stale := strconv.Itoa(other.process.cmd.Process.Pid) + "\n" + rest
	require.NoError(t, os.WriteFile(pidFile, []byte(stale), 0o600))

	start(t, Options{Dir: dir})
	require.False(t, isClosed(other.Done()), "the other process is left alone")
	require.Equal(t, "1", ask(t, other.URL(Database), "SELECT '1'"))
}

func TestParsePID(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]int{
		"": 0, "x\n": 0, "0\n": 0, "4711\n/data\n": 4711, "-4711\n": 4711, " 12 \n": 12, "4294967297\n": 0,
	} {
		got, found := parsePID(text)
		require.Equal(t, want, got, "%q", text)
		require.Equal(t, want != 0, found, "%q", text)
	}
}

// Whatever a crash leaves in the file, no signal can go to a process group.
func FuzzParsePID(f *testing.F) {
	for _, seed := range []string{"4711\n/data\n", "-1", "-2147483648", "\x00", ""} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		pid, found := parsePID(text)
		require.Equal(t, found, pid > 0)
	})
}

func TestPostgresEndsWithItsProgram(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]func(*testing.T, *helper){
		"killed":     func(t *testing.T, h *helper) { kill(t, h.cmd.Process.Pid, syscall.SIGKILL) },
		"terminated": func(t *testing.T, h *helper) { kill(t, h.cmd.Process.Pid, syscall.SIGTERM) },
		"panicked":   func(t *testing.T, h *helper) { require.NoError(t, h.hangUp()) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			h := startHelper(t, dir)
			require.Empty(t, h.Error)
			left := readNote(dir).Sockets
			require.DirExists(t, left)
			end(t, h)
			require.Error(t, h.cmd.Wait())
			if runtime.GOOS == "linux" { // elsewhere the next start ends it
				require.Eventually(t, func() bool { return !worksOn(h.Postgres, clusterPath(dir)) }, 30*time.Second, 5*time.Millisecond)
			}

			s := start(t, Options{Dir: dir})
			require.False(t, worksOn(h.Postgres, clusterPath(dir)))
			require.Equal(t, "1", ask(t, s.URL(Database), "SELECT '1'"))
			require.NoDirExists(t, left)
		})
	}
}

// Where no death signal reaches it, Postgres outlives its program. Here it is
// the claim to the folder that goes and the program that stays.
func TestOrphanIsEndedByTheNextStart(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		deaf bool
	}{{"that listens", false}, {"that is deaf", true}} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			orphan, err := Start(t.Context(), Options{Dir: dir})
			require.NoError(t, err)
			pid := orphan.process.cmd.Process.Pid
			t.Cleanup(func() { _ = syscall.Kill(pid, syscall.SIGKILL) })
			if tc.deaf {
				kill(t, pid, syscall.SIGSTOP)
			}
			require.True(t, worksOn(pid, clusterPath(dir)))
			require.NoError(t, orphan.hold.release())

			s := start(t, Options{Dir: dir, stops: impatient()})
			requireEnded(t, orphan.Done())
			require.Equal(t, "1", ask(t, s.URL(Database), "SELECT '1'"))
		})
	}
}
