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
// projection of cars, pieces, steps, film and photos. Each difference is a sentence; none means
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
		used := map[int64]float64{}
		for _, c := range cars {
			found, err := s.verifyCar(ctx, t, c, used)
			if err != nil {
				return fmt.Errorf("car %s: %w", c.WorkOrder, err)
			}
			differences = append(differences, found...)
		}
		found, err := verifyTins(ctx, t, used)
		differences = append(differences, found...)
		return err
	})
	return differences, err
}

// verifyCar adds to used what the coats of the car took out of the tins, in mL by lot.
func (s *Store) verifyCar(ctx context.Context, t tx, stored restoration.Car, used map[int64]float64) ([]string, error) {
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
	routes, err := routesNamed(ctx, t, events)
	if err != nil {
		return nil, err
	}
	film, kept, err := loadFilm(ctx, t, stored.ID)
	if err != nil {
		return nil, err
	}
	photos, err := listPhotos(ctx, t, `x.car_id = $1`, stored.ID)
	if err != nil {
		return nil, err
	}
	r := newReplay(stored, routes)
	for _, e := range events {
		r.enter(e)
	}
	r.compare(stored, pieces)
	r.compareFilm(film, kept)
	r.comparePhotos(photos)
	for _, d := range r.film {
		for _, use := range d.Lots {
			used[use.Lot] += use.ML
		}
	}
	return r.differences, nil
}

// routesNamed gives every route that an event puts a piece on, by id.
func routesNamed(ctx context.Context, t tx, events []eventRow) (map[int64]restoration.Route, error) {
	routes := map[int64]restoration.Route{}
	for _, e := range events {
		id := e.Payload.RouteID
		if _, ok := routes[id]; ok || id == 0 {
			continue
		}
		var err error
		if routes[id], err = loadRoute(ctx, t, id); err != nil {
			return nil, err
		}
	}
	return routes, nil
}

// replay is one car as its ledger tells it.
type replay struct {
	book        *restoration.Book
	film        map[restoration.ID]restoration.Deed       // by entry
	photos      map[restoration.ID]restoration.PiecePhoto // by entry
	differences []string
}

func newReplay(car restoration.Car, routes map[int64]restoration.Route) *replay {
	car.State, car.HoldReason = restoration.CarSurvey, ""
	car.HeldSince, car.DeliveredAt = time.Time{}, time.Time{}
	return &replay{book: restoration.NewBook(car, routes), film: map[restoration.ID]restoration.Deed{},
		photos: map[restoration.ID]restoration.PiecePhoto{}}
}

func (r *replay) differ(format string, args ...any) {
	r.differences = append(r.differences, "car "+r.book.Car.WorkOrder+": "+fmt.Sprintf(format, args...))
}

// enter applies one stored event and compares its outcome.
func (r *replay) enter(row eventRow) {
	e := row.event()
	if e.Kind == restoration.KindSettle {
		return // it changes no row, and what it settles may be of another car
	}
	if _, ok := r.book.Piece(e.PieceID); !ok && e.Kind == restoration.KindOpen {
		r.book.Expect(restoration.Piece{ID: e.PieceID, CarID: e.CarID, RouteID: e.RouteID})
	} else if !ok && !e.Kind.AboutCar() {
		r.differ("event %v (%s) is about piece %v before it was opened", e.ID, e.Kind, e.PieceID)
		return
	}
	out := r.book.Enter(e)
	if out.Result == restoration.Applied {
		r.enterFilm(e)
		r.enterPhoto(e)
	}
	if was := row.outcome(); was.Result != out.Result || !was.AllowedFrom.Equal(out.AllowedFrom) {
		r.differ("event %v (%s) is stored as %s, the replay gives %s", e.ID, e.Kind, outcomeWords(was), outcomeWords(out))
	}
}

func outcomeWords(o restoration.Outcome) string {
	if o.AllowedFrom.IsZero() {
		return string(o.Result)
	}
	return fmt.Sprintf("%s until %s", o.Result, o.AllowedFrom.Format(time.RFC3339))
}

// compare holds the replay against what is stored, row by row and column by column.
func (r *replay) compare(car restoration.Car, pieces []restoration.Piece) {
	r.columns("the car", carLedgerNames, carLedgerValues(car), carLedgerValues(r.book.Car))
	for _, p := range pieces {
		told, ok := r.book.Piece(p.ID)
		if !ok {
			r.differ("piece %s %q is stored, but the ledger never opened it", p.Label, p.Name)
			continue
		}
		name := fmt.Sprintf("piece %s %q", p.Label, p.Name)
		r.columns(name, []string{"size"}, []any{p.Size}, []any{told.Size})
		r.columns(name, projectionNames, projectionValues(p), projectionValues(told))
		r.compareSteps(name, p.Steps, told.Steps)
	}
	for _, told := range r.book.Pieces() {
		if !slices.ContainsFunc(pieces, func(p restoration.Piece) bool { return p.ID == told.ID }) {
			r.differ("piece %v was opened by the ledger, but is not stored", told.ID)
		}
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
