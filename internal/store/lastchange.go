package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// LastChanges tells of each of the pieces what was said of it last, in their order; of one
// that is gone, or that nothing was said of, nought.
func (s *Store) LastChanges(ctx context.Context, pieces []restoration.ID) (_ []restoration.LastChange, err error) {
	defer wrap(&err, "look what was said last of %d pieces", len(pieces))
	// Two looks into an index for each: the ledger itself is not read.
	rows, err := s.pool.Query(ctx, `
		SELECT coalesce((SELECT max(seq) FROM shop_events WHERE component_id = p.id), 0),
			coalesce((SELECT max(id) FROM audit WHERE piece_id = p.id), 0)
		FROM unnest($1::uuid[]) WITH ORDINALITY AS p (id, n) ORDER BY p.n`, pieces)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[restoration.LastChange])
}
