//go:build unix

package localdb

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// repository serves testdata/programs.txz as the archive of every version and
// counts how often it is fetched. Its programs are shell scripts that tell a
// version, or hand on to real ones.
type repository struct {
	*httptest.Server
	fetched  atomic.Int64
	checksum func(archive []byte) string
}

func newRepository(t *testing.T) *repository {
	t.Helper()
	programs, err := os.ReadFile("testdata/programs.txz")
	require.NoError(t, err)
	var archive bytes.Buffer
	z := zip.NewWriter(&archive)
	f, err := z.Create("programs.txz")
	require.NoError(t, err)
	_, err = f.Write(programs)
	require.NoError(t, err)
	require.NoError(t, z.Close())

	r := &repository{checksum: func(archive []byte) string { return fmt.Sprintf("%x", sha256.Sum256(archive)) }}
	r.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		switch {
		case strings.HasSuffix(req.URL.Path, ".jar"):
			r.fetched.Add(1)
			_, _ = w.Write(archive.Bytes())
		case strings.HasSuffix(req.URL.Path, ".jar.sha256"):
			_, _ = fmt.Fprint(w, r.checksum(archive.Bytes()))
		default:
			http.NotFound(w, req)
		}
	}))
	t.Cleanup(r.Close)
	return r
}

// bare are the options of a machine without Postgres.
func bare(t *testing.T, repositoryURL string) Options {
	t.Helper()
	return Options{
		Dir:           t.TempDir(),
		RepositoryURL: repositoryURL,
		folders:       []string{},
		cache:         filepath.Join(publicDir(t), "cache"),
	}
}

// Not parallel: the environment tells the scripts where the real programs are.
func TestFetchOnceAndServe(t *testing.T) {
	a, err := accountFor("/nowhere")
	require.NoError(t, err)
	real, err := Options{}.findOrFetch(t.Context(), a, 0)
	require.NoError(t, err)
	r := newRepository(t)
	o := bare(t, r.URL)

	t.Setenv("SCUMBLE_TEST_PROGRAMS", real.bin)
	for range 2 {
		s, err := Start(t.Context(), o)
		require.NoError(t, err)
		require.Equal(t, "1", ask(t, s.URL(Database), "SELECT '1'"))
		require.NoError(t, s.Stop())
		o.Dir = t.TempDir() // another shop of the same user
	}
	require.EqualValues(t, 1, r.fetched.Load())
	left, err := os.ReadDir(o.cache)
	require.NoError(t, err)
	require.Len(t, left, 1, "no scratch folder stays")
}

func TestFetchFails(t *testing.T) {
	t.Parallel()
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	empty := httptest.NewServer(http.NotFoundHandler())
	t.Cleanup(empty.Close)
	spoilt := newRepository(t)
	spoilt.checksum = func([]byte) string { return strings.Repeat("0", 64) }

	for name, url := range map[string]string{"nobody there": gone.URL, "not in store": empty.URL, "spoilt on the way": spoilt.URL} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := bare(t, url)
			_, err := Start(t.Context(), o)
			requireSentence(t, err, "Postgres is not on this machine and could not be fetched", "install", "--database-url")
			left, err := os.ReadDir(o.cache)
			require.NoError(t, err)
			require.Empty(t, left)
		})
	}
}

func TestFetchedProgramsOfTheWrongVersion(t *testing.T) {
	t.Parallel()
	o := bare(t, newRepository(t).URL)
	writeVersion(t, o.Dir, "15\n") // and a cluster of that version is what 18 can't serve
	_, err := Start(t.Context(), o)
	requireSentence(t, err, "does not run on this machine")
}
