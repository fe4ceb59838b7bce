package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// MixedPieces lists, without their steps, the pieces of every car not delivered
// whose pieces are not all on one route and in one scheme: only those can have
// anything for [restoration.SetCheck] to find.
func (s *Store) MixedPieces(ctx context.Context) (_ []restoration.Piece, err error) {
	defer wrap(&err, "list the pieces of cars with more than one finish")
	rows, err := s.pool.Query(ctx, `
		SELECT `+pieceColumns+` FROM components p
		WHERE p.removed_at IS NULL AND p.car_id IN (
			SELECT m.car_id FROM components m JOIN cars c ON c.id = m.car_id
			WHERE c.state <> 'delivered' AND m.removed_at IS NULL
			GROUP BY m.car_id
			HAVING min(m.route_id) < max(m.route_id) OR min(m.scheme) < max(m.scheme))
		ORDER BY p.car_id, `+zoneOrder)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toPiece)
}
