package colour_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/colour"
)

// published reads a table of testdata/colour as rows by column name.
func published(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/colour/" + name)
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	rows := make([]map[string]string, 0, len(records))
	for _, rec := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = rec[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return v
}

func pairOf(t testing.TB, row map[string]string) (x, y colour.Lab) {
	t.Helper()
	return colour.Lab{L: number(t, row["L1"]), A: number(t, row["a1"]), B: number(t, row["b1"])},
		colour.Lab{L: number(t, row["L2"]), A: number(t, row["a2"]), B: number(t, row["b2"])}
}

// Sharma, Wu and Dalal, Color Research & Application 30 (2005), table 1.
func TestDeltaE2000PublishedPairs(t *testing.T) {
	t.Parallel()
	rows := published(t, "ciede2000_sharma2005.csv")
	require.Len(t, rows, 34)
	for _, row := range rows {
		x, y := pairOf(t, row)
		require.Equal(t, row["dE00"], fmt.Sprintf("%.4f", colour.DeltaE2000(x, y)), "pair %s", row["pair"])
		require.Equal(t, row["dE00"], fmt.Sprintf("%.4f", colour.DeltaE2000(y, x)), "pair %s, swapped", row["pair"])
	}
}

// Two public test suites, named in testdata/colour/SOURCES.md.
func TestDeltaE2000OtherPublishedCases(t *testing.T) {
	t.Parallel()
	checked := 0
	for _, row := range published(t, "other_delta_e_cases.csv") {
		if row["metric"] != "CIEDE2000" {
			continue
		}
		checked++
		x, y := pairOf(t, row)
		places, err := strconv.Atoi(row["decimals"])
		require.NoError(t, err)
		require.InDelta(t, number(t, row["expected"]), colour.DeltaE2000(x, y), 0.5*math.Pow10(-places), "case %s", row["case"])
	}
	require.Equal(t, 5, checked)
}

// Greys differ in lightness only, so that ΔE is ΔL ÷ S_L, worked by hand.
func TestDeltaE2000Greys(t *testing.T) {
	t.Parallel()
	minus := math.Copysign(0, -1)
	tests := []struct {
		x, y colour.Lab
		want float64
	}{
		{colour.Lab{}, colour.Lab{L: 100}, 100},
		{colour.Lab{L: 50}, colour.Lab{L: 51}, 1 / (1 + 0.015*0.25/math.Sqrt(20.25))},
		{colour.Lab{L: 90}, colour.Lab{L: 92}, 2 / (1 + 0.015*41*41/math.Sqrt(20+41*41))},
		{colour.Lab{L: 50}, colour.Lab{L: 50, A: minus, B: minus}, 0},
		{colour.Lab{L: 50}, colour.Lab{L: 50, A: minus}, 0},
	}
	for _, tt := range tests {
		require.InDelta(t, tt.want, colour.DeltaE2000(tt.x, tt.y), 1e-12, "%v %v", tt.x, tt.y)
	}
	// A grey has no hue, whichever zero it is written with.
	saddle := colour.Lab{L: 50, A: 12, B: -30}
	require.Equal(t, colour.DeltaE2000(saddle, colour.Lab{L: 52}), colour.DeltaE2000(saddle, colour.Lab{L: 52, A: minus}))
}

// A second writing of the formula, calculated with 40 digits, where rounding can go
// wrong: greys, opposite and nearly opposite hues, hues that add up to a whole turn.
func TestDeltaE2000HardCases(t *testing.T) {
	t.Parallel()
	rows := published(t, "ciede2000_hard_cases.csv")
	require.Len(t, rows, 60)
	for _, row := range rows {
		x, y := pairOf(t, row)
		require.InDelta(t, number(t, row["dE00"]), colour.DeltaE2000(x, y), 1e-11, "case %s, %s", row["case"], row["kind"])
		require.InDelta(t, number(t, row["dE00"]), colour.DeltaE2000(y, x), 1e-11, "case %s, %s, swapped", row["case"], row["kind"])
	}
}

func TestDeltaE2000BrokenReading(t *testing.T) {
	t.Parallel()
	fine := colour.Lab{L: 50, A: 10, B: 20}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, broken := range []colour.Lab{{L: v}, {A: v}, {B: v}} {
			require.True(t, math.IsNaN(colour.DeltaE2000(fine, broken)), "%v", broken)
			require.True(t, math.IsNaN(colour.DeltaE2000(broken, fine)), "%v", broken)
			require.True(t, math.IsNaN(colour.DeltaE2000(broken, broken)), "%v", broken)
		}
	}
}

// anyLab draws a colour of the whole range, often on an axis and often a grey.
func anyLab() *rapid.Generator[colour.Lab] {
	ab := rapid.OneOf(rapid.Float64Range(-128, 127), rapid.SampledFrom([]float64{0, -0.001, 0.001, 1, -1, 2.49, -2.49}))
	return rapid.Custom(func(t *rapid.T) colour.Lab {
		return colour.Lab{L: rapid.Float64Range(0, 100).Draw(t, "L"), A: ab.Draw(t, "a"), B: ab.Draw(t, "b")}
	})
}

// Laws: a colour is no way from itself, the way there is the way back, no way is
// negative or without number, and colours that differ do differ.
func TestDeltaE2000Laws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x, y := anyLab().Draw(t, "x"), anyLab().Draw(t, "y")
		d := colour.DeltaE2000(x, y)
		require.Zero(t, colour.DeltaE2000(x, x))
		require.Equal(t, d, colour.DeltaE2000(y, x))
		require.GreaterOrEqual(t, d, 0.0)
		require.LessOrEqual(t, d, 200.0)
		if math.Abs(x.L-y.L) > 0.01 {
			require.Greater(t, d, 0.005)
		}
	})
}

// Law: numbers that no instrument shows still give a number.
func TestDeltaE2000OfAnySize(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) float64 { return rapid.Float64Range(-1e60, 1e60).Draw(t, name) }
		x := colour.Lab{L: draw("L1"), A: draw("a1"), B: draw("b1")}
		y := colour.Lab{L: draw("L2"), A: draw("a2"), B: draw("b2")}
		require.False(t, math.IsNaN(colour.DeltaE2000(x, y)))
	})
}

func BenchmarkDeltaE2000(b *testing.B) {
	x, y := colour.Lab{L: 52, A: 14, B: 33}, colour.Lab{L: 52.4, A: 14.6, B: 32}
	b.ReportAllocs()
	for b.Loop() {
		colour.DeltaE2000(x, y)
	}
}
