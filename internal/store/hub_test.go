package store

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

// heard empties a reader.
func heard(reader chan restoration.Change) []restoration.Change {
	var list []restoration.Change
	for len(reader) > 0 {
		list = append(list, <-reader)
	}
	return list
}

func lookAgain(c restoration.Change) bool { return c.Seq == 0 && c.CarID == 0 }

// Whenever a reader is cut off and comes back with the mark of the last change that it
// got, it gets every change since in order, or is told to look again.
func TestLawNoChangeIsMissedAfterACut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var h hub
		h.begin()
		reader := make(chan restoration.Change, backlog)
		h.join(reader, "")
		mark, told, seen := heard(reader)[0].Mark, int64(0), int64(0)
		for range rapid.IntRange(1, 30).Draw(t, "turns") {
			h.leave(reader)
			for range rapid.SampledFrom([]int{0, 1, 2, backlog, backlog + 1, kept + 1}).Draw(t, "told meanwhile") {
				told++
				h.tell(restoration.Change{Seq: told})
			}
			if rapid.IntRange(0, 9).Draw(t, "the line is cut") == 0 {
				h.end()
				h.begin()
			}
			reader = make(chan restoration.Change, backlog)
			h.join(reader, mark)
			for _, c := range heard(reader) {
				if lookAgain(c) {
					seen = told
				} else {
					require.Equal(t, seen+1, c.Seq, "in order, none twice")
					seen = c.Seq
				}
				mark = c.Mark
			}
			require.Equal(t, told, seen, "nothing is missed")
		}
	})
}

func TestMarksOfNobodyMeanLookAgain(t *testing.T) {
	t.Parallel()
	var h, other hub
	h.begin()
	other.begin()
	h.tell(restoration.Change{Seq: 7})
	for _, mark := range []string{"", "7", "-", h.era, h.era + "-", h.era + "--1", h.era + "-99", other.mark(), "<script>"} {
		reader := make(chan restoration.Change, backlog)
		h.join(reader, mark)
		list := heard(reader)
		require.Len(t, list, 1, mark)
		require.True(t, lookAgain(list[0]), mark)
		h.leave(reader)
	}
	reader := make(chan restoration.Change, backlog)
	h.join(reader, h.mark())
	require.Empty(t, heard(reader), "who has heard all is told nothing")
}
