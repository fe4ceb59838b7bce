package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"scumble/internal/store/storetest"
)

// A table that can't be right is refused whole, with every fault at once, on the
// folder of a program that serves meanwhile.
func TestCommandsBesideARunningProgram(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	p := start(t, "serve", "--listen", "127.0.0.1:0", "--data-dir", dir)
	out, errs, err := execute(t, "work_order,car\n26-014,1936 Brennick Eight\n", "import", "cars", "-", "--data-dir", dir)
	require.NoError(t, err, errs)
	require.Contains(t, out, "26-014 1936 Brennick Eight taken in.")

	t.Run("wrong tables", func(t *testing.T) { refusesTables(t, dir) })
	require.Zero(t, hoursOf(t, dir).Cars[0]["pieces"], "nothing of a refused table is written")

	out, errs, err = execute(t, "", "import", "pieces", "--car", "26-014", "../../testdata/brennick-eight-saloon.csv", "--data-dir", dir)
	require.NoError(t, err, errs)
	require.Regexp(t, `^26-014 1936 Brennick Eight: \d\d pieces added\.\n$`, out)
	require.NotZero(t, hoursOf(t, dir).Cars[0]["pieces"])

	_, errs, err = execute(t, "", "import", "pieces", "--car", "26-014", "../../testdata/brennick-eight-saloon.csv", "--data-dir", dir)
	require.ErrorContains(t, err, "nothing was written")
	require.Contains(t, errs, "line 2, column piece: the car has this piece already")
	_, errs, err = execute(t, "work_order,car\n26-014,1936 Brennick Eight\n", "import", "cars", "-", "--data-dir", dir)
	require.ErrorContains(t, err, "nothing was written")
	require.Contains(t, errs, "line 2, column work_order: the shop has a car 26-014 already")
	require.Equal(t, 200, newClient(t, p.base).get("/readyz").status, "it serves on")

	_, _, err = execute(t, "", "serve", "--listen", "127.0.0.1:0", "--data-dir", dir)
	requireSentence(t, err, dir)
	require.Contains(t, err.Error(), "is running on the data folder")
}

// requireSentence wants an error that a person can read, and that names what is meant.
func requireSentence(t *testing.T, err error, names string) {
	t.Helper()
	require.Error(t, err)
	said := sentence(err)
	require.Contains(t, said, names)
	require.NotContains(t, said, "\n")
	require.Less(t, len(said), 400)
}

func refusesTables(t *testing.T, dir string) {
	const good = "piece,zone\nash tray,front\n"
	wide := []byte{0xff, 0xfe}
	for _, unit := range utf16.Encode([]rune(good)) {
		wide = append(wide, byte(unit), byte(unit>>8))
	}
	for name, tc := range map[string]struct {
		table string
		says  []string
	}{
		"Latin-1":         {"piece,zone,note\nash tray,front,gr\xfcn\n", []string{"UTF-8"}},
		"UTF-16":          {string(wide), []string{"UTF-8"}},
		"binary":          {"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", []string{"file"}},
		"empty":           {"", []string{"file"}},
		"BOM alone":       {"\ufeff", []string{"file"}},
		"header only":     {"piece,zone\n", []string{"no line below"}},
		"unclosed quotes": {"piece,zone\n\"ash tray,front\nradio bezel,front\n", []string{"line 2", "never closed"}},
		"10 MB and more":  {"piece,zone\n" + strings.Repeat("ash tray,front\n", 700_000), []string{"10 MB"}},
		"no zone":         {"piece,place\nash tray,1\n", []string{"zone"}},
		"2,000 repeats":   {"piece,zone\n" + strings.Repeat("ash tray,front\n", 2001), []string{"line 3, column piece", "1800 more faults"}},
		"three faults": {"piece,zone,area_m2,grade\nash tray,front,0.1,9\nradio bezel,roof,0.1,1\nclock bezel,front,wide,1\n",
			[]string{"line 2, column grade", "line 3, column zone", "line 4, column area_m2"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, errs, err := execute(t, tc.table, "import", "pieces", "--car", "26-014", "-", "--data-dir", dir)
			require.ErrorContains(t, err, "nothing was written")
			for _, words := range tc.says {
				require.Contains(t, errs, words)
			}
			require.Less(t, len(errs), 40_000, "a hopeless table isn't listed line by line")
		})
	}
	_, errs, err := execute(t, "", "import", "pieces", "--car", "26-014", "../../testdata/faulty.csv", "--data-dir", dir)
	faults := regexp.MustCompile(`(?m)^(line \d+|file)\b.*\.$`).FindAllString(errs, -1)
	require.Greater(t, len(faults), 20)
	require.EqualError(t, err, fmt.Sprintf("nothing was written: %d faults in the file", len(faults)), "every fault is told at once")
	for name, args := range map[string][]string{
		"26-999":   {"--car", "26-999", "../../testdata/brennick-eight-saloon.csv"},
		"none.csv": {"--car", "26-014", "none.csv"},
		"testdata": {"--car", "26-014", "../../testdata"},
	} {
		_, _, err := execute(t, "", append([]string{"import", "pieces", "--data-dir", dir}, args...)...)
		requireSentence(t, err, name)
	}
}

