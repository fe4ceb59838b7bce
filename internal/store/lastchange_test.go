package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// Whatever is said of a piece, in the ledger or beside it, is seen at that piece alone.
func TestLastChanges(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	list := h.pieces(t, h.car(t, "26-014", "1936 Brennick Eight", "", "Ash tray", "Glove-box door"))
	mine, other := list[0], list[1]
	look := func() []restoration.LastChange {
		changes, err := h.LastChanges(ctx, []restoration.ID{mine.ID, newID(), other.ID})
		require.NoError(t, err)
		require.Len(t, changes, 3)
		require.Zero(t, changes[1], "no such piece")
		return changes
	}
	was := look()
	require.Equal(t, was, look())
	note := restoration.Event{ID: newID(), Kind: restoration.KindNote, PieceID: mine.ID, At: h.clock.Now(), Payload: restoration.Payload{Note: "pitted"}}
	refused := h.tick(mine.Steps[3], 15)
	for name, say := range map[string]func(){
		"an entry":        func() { h.mustEnter(t, note) },
		"a refused entry": func() { require.Equal(t, restoration.Refused, h.enter(t, refused)[0].Result) },
		"the office edits": func() {
			mine.Note = "Look below."
			require.NoError(t, h.EditPiece(ctx, h.by, mine.ID, mine.Details, mine.RouteID))
		},
		"graded": func() { require.NoError(t, h.GradeSteel(ctx, h.by, newID(), mine.ID, 5)) },
	} {
		say()
		is := look()
		require.NotEqual(t, was[0], is[0], name)
		require.GreaterOrEqual(t, is[0].Entry, was[0].Entry, name)
		require.GreaterOrEqual(t, is[0].Deed, was[0].Deed, name)
		require.Equal(t, was[2], is[2], name)
		was = is
	}
	none, err := h.LastChanges(ctx, nil)
	require.NoError(t, err)
	require.Empty(t, none)
}
