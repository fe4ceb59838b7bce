package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"scumble/internal/restoration"
)

// Enter takes events into the ledger, each in a transaction of its own, and gives
// their outcomes in the same order. An id that was entered before gives the answer
// it got then and changes nothing; the same id with other content is refused and
// not kept. Every other refusal is kept. Arrived, and the piece and car where the
// step tells them, are filled in here.
//
// An error means that the database failed: the outcomes so far are given, the rest
// was not tried, and all may be entered again.
func (s *Store) Enter(ctx context.Context, events []restoration.Event) (outcomes []restoration.Outcome, err error) {
	defer wrap(&err, "enter %d events", len(events))
	for _, e := range events {
		out, err := s.enter(ctx, tidy(e), nil)
		if err != nil {
			return outcomes, fmt.Errorf("event %v: %w", e.ID, err)
		}
		outcomes = append(outcomes, out)
	}
	return outcomes, nil
}

// enter enters one event. with keeps in the same transaction what belongs to it, whatever
// becomes of the event; nil is nothing.
func (s *Store) enter(ctx context.Context, e restoration.Event, with func(tx) error) (restoration.Outcome, error) {
	out, err := s.enterOnce(ctx, e, with)
	if broke(err, "shop_events_pkey") {
		// The same entry came twice at the same moment: the other's answer stands now.
		out, err = s.enterOnce(ctx, e, with)
	}
	if guarded(err) {
		s.log.Error("an event was allowed that the database forbids", "event", e.ID, "kind", e.Kind, "err", err)
		return s.enterRefused(ctx, e)
	}
	return out, err
}

// guarded tells whether the constraints that guard the projection forbade a change.
func guarded(err error) bool {
	var pg *pgconn.PgError
	if errors.As(err, &pg) && slices.Contains([]string{"coats", "coat_lots", "cut_passes", "readings", "films"}, pg.TableName) {
		return strings.HasPrefix(pg.Code, "23") // of integrity constraints
	}
	return broke(err, "finish_steps_in_order", "finish_steps_pass_once", "finish_steps_one_open_pass",
		"finish_steps_done_has_time", "finish_steps_settled_has_nothing_left", "finish_steps_skip_has_reason",
		"finish_steps_rework_not_counted", "finish_steps_earned_within_counted", "finish_steps_likely_from_low",
		"finish_steps_high_from_likely", "components_hold_has_reason", "components_removed_has_nothing_left",
		"cars_hold_has_since", "cars_delivered_has_time")
}

func (s *Store) enterOnce(ctx context.Context, e restoration.Event, with func(tx) error) (out restoration.Outcome, err error) {
	err = s.change(ctx, func(t tx) error {
		if with != nil {
			if err := with(t); err != nil {
				return err
			}
		}
		out, err = s.apply(ctx, t, e)
		return err
	})
	return out, err
}

// enterRefused keeps an entry that the rules allow and the database forbids, so
// that it is not lost and doesn't stop the tablet that sent it.
func (s *Store) enterRefused(ctx context.Context, e restoration.Event) (restoration.Outcome, error) {
	out := refuse("The entry contradicts what is recorded. It is kept; the owner will look at it.")
	err := s.change(ctx, func(t tx) error {
		e.Arrived = t.now
		return keep(ctx, t, e, out)
	})
	return out, err
}

func refuse(format string, args ...any) restoration.Outcome {
	return restoration.Outcome{Result: restoration.Refused, Reason: fmt.Sprintf(format, args...)}
}

// apply enters e in the caller's transaction: it loads and locks what e is about,
// asks the rules, and writes the event with its outcome and what it changed.
func (s *Store) apply(ctx context.Context, t tx, e restoration.Event) (restoration.Outcome, error) {
	e.Arrived = t.now
	switch {
	case e.Kind == restoration.KindSettle:
		return s.applySettle(ctx, t, e)
	case e.Kind.AboutCar():
		return s.applyToCar(ctx, t, e)
	}
	return s.applyToPiece(ctx, t, e)
}

// mustApply is [Store.apply] for an event of the office itself: a refusal is a
// Conflict and undoes the transaction.
func (s *Store) mustApply(ctx context.Context, t tx, e restoration.Event) error {
	out, err := s.apply(ctx, t, e)
	if err == nil && out.Result == restoration.Refused {
		err = restoration.Problemf(restoration.TroubleConflict, "", "%s", out.Reason)
	}
	return err
}

