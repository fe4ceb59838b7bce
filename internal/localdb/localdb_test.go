//go:build unix

package localdb

import (
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

func TestDataOutlivesARestart(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "not", "made", "yet")

	s, err := Start(t.Context(), Options{Dir: dir})
	require.NoError(t, err)
	execute(t, s.URL(Database), "CREATE TABLE kept AS SELECT 'still here' AS word")
	require.NoError(t, s.Stop())
	require.True(t, isClosed(s.Done()))

	s = start(t, Options{Dir: dir})
	require.Equal(t, "still here", ask(t, s.URL(Database), "SELECT word FROM kept"))
}

func TestDataOutlivesARestartAsAnOrdinaryUser(t *testing.T) {
	t.Parallel()
	if os.Geteuid() != 0 {
		return // then the test above has shown it
	}
	a, err := unprivileged()
	require.NoError(t, err)
	home := publicDir(t)
	require.NoError(t, a.own(home))
	binary := filepath.Join(home, "localdb.test")
	copyProgram(t, os.Args[0], binary)

	cmd := exec.Command(binary, "-test.run", "^(TestDataOutlivesARestart|TestSettings|TestRefusals)$", "-test.v")
	cmd.Dir = home
	cmd.Env = []string{"HOME=" + home, "TMPDIR=" + home, "PATH=" + os.Getenv("PATH")}
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "--- PASS: TestDataOutlivesARestart")
}

func copyProgram(t *testing.T, from, to string) {
	t.Helper()
	in, err := os.Open(from)
	require.NoError(t, err)
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE, 0o755)
	require.NoError(t, err)
	_, err = io.Copy(out, in)
	require.NoError(t, err)
	require.NoError(t, out.Close())
}

func TestSettings(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		options Options
		durable string
	}{
		{"real data", Options{Dir: t.TempDir()}, "on"},
		{"throw-away", Options{Throwaway: true}, "off"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := start(t, tc.options)
			for _, setting := range []string{"fsync", "synchronous_commit", "full_page_writes"} {
				require.Equal(t, tc.durable, ask(t, s.URL(Database), "SHOW "+setting), setting)
			}
			require.Empty(t, ask(t, s.URL(Database), "SHOW listen_addresses"))
			require.Equal(t, "UTF8", ask(t, s.URL(Database), "SHOW server_encoding"))

			info, err := os.Stat(s.sockets)
			require.NoError(t, err)
			require.Equal(t, os.FileMode(0o700), info.Mode().Perm(), "what lies behind is trusted")
		})
	}
}

func TestThrowawayLeavesNothing(t *testing.T) {
	t.Parallel()
	s := start(t, Options{Throwaway: true, Dir: "/ignored"})
	require.DirExists(t, s.hold.dir)
	require.NoError(t, s.Stop())
	require.NoDirExists(t, s.hold.dir)
	require.NoDirExists(t, s.sockets)
}

func TestStopTwiceAndAtOnce(t *testing.T) {
	t.Parallel()
	s := start(t, Options{Throwaway: true})
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if err := s.Stop(); err != nil {
				t.Error(err)
			}
			if !isClosed(s.Done()) {
				t.Error("Stop has returned before the end")
			}
		})
	}
	all.Wait()
}

func TestSecondStartIsRefused(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := start(t, Options{Dir: dir})

	_, err := Start(t.Context(), Options{Dir: dir})
	var running *AlreadyRunningError
	require.ErrorAs(t, err, &running)
	require.Equal(t, &AlreadyRunningError{Dir: dir, PID: os.Getpid()}, running)
	requireSentence(t, err, "Another Scumble (process ", "--data-dir")

	require.Equal(t, err.Error(), startHelper(t, dir).Error, "another process is told the same")
	require.Equal(t, "1", ask(t, s.URL(Database), "SELECT '1'"), "the first is not disturbed")
}

func TestRunning(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	_, ok := Running(dir)
	require.False(t, ok, "never started")

	s := start(t, Options{Dir: dir})
	url, ok := Running(dir)
	require.True(t, ok)
	require.Equal(t, s.URL("any"), url("any"))
	require.Equal(t, "1", ask(t, url(Database), "SELECT '1'"))

	require.NoError(t, s.Stop())
	_, ok = Running(dir)
	require.False(t, ok, "stopped")
	require.NoDirExists(t, s.sockets)
}

