package store

import (
	"context"
	"crypto/rand"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

const placeColumns = `l.id, l.name, l.kind, l.holds, l.code, l.created_at, l.retired_at`

type placeRow struct {
	ID        int64
	Name      string
	Kind      string
	Holds     int
	Code      string
	CreatedAt time.Time
	RetiredAt *time.Time
}

func (r placeRow) place() restoration.Place {
	return restoration.Place{ID: r.ID, Name: r.Name, Kind: restoration.PlaceKind(r.Kind), Holds: r.Holds, Code: r.Code,
		CreatedAt: r.CreatedAt.UTC(), RetiredAt: orZero(r.RetiredAt)}
}

func toPlace(row pgx.CollectableRow) (restoration.Place, error) {
	r, err := pgx.RowToStructByName[placeRow](row)
	return r.place(), err
}

// onePlace runs a query of placeColumns that gives one row; pgx.ErrNoRows when none.
func onePlace(ctx context.Context, from asker, sql string, args ...any) (restoration.Place, error) {
	rows, err := from.Query(ctx, sql, args...)
	if err != nil {
		return restoration.Place{}, err
	}
	return pgx.CollectExactlyOneRow(rows, toPlace)
}

func noPlace(err error) error {
	return notFound(err, "There is no such place. Look at the list again.")
}

// AddPlace makes a place with a label code of its own and gives it back. Its id, code and
// times are made here. A Problem says what is wrong with it, or that its name is taken.
func (s *Store) AddPlace(ctx context.Context, by restoration.Actor, p restoration.Place) (made restoration.Place, err error) {
	defer wrap(&err, "add place %q", p.Name)
	p.Name = restoration.TidyName(p.Name)
	if found := p.Check(); len(found) > 0 {
		return made, found[0]
	}
	err = s.change(ctx, func(t tx) error {
		code, err := newPlaceCode(ctx, t)
		if err != nil {
			return err
		}
		made, err = onePlace(ctx, t, `INSERT INTO places AS l (name, kind, holds, code, created_at) VALUES ($1, $2, $3, $4, $5) RETURNING `+placeColumns,
			p.Name, string(p.Kind), p.Holds, code, t.now)
		if err != nil {
			return err
		}
		if err := audit(ctx, t, by, deed{act: restoration.ActAddPlace, subject: made.Name, after: made}); err != nil {
			return err
		}
		return notify(ctx, t, 0)
	})
	return made, err
}

// newPlaceCode draws a code that no place bears, retired ones included: their labels may
// still hang.
func newPlaceCode(ctx context.Context, t tx) (string, error) {
	for {
		code, err := restoration.NewPlaceCode(rand.Reader)
		if err != nil {
			return "", err
		}
		var taken bool
		err = t.QueryRow(ctx, `SELECT EXISTS (SELECT FROM places WHERE code = $1)`, code).Scan(&taken)
		if err != nil || !taken {
			return code, err
		}
	}
}

// EditPlace changes name, kind and limit of a place. With a new name everything that lies
// there is moved to it, so that the ledger says where it lies. NotFound when there is no
// such place or it is retired; a Problem says what is wrong.
func (s *Store) EditPlace(ctx context.Context, by restoration.Actor, p restoration.Place) (err error) {
	defer wrap(&err, "edit place %d", p.ID)
	p.Name = restoration.TidyName(p.Name)
	if found := p.Check(); len(found) > 0 {
		return found[0]
	}
	return s.change(ctx, func(t tx) error {
		before, err := lockPlace(ctx, t, p.ID)
		if err != nil {
			return err
		}
		if before.Name != p.Name {
			if err := s.moveAll(ctx, t, by, before.Name, p.Name); err != nil {
				return err
			}
		}
		after, err := onePlace(ctx, t, `UPDATE places l SET name = $2, kind = $3, holds = $4 WHERE id = $1 RETURNING `+placeColumns,
			p.ID, p.Name, string(p.Kind), p.Holds)
		if err != nil {
			return err
		}
		if err := audit(ctx, t, by, deed{act: restoration.ActChangePlace, subject: after.Name, before: before, after: after}); err != nil {
			return err
		}
		return notify(ctx, t, 0)
	})
}

func lockPlace(ctx context.Context, t tx, id int64) (restoration.Place, error) {
	p, err := onePlace(ctx, t, `SELECT `+placeColumns+` FROM places l WHERE l.id = $1 AND l.retired_at IS NULL FOR UPDATE`, id)
	return p, noPlace(err)
}

// moveAll enters a move of every piece that lies at from.
func (s *Store) moveAll(ctx context.Context, t tx, by restoration.Actor, from, to string) error {
	rows, err := t.Query(ctx, `SELECT p.id FROM components p WHERE lower(p.lies_at) = lower($1) AND p.lies_at <> '' AND p.removed_at IS NULL ORDER BY p.id`, from)
	if err != nil {
		return err
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[restoration.ID])
	if err != nil {
		return err
	}
	for _, id := range ids {
		e := officeEvent(t, by, restoration.KindMove)
		e.PieceID, e.Place = id, to
		if err := s.mustApply(ctx, t, e); err != nil {
			return err
		}
	}
	return nil
}

// RetirePlace takes a place off the list; what lies there keeps its word. Twice is the
// same as once. [Store.RestorePlace] undoes it. NotFound when there is no such place.
func (s *Store) RetirePlace(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "retire place %d", id)
	return s.turnPlace(ctx, by, id, true)
}

