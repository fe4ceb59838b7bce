package store

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// carRow is a row of cars.
type carRow struct {
	ID          int64
	WorkOrder   string
	Name        string
	Body        string
	Customer    string
	Contact     string
	State       string
	HoldReason  string
	HeldSince   *time.Time
	Quality     string
	RateCents   int64
	ArrivedOn   *time.Time
	PromisedOn  *time.Time
	ExpectFrom  *time.Time
	ExpectTo    *time.Time
	DeliveredAt *time.Time
	Ground      string
	Grain       string
	Scheme      string
	Words       string
	Note        string
}

const carColumns = `c.id, c.work_order, c.name, c.body, c.customer, c.contact, c.state, c.hold_reason, c.held_since,
	c.quality, c.rate_cents, c.arrived_on, c.promised_on, c.expect_from, c.expect_to, c.delivered_at,
	c.ground, c.grain, c.scheme, c.words, c.note`

func (r carRow) car() restoration.Car {
	return restoration.Car{
		ID: r.ID, WorkOrder: r.WorkOrder, Name: r.Name, Body: r.Body, Customer: r.Customer, Contact: r.Contact,
		State: restoration.CarState(r.State), HoldReason: r.HoldReason, HeldSince: orZero(r.HeldSince),
		Quality: restoration.Quality(r.Quality), RateCents: r.RateCents,
		ArrivedOn: orZero(r.ArrivedOn), PromisedOn: orZero(r.PromisedOn),
		ExpectFrom: orZero(r.ExpectFrom), ExpectTo: orZero(r.ExpectTo), DeliveredAt: orZero(r.DeliveredAt),
		Ground: r.Ground, Grain: r.Grain, Scheme: r.Scheme, Words: r.Words, Note: r.Note,
	}
}

// officeColumns are the columns of a car that the office writes.
func officeColumns(c restoration.Car) pgx.StrictNamedArgs {
	return pgx.StrictNamedArgs{
		"work_order": c.WorkOrder, "name": c.Name, "body": c.Body, "customer": c.Customer, "contact": c.Contact,
		"quality": c.Quality, "rate_cents": c.RateCents, "arrived_on": orNull(c.ArrivedOn), "promised_on": orNull(c.PromisedOn),
		"expect_from": orNull(c.ExpectFrom), "expect_to": orNull(c.ExpectTo), "ground": c.Ground, "grain": c.Grain,
		"scheme": c.Scheme, "words": c.Words, "note": c.Note,
	}
}

// carLedgerNames are the columns of a car that its events write, in the order of
// carLedgerValues.
var carLedgerNames = []string{"state", "hold_reason", "held_since", "delivered_at"}

func carLedgerValues(c restoration.Car) []any {
	return []any{string(c.State), c.HoldReason, orNull(c.HeldSince), orNull(c.DeliveredAt)}
}

// FindCar finds a car by its work order; NotFound when there is none.
func (s *Store) FindCar(ctx context.Context, workOrder string) (_ restoration.Car, err error) {
	defer wrap(&err, "find car %q", workOrder)
	rows, err := s.pool.Query(ctx, `SELECT `+carColumns+` FROM cars c WHERE c.work_order = $1`, workOrder)
	if err != nil {
		return restoration.Car{}, err
	}
	r, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[carRow])
	return r.car(), notFound(err, "There is no car under the work order %.20q. Look at the list of cars.", workOrder)
}

// FindCarByID finds a car by its number in the database; NotFound when there is none.
func (s *Store) FindCarByID(ctx context.Context, id int64) (_ restoration.Car, err error) {
	defer wrap(&err, "find car %d", id)
	rows, err := s.pool.Query(ctx, `SELECT `+carColumns+` FROM cars c WHERE c.id = $1`, id)
	if err != nil {
		return restoration.Car{}, err
	}
	r, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[carRow])
	return r.car(), noCar(err)
}

// ListCars lists every car, delivered ones too, the newest work order first.
func (s *Store) ListCars(ctx context.Context) (_ []restoration.Car, err error) {
	defer wrap(&err, "list cars")
	rows, err := s.pool.Query(ctx, `SELECT `+carColumns+` FROM cars c ORDER BY c.id DESC`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, toCar)
}

func toCar(row pgx.CollectableRow) (restoration.Car, error) {
	r, err := pgx.RowToStructByName[carRow](row)
	return r.car(), err
}

// lock is how a transaction claims the car that it works on. The car always comes
// before its pieces, so that two transactions can't wait for each other.
type lock string

const (
	lockShared lock = `FOR KEY SHARE` // work on a piece: others may too, but the car's own state stands still
	lockWhole  lock = `FOR UPDATE`    // the car itself: no piece of it moves meanwhile
)

// claimCar loads and locks a car; NotFound when there is none.
func claimCar(ctx context.Context, t tx, id int64, l lock) (restoration.Car, error) {
	rows, err := t.Query(ctx, `SELECT `+carColumns+` FROM cars c WHERE c.id = $1 `+string(l), id)
	if err != nil {
		return restoration.Car{}, err
	}
	r, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[carRow])
	return r.car(), noCar(err)
}

