package store

import (
	"context"

	"scumble/internal/restoration"
)

// stockUp is [Store.SeedHouse] on the database at url.
func stockUp(ctx context.Context, url string) error {
	s, err := Open(ctx, url, Options{MaxConns: 1})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.SeedHouse(ctx)
}

// SeedHouse gives a new shop the stock route and the stock settings. A shop that has
// routes or settings keeps its own, however often this is called.
func (s *Store) SeedHouse(ctx context.Context) (err error) {
	defer wrap(&err, "seed the house")
	return s.change(ctx, func(t tx) error {
		// Two programs that start at once on a new database both come by here.
		if _, err := t.Exec(ctx, `LOCK TABLE routes, settings IN SHARE ROW EXCLUSIVE MODE`); err != nil {
			return err
		}
		var routes, settings bool
		err := t.QueryRow(ctx, `SELECT EXISTS (SELECT FROM routes), EXISTS (SELECT FROM settings)`).Scan(&routes, &settings)
		if err != nil {
			return err
		}
		if !routes {
			if _, err := insertRoute(ctx, t, restoration.StockRoute(), 1); err != nil {
				return err
			}
		}
		if !settings {
			return writeSettings(ctx, t, restoration.StockSettings())
		}
		return nil
	})
}
