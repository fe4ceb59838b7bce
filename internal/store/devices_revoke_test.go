package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
)

func TestReadmitDevice(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	booth, late := h.tablet(t, "Booth"), h.tablet(t, "Late")
	never, err := h.AddDevice(ctx, h.by, "Never", access.HashCode("a code"), h.clock.Now().Add(time.Minute))
	require.NoError(t, err)
	for _, d := range []restoration.Device{booth, late, never} {
		require.NoError(t, h.RevokeDevice(ctx, h.by, d.ID))
	}
	h.clock.advance(restoration.UndoDays*24*time.Hour - time.Second)
	requireTrouble(t, h.ReadmitDevice(ctx, h.by, never.ID), restoration.TroubleConflict, "", "Make a new code")
	require.NoError(t, h.ReadmitDevice(ctx, h.by, booth.ID))
	require.NoError(t, h.ReadmitDevice(ctx, h.by, booth.ID), "twice is the same as once")
	require.Equal(t, 1, h.count(t, "readmit tablet"))
	got, err := h.FindDevice(ctx, access.HashToken("Booth"))
	require.NoError(t, err)
	require.Equal(t, booth, got, "with the token of then")

	h.clock.advance(time.Second)
	requireTrouble(t, h.ReadmitDevice(ctx, h.by, late.ID), restoration.TroubleConflict, "", "Make a new code")
	requireTrouble(t, h.ReadmitDevice(ctx, h.by, 999), restoration.TroubleNotFound, "", "no such tablet")
	got, err = h.FindDeviceByID(ctx, late.ID)
	require.NoError(t, err)
	require.False(t, got.RevokedAt.IsZero())
	_, err = h.FindDeviceByID(ctx, 999)
	requireTrouble(t, err, restoration.TroubleNotFound, "", "no such tablet")
}
