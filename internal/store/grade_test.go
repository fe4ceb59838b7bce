package store_test

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// A grade and its id are one: sent again it says nothing, and one that could not be
// kept may be sent again.
func TestGradeSteelIsSaidOnce(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p := h.start(t, "26-014", "")
	first, second := newID(), newID()
	grade := func() int { return h.piece(t, p.ID).SteelGrade }
	require.NoError(t, h.GradeSteel(ctx, h.by, first, p.ID, 5))
	require.Greater(t, h.piece(t, p.ID).Steps[0].Planned.Likely, p.Steps[0].Planned.Likely, "the plan follows")
	require.NoError(t, h.GradeSteel(ctx, h.by, second, p.ID, 3))
	require.NoError(t, h.GradeSteel(ctx, h.by, first, p.ID, 5))
	require.Equal(t, 3, grade(), "what was said since stands")
	require.Equal(t, 2, h.count(t, "edit piece"))

	failed := newID()
	requireTrouble(t, h.GradeSteel(ctx, h.by, failed, p.ID, 9), restoration.TroubleInvalid, "steel_grade", "1 to 6")
	require.NoError(t, h.GradeSteel(ctx, h.by, failed, p.ID, 2))
	require.Equal(t, 2, grade(), "what was refused left no id behind")

	require.NoError(t, h.GradeSteel(ctx, h.by, restoration.ID{}, p.ID, 4))
	require.NoError(t, h.GradeSteel(ctx, h.by, restoration.ID{}, p.ID, 1))
	require.Equal(t, 1, grade(), "no id, nothing to know it by")

	h.upTo(t, p.ID, restoration.LookGrounded)
	requireTrouble(t, h.GradeSteel(ctx, h.by, newID(), p.ID, 2), restoration.TroubleInvalid, "grade", "coated by now")
	require.NoError(t, h.GradeSteel(ctx, h.by, first, p.ID, 5), "known, so not looked at again")
	requireTrouble(t, h.GradeSteel(ctx, h.by, newID(), newID(), 2), restoration.TroubleNotFound, "", "no such piece")
	h.requireSound(t)
}

// The same entry from two pages of a tablet at once is taken once.
func TestGradeSteelTwiceAtOnce(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	p := h.start(t, "26-014", "")
	id := newID()
	errs := make([]error, 8)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() { errs[i] = h.GradeSteel(ctx, h.by, id, p.ID, 5) })
	}
	all.Wait()
	for _, err := range errs {
		require.NoError(t, err)
	}
	require.Equal(t, 1, h.count(t, "edit piece"))
	require.Equal(t, 5, h.piece(t, p.ID).SteelGrade)
}
