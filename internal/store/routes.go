package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// inShop chooses the routes that new pieces may start with, in the shop's order.
const inShop = ` WHERE current AND retired_at IS NULL ORDER BY place, id`

// Routes lists the routes that new pieces may start with, in the shop's order.
func (s *Store) Routes(ctx context.Context) (routes []restoration.Route, err error) {
	defer wrap(&err, "list the routes")
	err = s.look(ctx, func(t tx) error {
		rows, err := t.Query(ctx, `SELECT id FROM routes`+inShop)
		if err != nil {
			return err
		}
		ids, err := pgx.CollectRows(rows, pgx.RowTo[int64])
		if err != nil {
			return err
		}
		for _, id := range ids { // a shop has a handful
			r, err := loadRoute(ctx, t, id)
			if err != nil {
				return err
			}
			routes = append(routes, r)
		}
		return nil
	})
	return routes, err
}

// FindRoute finds a route by id, in any version, retired or not.
func (s *Store) FindRoute(ctx context.Context, id int64) (r restoration.Route, err error) {
	defer wrap(&err, "find route %d", id)
	err = s.look(ctx, func(t tx) error {
		r, err = loadRoute(ctx, t, id)
		return noRoute(err)
	})
	return r, err
}

func noRoute(err error) error {
	return notFound(err, "There is no such route. Go back to the page Routes.")
}

// FindRouteByName finds a route that new pieces may start with by name or key, in
// either case; "" is the stock route, or the first of the shop's when that is retired.
func (s *Store) FindRouteByName(ctx context.Context, nameOrKey string) (r restoration.Route, err error) {
	defer wrap(&err, "find route %q", nameOrKey)
	err = s.look(ctx, func(t tx) error {
		r, err = routeByName(ctx, t, nameOrKey)
		return err
	})
	return r, err
}

func routeByName(ctx context.Context, t tx, nameOrKey string) (restoration.Route, error) {
	var id int64
	name := restoration.TidyName(nameOrKey)
	if name == "" {
		err := t.QueryRow(ctx, `
			SELECT id FROM routes WHERE current AND retired_at IS NULL ORDER BY key <> $1, place, id LIMIT 1`,
			restoration.StockRouteKey).Scan(&id)
		if err != nil {
			return restoration.Route{}, noRoute(err)
		}
		return loadRoute(ctx, t, id)
	}
	// A key goes before a name: it is the one that can't be mistaken.
	err := t.QueryRow(ctx, `
		SELECT id FROM routes WHERE current AND retired_at IS NULL AND (key = lower($1) OR lower(name) = lower($1))
		ORDER BY key <> lower($1), place, id LIMIT 1`, name).Scan(&id)
	if err != nil {
		return restoration.Route{}, notFound(err, "There is no route %q. Take a name from the page Routes, or leave it out for the stock route.", name)
	}
	return loadRoute(ctx, t, id)
}
