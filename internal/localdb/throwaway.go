package localdb

import (
	"os"
	"path/filepath"
	"strings"
	"time"
)

const throwawayPrefix = "scumble-throwaway-"

// makeThrowawayDir makes the data folder of a throw-away cluster, after clearing
// away those of tests that were killed: they hold some 40 MB each.
func makeThrowawayDir() (string, error) {
	sweep(os.TempDir(), time.Now().Add(-time.Minute))
	dir, err := os.MkdirTemp("", throwawayPrefix)
	if err != nil {
		return "", say(err, "The temporary folder %s can't be written: set TMPDIR to one that can.", os.TempDir())
	}
	return dir, nil
}

// sweep removes this user's throw-away data folders in base that nobody holds.
// Those made after the given time are left alone: their maker may not have got
// to holding them. What can't be looked at or removed stays.
func sweep(base string, before time.Time) {
	entries, err := os.ReadDir(base)
	if err != nil {
		return
	}
	for _, entry := range entries {
		dir := filepath.Join(base, entry.Name())
		if !entry.IsDir() || !strings.HasPrefix(entry.Name(), throwawayPrefix) || !ours(dir) {
			continue
		}
		info, err := entry.Info()
		if err != nil || info.ModTime().After(before) {
			continue
		}
		h, err := take(dir)
		if err != nil {
			continue
		}
		_ = os.RemoveAll(dir)
		_ = h.release()
	}
}

func ours(path string) bool {
	uid, _, err := ownerOf(path)
	return err == nil && uid == os.Geteuid()
}
