package store_test

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// rowsOf reads the tables of a backup.
func rowsOf(t *testing.T, backup []byte) map[string]string {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(backup), int64(len(backup)))
	require.NoError(t, err)
	tables := map[string]string{}
	for _, f := range archive.File {
		if !strings.HasSuffix(f.Name, ".copy") {
			continue
		}
		entry, err := f.Open()
		require.NoError(t, err)
		rows, err := io.ReadAll(entry)
		require.NoError(t, err)
		tables[f.Name] = string(rows)
	}
	return tables
}

func TestBackupAndRestore(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	owner, err := s.CreateOwner(t.Context(), "Änne", "hash")
	require.NoError(t, err)
	car, err := s.NewCar(t.Context(), restoration.Actor{PersonID: owner.ID},
		restoration.Car{Name: "1936 Brennick Eight", Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"},
		[]restoration.NewPiece{{Details: restoration.Details{Name: "tab\there \\ and ümlaut", Zone: restoration.ZoneFront,
			Mounting: restoration.MountBench, Size: restoration.SizeSmall}}})
	require.NoError(t, err)
	var first bytes.Buffer
	require.NoError(t, s.Backup(t.Context(), &first))
	require.Contains(t, rowsOf(t, first.Bytes())["people.copy"], "Änne")

	url := storetest.EmptyURL(t)
	require.NoError(t, store.Restore(t.Context(), url, bytes.NewReader(first.Bytes())))
	again := storetest.Open(t, url, store.Options{})
	var second bytes.Buffer
	require.NoError(t, again.Backup(t.Context(), &second))
	require.Equal(t, rowsOf(t, first.Bytes()), rowsOf(t, second.Bytes()))

	differences, err := again.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, differences)
	next, err := again.NewCar(t.Context(), restoration.Actor{PersonID: owner.ID},
		restoration.Car{Name: "Larkhall Ten", Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3b2413"}, nil)
	require.NoError(t, err, "numbering goes on")
	require.Greater(t, next.ID, car.ID)
	require.NotEqual(t, car.WorkOrder, next.WorkOrder)
}

func TestRestoreRefuses(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	var backup bytes.Buffer
	require.NoError(t, s.Backup(t.Context(), &backup))
	used := storetest.URL(t)
	_, err := storetest.Open(t, used, store.Options{}).CreateOwner(t.Context(), "Änne", "hash")
	require.NoError(t, err)

	for name, tt := range map[string]struct {
		url, backup, want string
	}{
		"no archive":        {storetest.EmptyURL(t), "piece,zone\n", "no Scumble backup"},
		"cut off":           {storetest.EmptyURL(t), backup.String()[:backup.Len()/2], "no Scumble backup"},
		"database in use":   {used, backup.String(), "holds people or cars already"},
		"someone's archive": {storetest.EmptyURL(t), emptyArchive(t), "no Scumble backup"},
	} {
		err := store.Restore(t.Context(), tt.url, strings.NewReader(tt.backup))
		problem, ok := restoration.AsProblem(err)
		require.True(t, ok, "%s: %v", name, err)
		require.Contains(t, problem.Message, tt.want, name)
	}
}

func emptyArchive(t *testing.T) string {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, zip.NewWriter(&buf).Close())
	return buf.String()
}
