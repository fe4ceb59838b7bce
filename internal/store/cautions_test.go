package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestCautionsAreReadByAPersonAtAStage(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	ctx := t.Context()
	before := h.clock.Now()
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared"))
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cleared"))
	require.NoError(t, h.SeeCautions(ctx, h.by, "Cut"))
	seen, err := h.CautionsSeen(ctx, h.by.PersonID, before)
	require.NoError(t, err)
	require.Len(t, seen, 2)
	require.WithinDuration(t, before, seen["Cleared"], time.Hour)
	seen, err = h.CautionsSeen(ctx, h.by.PersonID, before.Add(48*time.Hour))
	require.NoError(t, err)
	require.Empty(t, seen, "not since then")
	seen, err = h.CautionsSeen(ctx, h.technician(t, "Tom").ID, before)
	require.NoError(t, err)
	require.Empty(t, seen, "each reads them for himself")
}
