package store_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

func TestSettingsAreKept(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	got, err := h.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, restoration.StockSettings(), got)

	want := restoration.StockSettings()
	want.ShopName, want.TimeZone, want.Units, want.RateCents, want.Currency = " Möller’s  & Sons ", "Europe/Vienna", restoration.US, 0, "€"
	want.Calendar.Days[6] = restoration.WorkDay{Open: 9 * 60, Close: 12 * 60}
	want.Calendar.Holidays = []string{"2026-12-25"}
	want.Factors.Fixed[2] = 3
	require.NoError(t, h.SaveSettings(ctx, h.by, want))
	want.ShopName = "Möller’s & Sons"
	got, err = h.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, want, got)

	rows, err := h.Audit(ctx, restoration.AuditFilter{Limit: 1})
	require.NoError(t, err)
	require.Equal(t, restoration.ActChangeSettings, rows[0].Act)
	require.Equal(t, restoration.StockSettings(), settingsOf(t, rows[0].Before))
	require.Equal(t, want, settingsOf(t, rows[0].After))
}

func settingsOf(t *testing.T, document string) (s restoration.Settings) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(document), &s))
	return s
}

func TestSaveSettingsRefusesWhatTheCheckFinds(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	wrong := restoration.StockSettings()
	wrong.TimeZone = "Atlantis/Port"
	requireTrouble(t, h.SaveSettings(ctx, h.by, wrong), restoration.TroubleInvalid, "time_zone", "no time zone known")
	got, err := h.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, restoration.StockSettings(), got)
	require.Zero(t, h.count(t, "change settings"))
}

func TestSettingsOfAnOlderProgram(t *testing.T) {
	t.Parallel()
	url := storetest.URL(t)
	_, err := storetest.Superuser(t, url).Exec(t.Context(), `UPDATE settings SET document = '{"shop_name": "Old", "gone": 1}'`)
	require.NoError(t, err)
	got, err := storetest.Open(t, url, store.Options{}).Settings(t.Context())
	require.NoError(t, err)
	want := restoration.StockSettings()
	want.ShopName = "Old"
	require.Equal(t, want, got)
}

func TestSeedHouseGivesANewShopItsStockOnce(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	routes, err := h.Routes(ctx)
	require.NoError(t, err)
	require.Len(t, routes, 1)
	want := restoration.StockRoute()
	want.ID = routes[0].ID
	require.Equal(t, []restoration.Route{want}, routes)

	changed := restoration.StockSettings()
	changed.RateCents = 1
	require.NoError(t, h.SaveSettings(ctx, h.by, changed))
	require.NoError(t, h.SeedHouse(ctx))
	again, err := h.Routes(ctx)
	require.NoError(t, err)
	require.Equal(t, routes, again)
	got, err := h.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, changed, got)
}
