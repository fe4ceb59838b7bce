package store

import (
	"context"
	"encoding/json"
	"sync"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// routeCache remembers routes that a piece was started with. Those never change
// again, so that nothing has to be forgotten.
type routeCache struct{ byID sync.Map } // int64 → restoration.Route

// startedRoute gives the route that some piece was started with.
func (s *Store) startedRoute(ctx context.Context, t tx, id int64) (restoration.Route, error) {
	if r, ok := s.routes.byID.Load(id); ok {
		return r.(restoration.Route), nil
	}
	r, err := loadRoute(ctx, t, id)
	if err == nil {
		s.routes.byID.Store(id, r)
	}
	return r, err
}

// startedRoutes gives every route that one of the pieces was started with, by id.
func (s *Store) startedRoutes(ctx context.Context, t tx, pieces []restoration.Piece) (map[int64]restoration.Route, error) {
	routes := map[int64]restoration.Route{}
	for _, p := range pieces {
		if _, ok := routes[p.RouteID]; ok {
			continue
		}
		r, err := s.startedRoute(ctx, t, p.RouteID)
		if err != nil {
			return nil, err
		}
		routes[p.RouteID] = r
	}
	return routes, nil
}

// loadRoute reads a route with its stages; pgx.ErrNoRows when there is none.
func loadRoute(ctx context.Context, t tx, id int64) (restoration.Route, error) {
	r := restoration.Route{ID: id}
	err := t.QueryRow(ctx, `SELECT key, version, name FROM routes WHERE id = $1`, id).Scan(&r.Key, &r.Version, &r.Name)
	if err != nil {
		return r, err
	}
	rows, err := t.Query(ctx, `SELECT document FROM route_stages WHERE route_id = $1 ORDER BY position`, id)
	if err != nil {
		return r, err
	}
	r.Stages, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (restoration.Stage, error) {
		var document []byte
		var stage restoration.Stage
		if err := row.Scan(&document); err != nil {
			return stage, err
		}
		return stage, json.Unmarshal(document, &stage)
	})
	return r, err
}

// claimRoute loads a route and holds it: what is about to be used can't be changed
// any more. NotFound when there is none.
func claimRoute(ctx context.Context, t tx, id int64) (restoration.Route, error) {
	err := t.QueryRow(ctx, `SELECT id FROM routes WHERE id = $1 FOR KEY SHARE`, id).Scan(&id)
	if err != nil {
		return restoration.Route{}, notFound(err, "There is no such route any more. Choose another.")
	}
	return loadRoute(ctx, t, id)
}
