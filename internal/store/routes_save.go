package store

import (
	"context"
	"encoding/json"
	"slices"
	"strconv"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// SaveRoute keeps a route, a new one when r.ID is 0, and gives it back as kept. A
// route that a piece was ever started with stays as it is for those pieces and gets a
// new version for those to come. Missing keys are made from the names. What
// [restoration.CheckRoute] finds is refused, the first fault as a Problem; one of
// TroubleConflict says that the name is taken or that r is no longer current.
func (s *Store) SaveRoute(ctx context.Context, by restoration.Actor, r restoration.Route) (saved restoration.Route, err error) {
	defer wrap(&err, "save route %d", r.ID)
	err = s.changeRoutes(ctx, func(t tx) error {
		if r.ID == 0 {
			saved, err = addRoute(ctx, t, by, r)
		} else {
			saved, err = changeRoute(ctx, t, by, r)
		}
		return err
	})
	return saved, err
}

// CopyRoute adds a route with the stages of another, under the name "Copy of …".
func (s *Store) CopyRoute(ctx context.Context, by restoration.Actor, id int64) (made restoration.Route, err error) {
	defer wrap(&err, "copy route %d", id)
	err = s.changeRoutes(ctx, func(t tx) error {
		r, err := loadRoute(ctx, t, id)
		if err != nil {
			return noRoute(err)
		}
		if r.Name, err = freeName(ctx, t, "Copy of "+r.Name); err != nil {
			return err
		}
		made, err = addRoute(ctx, t, by, r)
		return err
	})
	return made, err
}

// changeRoutes runs fn while nobody else changes routes, which is seldom enough to
// queue for. Pieces may be started with them meanwhile: see [lockRoute].
func (s *Store) changeRoutes(ctx context.Context, fn func(tx) error) error {
	return s.change(ctx, func(t tx) error {
		if _, err := t.Exec(ctx, `LOCK TABLE routes IN SHARE ROW EXCLUSIVE MODE`); err != nil {
			return err
		}
		if err := fn(t); err != nil {
			return err
		}
		return notify(ctx, t, 0)
	})
}

// lockRoute loads a current route. The row lock waits for pieces that are just being
// started with it, and holds up those that come after.
func lockRoute(ctx context.Context, t tx, id int64) (restoration.Route, error) {
	var current bool
	err := t.QueryRow(ctx, `SELECT current AND retired_at IS NULL FROM routes WHERE id = $1 FOR UPDATE`, id).Scan(&current)
	if err != nil {
		return restoration.Route{}, noRoute(err)
	}
	if !current {
		return restoration.Route{}, restoration.Problemf(restoration.TroubleConflict, "",
			"This route was changed or retired meanwhile. Load it again and repeat your change.")
	}
	return loadRoute(ctx, t, id)
}

func addRoute(ctx context.Context, t tx, by restoration.Actor, r restoration.Route) (restoration.Route, error) {
	r.ID, r.Version = 0, 1
	r, err := fitRoute(ctx, t, r)
	if err != nil {
		return r, err
	}
	if r.Key, err = freeRouteKey(ctx, t, r.Name); err != nil {
		return r, err
	}
	var place int
	if err := t.QueryRow(ctx, `SELECT coalesce(max(place), 0) + 1 FROM routes`).Scan(&place); err != nil {
		return r, err
	}
	if r, err = insertRoute(ctx, t, r, place); err != nil {
		return r, err
	}
	return r, audit(ctx, t, by, deed{act: restoration.ActAddRoute, subject: r.Name, after: r})
}

func changeRoute(ctx context.Context, t tx, by restoration.Actor, r restoration.Route) (restoration.Route, error) {
	before, err := lockRoute(ctx, t, r.ID)
	if err != nil {
		return r, err
	}
	r.Key, r.Version = before.Key, before.Version
	if r, err = fitRoute(ctx, t, r); err != nil {
		return r, err
	}
	used, err := routeUsed(ctx, t, r.ID)
	if err != nil {
		return r, err
	}
	if used {
		r, err = insertVersion(ctx, t, r)
	} else {
		err = overwriteRoute(ctx, t, r)
	}
	if err != nil {
		return r, err
	}
	return r, audit(ctx, t, by, deed{act: restoration.ActChangeRoute, subject: r.Name, before: before, after: r})
}

// fitRoute makes the keys that r lacks, puts back the cautions that ship, and refuses
// what can't be kept.
func fitRoute(ctx context.Context, t tx, r restoration.Route) (restoration.Route, error) {
	r = r.WithKeys().WithCautions()
	if found := restoration.CheckRoute(r); len(found) > 0 {
		return r, found[0]
	}
	taken, err := nameTaken(ctx, t, r.Name, r.ID)
	if err != nil {
		return r, err
	}
	if taken {
		return r, restoration.Problemf(restoration.TroubleConflict, "name", "There is a route of that name already. Give this one another.")
	}
	return r, nil
}

// nameTaken tells whether a route of the shop other than except has the name, or has
// it for its key: both find a route.
func nameTaken(ctx context.Context, t tx, name string, except int64) (taken bool, err error) {
	err = t.QueryRow(ctx, `
		SELECT EXISTS (SELECT FROM routes WHERE current AND retired_at IS NULL AND id <> $2 AND lower($1) IN (lower(name), key))`,
		name, except).Scan(&taken)
	return taken, err
}

func freeName(ctx context.Context, t tx, name string) (string, error) {
	base := []rune(name)
	free := restoration.TidyName(string(base[:min(len(base), restoration.MaxName)]))
	for n := 2; ; n++ {
		taken, err := nameTaken(ctx, t, free, 0)
		if err != nil || !taken {
			return free, err
		}
		tail := " " + strconv.Itoa(n)
		free = restoration.TidyName(string(base[:min(len(base), restoration.MaxName-len(tail))])) + tail
	}
}

func freeRouteKey(ctx context.Context, t tx, name string) (string, error) {
	rows, err := t.Query(ctx, `SELECT DISTINCT key FROM routes`)
	if err != nil {
		return "", err
	}
	keys, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return restoration.FreeKey(name, "route", func(k string) bool { return slices.Contains(keys, k) }), err
}

// routeUsed tells whether a piece was ever started with the route. A piece may have
// moved on to another since, but replaying the ledger still needs the first.
func routeUsed(ctx context.Context, t tx, id int64) (used bool, err error) {
	err = t.QueryRow(ctx, `
		SELECT EXISTS (SELECT FROM components WHERE route_id = $1)
			OR EXISTS (SELECT FROM shop_events WHERE kind IN ($2, $3) AND payload @> jsonb_build_object('route_id', $1))`,
		id, restoration.KindOpen, restoration.KindReplan).Scan(&used)
	return used, err
}

func insertVersion(ctx context.Context, t tx, r restoration.Route) (restoration.Route, error) {
	var place int
	err := t.QueryRow(ctx, `UPDATE routes SET current = false WHERE id = $1 RETURNING place`, r.ID).Scan(&place)
	if err != nil {
		return r, err
	}
	r.Version++ // the current version is the highest: only it can be changed
	return insertRoute(ctx, t, r, place)
}

func insertRoute(ctx context.Context, t tx, r restoration.Route, place int) (restoration.Route, error) {
	err := t.QueryRow(ctx, `
		INSERT INTO routes (key, version, name, place, current, created_at) VALUES ($1, $2, $3, $4, true, $5) RETURNING id`,
		r.Key, r.Version, r.Name, place, t.now).Scan(&r.ID)
	if err != nil {
		return r, err
	}
	return r, insertStages(ctx, t, r)
}

func overwriteRoute(ctx context.Context, t tx, r restoration.Route) error {
	if _, err := t.Exec(ctx, `UPDATE routes SET name = $2 WHERE id = $1`, r.ID, r.Name); err != nil {
		return err
	}
	if _, err := t.Exec(ctx, `DELETE FROM route_stages WHERE route_id = $1`, r.ID); err != nil {
		return err
	}
	return insertStages(ctx, t, r)
}

func insertStages(ctx context.Context, t tx, r restoration.Route) error {
	batch := &pgx.Batch{}
	for i, stage := range r.Stages {
		kept, err := json.Marshal(stage)
		if err != nil {
			return err
		}
		batch.Queue(`INSERT INTO route_stages (route_id, position, key, name, document) VALUES ($1, $2, $3, $4, $5)`,
			r.ID, i, stage.Key, stage.Name, kept)
	}
	return t.SendBatch(ctx, batch).Close()
}
