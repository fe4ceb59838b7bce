package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// Verify replays the ledger of every car from nothing through the rules and compares
// what comes out with what is stored: each event's outcome, and every column of the
// projection of cars, pieces and steps. Each difference is a sentence; none means
// that all is well. Reasons are not compared, since their wording may change.
func (s *Store) Verify(ctx context.Context) (differences []string, err error) {
	defer wrap(&err, "verify the ledger")
	err = s.look(ctx, func(t tx) error {
		rows, err := t.Query(ctx, `SELECT `+carColumns+` FROM cars c ORDER BY c.id`)
		if err != nil {
			return err
		}
		cars, err := pgx.CollectRows(rows, toCar)
		if err != nil {
			return err
		}
		for _, c := range cars {
			found, err := s.verifyCar(ctx, t, c)
			if err != nil {
				return fmt.Errorf("car %s: %w", c.WorkOrder, err)
			}
			differences = append(differences, found...)
		}
		return nil
	})
	return differences, err
}

func (s *Store) verifyCar(ctx context.Context, t tx, stored restoration.Car) ([]string, error) {
	pieces, err := loadPieces(ctx, t, `p.car_id = $1`, stored.ID)
	if err != nil {
		return nil, err
	}
	rows, err := t.Query(ctx, `SELECT `+eventColumns+` FROM shop_events e WHERE e.car_id = $1 ORDER BY e.seq`, stored.ID)
	if err != nil {
		return nil, err
	}
	events, err := pgx.CollectRows(rows, pgx.RowToStructByName[eventRow])
	if err != nil {
		return nil, err
	}
	r := newReplay(stored)
	for _, e := range events {
		if err := s.replay(ctx, t, r, e); err != nil {
			return nil, err
		}
	}
	r.compare(stored, pieces)
	return r.differences, nil
}

// replay is one car as its ledger tells it.
type replay struct {
	car         restoration.Car
	pieces      map[restoration.ID]restoration.Piece
	differences []string
}

func newReplay(stored restoration.Car) *replay {
	car := stored
	car.State, car.HoldReason = restoration.CarSurvey, ""
	car.HeldSince, car.DeliveredAt = time.Time{}, time.Time{}
	return &replay{car: car, pieces: map[restoration.ID]restoration.Piece{}}
}

func (r *replay) differ(format string, args ...any) {
	r.differences = append(r.differences, "car "+r.car.WorkOrder+": "+fmt.Sprintf(format, args...))
}

// replay applies one stored event and compares its outcome.
func (s *Store) replay(ctx context.Context, t tx, r *replay, row eventRow) error {
	e := row.event()
	var out restoration.Outcome
	switch {
	case e.Kind == restoration.KindSettle:
		return nil
	case e.Kind.AboutCar():
		r.car, out = restoration.ApplyCar(r.car, r.onList(), e)
	default:
		p, ok := r.pieces[e.PieceID]
		if !ok && e.Kind != restoration.KindOpen {
			r.differ("event %v (%s) is about piece %v before it was opened", e.ID, e.Kind, e.PieceID)
			return nil
		}
		if !ok {
			p = restoration.Piece{ID: e.PieceID, CarID: e.CarID, RouteID: e.RouteID}
		}
		route, err := s.routeFor(ctx, t, p, e)
		if err != nil {
			return err
		}
		p, out = restoration.Apply(r.car.State, p, route, e)
		r.pieces[p.ID] = p
		r.car.State = restoration.CarAfter(r.car.State, e.Kind, out.Result)
	}
	if was := row.outcome(); was.Result != out.Result || !was.AllowedFrom.Equal(out.AllowedFrom) {
		r.differ("event %v (%s) is stored as %s, the replay gives %s", e.ID, e.Kind, outcomeWords(was), outcomeWords(out))
	}
	return nil
}

func outcomeWords(o restoration.Outcome) string {
	if o.AllowedFrom.IsZero() {
		return string(o.Result)
	}
	return fmt.Sprintf("%s until %s", o.Result, o.AllowedFrom.Format(time.RFC3339))
}

func (r *replay) onList() []restoration.Piece {
	var list []restoration.Piece
	for _, p := range r.pieces {
		if p.Removed.IsZero() {
			list = append(list, p)
		}
	}
	return list
}

// compare holds the replay against what is stored, row by row and column by column.
func (r *replay) compare(car restoration.Car, pieces []restoration.Piece) {
	r.columns("the car", carLedgerNames, carLedgerValues(car), carLedgerValues(r.car))
	for _, p := range pieces {
		told, ok := r.pieces[p.ID]
		if !ok {
			r.differ("piece %s %q is stored, but the ledger never opened it", p.Label, p.Name)
			continue
		}
		delete(r.pieces, p.ID)
		name := fmt.Sprintf("piece %s %q", p.Label, p.Name)
		r.columns(name, []string{"size"}, []any{p.Size}, []any{told.Size})
		r.columns(name, projectionNames, projectionValues(p), projectionValues(told))
		r.compareSteps(name, p.Steps, told.Steps)
	}
	for id := range r.pieces {
		r.differ("piece %v was opened by the ledger, but is not stored", id)
	}
}

func (r *replay) compareSteps(piece string, stored, told []restoration.Step) {
	for _, s := range stored {
		name := fmt.Sprintf("%s, step %s pass %d", piece, s.Stage, s.Pass)
		i := slices.IndexFunc(told, func(o restoration.Step) bool { return o.ID == s.ID })
		if i < 0 {
			r.differ("%s is stored, but the ledger doesn't tell of it", name)
			continue
		}
		r.columns(name, stepNames, stepValues(s), stepValues(told[i]))
	}
	for _, s := range told {
		if !slices.ContainsFunc(stored, func(o restoration.Step) bool { return o.ID == s.ID }) {
			r.differ("%s, step %s pass %d is told by the ledger, but is not stored", piece, s.Stage, s.Pass)
		}
	}
}

func (r *replay) columns(of string, names []string, stored, told []any) {
	for i, name := range names {
		if !equalValue(stored[i], told[i]) {
			r.differ("%s: %s is stored as %s, the ledger gives %s", of, name, show(stored[i]), show(told[i]))
		}
	}
}

// show writes a column's value; pointers stand for columns that may be null.
func show(v any) string {
	switch v := v.(type) {
	case *time.Time:
		if v == nil {
			return "nothing"
		}
		return v.Format(time.RFC3339Nano)
	case *int64:
		if v == nil {
			return "nothing"
		}
		return fmt.Sprint(*v)
	case *restoration.Minutes:
		if v == nil {
			return "nothing"
		}
		return v.String()
	case string:
		return fmt.Sprintf("%q", v)
	}
	return fmt.Sprint(v)
}
