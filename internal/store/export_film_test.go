package store_test

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

func TestExportHoldsTheFilm(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	h.oneOfEach(t)
	var out bytes.Buffer
	require.NoError(t, h.Export(t.Context(), &out))
	type row map[string]any
	var got struct {
		Materials []struct {
			Name  string
			Sheet coating.Material
		}
		Lots, Schemes, Readings, Sensors, Air, Certificates []row
		Coats                                               []struct {
			EventID restoration.ID `json:"event_id"`
			Dry     float64        `json:"dry_um"`
			Lots    []row
		}
		CutPasses   []row `json:"cut_passes"`
		Photos      []row
		PiecePhotos []row `json:"piece_photos"`
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	require.Len(t, got.Materials, len(coating.Examples()))
	require.Contains(t, coating.Examples(), got.Materials[0].Sheet)
	require.Len(t, got.Coats, 1)
	require.InDelta(t, 32.38, got.Coats[0].Dry, .01)
	require.Equal(t, []row{{"lot_id": 1.0, "ml": 40.0}}, got.Coats[0].Lots)
	require.Equal(t, "P1500", got.CutPasses[0]["grade"])
	require.Equal(t, []any{120.0, 122.0, 121.0}, got.Readings[0]["film_um"])
	require.Equal(t, "C-1", got.Lots[0]["number"])
	require.Equal(t, "Booth", got.Sensors[0]["name"])
	require.Equal(t, 50.0, got.Air[0]["humidity"])
	require.Equal(t, "2026-01-15", got.Certificates[0]["done_on"])
	require.Len(t, got.Schemes, 1)
	require.Equal(t, 64.0, got.Photos[0]["width"])
	require.NotContains(t, got.Photos[0], "large", "a list has no bytes")
	require.Equal(t, got.Photos[0]["id"], got.PiecePhotos[0]["photo_id"])

	requireDocumented(t, out.Bytes())
	hash := access.HashToken("Booth")
	for _, secret := range []string{"hash\":", "token", hex.EncodeToString(hash), base64.StdEncoding.EncodeToString(hash)} {
		require.NotContains(t, out.String(), secret)
	}
}
