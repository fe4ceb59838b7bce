package store_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
)

// bigShop is a shop of n cars with 60 pieces of 8 steps each; the first car is real,
// the others are its copies, with 1,500 rows of ledger each.
func bigShop(b *testing.B, n int) (house, *pgx.Conn, []restoration.Piece) {
	b.Helper()
	url := storetest.URL(b)
	clock := &handClock{now: time.Now()}
	h := house{Store: storetest.Open(b, url, store.Options{Now: clock.Now}), clock: clock}
	names := make([]string, 60)
	for i := range names {
		names[i] = fmt.Sprintf("Garnish moulding %d", i+1)
	}
	car := h.car(b, "26-001", "1936 Brennick Eight", "", names...)
	super := storetest.Superuser(b, url)
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		`INSERT INTO cars (work_order, name, state, quality, ground, grain, created_at)
			SELECT '26-' || lpad(i::text, 3, '0'), c.name, 'in work', c.quality, c.ground, c.grain, c.created_at
			FROM cars c, generate_series(2, $1::int) AS i`,
		`INSERT INTO components (id, car_id, route_id, label, name, zone, area_m2, both_m2, size, mounting, created_at, left_min, next_stage, next_step)
			SELECT md5(p.id::text || c.id)::uuid, c.id, p.route_id, upper(lpad(to_hex(row_number() OVER () % 1000000), 5, '0')), p.name, p.zone, p.area_m2,
				p.both_m2, p.size, p.mounting, p.created_at, p.left_min, p.next_stage, md5(p.next_step::text || c.id)::uuid
			FROM cars c, components p WHERE c.id > 1 AND c.id <= $1 ORDER BY c.id, p.id`,
		`INSERT INTO finish_steps (id, component_id, car_id, stage, position, pass, rework, planned_low, planned_min, planned_high, state, left_min, counted_min, earned_min)
			SELECT md5(s.id::text || c.id)::uuid, md5(s.component_id::text || c.id)::uuid, c.id, s.stage, s.position, 1, false,
				s.planned_low, s.planned_min, s.planned_high, 'open', s.left_min, s.counted_min, 0
			FROM cars c, finish_steps s WHERE c.id > 1 AND c.id <= $1 ORDER BY c.id, s.component_id, s.position`,
		`INSERT INTO shop_events (id, kind, car_id, component_id, at, arrived, payload, outcome)
			SELECT gen_random_uuid(), 'note', p.car_id, p.id, now(), now(), '{"note": "dry"}', 'applied'
			FROM components p, generate_series(1, 25) WHERE p.car_id <= $1`,
	} {
		var args []any
		if sql != `SET session_replication_role = replica` {
			args = append(args, n)
		}
		_, err := super.Exec(b.Context(), sql, args...)
		require.NoError(b, err)
	}
	_, err := super.Exec(b.Context(), `VACUUM ANALYZE`)
	require.NoError(b, err)
	pieces, err := h.CarPieces(b.Context(), car.ID)
	require.NoError(b, err)
	return h, super, pieces
}

// A tick costs the same however much the shop has in work.
func BenchmarkTick(b *testing.B) {
	for _, cars := range []int{1, 200} {
		b.Run(fmt.Sprintf("cars=%d", cars), func(b *testing.B) {
			h, _, pieces := bigShop(b, cars)
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				step := pieces[n/2%len(pieces)].Steps[0]
				e := h.tick(step, 15)
				if n%2 == 1 {
					e.Kind, e.Checks = restoration.KindUntick, nil
				}
				out, err := h.Enter(b.Context(), []restoration.Event{e})
				if err != nil || out[0].Result != restoration.Applied {
					b.Fatal(out, err)
				}
				n++
			}
		})
	}
}

// The roll-up of 200 cars, and the plainest sum over the same 96,000 steps.
func BenchmarkRoll(b *testing.B) {
	h, conn, _ := bigShop(b, 200)
	b.Run("plain sum", func(b *testing.B) {
		for b.Loop() {
			rows, err := conn.Query(b.Context(), `
				SELECT car_id, sum(planned_min), sum(logged_min), sum(left_min) FROM finish_steps GROUP BY car_id`)
			require.NoError(b, err)
			rows.Close()
			require.NoError(b, rows.Err())
		}
	})
	b.Run("roll-up", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, err := h.Roll(b.Context(), false)
			require.NoError(b, err)
		}
	})
	b.Run("one car", func(b *testing.B) {
		for b.Loop() {
			_, err := h.CarRoll(b.Context(), 1)
			require.NoError(b, err)
		}
	})
	b.Run("keys of the open work", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			keys, err := h.WorkKeys(b.Context())
			require.NoError(b, err)
			require.Len(b, keys, 12_000)
		}
	})
	b.Run("keys of finished pieces", func(b *testing.B) {
		_, err := conn.Exec(b.Context(), `UPDATE components SET next_step = NULL, next_stage = '', left_min = 0 WHERE car_id % 2 = 0`)
		require.NoError(b, err)
		b.ReportAllocs()
		for b.Loop() {
			keys, err := h.FinishedKeys(b.Context())
			require.NoError(b, err)
			require.Len(b, keys, 6_000)
		}
	})
	b.Run("last changes of 1,000 pieces", func(b *testing.B) {
		rows, err := conn.Query(b.Context(), `SELECT id FROM components ORDER BY car_id LIMIT 1000`)
		require.NoError(b, err)
		ids, err := pgx.CollectRows(rows, pgx.RowTo[restoration.ID])
		require.NoError(b, err)
		b.ReportAllocs()
		for b.Loop() {
			_, err := h.LastChanges(b.Context(), ids)
			require.NoError(b, err)
		}
	})
}

// Taking in a car with its whole trim list.
func BenchmarkNewCar(b *testing.B) {
	h, _, pieces := bigShop(b, 1)
	var list []restoration.NewPiece
	for _, p := range pieces {
		list = append(list, restoration.NewPiece{Details: p.Details})
	}
	for b.Loop() {
		_, err := h.NewCar(b.Context(), restoration.Actor{}, aCar(""), list)
		require.NoError(b, err)
	}
}
