//go:build unix

package localdb

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestSweep(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	for _, name := range []string{throwawayPrefix + "left", throwawayPrefix + "held", throwawayPrefix + "young", "other"} {
		require.NoError(t, os.MkdirAll(filepath.Join(base, name, "postgres"), 0o700))
	}
	before := time.Now()
	held, err := take(filepath.Join(base, throwawayPrefix+"held"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, held.release()) })
	for name, age := range map[string]time.Duration{"left": time.Hour, "held": time.Hour, "young": -time.Hour} {
		at := before.Add(-age)
		require.NoError(t, os.Chtimes(filepath.Join(base, throwawayPrefix+name), at, at))
	}

	sweep(base, before)

	require.NoDirExists(t, filepath.Join(base, throwawayPrefix+"left"))
	require.DirExists(t, filepath.Join(base, throwawayPrefix+"held"), "in use")
	require.DirExists(t, filepath.Join(base, throwawayPrefix+"young"), "perhaps about to be used")
	require.DirExists(t, filepath.Join(base, "other"), "not ours")
}
