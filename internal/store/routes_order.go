package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// OrderRoutes puts the routes of the shop in the order of ids. Those that aren't named,
// added by somebody else meanwhile, come after, in their order. A Problem of
// TroubleConflict says that one of the named is no longer current.
func (s *Store) OrderRoutes(ctx context.Context, by restoration.Actor, ids []int64) (err error) {
	defer wrap(&err, "order the routes %d", ids)
	return s.changeRoutes(ctx, func(t tx) error {
		before, err := routeNames(ctx, t)
		if err != nil {
			return err
		}
		for _, id := range ids {
			if _, err := lockRoute(ctx, t, id); err != nil {
				return err
			}
		}
		// Every version moves along, so that a list of all versions stays in order.
		_, err = t.Exec(ctx, `
			UPDATE routes SET place = ordered.place FROM (
				SELECT key, row_number() OVER (ORDER BY array_position($1, id) NULLS LAST, place, id) AS place
				FROM routes WHERE current
			) AS ordered WHERE ordered.key = routes.key`, ids)
		if err != nil {
			return err
		}
		after, err := routeNames(ctx, t)
		if err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActOrderRoutes, subject: "routes", before: before, after: after})
	})
}

func routeNames(ctx context.Context, t tx) ([]string, error) {
	rows, err := t.Query(ctx, `SELECT name FROM routes`+inShop)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}
