package store

import (
	"context"
	"crypto/rand"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// AddPieces puts pieces on a car's list, all or nothing, and returns them in the
// same order with their labels and steps. NotFound for the car or a route that
// isn't there, Conflict for a delivered car or a piece that it has already.
func (s *Store) AddPieces(ctx context.Context, by restoration.Actor, carID int64, list []restoration.NewPiece) (pieces []restoration.Piece, err error) {
	defer wrap(&err, "add %d pieces to car %d", len(list), carID)
	err = s.change(ctx, func(t tx) error {
		// The whole car: two lists at once must see each other's pieces.
		car, err := claimCar(ctx, t, carID, lockWhole)
		if err != nil {
			return err
		}
		if car.State == restoration.CarDelivered {
			return restoration.Problemf(restoration.TroubleConflict, "",
				"The car is delivered. Take it in again before you add pieces.")
		}
		if err := refuseDoubles(ctx, t, carID, list); err != nil {
			return err
		}
		if pieces, err = s.addPieces(ctx, t, by, car, list); err != nil {
			return err
		}
		return notify(ctx, t, carID)
	})
	if err != nil {
		return nil, err
	}
	return pieces, nil
}

// refuseDoubles keeps a list from going in twice.
func refuseDoubles(ctx context.Context, t tx, carID int64, list []restoration.NewPiece) error {
	rows, err := t.Query(ctx, `SELECT name, zone, side, place FROM components WHERE car_id = $1 AND removed_at IS NULL`, carID)
	if err != nil {
		return err
	}
	have, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (d restoration.Details, err error) {
		return d, row.Scan(&d.Name, &d.Zone, &d.Side, &d.Place)
	})
	if err != nil {
		return err
	}
	switch doubles := restoration.Doubles(have, list); len(doubles) {
	case 0:
		return nil
	case 1:
		return restoration.Problemf(restoration.TroubleConflict, "piece",
			"%s is on the car already. Give the new one another place, or leave it out.", doubles[0])
	default:
		return restoration.Problemf(restoration.TroubleConflict, "piece",
			"%d of the pieces are on the car already, first %s. Take them out of the list, or give them another place.", len(doubles), doubles[0])
	}
}

// opening is a new piece with the event that opened it.
type opening struct {
	piece   restoration.Piece
	event   restoration.Event
	outcome restoration.Outcome
}

func (s *Store) addPieces(ctx context.Context, t tx, by restoration.Actor, car restoration.Car, list []restoration.NewPiece) ([]restoration.Piece, error) {
	if len(list) == 0 {
		return nil, nil
	}
	settings, err := loadSettings(ctx, t)
	if err != nil {
		return nil, err
	}
	labels, err := newLabels(ctx, t, len(list))
	if err != nil {
		return nil, err
	}
	routes := map[string]restoration.Route{}
	opened := make([]opening, len(list))
	pieces := make([]restoration.Piece, len(list))
	for i, line := range list {
		if _, ok := routes[line.Route]; !ok {
			if routes[line.Route], err = claimRouteByName(ctx, t, line.Route); err != nil {
				return nil, err
			}
		}
		opened[i], err = open(t, by, car, line, routes[line.Route], settings.Factors)
		if err != nil {
			return nil, err
		}
		opened[i].piece.Label = labels[i]
		pieces[i] = opened[i].piece
	}
	return pieces, copyOpenings(ctx, t, opened)
}

// open makes a piece of a line of a trim list, by an event that plans its steps.
func open(t tx, by restoration.Actor, car restoration.Car, line restoration.NewPiece, r restoration.Route, f restoration.Factors) (opening, error) {
	line.Details = line.Details.WithDefaults()
	e := officeEvent(t, by, restoration.KindOpen)
	e.CarID, e.PieceID = car.ID, newID()
	e.RouteID, e.Size, e.Place, e.Reason = r.ID, line.Size, line.LiesAt, restoration.OpeningHold(line.Details)
	e.Plan = restoration.Planned(line.Details, car.Quality, r, f)
	e = tidy(e)
	bare := restoration.Piece{ID: e.PieceID, CarID: car.ID, RouteID: r.ID, Details: line.Details}
	piece, out := restoration.Apply(car.State, bare, r, e)
	if out.Result == restoration.Refused {
		return opening{}, restoration.Problemf(restoration.TroubleInvalid, "piece", "%s: %s", line.Name, out.Reason)
	}
	return opening{piece, e, out}, nil
}

func claimRouteByName(ctx context.Context, t tx, nameOrKey string) (restoration.Route, error) {
	r, err := routeByName(ctx, t, nameOrKey)
	if err != nil {
		return r, err
	}
	return claimRoute(ctx, t, r.ID)
}

// newLabels draws n label codes that no piece bears.
func newLabels(ctx context.Context, t tx, n int) ([]string, error) {
	var labels []string
	for range 20 {
		for len(labels) < n {
			label, err := restoration.NewLabel(rand.Reader)
			if err != nil {
				return nil, err
			}
			if !slices.Contains(labels, label) {
				labels = append(labels, label)
			}
		}
		rows, err := t.Query(ctx, `SELECT label FROM components WHERE label = ANY($1)`, labels)
		if err != nil {
			return nil, err
		}
		taken, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil || len(taken) == 0 {
			return labels, err
		}
		labels = slices.DeleteFunc(labels, func(l string) bool { return slices.Contains(taken, l) })
	}
	return nil, fmt.Errorf("draw %d label codes: too many are taken", n)
}

// copyOpenings writes new pieces in bulk: a whole trim list takes three commands.
func copyOpenings(ctx context.Context, t tx, opened []opening) error {
	var pieces, events, steps [][]any
	for _, o := range opened {
		row := append([]any{o.piece.ID, o.piece.CarID, o.piece.Label, t.now}, detailValues(o.piece.Details)...)
		pieces = append(pieces, append(row, projectionValues(o.piece)...))
		events = append(events, eventValues(o.event, o.outcome))
		for _, s := range o.piece.Steps {
			steps = append(steps, stepValues(s))
		}
	}
	names := slices.Concat([]string{"id", "car_id", "label", "created_at"}, detailNames, projectionNames)
	for _, c := range []struct {
		table string
		names []string
		rows  [][]any
	}{{"components", names, pieces}, {"shop_events", eventNames, events}, {"finish_steps", stepNames, steps}} {
		if _, err := t.CopyFrom(ctx, pgx.Identifier{c.table}, c.names, pgx.CopyFromRows(c.rows)); err != nil {
			return fmt.Errorf("write %s: %w", c.table, err)
		}
	}
	return nil
}
