package main

import (
	"encoding/json"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// imports lists what each package of the module imports outside its tests.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "go", "list", "-json=ImportPath,Imports", "scumble/...").Output()
	require.NoError(t, err)
	graph := map[string][]string{}
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		err := dec.Decode(&p)
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		graph[p.ImportPath] = p.Imports
	}
	require.Contains(t, graph, "scumble/internal/restoration", "the graph is not this module's")
	return graph
}

// within tells whether a package is a room or stands below it.
func within(pkg, room string) bool { return pkg == room || strings.HasPrefix(pkg, room+"/") }

// library tells whether a package comes from outside this module and the standard library.
func library(pkg string) bool {
	first, _, _ := strings.Cut(pkg, "/")
	return strings.Contains(first, ".")
}

// pureRooms are the calculating rooms. They may know one another.
func pureRooms() []string {
	return []string{
		"scumble/internal/restoration", "scumble/internal/trimlist", "scumble/internal/coating",
		"scumble/internal/colour", "scumble/internal/instrument", "scumble/internal/csvtable",
	}
}

// The calculating rooms are pure: they may be trusted because nothing but what they
// are given decides what they answer.
func TestPureRoomsImportOnlyTheStandardLibrary(t *testing.T) {
	t.Parallel()
	forbidden := []string{"net/http", "database/sql", "os", "net", "log", "log/slog", "math/rand", "math/rand/v2"}
	for pkg, uses := range imports(t) {
		if !slices.Contains(pureRooms(), pkg) {
			continue
		}
		for _, use := range uses {
			pure := !library(use) && !slices.Contains(forbidden, use) &&
				(!within(use, "scumble") || slices.Contains(pureRooms(), use))
			require.True(t, pure, "%s imports %s: a calculating room knows no database, no HTTP and no clock", pkg, use)
		}
	}
}

// The labels are drawn with a library for each of code, typeface and file, and are pure
// otherwise: what is printed follows from what they are given.
func TestLabelsKnowNoDatabaseAndNoClock(t *testing.T) {
	t.Parallel()
	const room = "scumble/internal/labels"
	graph := imports(t)
	require.Contains(t, graph, room)
	libraries := []string{"github.com/piglig/go-qr", "github.com/go-pdf/fpdf", "golang.org/x/image"}
	forbidden := []string{"net/http", "database/sql", "os", "net", "log", "log/slog", "math/rand", "math/rand/v2"}
	for _, use := range graph[room] {
		known := slices.ContainsFunc(libraries, func(l string) bool { return within(use, l) })
		pure := !slices.Contains(forbidden, use) && (!library(use) || known) && (!within(use, "scumble") || slices.Contains(pureRooms(), use))
		require.True(t, pure, "%s imports %s: what is printed follows from what it is given", room, use)
	}
}

// SQL has one home, so that a change of the schema is looked for in one room.
func TestOnlyTheStoreSpeaksSQL(t *testing.T) {
	t.Parallel()
	for pkg, uses := range imports(t) {
		for _, use := range uses {
			sql := within(use, "github.com/jackc/pgx/v5") || within(use, "database/sql") && use != "database/sql/driver" ||
				within(use, "github.com/golang-migrate/migrate/v4")
			// The load test clones its shop and takes the other side of its ratios without the store.
			home := within(pkg, "scumble/internal/store") || within(pkg, "scumble/internal/loadtest")
			require.False(t, sql && !home, "%s imports %s: only the store speaks SQL", pkg, use)
		}
	}
}

// The audiences know neither one another nor the store: each declares what it needs.
func TestAudiencesShareOnlyTheLook(t *testing.T) {
	t.Parallel()
	rooms := []string{"scumble/web/office", "scumble/web/bench", "scumble/web/progress"}
	for pkg, uses := range imports(t) {
		for _, use := range uses {
			if within(pkg, "scumble/web") {
				below := within(use, "scumble/internal/store") || within(use, "scumble/internal/localdb") || within(use, "scumble/cmd")
				require.False(t, below, "%s imports %s: the web declares the interface that it needs", pkg, use)
			}
			for _, room := range rooms {
				next := within(use, room) && !within(pkg, room) && !within(pkg, "scumble/cmd") && !within(pkg, "scumble/internal/loadtest")
				require.False(t, next, "%s imports %s: audiences share only web/ui", pkg, use)
			}
		}
	}
}

// The store and the rooms below it know nothing of HTTP pages.
func TestNothingBelowImportsTheWeb(t *testing.T) {
	t.Parallel()
	for pkg, uses := range imports(t) {
		if !within(pkg, "scumble/internal") || within(pkg, "scumble/internal/loadtest") {
			continue
		}
		for _, use := range uses {
			require.False(t, within(use, "scumble/web") || within(use, "scumble/cmd"), "%s imports %s", pkg, use)
		}
	}
}
