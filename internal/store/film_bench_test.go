package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// filmShop is [bigShop] with 40 coats and passes on each of its 12,000 pieces, half a
// million rows, all of them to be cleared next.
func filmShop(b *testing.B) house {
	b.Helper()
	h, super, _ := bigShop(b, 200)
	for _, sql := range []string{
		`INSERT INTO coats (event_id, component_id, car_id, step_id, stage, pass, at, layer, number, material_id, dry_low, dry_um, dry_high, ml)
			SELECT gen_random_uuid(), s.component_id, s.car_id, s.id, s.stage, 1, now() - interval '1 hour' * (30 - n), 'clear', n, 1, 3, 4, 5, 60
			FROM finish_steps s, generate_series(1, 30) AS n WHERE s.stage = 'cleared'`,
		`INSERT INTO cut_passes (event_id, component_id, car_id, step_id, stage, pass, at, layer, grade, off_low, off_um, off_high)
			SELECT gen_random_uuid(), s.component_id, s.car_id, s.id, s.stage, 1, now() - interval '1 hour' * (30 - n), 'clear', 'P1500', 1, 2, 3
			FROM finish_steps s, generate_series(1, 10) AS n WHERE s.stage = 'cleared'`,
		`INSERT INTO films SELECT id, 90, 120, 150, 60, 100, 140, 10, 20, 30, false FROM components`,
		`INSERT INTO schemes (car_id, name, clear_coats, build_um, floor_um) SELECT id, '', 40, 120, 50 FROM cars`,
		`UPDATE components p SET next_stage = s.stage, next_step = s.id FROM finish_steps s WHERE s.component_id = p.id AND s.stage = 'cleared'`,
		`UPDATE finish_steps SET coated_at = now(), state = 'in hand' WHERE stage = 'cleared' AND abs(hashtext(id::text)) % 10 = 0`,
		`VACUUM ANALYZE`,
	} {
		_, err := super.Exec(b.Context(), sql)
		require.NoError(b, err, sql)
	}
	return h
}

// The film of the whole shop, the pieces that may be sprayed, and what is made of them.
func BenchmarkFilm(b *testing.B) {
	h := filmShop(b)
	b.Run("of the shop", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			films, err := h.ShopFilm(b.Context())
			require.NoError(b, err)
			require.Len(b, films, 12_000)
		}
	})
	b.Run("keys of what to spray", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			shop, err := h.SprayKeys(b.Context())
			require.NoError(b, err)
			require.Len(b, shop.Keys, 12_000)
		}
	})
	b.Run("keys and batches", func(b *testing.B) {
		for b.Loop() {
			shop, err := h.SprayKeys(b.Context())
			require.NoError(b, err)
			require.NotEmpty(b, restoration.Batches(shop, time.Now(), 4*time.Hour))
		}
	})
	b.Run("scene of a piece", func(b *testing.B) {
		films, err := h.ShopFilm(b.Context())
		require.NoError(b, err)
		for b.Loop() {
			scene, err := h.FilmScene(b.Context(), films[0].PieceID)
			require.NoError(b, err)
			require.Len(b, scene.Deeds, 40)
		}
	})
	b.Run("scenes of two hundred pieces", func(b *testing.B) {
		films, err := h.ShopFilm(b.Context())
		require.NoError(b, err)
		var ids []restoration.ID
		for _, f := range films[:200] {
			ids = append(ids, f.PieceID)
		}
		for b.Loop() {
			scenes, err := h.FilmScenes(b.Context(), ids)
			require.NoError(b, err)
			require.Len(b, scenes, 200)
		}
	})
}
