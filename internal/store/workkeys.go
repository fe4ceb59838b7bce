package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"scumble/internal/restoration"
)

// WorkKeys lists the key of every piece with a step to do in a car that is not
// delivered, held ones too, in no order.
func (s *Store) WorkKeys(ctx context.Context) (keys []restoration.WorkKey, err error) {
	defer wrap(&err, "list the keys of the open work")
	err = s.look(ctx, func(t tx) error {
		cars, err := carsByID(ctx, t, `c.state <> 'delivered'`)
		if err != nil {
			return err
		}
		// Of the steps only those in hand are looked up; the position is known to the route.
		rows, err := t.Query(ctx, `
			SELECT p.id, p.car_id, p.route_id, p.name, p.set_name, p.look, g.key, g.name, g.position, p.left_min, coalesce(s.hand_by, 0), s.hand_since,
				p.held_since, p.gate_from, p.late_from, p.sent_back
			FROM components p JOIN cars c ON c.id = p.car_id
			JOIN route_stages g ON g.route_id = p.route_id AND g.key = p.next_stage
			LEFT JOIN finish_steps s ON s.component_id = p.id AND s.state = 'in hand'
			WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND p.next_step IS NOT NULL`)
		if err != nil {
			return err
		}
		keys, err = collectKeys(rows, cars, int(s.workKeys.Load()))
		s.workKeys.Store(int64(len(keys)))
		return err
	})
	return keys, err
}

// FinishedKeys lists the key of every piece with nothing left to do in a car that is not
// delivered, held ones too, in no order. It names no stage.
func (s *Store) FinishedKeys(ctx context.Context) (keys []restoration.WorkKey, err error) {
	defer wrap(&err, "list the keys of what is finished")
	err = s.look(ctx, func(t tx) error {
		cars, err := carsByID(ctx, t, `c.state <> 'delivered'`)
		if err != nil {
			return err
		}
		rows, err := t.Query(ctx, `
			SELECT p.id, p.car_id, p.route_id, p.name, p.set_name, p.look, '', '', 0, p.left_min, 0, NULL::timestamptz,
				p.held_since, NULL::timestamptz, NULL::timestamptz, p.sent_back
			FROM components p JOIN cars c ON c.id = p.car_id
			WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND p.next_step IS NULL`)
		if err != nil {
			return err
		}
		keys, err = collectKeys(rows, cars, int(s.finishedKeys.Load()))
		s.finishedKeys.Store(int64(len(keys)))
		return err
	})
	return keys, err
}

// collectKeys reads each row straight into its key: of a large shop these are many,
// and most of what is read only to be turned into something else is garbage. It makes
// room for about as many.
func collectKeys(rows pgx.Rows, cars map[int64]*restoration.Car, about int) ([]restoration.WorkKey, error) {
	keys := make([]restoration.WorkKey, 0, about)
	var r struct {
		id                           pgtype.UUID
		carID                        int64
		hand, held, gateFrom, lateAt pgtype.Timestamptz
		left                         int64
	}
	words := map[string]string{}
	name, set, look := word{known: words}, word{known: words}, word{known: words}
	stage, stageName := word{known: words}, word{known: words}
	var k restoration.WorkKey
	_, err := pgx.ForEachRow(rows, []any{&r.id, &r.carID, &k.RouteID, &name, &set, &look, &stage, &stageName, &k.NextPosition, &r.left, &k.HandBy, &r.hand,
		&r.held, &r.gateFrom, &r.lateAt, &k.SentBack}, func() error {
		k.Car, k.PieceID, k.Left = cars[r.carID], r.id.Bytes, restoration.Minutes(r.left)
		k.Name, k.Set, k.Look, k.Stage, k.StageName = name.text, set.text, restoration.Look(look.text), stage.text, stageName.text
		k.HandSince, k.HeldSince, k.GateFrom, k.LateFrom = instantOf(r.hand), instantOf(r.held), instantOf(r.gateFrom), instantOf(r.lateAt)
		keys = append(keys, k)
		return nil
	})
	return keys, err
}

// word reads a text and keeps each different one once: the same names stand in most cars.
type word struct {
	known map[string]string
	text  string
}

// ScanBytes is for pgx.
func (w *word) ScanBytes(b []byte) error {
	if string(b) == w.text { // as in the row before
		return nil
	}
	text, ok := w.known[string(b)]
	if !ok {
		text = string(b)
		w.known[text] = text
	}
	w.text = text
	return nil
}

// instantOf is [orZero] for what is read without a pointer.
func instantOf(t pgtype.Timestamptz) time.Time {
	if !t.Valid {
		return time.Time{}
	}
	return t.Time.UTC()
}

// Places lists the places where open work lies, each once.
func (s *Store) Places(ctx context.Context) (_ []string, err error) {
	defer wrap(&err, "list the places")
	rows, err := s.pool.Query(ctx, `
		SELECT DISTINCT p.lies_at FROM components p JOIN cars c ON c.id = p.car_id
		WHERE c.state <> 'delivered' AND p.removed_at IS NULL AND p.next_step IS NOT NULL AND p.lies_at <> ''`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}
