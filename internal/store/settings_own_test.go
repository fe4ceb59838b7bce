package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// What a caller does to the settings that it was given is nobody else's.
func TestSettingsAreOnesOwn(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	shop := restoration.StockSettings()
	shop.Calendar.Holidays = []string{"2026-12-25"}
	require.NoError(t, h.SaveSettings(ctx, h.by, shop))
	for range 3 {
		got, err := h.Settings(ctx)
		require.NoError(t, err)
		require.Equal(t, shop, got)
		got.Calendar.Holidays[0] = "2026-01-01"
	}
}
