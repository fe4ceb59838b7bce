package main

import (
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// A clone has the film of its model: as many deeds on each piece, the same film kept, a
// scheme of its own, and its own pieces and steps behind each row.
func TestClonesHaveTheFilmOfTheirModel(t *testing.T) {
	t.Parallel()
	const cars = 3
	ctx, url := t.Context(), storetest.URL(t)
	require.NoError(t, workFirstCar(ctx, url))
	require.NoError(t, coatFirstCar(ctx, url))
	sound := storetest.Open(t, url, store.Options{})
	differences, err := sound.Verify(ctx)
	require.NoError(t, err)
	require.Empty(t, differences)
	require.NoError(t, cloneCars(ctx, url, cars))
	s := storetest.Open(t, url, store.Options{})

	films, err := s.ShopFilm(ctx)
	require.NoError(t, err)
	require.Len(t, films, cars*piecesPerCar)
	for _, f := range films {
		require.True(t, f.Film.ByGauge)
		require.Equal(t, films[0].Film, f.Film, "all pieces were done alike")
	}
	for car := range int64(cars) {
		deeds, err := s.CarFilm(ctx, car+1)
		require.NoError(t, err)
		require.Len(t, deeds, piecesPerCar*deedsPerPiece)
		schemes, err := s.Schemes(ctx, car+1)
		require.NoError(t, err)
		require.Len(t, schemes, 1)
	}
	conn := storetest.Superuser(t, url)
	for _, table := range []string{"coats", "cut_passes"} {
		astray, err := count(t, conn, `SELECT count(*) FROM `+table+` d
			WHERE NOT EXISTS (SELECT FROM finish_steps s WHERE s.id = d.step_id AND s.component_id = d.component_id AND s.car_id = d.car_id)
				OR NOT EXISTS (SELECT FROM shop_events e WHERE e.id = d.event_id AND e.component_id = d.component_id)`)
		require.NoError(t, err)
		require.Zero(t, astray, table)
	}
	tins, err := count(t, conn, `SELECT count(*) FROM coat_lots`)
	require.NoError(t, err)
	require.Equal(t, cars*piecesPerCar*coatsPerPiece, tins)
	shop, err := s.SprayKeys(ctx)
	require.NoError(t, err)
	require.NotEmpty(t, shop.Keys)
	for _, k := range shop.Keys {
		require.Equal(t, coatsPerPiece, k.Coats)
		require.Contains(t, shop.Schemes, restoration.SchemeKey{CarID: k.Car.ID})
	}
}

func count(t *testing.T, conn *pgx.Conn, sql string) (n int, err error) {
	err = conn.QueryRow(t.Context(), sql).Scan(&n)
	return n, err
}