// scene is what an event about a piece plays on.
type scene struct {
	kept  []eventRow // the event itself, when it was entered before
	car   []restoration.Car
	piece []restoration.Piece
	steps []restoration.Step
}

// ofPiece finds the piece that an event names, or the one whose step it names.
const ofPiece = `coalesce($1::uuid, (SELECT component_id FROM finish_steps WHERE id = $2::uuid))`

// setScene loads in one round trip what e is about and locks it, the car first.
// Whether e was entered before is asked last, when nobody else can be entering it
// on the same piece any more.
func setScene(ctx context.Context, t tx, e restoration.Event) (sc scene, err error) {
	var b pgx.Batch
	collect(&b, &sc.car, toCar, `SELECT `+carColumns+` FROM cars c
		WHERE c.id = (SELECT car_id FROM components WHERE id = `+ofPiece+`) `+string(lockShared), e.PieceID, e.StepID)
	collect(&b, &sc.piece, toPiece, `SELECT `+pieceColumns+` FROM components p
		WHERE p.id = `+ofPiece+` FOR NO KEY UPDATE`, e.PieceID, e.StepID)
	collect(&b, &sc.steps, toStep, stepSelect+`
		WHERE s.component_id = `+ofPiece+` ORDER BY s.position, s.pass`, e.PieceID, e.StepID)
	queueKept(&b, &sc.kept, e.ID)
	return sc, t.SendBatch(ctx, &b).Close()
}

func queueKept(b *pgx.Batch, kept *[]eventRow, id restoration.ID) {
	collect(b, kept, pgx.RowToStructByName[eventRow], `SELECT `+eventColumns+` FROM shop_events e WHERE e.id = $1`, id)
}

// collect queues a query whose rows go to into.
func collect[T any](b *pgx.Batch, into *[]T, fn pgx.RowToFunc[T], sql string, args ...any) {
	b.Queue(sql, args...).Query(func(rows pgx.Rows) (err error) {
		*into, err = pgx.CollectRows(rows, fn)
		return err
	})
}

// answerAgain gives the answer that an entry got before.
func answerAgain(kept eventRow, e restoration.Event) (restoration.Outcome, error) {
	same, err := sameEntry(kept, e)
	if err != nil || same {
		return kept.outcome(), err
	}
	return refuse("This id was already used for another entry. Enter it again."), nil
}

func (s *Store) applyToPiece(ctx context.Context, t tx, e restoration.Event) (restoration.Outcome, error) {
	sc, err := setScene(ctx, t, e)
	if err != nil {
		return restoration.Outcome{}, err
	}
	if len(sc.kept) > 0 {
		return answerAgain(sc.kept[0], e)
	}
	if len(sc.piece) == 0 && e.PieceID.IsZero() {
		return keepUnknown(ctx, t, e, "There is no such step. It may have been planned anew since: open the piece again.")
	}
	if len(sc.piece) == 0 {
		return keepUnknown(ctx, t, e, "There is no such piece. Look at the car's list again.")
	}
	if lost, err := pictureLost(ctx, t, e); err != nil || lost {
		return keepLost(ctx, t, e, err)
	}
	car, piece := sc.car[0], sc.piece[0]
	piece.Steps = sc.steps
	e.CarID, e.PieceID = car.ID, piece.ID
	route, err := s.routeFor(ctx, t, piece, e)
	if err != nil {
		return restoration.Outcome{}, err
	}
	var film []restoration.Deed
	if restoration.NeedsFacts(piece, route, e) {
		if e.Facts, film, err = facts(ctx, t, piece, route, e); err != nil {
			return restoration.Outcome{}, err
		}
	}
	if e.Kind == restoration.KindMove {
		if e.Facts, err = moveFacts(ctx, t, piece, e); err != nil {
			return restoration.Outcome{}, err
		}
	}
	after, out := restoration.Apply(car.State, piece, route, e)
	var b pgx.Batch
	queueEvent(&b, e, out)
	queuePiece(&b, piece, after)
	if out.Result == restoration.Applied {
		if err := queueFilm(ctx, t, &b, piece, after, route, e, film); err != nil {
			return restoration.Outcome{}, err
		}
		queuePhoto(&b, after, e)
	}
	if state := restoration.CarAfter(car.State, e.Kind, out.Result); state != car.State {
		b.Queue(`UPDATE cars SET state = $2 WHERE id = $1 AND state = $3`, car.ID, string(state), string(car.State))
	}
	return out, t.SendBatch(ctx, &b).Close()
}

