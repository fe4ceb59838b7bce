package store

import (
	"context"

	"scumble/internal/coating"
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

// SeedHouse gives a new shop the stock route, the stock settings and the example
// materials. A shop that has any of a kind keeps its own, however often this is called.
func (s *Store) SeedHouse(ctx context.Context) (err error) {
	defer wrap(&err, "seed the house")
	return s.change(ctx, func(t tx) error {
		// Two programs that start at once on a new database both come by here.
		if _, err := t.Exec(ctx, `LOCK TABLE routes, settings, materials IN SHARE ROW EXCLUSIVE MODE`); err != nil {
			return err
		}
		var routes, settings, materials bool
		err := t.QueryRow(ctx, `SELECT EXISTS (SELECT FROM routes), EXISTS (SELECT FROM settings), EXISTS (SELECT FROM materials)`).
			Scan(&routes, &settings, &materials)
		if err != nil {
			return err
		}
		if !routes {
			if _, err := insertRoute(ctx, t, restoration.StockRoute(), 1); err != nil {
				return err
			}
		}
		if !materials {
			for _, m := range coating.Examples() {
				if _, err := writeMaterial(ctx, t, restoration.Material{Material: m}); err != nil {
					return err
				}
			}
		}
		if !settings {
			return writeSettings(ctx, t, restoration.StockSettings())
		}
		return nil
	})
}
