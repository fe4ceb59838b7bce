package colour_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/colour"
)

// greys are samples near L* 50, where a step of L is nearly one of ΔE00.
func greys(lightness ...float64) []colour.Sample {
	pieces := make([]colour.Sample, len(lightness))
	for i, l := range lightness {
		pieces[i] = colour.Sample{Key: fmt.Sprint(i), Name: fmt.Sprintf("piece %d", i), Lab: colour.Lab{L: l}}
	}
	return pieces
}

func TestMatchOddOne(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name      string
		lightness []float64
		inSet     bool
		odd       string // name, or "" for none
	}{
		{"nothing", nil, true, ""},
		{"one alone", []float64{50}, true, ""},
		{"two that match", []float64{50, 50.9}, true, ""},
		{"two that differ: neither is to blame", []float64{50, 53}, false, ""},
		{"on the tolerance is within it", []float64{49.5, 50.5}, true, ""},
		{"three within", []float64{50, 50.4, 50.8}, true, ""},
		{"one of three far off", []float64{50, 55, 50.4}, false, "piece 1"},
		{"one of five far off", []float64{50, 50.2, 50.4, 50.1, 47}, false, "piece 4"},
		{"a drift from one end to the other has none", []float64{49.1, 50, 50.9}, false, ""},
		{"two halves have none", []float64{48, 48.1, 52, 52.1}, false, ""},
		{"a lone pair beyond, one of the two far from all", []float64{50, 50.15, 50.3, 50.3, 51.1}, false, "piece 4"},
		{"taken out, the rest is better but not within", []float64{49, 50, 50.6, 62}, false, "piece 3"},
		{"all scattered", []float64{44, 47, 50, 53, 56}, false, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			m := colour.Match(greys(tt.lightness...), nil, colour.DefaultTolerance())
			require.Equal(t, tt.inSet, m.InSet)
			require.Equal(t, tt.inSet, m.OK())
			if tt.odd == "" {
				require.Nil(t, m.Odd)
				return
			}
			require.NotNil(t, m.Odd)
			require.Equal(t, tt.odd, m.Odd.Name)
		})
	}
}

// Three corners of a triangle with sides of 2 and a fourth piece beside it, which
// lowers the mean by a fifth when it goes: near greys a step of 1 in a* counts 1.5.
func TestMatchNearlyOdd(t *testing.T) {
	t.Parallel()
	triangle := []colour.Sample{
		{Lab: colour.Lab{L: 50}}, {Lab: colour.Lab{L: 50, B: 2}}, {Lab: colour.Lab{L: 50, A: 1.7 / 1.5, B: 1}},
	}
	fourth := colour.Sample{Lab: colour.Lab{L: 50, A: -2.2 / 1.5, B: 1}}
	m := colour.Match(append(triangle, fourth), nil, colour.DefaultTolerance())
	require.InDelta(t, 0.8, colour.Match(triangle, nil, colour.DefaultTolerance()).Mean/m.Mean, 0.05)
	require.False(t, m.InSet)
	require.Nil(t, m.Odd)
}

func TestMatchNumbers(t *testing.T) {
	t.Parallel()
	target := colour.Lab{L: 52}
	m := colour.Match(greys(50, 55, 50.4), &target, colour.DefaultTolerance())

	require.Equal(t, "piece 0", m.Worst.A.Name)
	require.Equal(t, "piece 1", m.Worst.B.Name)
	require.InDelta(t, 5, m.Worst.DeltaE, 0.1)
	require.InDelta(t, (5+4.6+0.4)/3, m.Mean, 0.1)
	require.InDelta(t, 4.8, m.Odd.Mean, 0.1)
	require.InDelta(t, 0.4, m.Odd.WorstOfRest, 0.001)

	require.Len(t, m.ToTarget, 3)
	require.InDelta(t, 2, m.ToTarget[0].DeltaE, 0.02)
	require.InDelta(t, 2.906, m.ToTarget[1].DeltaE, 0.001) // 3 ÷ S_L at L* 53.5
	require.Equal(t, []bool{true, false, true}, []bool{m.ToTarget[0].Within, m.ToTarget[1].Within, m.ToTarget[2].Within})
	require.False(t, m.OnTarget)

	m = colour.Match(greys(50, 50.4), nil, colour.DefaultTolerance())
	require.Nil(t, m.ToTarget)
	require.True(t, m.OnTarget)
}

func TestMatchBrokenReadingIsTheOddOne(t *testing.T) {
	t.Parallel()
	pieces := greys(50, 50.1, math.NaN(), 50.2)
	m := colour.Match(pieces, &colour.Lab{L: 50}, colour.DefaultTolerance())
	require.False(t, m.InSet)
	require.False(t, m.ToTarget[2].Within)
	require.Equal(t, "piece 2", m.Worst.B.Name)
	require.True(t, math.IsInf(m.Worst.DeltaE, 1))
	require.NotNil(t, m.Odd)
	require.Equal(t, "piece 2", m.Odd.Name)
	require.InDelta(t, 0.2, m.Odd.WorstOfRest, 0.01)
}

// Laws: the worst pair is no nearer than any other; the odd one is the same piece in
// whatever order they are given; taking it out never makes the worst worse.
func TestMatchLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		labs := rapid.SliceOfN(anyLab(), 2, 9).Draw(t, "labs")
		pieces := make([]colour.Sample, len(labs))
		for i, lab := range labs {
			pieces[i] = colour.Sample{Key: fmt.Sprint(i), Lab: lab}
		}
		m := colour.Match(pieces, nil, colour.DefaultTolerance())
		for i := range pieces {
			for j := range pieces {
				require.LessOrEqual(t, colour.DeltaE2000(labs[i], labs[j]), m.Worst.DeltaE)
			}
		}
		require.Equal(t, m.Worst.DeltaE <= 1, m.InSet)
		if m.Odd == nil {
			return
		}
		require.LessOrEqual(t, m.Odd.WorstOfRest, m.Worst.DeltaE)
		shuffled := colour.Match(rapid.Permutation(pieces).Draw(t, "order"), nil, colour.DefaultTolerance())
		require.NotNil(t, shuffled.Odd)
		require.Equal(t, m.Odd.Key, shuffled.Odd.Key)
	})
}

func BenchmarkMatch40Pieces(b *testing.B) {
	pieces := make([]colour.Sample, 40)
	for i := range pieces {
		pieces[i].Lab = colour.Lab{L: 50 + float64(i%7)/10, A: 12 + float64(i%5)/10, B: 30}
	}
	pieces[17].Lab.L = 57
	target := colour.Lab{L: 50, A: 12, B: 30}
	b.ReportAllocs()
	for b.Loop() {
		colour.Match(pieces, &target, colour.DefaultTolerance())
	}
}
