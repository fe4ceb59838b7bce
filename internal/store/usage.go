package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// UsageRows lists every coat that was sprayed from an hour until before another, in the
// order of time, with what its material's sheet
// said then: a sheet that stated no VOC then counts as it does now. The rows are kept for ever: a
// car that is delivered keeps its coats.
func (s *Store) UsageRows(ctx context.Context, from, to time.Time) (_ []restoration.Sprayed, err error) {
	defer wrap(&err, "list what was sprayed from %v to %v", from, to)
	rows, err := s.pool.Query(ctx, `
		SELECT d.at, d.car_id, c.work_order, c.name, coalesce(d.material_id, 0), coalesce(m.name, ''), coalesce(m.document ->> 'kind', ''), d.ml,
			coalesce((e.payload -> 'facts' ->> 'voc_g_per_l')::float8, (m.document ->> 'voc_g_per_l')::float8, 0)
		FROM coats d JOIN shop_events e ON e.id = d.event_id JOIN cars c ON c.id = d.car_id LEFT JOIN materials m ON m.id = d.material_id
		WHERE d.at >= $1 AND d.at < $2 ORDER BY d.at, d.event_id`, from, to)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (r restoration.Sprayed, err error) {
		err = row.Scan(&r.At, &r.CarID, &r.WorkOrder, &r.Car, &r.Material, &r.Name, (*string)(&r.Kind), &r.ML, &r.VOCGramsPerL)
		r.At = r.At.UTC()
		return r, err
	})
}

// LotUsage lists what the tins gave from an hour until before another: one line for
// each month, in the shop's zone, and tin, the oldest first.
func (s *Store) LotUsage(ctx context.Context, from, to time.Time) (_ []restoration.TinUse, err error) {
	defer wrap(&err, "list what the tins gave from %v to %v", from, to)
	settings, err := readSettings(ctx, s.pool, `SELECT document FROM settings`)
	if err != nil {
		return nil, err
	}
	rows, err := s.pool.Query(ctx, `
		SELECT date_trunc('month', d.at AT TIME ZONE $3)::date AS month, m.document ->> 'kind', m.name,
			coalesce(m.document -> 'parts' -> l.part ->> 'name', m.document -> 'thinner' ->> 'name', ''), l.part, l.id, l.number, sum(u.ml)
		FROM coat_lots u JOIN coats d ON d.event_id = u.event_id JOIN lots l ON l.id = u.lot_id JOIN materials m ON m.id = l.material_id
		WHERE d.at >= $1 AND d.at < $2
		GROUP BY month, m.id, l.id ORDER BY month, m.document ->> 'kind', lower(m.name), l.part, l.number`, from, to, settings.Location().String())
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (u restoration.TinUse, err error) {
		return u, row.Scan(&u.Month, (*string)(&u.Kind), &u.Material, &u.PartName, &u.Part, &u.Lot, &u.Number, &u.ML)
	})
}
