package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// LyingAt lists the pieces that lie at a place of that name, those put there last first.
func (s *Store) LyingAt(ctx context.Context, name string) (_ []restoration.Lying, err error) {
	defer wrap(&err, "list what lies at %q", name)
	return s.lying(ctx, `AND lower(p.lies_at) = lower($1) AND p.lies_at <> ''`, name)
}

// Lying lists every piece of the cars that are here, those put where they lie last first.
func (s *Store) Lying(ctx context.Context) (_ []restoration.Lying, err error) {
	defer wrap(&err, "list where everything lies")
	return s.lying(ctx, ``)
}

func (s *Store) lying(ctx context.Context, which string, args ...any) (list []restoration.Lying, err error) {
	err = s.look(ctx, func(t tx) error {
		cars, err := carsByID(ctx, t, `c.state <> 'delivered'`)
		if err != nil {
			return err
		}
		rows, err := t.Query(ctx, `
			SELECT p.id, p.car_id, p.name, p.zone, p.side, p.place, p.label, p.look, p.lies_at, p.next_step IS NULL, coalesce(e.put, p.created_at),
				coalesce(e.seen, p.created_at)
			FROM components p JOIN cars c ON c.id = p.car_id
			LEFT JOIN LATERAL (SELECT max(e.at) AS seen, max(e.at) FILTER (WHERE e.kind IN ('move', 'open')) AS put FROM shop_events e
				WHERE e.component_id = p.id AND e.outcome <> 'refused') e ON true
			WHERE c.state <> 'delivered' AND p.removed_at IS NULL `+which+`
			ORDER BY 11 DESC, p.id`, args...)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (l restoration.Lying, err error) {
			var car int64
			d := &l.Details
			err = row.Scan(&l.PieceID, &car, &d.Name, (*string)(&d.Zone), (*string)(&d.Side), &d.Place, &l.Label, (*string)(&l.Look), &l.LiesAt, &l.Done,
				&l.Since, &l.Seen)
			l.Car, l.Since, l.Seen = cars[car], l.Since.UTC(), l.Seen.UTC()
			return l, err
		})
		return err
	})
	return list, err
}

// SayFit keeps how a place holds a kind of piece from cars of a body, in place of what was
// said before; well nil takes it back. Saying the same twice is the same as once. NotFound
// when there is no such place in use.
func (s *Store) SayFit(ctx context.Context, by restoration.Actor, placeID int64, piece, body string, well *bool) (err error) {
	defer wrap(&err, "say how place %d holds %q", placeID, piece)
	return s.change(ctx, func(t tx) error {
		place, err := lockPlace(ctx, t, placeID)
		if err != nil {
			return err
		}
		var before *bool
		rows, err := t.Query(ctx, `DELETE FROM place_fits WHERE place_id = $1 AND lower(piece) = lower($2) AND lower(body) = lower($3) RETURNING well`, placeID, piece, body)
		if err != nil {
			return err
		}
		said, err := pgx.CollectRows(rows, pgx.RowTo[bool])
		if err != nil {
			return err
		}
		if len(said) > 0 {
			before = &said[0]
		}
		if well != nil {
			if _, err := t.Exec(ctx, `INSERT INTO place_fits (place_id, piece, body, well, person_id, at) VALUES ($1, $2, $3, $4, $5, $6)`,
				placeID, piece, body, *well, keyOrNull(by.PersonID), t.now); err != nil {
				return err
			}
		}
		return audit(ctx, t, by, deed{act: restoration.ActSayFit, subject: place.Name, before: fitWords(piece, body, before), after: fitWords(piece, body, well)})
	})
}

// fitWords is how a place holds a kind, as the audit keeps it; nil where nothing is said.
func fitWords(piece, body string, well *bool) any {
	if well == nil {
		return nil
	}
	return map[string]any{"piece": piece, "body": body, "well": *well}
}

// PlaceFits lists what was said of how places hold kinds of pieces; of one place, or of
// all where placeID is 0.
func (s *Store) PlaceFits(ctx context.Context, placeID int64) (_ []restoration.PlaceFit, err error) {
	defer wrap(&err, "list how places hold pieces")
	rows, err := s.pool.Query(ctx, `
		SELECT f.place_id, f.piece, f.body, f.well, coalesce(w.name, ''), f.at FROM place_fits f LEFT JOIN people w ON w.id = f.person_id
		WHERE $1 = 0 OR f.place_id = $1 ORDER BY lower(f.piece), lower(f.body), f.place_id`, placeID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (f restoration.PlaceFit, err error) {
		var at time.Time
		err = row.Scan(&f.PlaceID, &f.Piece, &f.Body, &f.Well, &f.Person, &at)
		f.At = at.UTC()
		return f, err
	})
}