func TestSocketPathIsShortForALongFolder(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), strings.Repeat("long/", 30), strings.Repeat("x", 100))
	s := start(t, Options{Dir: dir})
	require.LessOrEqual(t, len(socketPath(s.sockets)), maxSocketPath)
	url, ok := Running(dir)
	require.True(t, ok)
	require.Equal(t, "1", ask(t, url(Database), "SELECT '1'"))
}

func TestSocketPathIsShortForALongTemporaryFolder(t *testing.T) {
	t.Setenv("TMPDIR", filepath.Join(t.TempDir(), strings.Repeat("x", 100)))
	dir, err := makeSocketFolder(account{})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	require.LessOrEqual(t, len(socketPath(dir)), maxSocketPath)
}

func TestURL(t *testing.T) {
	t.Parallel()
	config, err := pgx.ParseConfig(socketURL("/tmp/a folder", "a name"))
	require.NoError(t, err)
	require.Equal(t, "/tmp/a folder", config.Host)
	require.Equal(t, uint16(5432), config.Port)
	require.Equal(t, superuser, config.User)
	require.Equal(t, "a name", config.Database)
	require.Empty(t, config.Password)
	require.Nil(t, config.TLSConfig)
}

func TestStartMakesAWholeClusterAfterAHalfOne(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(clusterPath(dir)+".new", "base"), 0o700))
	start(t, Options{Dir: dir})
	require.NoDirExists(t, clusterPath(dir)+".new")
}

func TestStartBrokenOff(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Start(ctx, Options{Dir: dir})
	require.Error(t, err)
	require.NoDirExists(t, clusterPath(dir))

	start(t, Options{Dir: dir}) // the folder is free and whole
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	_, err := Start(t.Context(), Options{})
	requireSentence(t, err, "No data folder", "--data-dir")

	for _, tc := range []struct {
		name    string
		prepare func(t *testing.T, dir string)
		want    []string
	}{
		{"the folder is a file", func(t *testing.T, dir string) {
			require.NoError(t, os.WriteFile(dir, nil, 0o600))
		}, []string{"can't be written", "--data-dir"}},
		{"something else is in the cluster's place", func(t *testing.T, dir string) {
			require.NoError(t, os.MkdirAll(filepath.Join(clusterPath(dir), "letters"), 0o700))
		}, []string{"not a Postgres database and not empty", "--data-dir"}},
		{"the version makes no sense", func(t *testing.T, dir string) {
			writeVersion(t, dir, "one")
		}, []string{"can't be understood", "backup"}},
		{"the programs of its version are nowhere", func(t *testing.T, dir string) {
			writeVersion(t, dir, "11\n")
		}, []string{"made by Postgres 11", "install"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(t.TempDir(), "data")
			tc.prepare(t, dir)
			_, err := Start(t.Context(), Options{Dir: dir})
			requireSentence(t, err, tc.want...)
			require.Contains(t, err.Error(), dir)
		})
	}
}

// writeVersion makes what looks like a cluster of a version.
func writeVersion(t *testing.T, dir, version string) {
	t.Helper()
	path := clusterPath(dir)
	require.NoError(t, os.MkdirAll(path, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(path, "PG_VERSION"), []byte(version), 0o600))
	if os.Geteuid() == 0 {
		a, err := unprivileged()
		require.NoError(t, err)
		require.NoError(t, a.own(path))
	}
}

func TestUserDataDir(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, goos string
		env        map[string]string
		want       string // empty: refused
	}{
		{"linux", "linux", map[string]string{"HOME": "/home/ada"}, "/home/ada/.local/share"},
		{"linux, named", "linux", map[string]string{"HOME": "/home/ada", "XDG_DATA_HOME": "/data"}, "/data"},
		{"linux, named relative", "linux", map[string]string{"HOME": "/home/ada", "XDG_DATA_HOME": "data"}, "/home/ada/.local/share"},
		{"linux, homeless", "linux", nil, ""},
		{"macOS", "darwin", map[string]string{"HOME": "/Users/ada"}, "/Users/ada/Library/Application Support"},
		{"Windows", "windows", map[string]string{"LocalAppData": `C:\Users\ada\AppData\Local`}, `C:\Users\ada\AppData\Local`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			got, err := userDataDir(tc.goos, func(name string) string { return tc.env[name] })
			if tc.want == "" {
				requireSentence(t, err, "--data-dir")
				return
			}
			require.NoError(t, err)
			require.Equal(t, tc.want, got)
		})
	}
}