func noCar(err error) error {
	return notFound(err, "There is no such car any more. Look at the list of cars.")
}

// NewCar takes in a car with its pieces, all or nothing, and returns it with its
// number and state. An empty WorkOrder becomes the next of the year in the shop's
// zone. Conflict when the work order is taken.
func (s *Store) NewCar(ctx context.Context, by restoration.Actor, c restoration.Car, pieces []restoration.NewPiece) (_ restoration.Car, err error) {
	defer wrap(&err, "take in car %q with %d pieces", c.WorkOrder, len(pieces))
	err = s.change(ctx, func(t tx) error {
		if c, err = s.newCar(ctx, t, by, c); err != nil {
			return err
		}
		_, err = s.addPieces(ctx, t, by, c, pieces)
		return err
	})
	return c, err
}

// ImportCars takes in cars without pieces, all or nothing, in their order.
func (s *Store) ImportCars(ctx context.Context, by restoration.Actor, cars []restoration.Car) (_ []restoration.Car, err error) {
	defer wrap(&err, "import %d cars", len(cars))
	taken := make([]restoration.Car, 0, len(cars))
	err = s.change(ctx, func(t tx) error {
		for _, c := range cars {
			c, err := s.newCar(ctx, t, by, c)
			if err != nil {
				return about(err, c.WorkOrder+" "+c.Name)
			}
			taken = append(taken, c)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return taken, nil
}

// newCar inserts a car as it comes in: in survey.
func (s *Store) newCar(ctx context.Context, t tx, by restoration.Actor, c restoration.Car) (restoration.Car, error) {
	if found := c.Check(); len(found) > 0 {
		return c, found[0]
	}
	var err error
	if c.WorkOrder == "" {
		if c.WorkOrder, err = nextWorkOrder(ctx, t); err != nil {
			return c, err
		}
	}
	c.State, c.HoldReason, c.HeldSince, c.DeliveredAt = restoration.CarSurvey, "", time.Time{}, time.Time{}
	c = c.WithDefaults()
	args := officeColumns(c)
	args["state"], args["created_at"] = c.State, t.now
	err = t.QueryRow(ctx, `
		INSERT INTO cars (work_order, name, body, customer, contact, state, quality, rate_cents, arrived_on, promised_on,
			expect_from, expect_to, ground, grain, scheme, words, note, created_at)
		VALUES (@work_order, @name, @body, @customer, @contact, @state, @quality, @rate_cents, @arrived_on, @promised_on,
			@expect_from, @expect_to, @ground, @grain, @scheme, @words, @note, @created_at)
		RETURNING id`, args).Scan(&c.ID)
	if err != nil {
		return c, err
	}
	if err := audit(ctx, t, by, deed{act: restoration.ActTakeInCar, subject: c.WorkOrder, carID: c.ID, after: c}); err != nil {
		return c, err
	}
	return c, notify(ctx, t, c.ID)
}

// nextWorkOrder gives the next number of the year. It lets one transaction at a
// time take one.
func nextWorkOrder(ctx context.Context, t tx) (string, error) {
	settings, err := loadSettings(ctx, t)
	if err != nil {
		return "", err
	}
	if _, err := t.Exec(ctx, `SELECT pg_advisory_xact_lock(hashtext('scumble work order'))`); err != nil {
		return "", err
	}
	year := t.now.In(settings.Location()).Format("06")
	var last int
	err = t.QueryRow(ctx, `SELECT coalesce(max(substr(work_order, 4)::integer), 0) FROM cars WHERE work_order LIKE $1 || '-%'`,
		year).Scan(&last)
	return fmt.Sprintf("%s-%03d", year, last+1), err
}

// EditCar changes what the office says of a car; its state is left alone, since
// only events change that. When the quality changes, steps that are still open are
// planned anew.
func (s *Store) EditCar(ctx context.Context, by restoration.Actor, c restoration.Car) (err error) {
	defer wrap(&err, "edit car %d", c.ID)
	if found := c.Check(); len(found) > 0 {
		return found[0]
	}
	return s.change(ctx, func(t tx) error {
		before, err := claimCar(ctx, t, c.ID, lockWhole)
		if err != nil {
			return err
		}
		args := officeColumns(c)
		args["id"] = c.ID
		_, err = t.Exec(ctx, `
			UPDATE cars SET work_order = @work_order, name = @name, body = @body, customer = @customer, contact = @contact,
				quality = @quality, rate_cents = @rate_cents, arrived_on = @arrived_on, promised_on = @promised_on,
				expect_from = @expect_from, expect_to = @expect_to, ground = @ground, grain = @grain,
				scheme = @scheme, words = @words, note = @note
			WHERE id = @id`, args)
		if err != nil {
			return err
		}
		after, err := claimCar(ctx, t, c.ID, lockWhole)
		if err != nil {
			return err
		}
		if before.Quality != after.Quality {
			if err := s.replanCar(ctx, t, by, after); err != nil {
				return err
			}
		}
		d := deed{act: restoration.ActEditCar, subject: after.WorkOrder, carID: c.ID, before: before, after: after}
		if err := audit(ctx, t, by, d); err != nil {
			return err
		}
		return notify(ctx, t, c.ID)
	})
}
