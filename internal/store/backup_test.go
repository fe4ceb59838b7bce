package store_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
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

func TestBackupHoldsTheFilm(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	h := houseAt(t, url)
	h.oneOfEach(t)
	var first, second bytes.Buffer
	require.NoError(t, h.Backup(t.Context(), &first))
	tables, err := storetest.Superuser(t, url).Query(t.Context(), `SELECT tablename FROM pg_tables
		WHERE schemaname = 'public' AND tablename NOT IN ('schema_migrations', 'sessions')`)
	require.NoError(t, err)
	names, err := pgx.CollectRows(tables, pgx.RowTo[string])
	require.NoError(t, err)
	for _, name := range names {
		require.Contains(t, rowsOf(t, first.Bytes()), name+".copy", "a table that no backup holds")
	}

	again := storetest.EmptyURL(t)
	require.NoError(t, store.Restore(t.Context(), again, bytes.NewReader(first.Bytes())))
	restored := house{Store: storetest.Open(t, again, store.Options{Now: h.clock.Now}), clock: h.clock, owner: h.owner, by: h.by}
	require.NoError(t, restored.Backup(t.Context(), &second))
	require.Equal(t, rowsOf(t, first.Bytes()), rowsOf(t, second.Bytes()))
	restored.requireSound(t)
	restored.lot(t, restored.material(t, "Example clear, two-part"), "C-2")
	restored.sensor(t, "Bench")
}

// A backup of the program that knew no film has no tables of it.
func TestRestoreOfAnOlderBackup(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	h.technician(t, "Tom")
	var now bytes.Buffer
	require.NoError(t, h.Backup(t.Context(), &now))
	url := storetest.EmptyURL(t)
	require.NoError(t, store.Restore(t.Context(), url, bytes.NewReader(asBeforeTheFilm(t, now.Bytes()))))
	restored := storetest.Open(t, url, store.Options{})
	require.NoError(t, restored.Ready(t.Context()))
	people, err := restored.People(t.Context())
	require.NoError(t, err)
	require.Len(t, people, 2)
	materials, err := restored.Materials(t.Context())
	require.NoError(t, err)
	require.NotEmpty(t, materials, "the examples come with the program")
}

// asBeforeTheFilm takes out of a backup what version 4 of the schema didn't have. It has
// no steps, so that only the names of their columns go.
func asBeforeTheFilm(t *testing.T, backup []byte) []byte {
	t.Helper()
	rows := rowsOf(t, backup)
	require.Empty(t, rows["finish_steps.copy"])
	archive, err := zip.NewReader(bytes.NewReader(backup), int64(len(backup)))
	require.NoError(t, err)
	entry, err := archive.Open("backup.json")
	require.NoError(t, err)
	var manifest struct {
		Form      string              `json:"form"`
		Migration int                 `json:"migration"`
		MadeAt    string              `json:"made_at"`
		Columns   map[string][]string `json:"columns"`
	}
	require.NoError(t, json.NewDecoder(entry).Decode(&manifest))
	manifest.Migration = 4
	for _, table := range []string{"materials", "lots", "schemes", "coats", "coat_lots", "cut_passes", "readings", "films", "sensors", "air", "certificates",
		"photos", "piece_photos", "places", "place_fits"} {
		require.Contains(t, manifest.Columns, table)
		delete(manifest.Columns, table)
	}
	manifest.Columns["finish_steps"] = slices.DeleteFunc(manifest.Columns["finish_steps"], func(c string) bool { return strings.HasPrefix(c, "coat") })

	var old bytes.Buffer
	out := zip.NewWriter(&old)
	w, err := out.Create("backup.json")
	require.NoError(t, err)
	require.NoError(t, json.NewEncoder(w).Encode(manifest))
	for table := range manifest.Columns {
		w, err := out.Create(table + ".copy")
		require.NoError(t, err)
		_, err = io.WriteString(w, rows[table+".copy"])
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	return old.Bytes()
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