// routeFor gives the route that the rules need: the piece's own, or the one that an
// event puts it on.
func (s *Store) routeFor(ctx context.Context, t tx, p restoration.Piece, e restoration.Event) (restoration.Route, error) {
	if e.RouteID != 0 && e.RouteID != p.RouteID {
		r, err := loadRoute(ctx, t, e.RouteID)
		return r, notFound(err, "There is no such route any more. Choose another.")
	}
	return s.startedRoute(ctx, t, p.RouteID)
}

// queuePiece queues what it takes to turn before into after.
func queuePiece(b *pgx.Batch, before, after restoration.Piece) {
	queueSteps(b, before.Steps, after.Steps)
	is := projectionValues(after)
	if !slices.EqualFunc(projectionValues(before), is, equalValue) {
		b.Queue(projectionUpdate, append([]any{after.ID}, is...)...)
	}
}

// keepUnknown keeps an entry about what never was, or is no more.
func keepUnknown(ctx context.Context, t tx, e restoration.Event, why string) (restoration.Outcome, error) {
	out := refuse("%s", why)
	e.CarID, e.PieceID = 0, restoration.ID{}
	return out, keep(ctx, t, e, out)
}

// keep writes an event that changes nothing.
func keep(ctx context.Context, t tx, e restoration.Event, out restoration.Outcome) error {
	var b pgx.Batch
	queueEvent(&b, e, out)
	return t.SendBatch(ctx, &b).Close()
}

func (s *Store) applyToCar(ctx context.Context, t tx, e restoration.Event) (restoration.Outcome, error) {
	var cars []restoration.Car
	var kept []eventRow
	var b pgx.Batch
	collect(&b, &cars, toCar, `SELECT `+carColumns+` FROM cars c WHERE c.id = $1 `+string(lockWhole), e.CarID)
	queueKept(&b, &kept, e.ID)
	if err := t.SendBatch(ctx, &b).Close(); err != nil {
		return restoration.Outcome{}, err
	}
	if len(kept) > 0 {
		return answerAgain(kept[0], e)
	}
	if len(cars) == 0 {
		return keepUnknown(ctx, t, e, "There is no such car. Look at the list of cars again.")
	}
	pieces, err := loadPieces(ctx, t, `p.car_id = $1 AND p.removed_at IS NULL`, e.CarID)
	if err != nil {
		return restoration.Outcome{}, err
	}
	after, out := restoration.ApplyCar(cars[0], pieces, e)
	e.PieceID, e.StepID = restoration.ID{}, restoration.ID{}
	b = pgx.Batch{}
	queueEvent(&b, e, out)
	if after != cars[0] {
		b.Queue(`UPDATE cars SET state = $2, hold_reason = $3, held_since = $4, delivered_at = $5 WHERE id = $1`,
			append([]any{after.ID}, carLedgerValues(after)...)...)
	}
	return out, t.SendBatch(ctx, &b).Close()
}

// applySettle takes a refused entry off the list of those that need a look.
func (s *Store) applySettle(ctx context.Context, t tx, e restoration.Event) (restoration.Outcome, error) {
	var kept, about []eventRow
	var settled []bool
	var b pgx.Batch
	collect(&b, &about, pgx.RowToStructByName[eventRow], `SELECT `+eventColumns+` FROM shop_events e
		WHERE e.id = $1 AND e.outcome = 'refused'`, e.Ref)
	collect(&b, &settled, pgx.RowTo[bool], `SELECT true FROM shop_events
		WHERE kind = 'settle' AND payload ->> 'ref' = $1 AND outcome = 'applied' LIMIT 1`, e.Ref.String())
	queueKept(&b, &kept, e.ID)
	if err := t.SendBatch(ctx, &b).Close(); err != nil {
		return restoration.Outcome{}, err
	}
	if len(kept) > 0 {
		return answerAgain(kept[0], e)
	}
	if len(about) == 0 {
		return keepUnknown(ctx, t, e, "There is no such refused entry. Look at the list again.")
	}
	e.CarID, e.PieceID, e.StepID = keyOrZero(about[0].CarID), about[0].ComponentID, restoration.ID{}
	out := restoration.Outcome{Result: restoration.Applied}
	if len(settled) > 0 {
		out = restoration.Outcome{Result: restoration.Already, Reason: "The entry was settled already."}
	}
	return out, keep(ctx, t, e, out)
}
