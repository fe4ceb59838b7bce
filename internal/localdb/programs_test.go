//go:build unix

package localdb

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFindPrograms(t *testing.T) {
	t.Parallel()
	root := publicDir(t)
	for folder, versions := range map[string][2]string{ // of postgres and initdb
		"wrapper": {"", "16.2"},
		"mixed":   {"16.2", "15.1"},
		"old":     {"13.9", "13.9"},
		"fifteen": {"15.18 (some packager 1)", "15.18"},
		"next":    {"19beta1", "19beta1"},
	} {
		writeProgram(t, filepath.Join(root, folder), "postgres", versions[0])
		writeProgram(t, filepath.Join(root, folder), "initdb", versions[1])
	}
	writeProgram(t, filepath.Join(root, "client"), "initdb", "15.18")

	for _, tc := range []struct {
		name    string
		folders []string
		major   int
		want    string // empty: none
	}{
		{"nowhere to look", nil, 0, ""},
		{"no such folder", []string{"missing"}, 0, ""},
		{"server missing", []string{"client"}, 0, ""},
		{"server does not work", []string{"wrapper"}, 0, ""},
		{"two versions in one folder", []string{"mixed"}, 0, ""},
		{"too old for a new cluster", []string{"old"}, 0, ""},
		{"old enough for an old one", []string{"fifteen", "old"}, 13, "old"},
		{"first that works", []string{"wrapper", "client", "old", "fifteen", "next"}, 0, "fifteen"},
		{"the cluster's version only", []string{"fifteen", "next"}, 19, "next"},
		{"the cluster's version is missing", []string{"fifteen", "next"}, 17, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			var folders []string
			for _, folder := range tc.folders {
				folders = append(folders, filepath.Join(root, folder))
			}
			p, ok := findPrograms(t.Context(), account{}, folders, tc.major)
			require.Equal(t, tc.want != "", ok)
			if ok {
				require.Equal(t, filepath.Join(root, tc.want), p.bin)
			}
		})
	}
}

func TestFoldersOnPathFollowLinks(t *testing.T) {
	t.Parallel()
	root, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	real, onPath, empty := filepath.Join(root, "real"), filepath.Join(root, "path"), filepath.Join(root, "empty")
	writeProgram(t, real, "initdb", "15.18")
	require.NoError(t, os.Mkdir(onPath, 0o755))
	require.NoError(t, os.Symlink(filepath.Join(real, "initdb"), filepath.Join(onPath, "initdb")))

	require.Equal(t, []string{real, onPath}, foldersOnPath([]string{empty, "", "relative", onPath}))
}

func TestNumberIn(t *testing.T) {
	t.Parallel()
	for path, want := range map[string]int{
		"/usr/lib/postgresql/9/bin": 9, "/usr/lib/postgresql/15/bin": 15, "/usr/local/pgsql/bin": 0, "/": 0,
	} {
		require.Equal(t, want, numberIn(path), path)
	}
}
