package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// dropped is a finish of a car that was deleted.
func (h house) dropped(t testing.TB) restoration.Scheme {
	t.Helper()
	v := restoration.StockScheme(h.start(t, "26-014", "").CarID, "Burr panels")
	v.FloorUM, v.Materials = 61, nil
	v, err := h.SaveScheme(t.Context(), h.by, v)
	require.NoError(t, err)
	require.NoError(t, h.DropScheme(t.Context(), h.by, v.ID))
	return v
}

func TestAFinishThatNoPieceIsInGoesAndComesBack(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	v := h.dropped(t)
	requireTrouble(t, h.DropScheme(ctx, h.by, v.ID), restoration.TroubleNotFound, "", "no such finish")
	dropped, err := h.DroppedSchemes(ctx, v.CarID)
	require.NoError(t, err)
	require.Equal(t, []restoration.DroppedScheme{{Scheme: v, DroppedAt: h.clock.Now()}}, dropped)

	back, err := h.RestoreScheme(ctx, h.by, v.CarID, "burr PANELS")
	require.NoError(t, err)
	v.ID = back.ID
	require.Equal(t, v, back)
	dropped, err = h.DroppedSchemes(ctx, v.CarID)
	require.NoError(t, err)
	require.Empty(t, dropped)
	_, err = h.RestoreScheme(ctx, h.by, v.CarID, v.Name)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such finish to bring back")

	require.NoError(t, h.DropScheme(ctx, h.by, back.ID))
	h.clock.advance(restoration.UndoDays * 24 * time.Hour)
	_, err = h.RestoreScheme(ctx, h.by, v.CarID, v.Name)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such finish to bring back")
}

// The car's own finish is that of every piece that names none.
func TestAFinishThatPiecesAreInStays(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	own, err := h.SaveScheme(t.Context(), h.by, restoration.StockScheme(h.start(t, "26-014", "").CarID, ""))
	require.NoError(t, err)
	requireTrouble(t, h.DropScheme(t.Context(), h.by, own.ID), restoration.TroubleConflict, "", "would be without a finish")
}