// RestorePlace undoes [Store.RetirePlace], with the code that its label has. A Problem of
// TroubleConflict says that it was retired too long ago, or that another place has its
// name by now. Twice is the same as once.
func (s *Store) RestorePlace(ctx context.Context, by restoration.Actor, id int64) (err error) {
	defer wrap(&err, "restore place %d", id)
	return s.turnPlace(ctx, by, id, false)
}

func (s *Store) turnPlace(ctx context.Context, by restoration.Actor, id int64, away bool) error {
	return s.change(ctx, func(t tx) error {
		p, err := onePlace(ctx, t, `SELECT `+placeColumns+` FROM places l WHERE l.id = $1 FOR UPDATE`, id)
		if err != nil || p.RetiredAt.IsZero() != away {
			return noPlace(err)
		}
		act, at := restoration.ActRetirePlace, t.now
		if !away {
			if !restoration.MayUndo(p.RetiredAt, t.now) {
				return restoration.Problemf(restoration.TroubleConflict, "", "%s was retired more than %d days ago. Add it anew.", p.Name, restoration.UndoDays)
			}
			act, at = restoration.ActRestorePlace, time.Time{}
		}
		if _, err := t.Exec(ctx, `UPDATE places SET retired_at = $2 WHERE id = $1`, id, orNull(at)); err != nil {
			return err
		}
		if err := audit(ctx, t, by, deed{act: act, subject: p.Name}); err != nil {
			return err
		}
		return notify(ctx, t, 0)
	})
}

// FindPlace finds a place, a retired one too. NotFound when there is none.
func (s *Store) FindPlace(ctx context.Context, id int64) (p restoration.Place, err error) {
	defer wrap(&err, "find place %d", id)
	p, err = onePlace(ctx, s.pool, `SELECT `+placeColumns+` FROM places l WHERE l.id = $1`, id)
	return p, noPlace(err)
}

// FindPlaceByCode finds a place in use by the code on its label. NotFound when there is
// none.
func (s *Store) FindPlaceByCode(ctx context.Context, code string) (p restoration.Place, err error) {
	defer wrap(&err, "find the place of a label")
	if code, err = restoration.CheckAnyCode(code); err != nil {
		return p, err
	}
	p, err = onePlace(ctx, s.pool, `SELECT `+placeColumns+` FROM places l WHERE l.code = $1 AND l.retired_at IS NULL`, code)
	return p, notFound(err, "%s is the label of no place in use. Ask the owner.", code)
}

// PlaceUses lists every place with what lies there and how much it is used: those in use
// first, then by name.
func (s *Store) PlaceUses(ctx context.Context) (list []restoration.PlaceUse, err error) {
	defer wrap(&err, "list the places and what lies there")
	rows, err := s.pool.Query(ctx, `
		SELECT `+placeColumns+`, coalesce(n.lying, 0), coalesce(m.moves, 0) FROM places l
		LEFT JOIN (SELECT lower(p.lies_at) AS name, count(*) AS lying FROM components p JOIN cars c ON c.id = p.car_id
			WHERE p.lies_at <> '' AND p.removed_at IS NULL AND c.state <> 'delivered' GROUP BY 1) n ON n.name = lower(l.name)
		LEFT JOIN (SELECT lower(e.payload ->> 'place') AS name, count(*) AS moves FROM shop_events e
			WHERE e.kind = 'move' AND e.outcome = 'applied' AND e.at >= $1 GROUP BY 1) m ON m.name = lower(l.name)
		ORDER BY l.retired_at DESC NULLS FIRST, lower(l.name), l.id`, s.instant().AddDate(0, 0, -restoration.PlaceUseDays))
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (u restoration.PlaceUse, err error) {
		var r placeRow
		err = row.Scan(&r.ID, &r.Name, &r.Kind, &r.Holds, &r.Code, &r.CreatedAt, &r.RetiredAt, &u.Lying, &u.Moves)
		u.Place = r.place()
		return u, err
	})
}

// moveFacts loads the place that a move names, with what lies there besides, and asks the
// rules. Nil where it names none in use, and the piece doesn't lie there.
func moveFacts(ctx context.Context, t tx, p restoration.Piece, e restoration.Event) (*restoration.Facts, error) {
	if lies := p.LiesThere(e.Place); lies != nil {
		return lies, nil
	}
	rows, err := t.Query(ctx, `
		SELECT l.name, l.holds, (SELECT count(*) FROM components p JOIN cars c ON c.id = p.car_id WHERE lower(p.lies_at) = lower(l.name)
			AND p.lies_at <> '' AND p.removed_at IS NULL AND c.state <> 'delivered' AND p.id <> $2)
		FROM places l WHERE lower(l.name) = lower($1) AND l.retired_at IS NULL`, e.Place, e.PieceID)
	if err != nil {
		return nil, err
	}
	var place restoration.Place
	var lying int
	var facts *restoration.Facts
	_, err = pgx.ForEachRow(rows, []any{&place.Name, &place.Holds, &lying}, func() error {
		facts = restoration.MoveFacts(place, lying)
		return nil
	})
	return facts, err
}
