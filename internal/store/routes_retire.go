package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// RetireRoute takes a route off the shop's list: no new piece starts with it, those
// that have keep it. A Problem of TroubleConflict says that it is the last one.
// [Store.RestoreRoute] undoes it.
func (s *Store) RetireRoute(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "retire route %d", id)
	return s.changeRoutes(ctx, func(t tx) error {
		r, err := lockRoute(ctx, t, id)
		if err != nil {
			return err
		}
		names, err := routeNames(ctx, t)
		if err != nil {
			return err
		}
		if len(names) == 1 {
			return restoration.Problemf(restoration.TroubleConflict, "",
				"%s is the only route, and a new piece needs one. Add another before you retire it.", r.Name)
		}
		if _, err := t.Exec(ctx, `UPDATE routes SET retired_at = $2 WHERE id = $1`, id, t.now); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActRetireRoute, subject: r.Name, before: r})
	})
}

// RestoreRoute undoes [Store.RetireRoute]: the route stands in its old place of the
// list. A Problem of TroubleConflict says that it was retired too long ago, or that
// another route has its name by now. Twice is the same as once.
func (s *Store) RestoreRoute(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "restore route %d", id)
	return s.changeRoutes(ctx, func(t tx) error {
		var retired *time.Time
		err := t.QueryRow(ctx, `SELECT retired_at FROM routes WHERE id = $1 AND current FOR UPDATE`, id).Scan(&retired)
		if err != nil || retired == nil {
			return noRoute(err)
		}
		r, err := loadRoute(ctx, t, id)
		if err != nil {
			return err
		}
		if !restoration.MayUndo(*retired, t.now) {
			return restoration.Problemf(restoration.TroubleConflict, "",
				"%s was retired more than %d days ago. Copy its stages into a new route.", r.Name, restoration.UndoDays)
		}
		taken, err := nameTaken(ctx, t, r.Name, id)
		if err != nil {
			return err
		}
		if taken {
			return restoration.Problemf(restoration.TroubleConflict, "",
				"There is another route called %s by now. Give that one a new name first.", r.Name)
		}
		if _, err := t.Exec(ctx, `UPDATE routes SET retired_at = NULL WHERE id = $1`, id); err != nil {
			return err
		}
		return audit(ctx, t, by, deed{act: restoration.ActRestoreRoute, subject: r.Name})
	})
}

// RetiredRoutes lists the routes that can still be brought back, the last retired first.
func (s *Store) RetiredRoutes(ctx context.Context) (routes []restoration.RetiredRoute, err error) {
	defer wrap(&err, "list the retired routes")
	rows, err := s.pool.Query(ctx, `SELECT id, name, retired_at FROM routes WHERE current AND retired_at IS NOT NULL ORDER BY retired_at DESC, id`)
	if err != nil {
		return nil, err
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[restoration.RetiredRoute])
	if err != nil {
		return nil, err
	}
	now := s.instant()
	for _, r := range all {
		if r.At = r.At.UTC(); restoration.MayUndo(r.At, now) {
			routes = append(routes, r)
		}
	}
	return routes, nil
}
