package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// ReadingIDs lists the readings of a car that stand, and those that are spent: struck
// out, or refused.
func (s *Store) ReadingIDs(ctx context.Context, carID int64) (stand, spent []restoration.ID, err error) {
	defer wrap(&err, "list the ids of the readings of car %d", carID)
	err = s.look(ctx, func(t tx) error {
		var b pgx.Batch
		collect(&b, &stand, pgx.RowTo[restoration.ID], `SELECT event_id FROM readings WHERE car_id = $1`, carID)
		collect(&b, &spent, pgx.RowTo[restoration.ID], `SELECT e.id FROM shop_events e WHERE e.car_id = $1 AND e.kind = 'reading'
			AND NOT EXISTS (SELECT FROM readings r WHERE r.event_id = e.id)`, carID)
		return t.SendBatch(ctx, &b).Close()
	})
	return stand, spent, err
}

// EnterReadings is [Store.Enter] for many readings, such as of an instrument's file:
// those of one piece share a transaction, its lock, what the rules look at and the round
// trips. The answers and what is kept are those that Enter would give.
//
// An error means that the database failed: some pieces may have theirs, and all may be
// entered again.
func (s *Store) EnterReadings(ctx context.Context, events []restoration.Event) (outcomes []restoration.Outcome, err error) {
	defer wrap(&err, "enter %d readings", len(events))
	outcomes = make([]restoration.Outcome, len(events))
	var order []restoration.ID
	byPiece := map[restoration.ID][]int{}
	for i, e := range events {
		if e.Kind != restoration.KindReading {
			return nil, fmt.Errorf("event %v is no reading but a %s", e.ID, e.Kind)
		}
		if len(byPiece[e.PieceID]) == 0 {
			order = append(order, e.PieceID)
		}
		byPiece[e.PieceID] = append(byPiece[e.PieceID], i)
	}
	for _, piece := range order {
		var list []restoration.Event
		for _, i := range byPiece[piece] {
			list = append(list, tidy(events[i]))
		}
		answers, err := s.enterReadingsOf(ctx, piece, list)
		if err != nil {
			return nil, fmt.Errorf("piece %v: %w", piece, err)
		}
		for n, i := range byPiece[piece] {
			outcomes[i] = answers[n]
		}
	}
	return outcomes, nil
}

// enterReadingsOf enters the readings of one piece at once, or one by one where a single
// one of them is what the database forbids.
func (s *Store) enterReadingsOf(ctx context.Context, piece restoration.ID, list []restoration.Event) (outcomes []restoration.Outcome, err error) {
	err = s.change(ctx, func(t tx) error {
		outcomes, err = s.applyReadings(ctx, t, piece, list)
		return err
	})
	if broke(err, "shop_events_pkey") || guarded(err) {
		return s.Enter(ctx, list)
	}
	return outcomes, err
}

// readingsScene is what the readings of a piece play on.
type readingsScene struct {
	scene
	route restoration.Route
	film  restoration.FilmScene
}

func (s *Store) setReadingsScene(ctx context.Context, t tx, piece restoration.ID, list []restoration.Event) (sc readingsScene, err error) {
	first := restoration.Event{Kind: restoration.KindReading, PieceID: piece}
	if sc.scene, err = setScene(ctx, t, first); err != nil || len(sc.piece) == 0 {
		return sc, err
	}
	sc.piece[0].Steps = sc.steps
	ids, colours := make([]restoration.ID, len(list)), false
	for i, e := range list {
		ids[i] = e.ID
		colours = colours || e.Reading != nil && e.Reading.Kind == restoration.ReadColour
	}
	var b pgx.Batch
	collect(&b, &sc.kept, pgx.RowToStructByName[eventRow], `SELECT `+eventColumns+` FROM shop_events e WHERE e.id = ANY($1)`, ids)
	if err := t.SendBatch(ctx, &b).Close(); err != nil {
		return sc, err
	}
	if sc.route, err = s.startedRoute(ctx, t, sc.piece[0].RouteID); err != nil {
		return sc, err
	}
	sc.film, err = loadFilmScene(ctx, t, sc.piece[0], first, false, colours)
	return sc, err
}

// applyReadings is [Store.apply] for the readings of one piece.
func (s *Store) applyReadings(ctx context.Context, t tx, piece restoration.ID, list []restoration.Event) ([]restoration.Outcome, error) {
	sc, err := s.setReadingsScene(ctx, t, piece, list)
	if err != nil {
		return nil, err
	}
	outcomes := make([]restoration.Outcome, len(list))
	if len(sc.piece) == 0 {
		for i, e := range list {
			e.Arrived = t.now
			if outcomes[i], err = s.applyToPiece(ctx, t, e); err != nil {
				return nil, err
			}
		}
		return outcomes, nil
	}
	kept := map[restoration.ID]eventRow{}
	for _, row := range sc.kept {
		kept[row.ID] = row
	}
	car, before := sc.car[0], sc.piece[0]
	now, changed := before, false
	var b pgx.Batch
	for i, e := range list {
		if row, ok := kept[e.ID]; ok {
			if outcomes[i], err = answerAgain(row, e); err != nil {
				return nil, err
			}
			continue
		}
		e.Arrived, e.CarID = t.now, car.ID
		if e.Reading != nil && e.Reading.Kind == restoration.ReadFilm { // only these are judged by the film so far
			restoration.ByHour(sc.film.Deeds)
		}
		e.Facts = restoration.Judge(now, sc.route, e, sc.film)
		now, outcomes[i] = restoration.Apply(car.State, now, sc.route, e)
		queueEvent(&b, e, outcomes[i])
		kept[e.ID] = keptRow(e, outcomes[i])
		if d, adds := restoration.DeedOf(now, e); adds && outcomes[i].Result == restoration.Applied {
			queueDeed(&b, car.ID, d)
			sc.film.Deeds, changed = append(sc.film.Deeds, d), true
		}
	}
	queuePiece(&b, before, now)
	if changed {
		queueKeptFilm(&b, now.ID, restoration.KeptOf(now, sc.route, restoration.ByHour(sc.film.Deeds)))
	}
	return outcomes, t.SendBatch(ctx, &b).Close()
}

// keptRow is an event as it was just queued, as far as a second of the same id is
// compared with it.
func keptRow(e restoration.Event, out restoration.Outcome) eventRow {
	return eventRow{ID: e.ID, Kind: string(e.Kind), ComponentID: e.PieceID, StepID: e.StepID, DeviceID: keyOrNull(e.DeviceID), At: e.At,
		Payload: e.Payload, Outcome: string(out.Result), Reason: out.Reason, AllowedFrom: orNull(out.AllowedFrom)}
}
