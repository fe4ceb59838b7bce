package store

import (
	"context"
	"reflect"
	"slices"

	"github.com/jackc/pgx/v5"

	"scumble/internal/restoration"
)

// EditPiece changes what the office says of a piece; routeID 0 leaves its route.
// When that changes its planned hours, its size or its route, the ledger has an
// event of it. Conflict, and nothing changed, when the rules refuse that event;
// NotFound when there is no such piece.
func (s *Store) EditPiece(ctx context.Context, by restoration.Actor, id restoration.ID, d restoration.Details, routeID int64) (err error) {
	defer wrap(&err, "edit piece %v", id)
	return s.change(ctx, func(t tx) error {
		settings, err := loadSettings(ctx, t)
		if err != nil {
			return err
		}
		_, err = s.editPiece(ctx, t, by, settings, id, func(p *restoration.Piece) {
			p.Details = d
			if routeID != 0 {
				p.RouteID = routeID
			}
		})
		return err
	})
}

// ChangePieces makes the same change to several pieces, all or nothing, and tells how
// many are different now.
func (s *Store) ChangePieces(ctx context.Context, by restoration.Actor, ids []restoration.ID, c restoration.PieceChange) (n int, err error) {
	defer wrap(&err, "change %d pieces", len(ids))
	// One order for everybody, so that two such changes can't wait for each other.
	ids = slices.Clone(ids)
	slices.SortFunc(ids, func(a, b restoration.ID) int { return slices.Compare(a[:], b[:]) })
	err = s.change(ctx, func(t tx) error {
		settings, err := loadSettings(ctx, t)
		if err != nil {
			return err
		}
		for _, id := range slices.Compact(ids) {
			changed, err := s.editPiece(ctx, t, by, settings, id, func(p *restoration.Piece) { change(p, c) })
			if err != nil {
				return err
			}
			if changed {
				n++
			}
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return n, nil
}

func change(p *restoration.Piece, c restoration.PieceChange) {
	set(&p.Zone, c.Zone)
	set(&p.Set, c.Set)
	set(&p.Scheme, c.Scheme)
	set(&p.SchemeReason, c.SchemeReason)
	set(&p.Mounting, c.Mounting)
	set(&p.Grade, c.Grade)
	set(&p.SteelGrade, c.SteelGrade)
	set(&p.RouteID, c.RouteID)
}

func set[T any](to *T, v *T) {
	if v != nil {
		*to = *v
	}
}

// editPiece lets edit change a piece's details and route, with audit and ledger.
// False when nothing is different afterwards.
func (s *Store) editPiece(ctx context.Context, t tx, by restoration.Actor, settings restoration.Settings,
	id restoration.ID, edit func(*restoration.Piece)) (bool, error) {
	car, before, err := claimPiece(ctx, t, id)
	if err != nil {
		return false, err
	}
	after := before
	edit(&after)
	if reflect.DeepEqual(before.Details, after.Details) && before.RouteID == after.RouteID {
		return false, nil
	}
	if err := writeDetails(ctx, t, after); err != nil {
		return false, err
	}
	if err := auditPiece(ctx, t, by, before, after); err != nil {
		return false, err
	}
	replan, err := s.replanning(ctx, t, by, settings.Factors, car, before, after)
	if err != nil {
		return false, err
	}
	if replan == nil {
		return true, notify(ctx, t, car.ID)
	}
	return true, s.mustApply(ctx, t, *replan)
}

// pieceDeed is what the audit keeps of a piece, with the name of its route where that
// is another.
type pieceDeed struct {
	restoration.Details
	Route string `json:"route,omitempty"`
}

func auditPiece(ctx context.Context, t tx, by restoration.Actor, before, after restoration.Piece) error {
	was, is := pieceDeed{Details: before.Details}, pieceDeed{Details: after.Details}
	if before.RouteID != after.RouteID {
		err := t.QueryRow(ctx, `SELECT (SELECT name FROM routes WHERE id = $1), coalesce((SELECT name FROM routes WHERE id = $2), '')`,
			before.RouteID, after.RouteID).Scan(&was.Route, &is.Route)
		if err != nil {
			return err
		}
	}
	return audit(ctx, t, by, deed{act: restoration.ActEditPiece, subject: after.Name, carID: after.CarID, pieceID: after.ID, before: was, after: is})
}

// claimPiece loads a piece without its steps and locks it after its car.
func claimPiece(ctx context.Context, t tx, id restoration.ID) (restoration.Car, restoration.Piece, error) {
	var carID int64
	if err := t.QueryRow(ctx, `SELECT car_id FROM components WHERE id = $1`, id).Scan(&carID); err != nil {
		return restoration.Car{}, restoration.Piece{}, noPiece(err)
	}
	car, err := claimCar(ctx, t, carID, lockShared)
	if err != nil {
		return car, restoration.Piece{}, err
	}
	rows, err := t.Query(ctx, `SELECT `+pieceColumns+` FROM components p WHERE p.id = $1 FOR NO KEY UPDATE`, id)
	if err != nil {
		return car, restoration.Piece{}, err
	}
	piece, err := pgx.CollectExactlyOneRow(rows, toPiece)
	return car, piece, noPiece(err)
}

func writeDetails(ctx context.Context, t tx, p restoration.Piece) error {
	_, err := t.Exec(ctx, `
		UPDATE components SET name = $2, zone = $3, side = $4, place = $5, sort_order = $6, area_m2 = $7, both_m2 = $8,
			size = $9, mounting = $10, metal = $11, set_name = $12, scheme = $13, scheme_reason = $14, grade = $15,
			steel_grade = $16, faults = $17, note = $18
		WHERE id = $1`, append([]any{p.ID}, detailValues(p.Details)...)...)
	return err
}

// replanning gives the event that an edit of a piece brings about; nil when its
// plan stays.
func (s *Store) replanning(ctx context.Context, t tx, by restoration.Actor, f restoration.Factors, car restoration.Car,
	before, after restoration.Piece) (*restoration.Event, error) {
	was, err := claimRoute(ctx, t, before.RouteID)
	if err != nil {
		return nil, err
	}
	is := was
	if after.RouteID != before.RouteID {
		if is, err = claimRoute(ctx, t, after.RouteID); err != nil {
			return nil, err
		}
	}
	plan := restoration.Planned(after.Details, car.Quality, is, f)
	if is.ID == was.ID && before.Size == after.Size &&
		slices.Equal(plan, restoration.Planned(before.Details, car.Quality, was, f)) {
		return nil, nil
	}
	e := officeEvent(t, by, restoration.KindReplan)
	e.PieceID, e.RouteID, e.Size, e.Plan = after.ID, is.ID, after.Size, plan
	return &e, nil
}

// replanCar plans the pieces of a car anew that are not finished. The caller holds
// the whole car.
func (s *Store) replanCar(ctx context.Context, t tx, by restoration.Actor, car restoration.Car) error {
	settings, err := loadSettings(ctx, t)
	if err != nil {
		return err
	}
	pieces, err := loadPieces(ctx, t, `p.car_id = $1 AND p.removed_at IS NULL AND p.next_step IS NOT NULL`, car.ID)
	if err != nil {
		return err
	}
	routes, err := s.startedRoutes(ctx, t, pieces)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		e := officeEvent(t, by, restoration.KindReplan)
		e.PieceID, e.RouteID, e.Size = p.ID, p.RouteID, p.Size
		e.Plan = restoration.Planned(p.Details, car.Quality, routes[p.RouteID], settings.Factors)
		if err := s.mustApply(ctx, t, e); err != nil {
			return err
		}
	}
	return nil
}

func loadSettings(ctx context.Context, t tx) (restoration.Settings, error) {
	return readSettings(ctx, t, `SELECT document FROM settings`)
}
