package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestGradeWord(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for grade := BestGrade; grade <= WorstGrade; grade++ {
		word := GradeWord(grade)
		require.NotEmpty(t, word, grade)
		require.False(t, seen[word], "each grade has words of its own")
		seen[word] = true
	}
	require.Empty(t, GradeWord(BestGrade-1))
	require.Empty(t, GradeWord(WorstGrade+1))
}

func TestShowsSteel(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		sum  Sum
		want bool
	}{
		"about to be stripped": {Sum{Look: LookBare, NextStage: "stripped"}, true},
		"stripped":             {Sum{Look: LookStripped, NextStage: "repaired"}, true},
		"repaired":             {Sum{Look: LookRepaired, NextStage: "primed"}, true},
		"primed":               {Sum{Look: LookPrimed, NextStage: "blocked"}, false},
		"finished":             {Sum{Look: LookFitted}, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, Piece{Sum: c.sum}.ShowsSteel(StockRoute()))
		})
	}
}