// shopHours is what "hours --json" prints.
type shopHours struct {
	Cars []map[string]any `json:"cars"`
	Shop map[string]any   `json:"shop"`
}

func hoursOf(t *testing.T, dir string) (h shopHours) {
	t.Helper()
	out, errs, err := execute(t, "", "hours", "--json", "--data-dir", dir)
	require.NoError(t, err, errs)
	require.NoError(t, json.Unmarshal([]byte(out), &h), out)
	return h
}

// Scripts rely on these keys.
func TestHoursAsJSON(t *testing.T) {
	t.Parallel()
	database := storetest.URL(t)
	for _, args := range [][]string{
		{"import", "cars", "../../testdata/cars.csv"},
		{"import", "pieces", "--car", "26-014", "../../testdata/brennick-eight-saloon.csv"},
	} {
		_, errs, err := execute(t, "", append(args, "--database-url", database)...)
		require.NoError(t, err, errs)
	}
	out, errs, err := execute(t, "", "hours", "--json", "--database-url", database)
	require.NoError(t, err, errs)
	var h shopHours
	require.NoError(t, json.Unmarshal([]byte(out), &h), out)
	shop := []string{"held_h", "left_h", "logged_h", "percent_done", "pieces", "planned_h", "rework_left_h", "stages", "waiting_h", "workable_h"}
	require.Equal(t, shop, slices.Sorted(maps.Keys(h.Shop)))
	car := slices.Sorted(slices.Values(append([]string{"work_order", "car", "state"}, shop...)))
	require.NotEmpty(t, h.Cars)
	for _, c := range h.Cars {
		require.Equal(t, car, slices.Sorted(maps.Keys(c)))
	}
	stages := h.Shop["stages"].([]any)
	require.NotEmpty(t, stages)
	for _, s := range stages {
		require.Equal(t, []string{"left_h", "logged_h", "pieces", "planned_h", "stage"}, slices.Sorted(maps.Keys(s.(map[string]any))))
	}
	require.InDelta(t, h.Shop["left_h"], h.Shop["workable_h"].(float64)+h.Shop["waiting_h"].(float64)+h.Shop["held_h"].(float64), 1e-9)
}

// A place where the program can't be is named in one sentence.
func TestPlacesThatCannotBe(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for name, tc := range map[string]struct {
		args  []string
		names string
	}{
		"address in use":      {[]string{"serve", "--listen", taken.Addr().String(), "--database-url", storetest.URL(t)}, "--listen"},
		"no address":          {[]string{"serve", "--listen", "nowhere", "--database-url", storetest.URL(t)}, "--listen"},
		"folder below a file": {[]string{"serve", "--data-dir", filepath.Join(file, "below")}, "--data-dir"},
		"file as a folder":    {[]string{"hours", "--data-dir", file}, "--data-dir"},
		"no server there":     {[]string{"hours", "--database-url", "postgres://127.0.0.1:1/none?connect_timeout=2"}, "can't be reached"},
		"broken address":      {[]string{"hours", "--database-url", "nonsense:://"}, "database address"},
		"not migrated":        {[]string{"hours", "--database-url", storetest.EmptyURL(t)}, "scumble migrate"},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := execute(t, "", tc.args...)
			requireSentence(t, err, tc.names)
		})
	}
}

// The process itself ends with 1 and says why where errors belong.
func TestExitStatus(t *testing.T) {
	t.Parallel()
	self, err := os.Executable()
	require.NoError(t, err)
	for _, args := range [][]string{
		{"import", "cars", "none.csv"},
		{"import", "cars", "../../testdata/faulty.csv"},
		{"polish"},
	} {
		cmd := exec.CommandContext(t.Context(), self, args...)
		cmd.Env = append(os.Environ(), asProgram+"=yes")
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		var exit *exec.ExitError
		require.ErrorAs(t, cmd.Run(), &exit, args)
		require.Equal(t, 1, exit.ExitCode())
		require.Contains(t, errs.String(), "scumble: ")
		require.NotContains(t, out.String(), "scumble: ")
	}
}
