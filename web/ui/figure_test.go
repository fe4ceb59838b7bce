package ui

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestBoardsAreDrawnTheSameEveryTime(t *testing.T) {
	t.Parallel()
	require.Equal(t, quietBoard(7), quietBoard(7))
	require.NotEqual(t, quietBoard(7).Lines, quietBoard(8).Lines)
	require.Equal(t, flatBoard(23), flatBoard(23))
}

func TestBoardsHaveEveryStroke(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]figure{"quiet": figures().Quiet, "flat": figures().Flat} {
		for _, path := range []string{f.Soft, f.Lines, f.Fine, f.Pores} {
			require.True(t, strings.HasPrefix(path, "M"), name)
			require.NotContains(t, path, "NaN", name)
			require.NotContains(t, path, "Inf", name)
		}
		// Both boards together go out with every page.
		require.Less(t, len(f.Soft+f.Lines+f.Fine+f.Pores+f.Knots), 16_000, name)
	}
	require.NotEmpty(t, figures().Quiet.Knots)
}

// A noise that repeats has no seam, and stays between its bounds.
func TestNoiseRepeats(t *testing.T) {
	t.Parallel()
	n := newNoise(rand.New(rand.NewPCG(1, 2)), 5, 3)
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(-3, 3).Draw(t, "u")
		v := rapid.Float64Range(-3, 3).Draw(t, "v")
		here := n.at(u, v)
		if math.Abs(here-n.at(u+1, v)) > 1e-6 || math.Abs(here-n.at(u, v-1)) > 1e-6 {
			t.Fatal("a seam")
		}
		if math.Abs(here) > 1 {
			t.Fatalf("%v", here)
		}
	})
}

func TestTheSamePieceIsCutFromTheSameBoard(t *testing.T) {
	t.Parallel()
	require.Equal(t, cutFor("p1", false, false), cutFor("p1", false, false))
	require.Equal(t, cutUpright, cutFor("p1", true, true))
	require.Equal(t, cutFlat, cutFor("p1", false, true))
	boards := map[cut]bool{}
	for _, id := range []string{"a", "b", "c", "d", "e", "f", "g", "h"} {
		boards[cutFor(id, false, false)] = true
	}
	require.Len(t, boards, 2)
}
