package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestRestoreRoute(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	plain, late := h.route(t, "Plain"), h.route(t, "Late")
	h.route(t, "Last")
	require.NoError(t, h.RetireRoute(ctx, h.by, late.ID))
	h.clock.advance(time.Second)
	require.NoError(t, h.RetireRoute(ctx, h.by, plain.ID))
	retired, err := h.RetiredRoutes(ctx)
	require.NoError(t, err)
	require.Equal(t, []restoration.RetiredRoute{
		{ID: plain.ID, Name: "Plain", At: h.clock.Now()}, {ID: late.ID, Name: "Late", At: h.clock.Now().Add(-time.Second)}}, retired)

	h.clock.advance(restoration.UndoDays*24*time.Hour - time.Second)
	retired, err = h.RetiredRoutes(ctx)
	require.NoError(t, err)
	require.Len(t, retired, 1)
	requireTrouble(t, h.RestoreRoute(ctx, h.by, late.ID), restoration.TroubleConflict, "", "more than 30 days ago")
	second := h.route(t, "plain")
	requireTrouble(t, h.RestoreRoute(ctx, h.by, plain.ID), restoration.TroubleConflict, "", "another route called Plain")
	second.Name = "Other"
	_, err = h.SaveRoute(ctx, h.by, second)
	require.NoError(t, err)
	require.NoError(t, h.RestoreRoute(ctx, h.by, plain.ID))
	require.NoError(t, h.RestoreRoute(ctx, h.by, plain.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "restore route"))
	require.Equal(t, []string{"Wood-grained steel", "Plain", "Last", "Other"}, h.names(t), "in its old place")
	requireTrouble(t, h.RestoreRoute(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such route")
}
