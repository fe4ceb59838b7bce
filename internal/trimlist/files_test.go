package trimlist_test

import (
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

var update = flag.Bool("update", false, "write the golden files anew")

func readFile(t testing.TB, name string) string {
	t.Helper()
	raw, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(raw)
}

func TestFaultyFileReport(t *testing.T) {
	t.Parallel()
	const golden = "testdata/faulty.txt"
	list := parse(t, readFile(t, "../../testdata/faulty.csv"))
	got := "ignored: " + strings.Join(list.Ignored, ", ") + "\n" + strings.Join(list.Report(), "\n") + "\n"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
	}
	require.Equal(t, readFile(t, golden), got)
	require.True(t, slices.IsSortedFunc(list.Faults, func(a, b trimlist.Fault) int { return a.Line - b.Line }))
}

func TestBrennickInterior(t *testing.T) {
	t.Parallel()
	list := parse(t, readFile(t, "../../testdata/brennick-eight-saloon.csv"))
	require.Empty(t, list.Report())
	require.Empty(t, list.Ignored)
	require.Len(t, list.Pieces, 46)
	count := make(map[string]int)
	area := 0.0
	for _, p := range list.Pieces {
		area += p.AreaM2
		count[string(p.Zone)]++
		count[string(p.Mounting)]++
		if p.AreaM2 == 0 {
			count["not measured"]++
		}
		if slices.Contains(p.Faults, restoration.Fault{Kind: restoration.FaultMissing, Count: 1}) {
			count["missing"]++
		}
	}
	require.InDelta(t, 2.41, area, 0.01)
	require.Equal(t, map[string]int{
		"front": 17, "left": 10, "right": 10, "rear": 8, "loose": 1,
		"bench": 37, "fixed": 9, "not measured": 1, "missing": 1,
	}, count)
}

func TestInventedCars(t *testing.T) {
	t.Parallel()
	cars := parseCars(t, readFile(t, "../../testdata/cars.csv"))
	require.Empty(t, cars.Report())
	require.Len(t, cars.Cars, 5)
	for _, c := range cars.Cars {
		require.Contains(t, []string{"saloon", "coupé", "drophead", "estate"}, c.Body)
	}
}

func TestBodies(t *testing.T) {
	t.Parallel()
	bodies := trimlist.Bodies()
	require.Len(t, bodies, 4)
	for _, b := range bodies {
		t.Run(b.Key, func(t *testing.T) {
			t.Parallel()
			require.GreaterOrEqual(t, len(b.Pieces), 30)
			require.LessOrEqual(t, len(b.Pieces), 60)
			area, fixed := 0.0, 0
			for _, p := range b.Pieces {
				require.Positive(t, p.AreaM2, p.Name)
				require.Equal(t, restoration.SizeOf(p.AreaM2), p.Size, p.Name)
				require.Zero(t, p.Grade, "a body style has no condition")
				area += p.AreaM2
				if p.Mounting == restoration.MountFixed {
					fixed++
				}
			}
			require.Positive(t, fixed)
			require.GreaterOrEqual(t, area, 2.0, "a car has 2 to 4 m² of visible trim")
			require.LessOrEqual(t, area, 4.0)
			require.Equal(t, mirror(b.Pieces, restoration.ZoneLeft), mirror(b.Pieces, restoration.ZoneRight), "both sides are alike")
		})
	}
}

// mirror lists what a side of the car has, without saying which side.
func mirror(pieces []restoration.NewPiece, zone restoration.Zone) []restoration.NewPiece {
	var out []restoration.NewPiece
	for _, p := range pieces {
		if p.Zone == zone {
			p.Zone, p.Side = "", ""
			out = append(out, p)
		}
	}
	return out
}

func TestFindBody(t *testing.T) {
	t.Parallel()
	b, ok := trimlist.FindBody("drophead")
	require.True(t, ok)
	require.Equal(t, "Drophead", b.Name)
	_, ok = trimlist.FindBody("hearse")
	require.False(t, ok)
}

func TestBodiesAreFresh(t *testing.T) {
	t.Parallel()
	trimlist.Bodies()[0].Pieces[0].Name = "scratched"
	require.Equal(t, "Instrument panel", trimlist.Bodies()[0].Pieces[0].Name)
}
